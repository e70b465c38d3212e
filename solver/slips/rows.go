package slips

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"nodespan/solver/bvp"
)

// This file tells of single rows: one that alone is wrong, two that are exchanged, and rows outside the interval.

// Limits of what is said of single rows.
const (
	fewestRight = 3 // rows that are right, and not by a condition alone, beside one that is not
	fewestOfTwo = 6 // the same beside two
)

// prescribed reports whether a condition gives the number of a row outright.
func (j *judge) prescribed(r Row) bool {
	for _, c := range j.p.Conditions {
		if len(c.At) == 1 && c.At[0].X == r.X &&
			bvp.Derivative(j.p.Unknowns[c.At[0].Unknown].Name, c.At[0].Derivative) == r.Column {
			return true
		}
	}
	return false
}

// odd looks for one or two rows that are wrong where the rest is right, and returns what to say of them, "" where there
// are none.
func (j *judge) odd() string {
	rest := 0
	var wrong []int // numbers
	rows := map[int]bool{}
	for i, r := range j.v.Rows {
		switch {
		case !r.Right:
			wrong = append(wrong, i)
			rows[i%j.rows] = true
		case !j.prescribed(r):
			rest++
		}
	}
	if len(rows) > 2 || rest < fewestRight {
		return ""
	}
	for r := range rows {
		j.v.Odd = append(j.v.Odd, r+1)
	}
	slices.Sort(j.v.Odd)
	if len(rows) == 2 {
		if j.exchanged(wrong) {
			return fmt.Sprintf("rows %d and %d are exchanged, the rest is right", j.v.Odd[0], j.v.Odd[1])
		}
		if rest < fewestOfTwo {
			j.v.Odd = nil
			return ""
		}
	}
	var parts []string
	for _, i := range wrong {
		parts = append(parts, j.off(i, j.v.Rows[i].Error)+j.miswritten(i, j.v.Rows[i].Solution))
	}
	return strings.Join(parts, ", ") + "; the rest is right"
}

// off says by how much a number is off.
func (j *judge) off(i int, by float64) string {
	of := ""
	if len(j.v.Rows) > j.rows {
		of = " of " + j.v.Rows[i].Column
	}
	return fmt.Sprintf("row %d%s is off by %s", i%j.rows+1, of, toUnit(math.Abs(by), j.numbers[i].unit))
}

// toUnit writes a number to the digits that a unit gives it, at most four.
func toUnit(v, unit float64) string {
	if r := math.Round(v/unit) * unit; r != 0 {
		v = r
	}
	return number4(v)
}

// exchanged reports whether the wrong numbers are those of two rows, each with the other's.
func (j *judge) exchanged(wrong []int) bool {
	for _, i := range wrong {
		k := slices.IndexFunc(wrong, func(k int) bool { return k != i && k/j.rows == i/j.rows })
		if k < 0 || !j.same(i, j.v.Rows[wrong[k]].Solution) {
			return false
		}
	}
	return true
}

// same reports whether a number of the table is v to the digits given.
func (j *judge) same(i int, v float64) bool {
	return math.Abs(j.numbers[i].value-v) <= j.numbers[i].tolerance(allowed)
}

// miswritten says how a number was written down wrongly, if that would make it the right one.
func (j *judge) miswritten(i int, right float64) string {
	n := j.numbers[i]
	t := n.tolerance(allowed)
	if math.Abs(right) <= clearly*t {
		return ""
	}
	if j.same(i, -right) {
		return " (its sign is wrong)"
	}
	for _, places := range []float64{1, 2, 3} {
		if f := math.Pow(10, places); math.Abs(n.value/f-right) <= t || math.Abs(n.value*f-right) <= t*f {
			return " (its decimal point is in the wrong place)"
		}
	}
	digits := []byte(strconv.FormatFloat(math.Abs(n.value), 'f', max(0, int(math.Round(-math.Log10(n.unit)))), 64))
	for k := 1; k < len(digits); k++ {
		a := k - 1
		if digits[a] == '.' {
			a--
		}
		if a < 0 || digits[k] == '.' || digits[a] == digits[k] {
			continue
		}
		digits[a], digits[k] = digits[k], digits[a]
		v, err := strconv.ParseFloat(string(digits), 64)
		digits[a], digits[k] = digits[k], digits[a]
		if err == nil && math.Abs(v-math.Abs(right)) <= t {
			return " (two of its digits are exchanged)"
		}
	}
	return ""
}

