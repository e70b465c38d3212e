package tape

import (
	"math"

	"nodespan/expr/function"
)

// This file evaluates a tape with extended numbers, where its values or derivatives are no doubles.

type extended = function.Extended

// applyWide works out one instruction.
func applyWide(op opcode, n int, a, b, c extended) extended {
	switch op {
	case opAdd:
		return a.Plus(b)
	case opSub:
		return a.Plus(b.Negated())
	case opMul:
		return a.Times(b)
	case opDiv:
		return a.Over(b)
	case opNegate:
		return a.Negated()
	case opSquare:
		return a.Times(a)
	case opPower:
		return a.Power(n)
	case opPow:
		return a.Pow(b.Narrow())
	case opMin, opMax:
		switch {
		case math.IsNaN(a.M) || math.IsNaN(b.M):
			return function.Widen(math.NaN())
		case a.Less(b) == (op == opMin):
			return a
		}
		return b
	case opLess:
		return function.Widen(truth(a.Less(b), a.M, b.M))
	case opLessOrEqual:
		return function.Widen(truth(!b.Less(a) && !math.IsNaN(a.M) && !math.IsNaN(b.M), a.M, b.M))
	case opChoose:
		switch c.Narrow() {
		case 1:
			return a
		case 0:
			return b
		}
		return function.Widen(math.NaN())
	}
	return functions[op-opFunction].Beyond(n, a)
}

// slopesWide returns the derivatives of one instruction by a and by b where its value is v.
func slopesWide(s *step, a, b, c, v extended) (da, db extended) {
	one := function.Widen(1)
	switch s.op {
	case opMul:
		return b, a
	case opDiv:
		q := one.Over(b)
		return q, v.Times(q).Negated()
	case opSquare:
		return function.Widen(2).Times(a), extended{}
	case opPower:
		return function.Widen(float64(s.n)).Times(a.Power(int(s.n) - 1)), extended{}
	case opPow:
		if a.M == 0 {
			break
		}
		da = b.Times(v).Over(a)
		if !s.constantExponent {
			db = v.Times(function.Widen(a.Ln()))
		}
		return da, db
	case opMin, opMax:
		if a.Less(b) == (s.op == opMin) {
			return one, extended{}
		}
		return extended{}, one
	}
	if f := functionOf(s.op); f != nil {
		return f.SlopeBeyond(int(s.n), a, v), extended{}
	}
	x, y := slopes(s.op, int(s.n), a.Narrow(), b.Narrow(), c.Narrow(), v.Narrow(), s.constantExponent)
	return function.Widen(x), function.Widen(y)
}

// extendedTape is the room for an evaluation with extended numbers.
type extendedTape struct {
	r, adjoint []extended
	slope      [][2]extended
}

// forwardWide works out the registers, and the derivatives of each result by its operands.
func (t *Tape) forwardWide(in []float64) *extendedTape {
	if t.extended == nil {
		n := len(t.r)
		t.extended = &extendedTape{make([]extended, n), make([]extended, n), make([][2]extended, len(t.code))}
	}
	w := t.extended
	for i, v := range in {
		w.r[i] = function.Widen(v)
	}
	for i, v := range t.constants {
		w.r[t.inputs+i] = function.Widen(v)
	}
	for i := range t.code {
		s := &t.code[i]
		a, b, c := w.r[s.a], w.r[s.b], w.r[s.c]
		v := applyWide(s.op, int(s.n), a, b, c)
		da, db := slopesWide(s, a, b, c, v)
		w.r[t.results+i], w.slope[i] = v, [2]extended{da, db}
	}
	return w
}

// evalWide replaces what is not finite by what extended numbers give.
func (t *Tape) evalWide(in, out []float64) {
	w := t.forwardWide(in)
	for i, at := range t.roots {
		if v := w.r[at].Narrow(); !isFinite(out[i]) && isFinite(v) {
			out[i] = v
		}
	}
}

// jacobianWide does so with derivatives too.
func (t *Tape) jacobianWide(in, out, jac []float64) {
	w := t.forwardWide(in)
	for i, at := range t.roots {
		row := jac[i*t.inputs : (i+1)*t.inputs]
		if int(at) < t.results || isFinite(out[i]) && allFinite(row) {
			continue
		}
		v := w.r[at].Narrow()
		if !isFinite(v) {
			continue
		}
		if !isFinite(out[i]) {
			out[i] = v
		}
		clear(w.adjoint)
		w.adjoint[at] = function.Widen(1)
		for j := int(at) - t.results; j >= 0; j-- {
			d := w.adjoint[t.results+j]
			if d.M == 0 {
				continue
			}
			s := &t.code[j]
			if p := w.slope[j][0]; p.M != 0 {
				w.adjoint[s.a] = w.adjoint[s.a].Plus(d.Times(p))
			}
			if p := w.slope[j][1]; p.M != 0 {
				w.adjoint[s.b] = w.adjoint[s.b].Plus(d.Times(p))
			}
		}
		for j := range row {
			row[j] = w.adjoint[j].Narrow()
		}
	}
}

//go:noinline
func isFinite(v float64) bool { return !math.IsNaN(v) && !math.IsInf(v, 0) }

//go:noinline
func allFinite(row []float64) bool {
	for _, v := range row {
		if !isFinite(v) {
			return false
		}
	}
	return true
}
