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

// constant looks for one constant between the numbers and the solution, and records the hits that have a name. fact
// says what is so without one, "" where no constant fits.
func (j *judge) constant() (fact string) {
	wrong := map[int]bool{} // entries of the jet with wrong numbers
	count, unit := 0, 0.0
	for i, r := range j.v.Rows {
		if !j.numbers[i].inside {
			return ""
		}
		wrong[j.numbers[i].entry] = wrong[j.numbers[i].entry] || !r.Right
	}
	sum, factor := span{math.Inf(-1), math.Inf(1)}, span{math.Inf(-1), math.Inf(1)}
	for i := range j.numbers {
		n := &j.numbers[i]
		if !wrong[n.entry] {
			continue
		}
		count++
		unit = n.unit
		t := n.tolerance(allowed)
		sum.meet(n.value-n.right-t, n.value-n.right+t)
		if math.Abs(n.right) > t {
			factor.meet((n.value-t)/n.right, (n.value+t)/n.right)
		}
	}
	if count < fewestConstant {
		return ""
	}
	by := func(name, sentence string, f func(v float64) float64) {
		at := func(x float64, jet []float64) {
			j.s.At(x, jet)
			for k := range jet {
				if wrong[k] {
					jet[k] = f(jet[k])
				}
			}
		}
		j.hit(&candidate{name: name, sentence: sentence}, "with the right solution", at, len(j.list)+count)
	}
	_, evidence := j.evidence()
	sure := evidence*float64(independent-1)/independent <= -chance && count > fewestConstant
	if sum.lo <= sum.hi && len(wrong) > 0 && only(wrong) {
		switch added, v := sum.of(j.offsets(), 1); {
		case added != "":
			by(Offset, added+" is added to every value", func(y float64) float64 { return y + v })
		default:
			if taken, v := sum.of(j.offsets(), -1); taken != "" {
				by(Offset, taken+" is taken off every value", func(y float64) float64 { return y + v })
			}
		}
		if mid := (sum.lo + sum.hi) / 2; sure {
			fact = fmt.Sprintf("every number is %s by %s, the same in each row",
				map[bool]string{true: "too large", false: "too small"}[mid > 0], toUnit(math.Abs(mid), unit))
		}
	}
	if factor.lo <= factor.hi && bounded(factor) {
		if factor.lo <= -1 && factor.hi >= -1 {
			by(Factor, "every value has the opposite sign", func(y float64) float64 { return -y })
		}
		for _, sign := range []float64{1, -1} {
			if name, v := factor.of(j.factors(), sign); name != "" {
				by(Factor, "every value is multiplied by "+map[bool]string{true: "−"}[sign < 0]+name,
					func(y float64) float64 { return v * y })
				break
			}
		}
		if sure && fact == "" {
			fact = fmt.Sprintf("every number is %s times that of the solution", number4((factor.lo+factor.hi)/2))
		}
	}
	return fact
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
		f := math.Pow10(-u.power)
		c := &candidate{name: OtherUnitX, sentence: j.p.VariableName() + " is in " + u.what,
			read: func(x float64) float64 { return x * f }}
		j.hit(c, "with the right solution", j.s.At, len(j.list)+len(unitsOfX))
	}
}
