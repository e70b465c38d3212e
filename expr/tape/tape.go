package tape

// Tape evaluates the trees it was compiled from. It has scratch space of its own, so that each goroutine
// needs its own Clone.
type Tape struct {
	*program
	r        []float64     // registers: inputs, constants, results
	adjoint  []float64     // the derivative of one root by each register
	slope    []pair        // the derivatives of each result by its operands
	extended *extendedTape // room for another evaluation, where this one overflows
}

// program is the part of a tape that never changes.
type program struct {
	inputs    int
	constants []float64
	results   int // the register of the first result; code[i] writes register results+i
	code      []step
	roots     []int32 // the registers of the roots
}

// step is an instruction on registers.
type step struct {
	op               opcode
	constantExponent bool
	n                int16
	a, b, c          int32
}

type pair struct{ a, b float64 }

// Clone returns a tape with scratch space of its own.
func (t *Tape) Clone() *Tape {
	p := t.program
	c := &Tape{
		program: p,
		r:       make([]float64, p.results+len(p.code)),
		adjoint: make([]float64, p.results+len(p.code)),
		slope:   make([]pair, len(p.code)),
	}
	copy(c.r[p.inputs:], p.constants)
	return c
}

// Inputs returns the number of inputs, Outputs that of roots.
func (t *Tape) Inputs() int  { return t.inputs }
func (t *Tape) Outputs() int { return len(t.roots) }

// Work returns about how many nanoseconds Jacobian takes natively. Measured on formulas of five operations: 5 ns each.
func (t *Tape) Work() float64 {
	sum := 0.0
	for _, s := range t.code {
		sum += 2 * float64(len(t.roots)) // the pass backwards
		switch {
		case s.op >= opFunction && functions[s.op-opFunction].Ordered != nil:
			sum += 300
		case s.op >= opPower:
			sum += 25
		default:
			sum += 3
		}
	}
	return sum
}

// Eval writes the value of each root to out. in holds the inputs and is not changed. It panics if either has the wrong
// length.
func (t *Tape) Eval(in, out []float64) {
	if len(in) != t.inputs || len(out) != len(t.roots) {
		panic("tape: wrong length")
	}
	r := t.r
	copy(r, in)
	res := r[t.results:]
	code := t.code[:len(res)]
	for i := range code {
		s := &code[i]
		var v float64
		switch s.op {
		case opAdd:
			v = r[s.a] + r[s.b]
		case opSub:
			v = r[s.a] - r[s.b]
		case opMul:
			v = r[s.a] * r[s.b]
		case opDiv:
			v = r[s.a] / r[s.b]
		case opNegate:
			v = -r[s.a]
		case opSquare:
			v = r[s.a] * r[s.a]
		default:
			v = apply(s.op, int(s.n), r[s.a], r[s.b], r[s.c])
		}
		res[i] = v
	}
	for i, at := range t.roots {
		out[i] = r[at]
	}
	if !allFinite(out) {
		t.evalWide(in, out)
	}
}

// Jacobian writes the value of each root to out and its partial derivatives to jac, one row of Inputs numbers per root.
// The derivatives are exact (not differences), by the reverse mode: one pass forwards for values and local derivatives,
// and one backwards per root; see A. Griewank and A. Walther, Evaluating Derivatives, 2nd edition, SIAM, 2008, chapter
// 3. It panics if an argument has the wrong length.
func (t *Tape) Jacobian(in, out, jac []float64) {
	if len(in) != t.inputs || len(out) != len(t.roots) || len(jac) != len(in)*len(out) {
		panic("tape: wrong length")
	}
	t.forward(in)
	for i, at := range t.roots {
		out[i] = t.r[at]
		row := jac[i*t.inputs : (i+1)*t.inputs]
		if int(at) < t.results {
			clear(row)
			if int(at) < t.inputs {
				row[at] = 1
			}
			continue
		}
		t.backward(at)
		copy(row, t.adjoint)
	}
	if !allFinite(out) || !allFinite(jac) {
		t.jacobianWide(in, out, jac)
	}
}

// forward works out the registers and the derivatives of each result by its operands.
func (t *Tape) forward(in []float64) {
	r := t.r
	copy(r, in)
	res := r[t.results:]
	code := t.code[:len(res)]
	slope := t.slope[:len(res)]
	for i := range code {
		s := &code[i]
		a, b := r[s.a], r[s.b]
		var v float64
		var d pair
		switch s.op {
		case opAdd:
			v, d = a+b, pair{1, 1}
		case opSub:
			v, d = a-b, pair{1, -1}
		case opMul:
			v, d = a*b, pair{b, a}
		case opDiv:
			q := 1 / b
			v = a / b
			d = pair{q, -v * q}
		case opNegate:
			v, d = -a, pair{-1, 0}
		case opSquare:
			v, d = a*a, pair{2 * a, 0}
		default:
			v = apply(s.op, int(s.n), a, b, r[s.c])
			d.a, d.b = slopes(s.op, int(s.n), a, b, r[s.c], v, s.constantExponent)
		}
		res[i], slope[i] = v, d
	}
}

// backward works out the derivative of the register at by every register before it.
func (t *Tape) backward(at int32) {
	adj := t.adjoint
	clear(adj)
	adj[at] = 1
	for j := int(at) - t.results; j >= 0; j-- {
		d := adj[t.results+j]
		if d == 0 {
			continue
		}
		// A local derivative of 0 passes nothing on, not even an infinity: that is what keeps
		// the branch not taken out of the answer.
		s, p := &t.code[j], &t.slope[j]
		if p.a != 0 {
			adj[s.a] += d * p.a
		}
		if p.b != 0 {
			adj[s.b] += d * p.b
		}
	}
}
