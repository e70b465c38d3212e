package tape

import (
	"math"

	"nodespan/expr/notation"
)

// Rounder bounds what rounding does to the values of trees, to first order: each elementary operation rounds its own
// result, and the derivative of a root by that result says what becomes of it; so one sweep of the reverse mode gives
// e_j = ∂root/∂r_j r_j u_j for all results r_j (N. J. Higham, Accuracy and Stability of Numerical Algorithms, 2nd
// edition, SIAM, 2002, section 3.3 on running error analysis; here with exact derivatives). As rounding errors of
// different operations are as good as independent, they are added up as the root of Σ e_j², where each e_j is the
// largest that there can be (section 2.8 there: the rule of thumb). It is for one goroutine.
//
// Constants are decimal numbers that a double cannot hold exactly as a rule, and are off by half a unit in the last
// place. That error, and those of what is worked out from constants alone, are the same at every point at which the
// trees are evaluated.
type Rounder struct {
	t      *Tape
	unit   []float64 // of each register after the inputs: the relative error made there
	shared []bool    // whether the register is the same at every point
}

// CompileRounder compiles trees as Compile does, but works nothing out that rounds.
func CompileRounder(roots []notation.Node, inputs int, leaf func(notation.Node) (Leaf, bool)) (*Rounder, error) {
	c := newCompiler(inputs, leaf)
	c.whole = true
	t, err := c.compile(roots)
	if err != nil {
		return nil, err
	}
	n := len(t.r) - inputs
	r := &Rounder{t: t, unit: make([]float64, n), shared: make([]bool, n)}
	constants := len(t.constants)
	for i, v := range t.constants {
		r.shared[i] = true
		if !short(v) {
			r.unit[i] = halfUnit
		}
	}
	fixed := func(register int32) bool { return int(register) >= inputs && r.shared[int(register)-inputs] }
	for i := range t.code {
		s := &t.code[i]
		r.shared[constants+i] = fixed(s.a) && fixed(s.b) && fixed(s.c)
		r.unit[constants+i] = halfUnit * halves(s.op, int(s.n))
	}
	return r, nil
}

// halfUnit is half a unit in the last place of a number next above 1: the largest relative error of a rounded result.
const halfUnit = 1.0 / (1 << 53)

// short reports whether a number is whole or ends after 21 binary digits: as typed, 3 or 0.25, such a one is exact.
func short(v float64) bool {
	return math.Float64bits(v)<<32 == 0 || v == math.Trunc(v) && math.Abs(v) < 1<<32
}

// halves is the largest error of an operation in half units of its result. Sums, products and quotients are rounded
// correctly.
func halves(op opcode, n int) float64 {
	switch op {
	case opNegate, opMin, opMax, opLess, opLessOrEqual, opChoose:
		return 0
	case opAdd, opSub, opMul, opDiv, opSquare:
		return 1
	case opPower:
		return math.Abs(float64(n)) // that many factors at the most
	case opPow:
		return 2
	}
	return functions[op-opFunction].Rounding.HalfUnits()
}

// Bound writes to own the size of what rounding at the point in does to each root, apart from what is the same at every
// point: the operations, and the errors of the inputs themselves, which off gives. Each row of shared, one number per
// root, receives the effect of the constants' errors for one choice of their signs; the same constant has the same sign
// in every call and in every Rounder.
func (r *Rounder) Bound(in, off, own []float64, shared [][]float64) {
	t := r.t
	t.forward(in)
	inputs := t.inputs
	for root, at := range t.roots {
		t.backward(at)
		sum := 0.0
		for i, a := range t.adjoint[:inputs] {
			if a != 0 && off[i] != 0 {
				sum += a * off[i] * a * off[i]
			}
		}
		for _, row := range shared {
			row[root] = 0
		}
		for j, a := range t.adjoint[inputs:] {
			v := t.r[inputs+j]
			if a == 0 || v == 0 || r.unit[j] == 0 {
				continue
			}
			e := a * v * r.unit[j]
			if !r.shared[j] {
				sum += e * e
				continue
			}
			bits := scramble(math.Float64bits(math.Abs(v))) // a sign of v is in e
			for trial, row := range shared {
				if bits>>trial&1 == 0 {
					row[root] += e
				} else {
					row[root] -= e
				}
			}
		}
		own[root] = math.Sqrt(sum)
	}
}

// scramble mixes the bits of a number (the finaliser of SplitMix64: G. L. Steele, D. Lea, C. H. Flood, OOPSLA 2014).
func scramble(z uint64) uint64 {
	z = (z ^ z>>30) * 0xbf58476d1ce4e5b9
	z = (z ^ z>>27) * 0x94d049bb133111eb
	return z ^ z>>31
}
