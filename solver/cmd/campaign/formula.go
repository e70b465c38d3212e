package main

import (
	"strconv"
	"strings"
)

// A formula of x: it prints itself as people write formulas, differentiates itself, and has values of any precision. It
// is the campaign's own, so that a fault of the reader or of the tape cannot hide in the truth too.
type formula struct {
	op   string // "x", "number", "+", "-", "*", "/", "^", "neg", "pow", "erfs", "if", "name", or the name of a function
	args []*formula
	text string // of a number, or of a name whose value is args[0]
	n    int    // the exponent of ^, the number of integrals of erfs
	d    *formula
	erf  *formula
}

var (
	theX  = &formula{op: "x"}
	none  = number("0")
	unity = number("1")
)

func number(text string) *formula { return &formula{op: "number", text: text} }
func integer(n int) *formula      { return number(strconv.Itoa(n)) }
func given(v float64) *formula    { return number(written(v)) }

// named is a constant that a sheet declares by name.
func named(name, value string) *formula {
	return &formula{op: "name", text: name, args: []*formula{number(value)}}
}
func (f *formula) is(text string) bool { return f.op == "number" && f.text == text }
func fn(name string, a ...*formula) *formula {
	return &formula{op: name, args: a}
}

// written is the shortest decimal of a number.
func written(v float64) string {
	s := strconv.FormatFloat(v, 'g', -1, 64)
	return strings.NewReplacer("e-0", "e-", "e+0", "e", "e+", "e").Replace(s)
}

func plus(a, b *formula) *formula {
	switch {
	case a.is("0"):
		return b
	case b.is("0"):
		return a
	case b.op == "neg":
		return minus(a, b.args[0])
	}
	return fn("+", a, b)
}

func minus(a, b *formula) *formula {
	switch {
	case b.is("0"):
		return a
	case a.is("0"):
		return negative(b)
	}
	return fn("-", a, b)
}

func negative(a *formula) *formula {
	switch {
	case a.is("0"):
		return a
	case a.op == "neg":
		return a.args[0]
	}
	return fn("neg", a)
}

func times(a, b *formula) *formula {
	switch {
	case a.is("0") || b.is("0"):
		return none
	case a.is("1"):
		return b
	case b.is("1"):
		return a
	case a.op == "neg":
		return negative(times(a.args[0], b))
	case b.op == "neg":
		return negative(times(a, b.args[0]))
	case (b.op == "number" || b.op == "name") && a.op != "number" && a.op != "name":
		return times(b, a)
	}
	return fn("*", a, b)
}

func over(a, b *formula) *formula {
	if a.is("0") || b.is("1") {
		return a
	}
	return fn("/", a, b)
}

func power(a *formula, n int) *formula {
	switch n {
	case 0:
		return unity
	case 1:
		return a
	}
	return &formula{op: "^", args: []*formula{a}, n: n}
}

// lift is a to the power of a decimal, for positive a.
func lift(a *formula, exponent string) *formula {
	return &formula{op: "pow", args: []*formula{a}, text: exponent}
}

// ifLess is a where p < q, and b elsewhere.
func ifLess(p, q, a, b *formula) *formula { return fn("if", p, q, a, b) }

func sum(terms ...*formula) *formula {
	s := none
	for _, t := range terms {
		s = plus(s, t)
	}
	return s
}

// derivative returns the n-th derivative. Kinks and jumps count for nothing: whoever uses abs, sign or if knows how
// often.
func (f *formula) derivative(n int) *formula {
	for range n {
		if f.d == nil {
			f.d = f.differentiate()
		}
		f = f.d
	}
	return f
}

func (f *formula) differentiate() *formula {
	switch f.op {
	case "x":
		return unity
	case "number", "name", "pi", "sign":
		return none
	}
	a := f.args[0]
	da := a.derivative(1)
	switch f.op {
	case "+":
		return plus(da, f.args[1].derivative(1))
	case "-":
		return minus(da, f.args[1].derivative(1))
	case "neg":
		return negative(da)
	case "*":
		b := f.args[1]
		return plus(times(da, b), times(a, b.derivative(1)))
	case "/":
		b := f.args[1]
		db := b.derivative(1)
		if db.is("0") {
			return over(da, b)
		}
		return over(minus(times(da, b), times(a, db)), power(b, 2))
	case "^":
		return times(times(integer(f.n), power(a, f.n-1)), da)
	case "erfs":
		return times(erfs(f.n-1, a), da)
	case "pow":
		less := lift(a, sub(decimal(f.text), whole(1)).Text('g', 20))
		return times(times(number(f.text), less), da)
	case "if":
		return ifLess(a, f.args[1], f.args[2].derivative(1), f.args[3].derivative(1))
	case "max":
		return ifLess(a, f.args[1], f.args[1].derivative(1), da)
	case "min":
		return ifLess(a, f.args[1], da, f.args[1].derivative(1))
	}
	return times(outer(f.op, a), da)
}