// listed writes row numbers in words.
func listed(rows []int) string {
	if len(rows) == 1 {
		return fmt.Sprintf("row %d lies", rows[0])
	}
	if rows[len(rows)-1]-rows[0] == len(rows)-1 && len(rows) > 2 {
		return fmt.Sprintf("rows %d to %d lie", rows[0], rows[len(rows)-1])
	}
	words := make([]string, len(rows))
	for i, r := range rows {
		words[i] = strconv.Itoa(r)
	}
	return "rows " + strings.Join(words[:len(words)-1], ", ") + " and " + words[len(words)-1] + " lie"
}

// otherUnit is another unit of x: with it, x is the number of the table divided by a factor, or times that factor.
type otherUnit struct {
	factor float64
	times  bool
	what   string
}

// decimal is the same but for a power of ten.
func (u otherUnit) decimal() bool {
	_, part := math.Modf(math.Log10(u.factor))
	return part == 0
}

// of reads a number of the table. Divided or multiplied by a whole number: 0.3 is no other than 300/1000.
func (u otherUnit) of(x float64) float64 {
	if u.times {
		return x * u.factor
	}
	return x / u.factor
}

// unitsOfX are units in which x may stand, with what to call them: powers of ten of the sheet's unit first, then what
// people measure in (NIST Special Publication 811, appendix B).
var unitsOfX = append([]otherUnit{
	{1e3, false, "thousandths of the sheet's unit, as mm for m"},
	{1e2, false, "hundredths of the sheet's unit, as cm for m"},
	{1e1, false, "tenths of the sheet's unit, as mm for cm"},
	{1e6, false, "millionths of the sheet's unit, as µm for m"},
	{1e3, true, "thousands of the sheet's unit, as m for mm"},
	{1e2, true, "hundreds of the sheet's unit, as m for cm"},
	{1e1, true, "tens of the sheet's unit, as cm for mm"},
	{1e6, true, "millions of the sheet's unit, as m for µm"},
}, measured()...)

// conversions are the numbers by which people convert, how many of the first unit make one of the second, with the
// names of the two (NIST Special Publication 811, appendix B).
var conversions = []struct {
	factor      float64
	first, unit string
	x           bool // x may be in one of them
}{
	{12, "inches", "feet", true}, {25.4, "mm", "inches", true}, {2.54, "cm", "inches", true},
	{0.0254, "m", "inches", true}, {0.3048, "m", "feet", true}, {60, "minutes", "hours", true},
	{3600, "seconds", "hours", true}, {180 / math.Pi, "degrees", "radians", true}, {3.6, "km/h", "m/s", false},
	{1.8, "degrees Fahrenheit", "kelvins", false}, {9.80665, "newtons", "kilograms", false},
	{4.4482216, "newtons", "pounds", false}, {6.8947573, "kPa", "psi", false}, {4.1868, "joules", "calories", false},
}

// measured are the conversions of x, both ways.
func measured() (out []otherUnit) {
	for _, c := range conversions {
		if c.x {
			out = append(out, otherUnit{c.factor, false, c.first + " where the sheet has " + c.unit},
				otherUnit{c.factor, true, c.unit + " where the sheet has " + c.first})
		}
	}
	return out
}

// known says that a verdict explains the numbers.
func (v *Verdict) known() bool { return v.Right || v.Coarse || v.Slip != "" || len(v.Odd) > 0 }

