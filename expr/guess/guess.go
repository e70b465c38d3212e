// Package guess writes a solution as the line of a sheet that leads back to it: a first guess, one polynomial of few
// digits for each unknown. It does not know how a solution was found, nor how many there are.
package guess

import (
	"math"
	"strconv"
	"strings"

	"nodespan/expr/sheet"
	"nodespan/solver"
)

// A guess is good enough where it is within nearness of the largest value of its unknown, everywhere on the grid.
// Solutions that lie closer than that are not told apart by it.
const (
	nearness    = 0.01
	mostDegree  = 14
	samples     = 101
	digits      = 5
	leastFactor = 1e-4 // of the largest one: smaller ones are left out
)

// scales are the parts of an unbounded interval in which a solution may change, tried in turn.
var scales = []float64{5, 20, 80}

// Line returns a line that gives a sheet a first guess of a solution:
//
//	guess u = 1.5 - 0.25*(2*x - 1)^2, v = 0
//
// It is made from a usable solution; ok only where that is met to within a hundredth of the largest value of each
// unknown. On an unbounded interval the polynomial is one in a variable that is bounded. Unknowns that the sheet does
// not name, which stand for integrals, are left out.
func Line(sh *sheet.Sheet, s *solver.Solution) (line string, ok bool) {
	formulas, ok := formulas(sh, s)
	if !ok {
		return "", false
	}
	var parts []string
	for i, u := range sh.Unknowns {
		if sh.Names(u.Name) {
			parts = append(parts, u.Name+" = "+formulas[i])
		}
	}
	return "guess " + strings.Join(parts, ", "), true
}

// Sheet returns the text of the sheet with such a guess in the place of the one it has, or at its end.
func Sheet(sh *sheet.Sheet, s *solver.Solution) (text string, ok bool) {
	formulas, ok := formulas(sh, s)
	if !ok {
		return "", false
	}
	text, done := sh.Text, make([]bool, len(formulas))
	equation := func(i int) string { return "guess " + sh.Unknowns[i].Name + " = " + formulas[i] }
	for k := range sh.Statements { // the last first: what stands before it keeps its place
		st := sh.Statements[len(sh.Statements)-1-k]
		for i, u := range sh.Unknowns {
			if st.Kind == sheet.KindGuess && u.Name == st.Name {
				text = text[:st.Span.From.Offset] + equation(i) + text[st.Span.To:]
				done[i] = true
			}
		}
	}
	text = strings.TrimRight(text, " \t\n") + "\n"
	for i, u := range sh.Unknowns {
		if !done[i] && sh.Names(u.Name) {
			text += equation(i) + "\n"
		}
	}
	return text, true
}

// formulas are those of the unknowns, in order.
func formulas(sh *sheet.Sheet, s *solver.Solution) ([]string, bool) {
	for _, part := range scales {
		if all, ok := along(sh, s.Points(), part).formulas(s); ok {
			return all, true
		}
	}
	return nil, false
}

// formulas are those of the unknowns.
func (v reference) formulas(s *solver.Solution) ([]string, bool) {
	p := s.Problem
	jet := make([]float64, p.Jet())
	var out []string
	for i := range p.Unknowns {
		at := func(t float64) float64 {
			s.At(v.x(t), jet)
			return jet[p.JetOffset(i)]
		}
		formula, ok := fit(at, v.text)
		if !ok {
			return nil, false
		}
		out = append(out, formula)
	}
	return out, true
}

// reference is what runs from -1 to 1 along the interval, as a formula of the sheet's variable, and its inverse.
type reference struct {
	text string
	x    func(t float64) float64
}