// outer is the derivative of a function of one argument.
func outer(name string, a *formula) *formula {
	switch name {
	case "exp":
		return fn("exp", a)
	case "ln":
		return over(unity, a)
	case "sin":
		return fn("cos", a)
	case "cos":
		return negative(fn("sin", a))
	case "sinh":
		return fn("cosh", a)
	case "cosh":
		return fn("sinh", a)
	case "tanh":
		return power(fn("sech", a), 2)
	case "sech":
		return negative(times(fn("sech", a), fn("tanh", a)))
	case "atan":
		return over(unity, plus(unity, power(a, 2)))
	case "sqrt":
		return over(unity, times(integer(2), fn("sqrt", a)))
	case "erf":
		return times(over(integer(2), fn("sqrt", fn("pi"))), fn("exp", negative(power(a, 2))))
	case "abs":
		return fn("sign", a)
	}
	panic("campaign: no derivative of " + name)
}

// value returns the value at x. seen holds the values of formulas that occur more than once.
func (f *formula) value(x num, seen map[*formula]num) num {
	switch f.op {
	case "x":
		return x
	case "number":
		return decimal(f.text)
	case "name":
		return decimal(f.args[0].text)
	case "pi":
		return pi
	}
	if v, ok := seen[f]; ok {
		return v
	}
	v := f.evaluate(x, seen)
	seen[f] = v
	return v
}

func (f *formula) evaluate(x num, seen map[*formula]num) num {
	a := f.args[0].value(x, seen)
	second := func() num { return f.args[1].value(x, seen) }
	switch f.op {
	case "+":
		return add(a, second())
	case "-":
		return sub(a, second())
	case "neg":
		return neg(a)
	case "*":
		if a.Sign() == 0 {
			return a
		}
		return mul(a, second())
	case "/":
		return div(a, second())
	case "^":
		return raise(a, f.n)
	case "erfs":
		if z := f.args[0]; z.erf == nil {
			z.erf = fn("erf", z) // shared by all integrals of one z
		}
		return integratedErf(f.n, a, f.args[0].erf.value(x, seen))
	case "pow":
		if a.Sign() == 0 {
			return a
		}
		return exp(mul(decimal(f.text), log(a)))
	case "if":
		if a.Cmp(second()) < 0 {
			return f.args[2].value(x, seen)
		}
		return f.args[3].value(x, seen)
	case "max", "min":
		b := second()
		if (a.Cmp(b) > 0) == (f.op == "max") {
			return a
		}
		return b
	}
	return valueOf(f.op, a)
}

// valueOf is the value of a function of one argument.
func valueOf(name string, a num) num {
	switch name {
	case "exp":
		return exp(a)
	case "ln":
		return log(a)
	case "sin":
		s, _ := sincos(a)
		return s
	case "cos":
		_, c := sincos(a)
		return c
	case "sinh":
		return sinh(a)
	case "cosh":
		return cosh(a)
	case "tanh":
		return tanh(a)
	case "sech":
		return div(whole(1), cosh(a))
	case "atan":
		return atan(a)
	case "sqrt":
		return zero().Sqrt(a)
	case "erf":
		return erf(a)
	case "abs":
		return abs(a)
	case "sign":
		return whole(int64(a.Sign()))
	}
	panic("campaign: no value of " + name)
}

// at is the value at x alone.
func (f *formula) at(x num) num { return f.value(x, map[*formula]num{}) }

// put replaces x by another formula.
func (f *formula) put(x *formula) *formula {
	switch f.op {
	case "x":
		return x
	case "number", "name":
		return f
	}
	g := &formula{op: f.op, text: f.text, n: f.n}
	for _, a := range f.args {
		g.args = append(g.args, a.put(x))
	}
	return g
}

// The precedences of what is printed, loosest first.
const (
	loose   = iota // a sum
	product        // a factor of a product
	tight          // the base of a power, or under a division line
)

func (f *formula) String() string { return f.print(loose) }

func (f *formula) print(within int) string {
	bracket := func(own int, s string) string {
		if own < within {
			return "(" + s + ")"
		}
		return s
	}
	switch f.op {
	case "x":
		return "x"
	case "number":
		if f.text[0] == '-' {
			return bracket(loose, f.text)
		}
		return f.text
	case "name":
		return f.text
	case "pi":
		return "pi"
	case "+", "-":
		second := product
		if f.op == "+" && f.args[1].op != "neg" {
			second = loose
			if f.args[1].op == "number" {
				second = product
			}
		}
		return bracket(loose, f.args[0].print(loose)+" "+f.op+" "+f.args[1].print(second))
	case "neg":
		return bracket(loose, "-"+f.args[0].print(product))
	case "*":
		return bracket(product, f.factor(0)+"*"+f.factor(1))
	case "/":
		return bracket(product, f.factor(0)+"/"+f.args[1].print(tight))
	case "^":
		return bracket(product, f.args[0].print(tight)+"^"+strconv.Itoa(f.n))
	case "pow":
		return bracket(product, f.args[0].print(tight)+"^("+f.text+")")
	case "if":
		return "if(" + f.args[0].String() + " < " + f.args[1].String() + ", " + f.args[2].String() +
			", " + f.args[3].String() + ")"
	}
	var args []string
	for _, a := range f.args {
		args = append(args, a.String())
	}
	return f.op + "(" + strings.Join(args, ", ") + ")"
}

// free reports whether the formula is free of x.
func (f *formula) free() bool {
	if f.op == "x" {
		return false
	}
	for _, a := range f.args {
		if !a.free() {
			return false
		}
	}
	return true
}

// factor prints a factor; a quotient in a product keeps its brackets, so that nobody has to wonder.
func (f *formula) factor(i int) string {
	if f.args[i].op == "/" {
		return f.args[i].print(tight)
	}
	return f.args[i].print(product)
}
