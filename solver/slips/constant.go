package slips

import (
	"fmt"
	"math"
	"slices"
	"strings"
)

// This file finds numbers that are right but for one constant: added to all of them, or multiplied with all.

// The slips of this file, and that of x in another unit.
const (
	Offset     = "constant offset"
	Factor     = "constant factor"
	OtherUnitX = "x in another unit"
)

// Quantity is a number of the problem that has a name: a constant, or a number that stands in a formula.
type Quantity struct {
	Name  string
	Value float64
}

// fewestConstant is how many numbers must agree on a constant.
const fewestConstant = 3

// everywhere are the constants that turn up in any problem.
var everywhere = []Quantity{{"2", 2}, {"1/2", 0.5}, {"π", math.Pi}, {"1/π", 1 / math.Pi}, {"2 π", 2 * math.Pi},
	{"180/π, as degrees for radians", 180 / math.Pi}, {"π/180, as radians for degrees", math.Pi / 180},
	{"1000", 1000}, {"1/1000", 1e-3}, {"100", 100}, {"1/100", 1e-2}, {"10", 10}, {"1/10", 0.1}, {"10^6", 1e6},
	{"10^−6", 1e-6}}

// factors are the named numbers that all values may be multiplied by.
func (j *judge) factors() []Quantity {
	out := slices.Clone(everywhere)
	add := func(name string, v float64) {
		if v == 0 || math.Abs(math.Abs(v)-1) <= 1e-9 {
			return
		}
		whole, inverse := name, "1/"+name
		if name != number4(v) {
			whole, inverse = name+" = "+number4(v), "1/"+name+" = "+number4(1/v)
		}
		out = append(out, Quantity{whole, v}, Quantity{inverse, 1 / v})
	}
	for _, q := range j.o.Quantities {
		add(q.Name, q.Value)
	}
	for _, c := range conversions {
		if !c.x || c.factor != 180/math.Pi {
			name := number4(c.factor)
			out = append(out, Quantity{name + ", as " + c.first + " for " + c.unit, c.factor},
				Quantity{"1/" + name + ", as " + c.unit + " for " + c.first, 1 / c.factor})
		}
	}
	length := j.p.B - j.p.A
	add("the length", length)
	add("the length squared", length*length)
	if m := j.meshes(); len(m) > 0 {
		h := length / float64(m[0])
		add("the step h", h)
		add("h²", h*h)
	}
	return out
}

// offsets are the named numbers that all values may be off by.
func (j *judge) offsets() []Quantity {
	out := []Quantity{{"273.15", 273.15}, {"273", 273}}
	for _, q := range j.o.Quantities {
		name := q.Name
		if v := number4(q.Value); name != v {
			name += " = " + v
		}
		out = append(out, Quantity{name, q.Value})
	}
	return out
}

// span is the range of a constant that the numbers allow.
type span struct{ lo, hi float64 }

func (s *span) meet(lo, hi float64) {
	s.lo, s.hi = math.Max(s.lo, math.Min(lo, hi)), math.Min(s.hi, math.Max(lo, hi))
}

// of returns those quantities that lie in the span, in words.
func (s span) of(list []Quantity, sign float64) (words string, value float64) {
	var names []string
	for _, q := range list {
		if v := sign * q.Value; v >= s.lo && v <= s.hi {
			if len(names) == 0 {
				value = v
			}
			if math.Abs(v-value) <= 1e-9*math.Abs(value) && !slices.Contains(names, q.Name) && len(names) < 3 {
				names = append(names, q.Name)
			}
		}
	}
	return strings.Join(names, ", or "), value
}

// related is what one constant between the numbers of a table and others may be: added to these, or multiplied with
// them.
type related struct {
	added, factor span
	// wrong are the entries of the jet with numbers that differ, count is how many numbers these have.
	wrong map[int]bool
	count int
	unit  float64
}

// relate finds what constants are possible between base and the table, both in the order of the numbers; right says of
// a number that it needs none. ok is false where there is none.
func (j *judge) relate(base []float64, right func(i int) bool) (r related, ok bool) {
	r = related{added: span{math.Inf(-1), math.Inf(1)}, factor: span{math.Inf(-1), math.Inf(1)}, wrong: map[int]bool{}}
	for i := range j.numbers {
		entry := j.numbers[i].entry
		r.wrong[entry] = r.wrong[entry] || !right(i)
	}
	for i := range j.numbers {
		n := &j.numbers[i]
		if !r.wrong[n.entry] {
			continue
		}
		r.count++
		r.unit = n.unit
		t := n.tolerance(allowed)
		r.added.meet(n.value-base[i]-t, n.value-base[i]+t)
		if math.Abs(base[i]) > t {
			r.factor.meet((n.value-t)/base[i], (n.value+t)/base[i])
		}
	}
	if r.count < fewestConstant {
		return r, false
	}
	if !only(r.wrong) {
		r.added = span{math.Inf(1), math.Inf(-1)} // what has two units has no one offset
	}
	if !bounded(r.factor) {
		r.factor = span{math.Inf(1), math.Inf(-1)}
	}
	return r, r.added.lo <= r.added.hi || r.factor.lo <= r.factor.hi
}