// outside judges a table with rows outside the interval: in another unit of x, as it stands, and without these rows.
func (f *Search) outside(t *Table, columns []column) *Verdict {
	var rows, inside []int
	for i, x := range t.X {
		if f.p.Inside(x.Value) {
			inside = append(inside, i)
		} else {
			rows = append(rows, i+1)
		}
	}
	for _, u := range unitsOfX {
		scaled := f.scaled(t, u)
		if scaled == nil || !u.decimal() && !f.near(scaled, columns) {
			continue
		}
		if v := f.judge(scaled, columns); v.known() {
			v.Sentence = f.p.VariableName() + " is in " + u.what + "; so taken, " + v.Sentence
			return v
		}
	}
	whole := f.judge(t, columns)
	if whole.Slip != "" || whole.Right || len(inside) == 0 {
		return whole
	}
	v := f.judge(t.only(inside), columns)
	where := fmt.Sprintf("%s outside the interval from %s to %s; ", listed(rows), number4(f.p.A), number4(f.p.B))
	if v.Right {
		v.Sentence = where + "the rest is right to the digits given"
	} else {
		v.Sentence = where + "of the rest, " + v.Sentence
	}
	for k := range v.Odd {
		v.Odd[k] = inside[v.Odd[k]-1] + 1
	}
	var values []float64
	for i, r := range whole.Rows { // the judged rows take the places of theirs
		k := slices.Index(inside, i%len(t.X))
		if k < 0 {
			values = append(values, math.NaN())
			continue
		}
		k += i / len(t.X) * len(inside)
		if whole.Rows[i] = v.Rows[k]; v.Values != nil {
			values = append(values, v.Values[k])
		}
		whole.Rows[i].X = r.X
	}
	if v.Rows, v.Right = whole.Rows, false; v.Values != nil {
		v.Values = values
	}
	return v
}

// near reports whether a table has about the numbers of the solution, in all of its rows but two.
func (f *Search) near(t *Table, columns []column) bool {
	j := &judge{Search: f, v: &Verdict{}, rows: len(t.X)}
	j.collect(t, columns)
	far := 0
	for i, r := range j.v.Rows {
		if !(math.Abs(r.Error) <= 0.1*j.numbers[i].scale) {
			far++
		}
	}
	return far <= 2 && far < len(j.v.Rows)-far
}

// scaled returns the table with x in the sheet's unit; nil where x does not lie in the interval then, or on a small
// part of it.
func (f *Search) scaled(t *Table, u otherUnit) *Table {
	out := *t
	out.X = nil
	least, most := math.Inf(1), math.Inf(-1)
	slack := 1e-9 * (f.p.B - f.p.A)
	places := int(math.Floor(math.Log10(u.factor) + 1e-9))
	if u.times {
		places = int(math.Floor(-math.Log10(u.factor) + 1e-9))
	}
	for _, c := range t.X {
		c.Value = u.of(c.Value)
		c.Decimals += places
		end := slack
		if !u.decimal() {
			end = math.Max(slack, 0.51*math.Pow10(-c.Decimals)) // 19.7 inches are half a metre
		}
		for _, e := range []float64{f.p.A, f.p.B} {
			if math.Abs(c.Value-e) <= end {
				c.Value = e
			}
		}
		least, most = math.Min(least, c.Value), math.Max(most, c.Value)
		out.X = append(out.X, c)
	}
	if !f.p.Inside(least) || !f.p.Inside(most) || !(most-least >= 0.1*(f.p.B-f.p.A)) {
		return nil
	}
	return &out
}

// only returns some rows of a table.
func (t *Table) only(rows []int) *Table {
	out := &Table{Header: t.Header, Y: make([][]Cell, len(t.Y))}
	for _, r := range rows {
		out.X = append(out.X, t.X[r])
		for k := range t.Y {
			out.Y[k] = append(out.Y[k], t.Y[k][r])
		}
	}
	return out
}
