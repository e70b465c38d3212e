package script

import (
	"fmt"
	"math"

	"nodespan/solver/bvp"
	"nodespan/solver/working"
)

// newton writes Newton's iteration around the linear working.
func (w *writer) newton() {
	w.say("Newton's iteration: the equation is linearised around the last values, and solved for new ones.")
	w.beginning()
	w.b.WriteString(fmt.Sprintf(w.loop, 50) + "\n")
	outer := w.indent
	w.indent += w.Language.indent
	for j := range w.w.Unknowns {
		u := &w.w.Unknowns[j]
		from, to := w.nodeRange(j)
		values := w.partOf("old", u.Offset, u.Offset+len(u.S))
		for d := 0; d <= u.Order; d++ {
			if d == 0 {
				w.line("%s = %s", w.w.OldName(j, 0), w.partOf("old", u.Offset+from, u.Offset+to))
				continue
			}
			D := fmt.Sprintf("D%d%s", d, u.Suffix)
			if !w.w.Shared {
				D = w.rowsOf(D, from, to)
			}
			w.line("%s = %s", w.w.OldName(j, d), w.productOf(D, values))
		}
	}
	for q, p := range w.l.Sheet.Sought {
		w.line("%s = %s", w.names[p.Name], w.at("old", w.w.Size()-len(w.l.Sheet.Sought)+q))
	}
	w.equations()
	w.line("change = %s", fmt.Sprintf(w.largest, "solution - old")+"/"+fmt.Sprintf(w.largest, "solution"))
	w.line("old = solution")
	// Thirty times what rounding leaves moving, and up to the next power of ten.
	tolerance := math.Max(1e-12, math.Pow(10, math.Ceil(math.Log10(30*math.Max(w.w.Routes[0].Error, 1e-16)))))
	settled := fmt.Sprintf("change <= %.0e", tolerance)
	w.b.WriteString(w.indent + fmt.Sprintf(w.breakIf, settled) + "\n")
	w.indent = outer
	w.b.WriteString(w.loopEnd)
	w.b.WriteString(fmt.Sprintf(w.failIf, settled, "Newton's iteration did not converge") + "\n")
	w.gap()
}

// beginning writes where the iteration starts: the sheet's guess, or zero, where plain Newton's iteration reaches the
// solution from there; else the solution itself, rounded to two figures.
func (w *writer) beginning() {
	sh := w.l.Sheet
	size, P := w.w.Size(), len(w.p.Parameters)
	if w.reaches() {
		w.say("It starts from the sheet's guess, and from zero where there is none.")
		var parts []string
		for i := range w.w.Unknowns {
			u := &w.w.Unknowns[i]
			if g := sh.GuessFormula(i); g != nil {
				x := w.x
				w.x = "x" + u.Suffix
				parts = append(parts, w.vector(g))
				w.x = x
			} else {
				parts = append(parts, fmt.Sprintf(w.nothing, "x"+u.Suffix))
			}
		}
		if P > 0 {
			var near []string
			for _, p := range w.p.Parameters {
				near = append(near, number(p.Guess))
			}
			parts = append(parts, w.list.of(near))
		}
		w.line("old = %s", w.join.of(parts))
		return
	}
	w.say("It starts from the solution to two figures: from the sheet's guess, or from zero, plain steps do " +
		"not reach it.")
	var near []string
	for i := range w.w.Unknowns {
		for _, r := range w.w.Matrix(w.w.Unknowns[i].ID).Values {
			near = append(near, fmt.Sprintf("%.2g", r[0]))
		}
	}
	for _, v := range w.w.Parameters {
		near = append(near, fmt.Sprintf("%.3g", v))
	}
	if len(near) != size {
		panic("script: length of the first guess")
	}
	w.line("old = %s", w.list.of(near))
}

// reaches tries plain Newton steps from the sheet's guess or zero.
func (w *writer) reaches() bool {
	p, sh := w.p, w.l.Sheet
	for _, q := range p.Parameters {
		if !q.HasGuess {
			return false
		}
	}
	o := w.w.Options
	values := make([]func(x float64) float64, len(p.Unknowns))
	for i := range p.Unknowns {
		values[i] = func(float64) float64 { return 0 }
		if sh.GuessFormula(i) != nil {
			jet := make([]float64, p.Jet())
			values[i] = func(x float64) float64 { p.Guess(x, jet); return jet[p.JetOffset(i)] }
		}
	}
	w.w.StartFromValues(&o, values)
	o.Parameters = nil
	for _, q := range p.Parameters {
		o.Parameters = append(o.Parameters, q.Guess)
	}
	other, err := working.New(p, o)
	if err != nil {
		return false
	}
	for r, row := range w.w.Rows {
		top := bvp.Largest(row)
		for c, v := range row {
			if d := math.Abs(other.Rows[r][c] - v); !(d <= 1e-7*top) {
				return false
			}
		}
	}
	return true
}
