// Package function holds all that is known of the functions which formulas may call, in one table: names, numbers of
// arguments, values, derivatives, bounds, and how each is written in a text, in LaTeX and in the languages of the
// programs. A new function is a row of the table (table.go) and its tests; one that has no value in the standard
// library has that in a file beside it, as the Airy function has.
//
// The package knows numbers alone. What is said of trees here, a derivative or the place of a pole, is a formula as
// text, in which u is the argument, du its differential and v the function's value; package tape reads these.
package function

import (
	"strconv"
	"strings"
)

// Function is what is known of one function.
type Function struct {
	Name    string   // canonical
	Aliases []string // other spellings
	Args    int
	Derived bool // not for sheets: derivatives lead to it

	// Of functions of one argument: the value, and the derivative at x where the value is v.
	Value func(x float64) float64
	Slope func(x, v float64) float64
	// Of functions with a whole order n as the first argument, the value. The derivative is
	// (Below f(n-1, x) + Above f(n+1, x))/2.
	Ordered      func(n int, x float64) float64
	Below, Above float64
	// Of functions that are one of these with its order in their name: which, and the order.
	Of    *Function
	Order int

	// Differential is f'(u) du as a formula; "0" where that is 0 everywhere.
	Differential string
	Switch       Switch
	Rounding     Rounding
	// Angle says whether the argument, or the value, is an angle.
	Angle Angle
	// InverseOf names the function that this is the inverse of, where sin^-1 is read and written so.
	InverseOf string

	LaTeX   string // its name as a command
	Display string // its name as it is set; what follows _ is a subscript
	Raised  bool   // an exponent stands at the name: sin² x
	Primes  bool   // the order is set as that many primes
	Python  Code   // for numbers and numpy arrays
	Octave  Code   // for numbers and arrays

	enclose enclosure
	beyond  *beyond
}

// Code is how a function is written in a programming language.
type Code struct {
	Call   string // %s stands for each argument
	Define string // source that defines what is called; "" where the language has it
	Lacks  string // why there is none
}

// Switch tells where a function of u is not smooth: where At, a formula of u, changes its sign. No At: nowhere.
type Switch struct {
	At    string
	Pole  bool   // there is no bound there
	Jumps bool   // from one side to the other
	Other string // the function's other side, of its value v; "" where it has no value, or no derivative, at the place
}

// Rounding is how exactly a function is worked out.
type Rounding int

// Sums, products, quotients and roots are rounded correctly; the functions of package math are good to about one unit
// in the last place; the special functions are held to eight by their tests.
const (
	_ Rounding = iota
	Exact
	Correct
	Library
	Special
)

// HalfUnits is the largest error of a value in half units in its last place.
func (r Rounding) HalfUnits() float64 { return [...]float64{Correct: 1, Library: 2, Special: 16}[r] }

// Angle says what of a function is an angle.
type Angle int

// The angles.
const (
	NoAngle Angle = iota
	TakesAngle
	GivesAngle
)

// HasValue reports whether the function is one of numbers by itself; min, max and if are operations of the tape.
func (f *Function) HasValue() bool { return f.Value != nil || f.Ordered != nil }

// At is the value at x; n is the order, 0 for a function without one.
func (f *Function) At(n int, x float64) float64 {
	if f.Ordered != nil {
		return f.Ordered(n, x)
	}
	return f.Value(x)
}

// SlopeAt is the derivative at x where the value is v.
func (f *Function) SlopeAt(n int, x, v float64) float64 {
	switch {
	case f.Ordered == nil:
		if v != v {
			return v
		}
		return f.Slope(x, v)
	case f.Below == 0: // every derivative is the next one
		return 0.5 * f.Above * f.Ordered(n+1, x)
	case n == 0: // the two are the same but for a sign, and one evaluation does
		return f.Above * f.Ordered(1, x)
	}
	return 0.5 * (f.Below*f.Ordered(n-1, x) + f.Above*f.Ordered(n+1, x))
}

// Enclose bounds the function and its derivative on an interval.
func (f *Function) Enclose(n int, a Interval) (v, d Interval) { return f.enclose(f, n, a) }

// Beyond is the value of an extended number.
func (f *Function) Beyond(n int, a Extended) Extended {
	if f.beyond != nil && f.beyond.value != nil && a.Finite() {
		return f.beyond.value(a)
	}
	return Widen(f.At(n, a.Narrow()))
}

// SlopeBeyond is the derivative there.
func (f *Function) SlopeBeyond(n int, a, v Extended) Extended {
	if f.beyond != nil && f.beyond.slope != nil {
		return f.beyond.slope(a, v)
	}
	return Widen(f.SlopeAt(n, a.Narrow(), v.Narrow()))
}

// ByName finds a function by its canonical name.
func ByName(name string) (*Function, bool) {
	f, ok := byName[name]
	return f, ok
}

// All lists the functions.
func All() []*Function { return all }

var all, byName = func() ([]*Function, map[string]*Function) {
	names := map[string]*Function{}
	for i := range table {
		f := &table[i]
		names[f.Name] = f
	}
	list := make([]*Function, len(table))
	for i := range table {
		list[i] = &table[i]
	}
	for _, r := range withOrder {
		f := names[r.of].withOrder(r.name, r.order)
		names[f.Name] = f
		list = append(list, f)
	}
	return list, names
}()

// withOrder is a function whose name holds the order of f: J0.
func (f *Function) withOrder(name string, order int) *Function {
	n := strconv.Itoa(order)
	g := *f
	g.Name, g.Aliases, g.Args, g.Derived = name, []string{f.Display + "_" + n}, 1, false
	g.Of, g.Order = f, order
	g.Value, g.Ordered = func(x float64) float64 { return f.Ordered(order, x) }, nil
	g.Slope = func(x, v float64) float64 { return f.SlopeAt(order, x, v) }
	g.enclose = func(_ *Function, _ int, a Interval) (Interval, Interval) { return f.enclose(f, order, a) }
	g.LaTeX, g.Display = f.LaTeX+"_{"+n+"}", f.Display+"_"+n
	g.Python.Call, g.Octave.Call = put(f.Python.Call, n), put(f.Octave.Call, n)
	return &g
}

// put writes a first argument.
func put(call, first string) string { return strings.Replace(call, "%s", first, 1) }