// along returns the reference variable of an interval: linear on a bounded one. From an end a without another it is
// 2 r - 1 with a multiple r of (x-a)/(x-a+l), and on the whole line a multiple of (x-c)/sqrt((x-c)^2 + l^2), each of
// which reaches 1 at the last of the points that a table shows, and stays bounded beyond; l is a part of their
// distance.
func along(sh *sheet.Sheet, points []float64, part float64) reference {
	a, b, x := sh.A, sh.B, sh.Variable
	first, last := points[0], points[len(points)-1]
	far := last - first
	switch l := round(far / part); {
	case math.IsInf(a, 0) && math.IsInf(b, 0):
		c := round((first + last) / 2)
		k := round(math.Sqrt(1 + 4*l*l/far/far))
		d := offset(x, c)
		text := "(" + number(k) + "*" + d + "/sqrt(" + d + "^2" + signed(round(l*l)) + "))"
		return reference{text, func(t float64) float64 { return c + t*l/math.Sqrt(k*k-t*t) }}
	case math.IsInf(a, 0) || math.IsInf(b, 0):
		sign, d := 1.0, offset(x, a)
		end := a
		if math.IsInf(a, 0) {
			sign, d, end = -1, "("+number(b)+" - "+x+")", b
		}
		k := round(2 * (far + l) / far)
		return reference{"(" + number(k) + "*" + d + "/(" + d + signed(l) + ") - 1)", func(t float64) float64 {
			r := (t + 1) / k
			return end + sign*l*r/(1-r)
		}}
	}
	text := "(2*" + x + signed(-(a + b)) + ")"
	if b-a != 1 {
		text = "(" + text + "/" + number(b-a) + ")"
	}
	return reference{text, func(t float64) float64 { return a + (b-a)*(t+1)/2 }}
}

// offset prints x - a.
func offset(x string, a float64) string {
	if a == 0 {
		return x
	}
	return "(" + x + signed(-a) + ")"
}

// fit returns a polynomial of the lowest degree that is near enough to f on [-1, 1], interpolated at the Chebyshev
// points of the second kind.
func fit(f func(float64) float64, t string) (string, bool) {
	var grid [samples]float64
	largest := 0.0
	for k := range grid {
		grid[k] = f(-1 + 2*float64(k)/(samples-1))
		largest = math.Max(largest, math.Abs(grid[k]))
	}
	if largest == 0 {
		return "0", true
	}
	for degree := range mostDegree + 1 {
		c := rounded(interpolate(f, degree))
		off := 0.0
		for k, y := range grid {
			off = math.Max(off, math.Abs(value(c, -1+2*float64(k)/(samples-1))-y))
		}
		if off <= nearness*largest {
			return polynomial(c, t), true
		}
	}
	return "", false
}

// interpolate returns the coefficients by powers of t, from the divided differences.
func interpolate(f func(float64) float64, degree int) []float64 {
	x, d := make([]float64, degree+1), make([]float64, degree+1)
	for k := range x {
		if degree > 0 {
			x[k] = -math.Cos(math.Pi * float64(k) / float64(degree))
		}
		d[k] = f(x[k])
	}
	for n := 1; n <= degree; n++ {
		for k := degree; k >= n; k-- {
			d[k] = (d[k] - d[k-1]) / (x[k] - x[k-n])
		}
	}
	c := make([]float64, degree+1)
	for k := degree; k >= 0; k-- { // c = c*(t - x[k]) + d[k]
		for j := degree; j > 0; j-- {
			c[j] = c[j-1] - x[k]*c[j]
		}
		c[0] = d[k] - x[k]*c[0]
	}
	return c
}

// rounded leaves few digits of each coefficient, and none of the small ones.
func rounded(c []float64) []float64 {
	largest := 0.0
	for _, v := range c {
		largest = math.Max(largest, math.Abs(v))
	}
	for k, v := range c {
		if c[k] = round(v); math.Abs(v) < leastFactor*largest {
			c[k] = 0
		}
	}
	return c
}

func round(v float64) float64 {
	v, _ = strconv.ParseFloat(strconv.FormatFloat(v, 'g', digits, 64), 64) // prints what it reads
	return v
}

func value(c []float64, t float64) (sum float64) {
	for k := len(c) - 1; k >= 0; k-- {
		sum = sum*t + c[k]
	}
	return sum
}

func polynomial(c []float64, t string) string {
	var b strings.Builder
	for k, v := range c {
		if v == 0 {
			continue
		}
		if b.Len() == 0 {
			b.WriteString(number(v))
		} else {
			b.WriteString(signed(v))
		}
		switch k {
		case 0:
		case 1:
			b.WriteString("*" + t)
		default:
			b.WriteString("*" + t + "^" + strconv.Itoa(k))
		}
	}
	if b.Len() == 0 {
		return "0"
	}
	return b.String()
}

// signed prints a term that stands behind another; nothing for zero.
func signed(v float64) string {
	switch {
	case v > 0:
		return " + " + number(v)
	case v < 0:
		return " - " + number(-v)
	}
	return ""
}

func number(v float64) string { return strconv.FormatFloat(v, 'g', -1, 64) }
