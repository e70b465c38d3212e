package main

import "fmt"

// A truth is the solution of a sheet: for each unknown a formula, plus, of a linear problem, basis solutions with
// numbers that its conditions fix. The numbers are worked out in full precision from the decimals of the sheet.
type truth struct {
	names []string
	fixed []*formula // the particular solution, one formula for each unknown
	basis [][]*formula
	c     []num // the numbers of the basis
}

// one is the truth of a single unknown.
func one(name string, f *formula, basis ...*formula) *truth {
	t := &truth{names: []string{name}, fixed: []*formula{f}}
	for _, b := range basis {
		t.basis = append(t.basis, []*formula{b})
	}
	return t
}

// A term of a condition: a factor (nil: 1) times a derivative of an unknown at a point.
type term struct {
	factor  *formula
	unknown int
	order   int
	at      *formula // free of x
}

// A condition: the sum of its terms is value.
type condition struct {
	terms []term
	value *formula // free of x
}

// here is the condition that the order-th derivative of the only unknown has a value at a point.
func here(at string, order int, value *formula) condition {
	return condition{[]term{{order: order, at: number(at)}}, value}
}

// text writes the condition as it stands in a sheet.
func (c condition) text(names []string) string {
	s := ""
	for i, t := range c.terms {
		if i > 0 {
			s += " + "
		}
		if t.factor != nil {
			s += t.factor.print(tight) + " "
		}
		s += names[t.unknown] + primes(t.order) + "(" + t.at.String() + ")"
	}
	return s + " = " + c.value.String()
}

func primes(n int) string { return "''''''''"[:n] }

// part is the value of a set of formulas, one for each unknown, in a condition.
func (c condition) part(u []*formula, seen []map[*formula]num) num {
	s := zero()
	for i, t := range c.terms {
		v := u[t.unknown].derivative(t.order).value(t.at.at(nil), seen[i])
		if t.factor != nil {
			v = mul(v, t.factor.at(nil))
		}
		s = add(s, v)
	}
	return s
}

// fix finds the numbers of the basis from the conditions.
func (t *truth) fix(conditions []condition) {
	if len(t.basis) == 0 {
		return
	}
	if len(conditions) != len(t.basis) {
		panic(fmt.Sprintf("campaign: %d conditions for %d numbers", len(conditions), len(t.basis)))
	}
	a := make([][]num, len(conditions))
	b := make([]num, len(conditions))
	for i, c := range conditions {
		seen := make([]map[*formula]num, len(c.terms))
		for k := range seen {
			seen[k] = map[*formula]num{}
		}
		for _, u := range t.basis {
			a[i] = append(a[i], c.part(u, seen))
		}
		b[i] = sub(c.value.at(nil), c.part(t.fixed, seen))
	}
	t.c = solveDense(a, b)
}

// at is the true value of a derivative of an unknown; seen is for what several of them at one x have in common.
func (t *truth) at(unknown, order int, x num, seen map[*formula]num) num {
	v := t.fixed[unknown].derivative(order).value(x, seen)
	for j, u := range t.basis {
		v = add(v, mul(t.c[j], u[unknown].derivative(order).value(x, seen)))
	}
	return v
}