// named records the constants that have a name, between a curve and the table.
func (j *judge) named(r related, at curve, how string, tries int) {
	by := func(name, sentence string, f func(v float64) float64) {
		changed := func(x float64, jet []float64) {
			at(x, jet)
			for k := range jet {
				if r.wrong[k] {
					jet[k] = f(jet[k])
				}
			}
		}
		j.hit(&candidate{name: name, sentence: sentence}, how, changed, tries)
	}
	if added, v := r.added.of(j.offsets(), 1); added != "" {
		by(Offset, added+" is added to every value", func(y float64) float64 { return y + v })
	} else if taken, v := r.added.of(j.offsets(), -1); taken != "" {
		by(Offset, taken+" is taken off every value", func(y float64) float64 { return y + v })
	}
	if r.factor.lo <= -1 && r.factor.hi >= -1 {
		by(Factor, "every value has the opposite sign", func(y float64) float64 { return -y })
	}
	for _, sign := range []float64{1, -1} {
		if name, v := r.factor.of(j.factors(), sign); name != "" {
			by(Factor, "every value is multiplied by "+map[bool]string{true: "−"}[sign < 0]+name,
				func(y float64) float64 { return v * y })
			break
		}
	}
}

// constant looks for one constant between the numbers and the solution, and records the hits that have a name. fact
// says what is so without one, "" where no constant fits.
func (j *judge) constant() (fact string) {
	base := make([]float64, len(j.numbers))
	for i := range j.numbers {
		if !j.numbers[i].inside {
			return ""
		}
		base[i] = j.numbers[i].right
	}
	r, ok := j.relate(base, func(i int) bool { return j.v.Rows[i].Right })
	if !ok {
		return ""
	}
	j.named(r, j.s.At, "with the right solution", len(j.list)+r.count)
	_, evidence := j.evidence()
	mid := (r.added.lo + r.added.hi) / 2
	switch sure := evidence*float64(independent-1)/independent <= -chance && r.count > fewestConstant; {
	case !sure:
	case r.added.lo <= r.added.hi:
		return fmt.Sprintf("every number is %s by %s, the same in each row",
			map[bool]string{true: "too large", false: "too small"}[mid > 0], toUnit(math.Abs(mid), r.unit))
	case r.factor.lo <= r.factor.hi:
		return fmt.Sprintf("every number is %s times that of the solution", number4((r.factor.lo+r.factor.hi)/2))
	}
	return ""
}

// constantUpon looks for a constant that has a name between the numbers and those of a right method with few nodes or
// steps.
func (j *judge) constantUpon() {
	base, jet := make([]float64, len(j.numbers)), make([]float64, j.p.Jet())
	for _, m := range j.methods {
		at, inside := j.inInterval(m.at, nil), true
		for i := range j.numbers {
			inside = inside && at(j.numbers[i].x[0], jet)
			base[i] = jet[j.numbers[i].entry]
		}
		r, ok := j.relate(base, func(i int) bool { return j.same(i, base[i]) })
		if !inside || !ok {
			continue
		}
		how := "upon the numbers of " + m.how + ", a right method"
		if m.order > 0 {
			how += fmt.Sprintf(" of order %d", m.order)
		}
		j.named(r, m.at, how, len(j.list)+r.count*len(j.methods))
		if len(j.hits) > 0 {
			return
		}
	}
}

func bounded(s span) bool { return !math.IsInf(s.lo, 0) && !math.IsInf(s.hi, 0) }

// only reports whether one entry alone is marked.
func only(marked map[int]bool) bool {
	n := 0
	for _, m := range marked {
		if m {
			n++
		}
	}
	return n == 1
}

// readings looks for right values at points whose x is in another unit.
func (j *judge) readings() {
	for _, u := range unitsOfX {
		c := &candidate{name: OtherUnitX, sentence: j.p.VariableName() + " is in " + u.what, read: u.of}
		j.hit(c, "with the right solution", j.s.At, len(j.list)+len(unitsOfX))
	}
}
