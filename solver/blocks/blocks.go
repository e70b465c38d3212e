// Package blocks eliminates bordered, almost block diagonal linear systems, the kind that
// collocation on a mesh of elements leads to. It knows matrices only: no equation, no mesh.
//
// # The system
//
// There are E elements between E+1 mesh points. Mesh point e carries a state z_e of S numbers;
// element e has K_e unknowns u_e of its own; Q border unknowns q belong to no element. Element e
// contributes K_e + S + T_e rows in (u_e, z_e, z_(e+1), q); finally there are closing rows in
// (z_0, z_E, q), as many as make the system square: S + Q − Σ T_e.
//
// # The elimination
//
// Each element is condensed: Gaussian elimination with row pivoting over all of its rows, not only
// over a square part of them, so that no growing mode is ever multiplied up, leaves S + T_e rows in
// (z_e, z_(e+1), q). The inner states are then eliminated one after another by Householder
// reflections (the sequential form of the structured orthogonal factorisation of S. J. Wright,
// "Stable parallel algorithms for two-point boundary value problems", SIAM J. Sci. Stat. Comput. 13,
// 1992, 742–764), and a dense system in (z_0, z_E, q) closes the work. Time and memory grow
// linearly with E; the factors are kept for further right-hand sides.
//
// Where every closing row stands in z_0 alone, or in z_E alone, and there are no border unknowns, the system is block
// triangular, and substitution from that end solves it: errors then grow no faster than the solutions themselves,
// however fast these grow, while the relation between z_0 and z_E would lose them.
package blocks

import (
	"math"

	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/mat"
)

// System is a bordered block system under construction and, after Factor, its factors.
type System struct {
	S, Q     int
	elements []element
	close    []float64 // closing rows, row-major, 2S+Q columns
	closing  int       // number of closing rows

	entries []float64 // of the elements and the closing rows, with what else belongs to elements
	stacked []float64 // the memory of the elimination of the inner states
	carry   []float64 // the rows that it carries on

	final     *mat.Dense // dense system in (z_0, z_E, q)
	lu        LU
	rowScale  []float64
	colScale  []float64
	condition float64
	// Work: the right-hand side of the final system, then its solution, and what is stacked on the way there.
	right []float64
	stack []float64
	march int // 1: all closing rows are in z_0; −1: in z_E; 0: neither
}

// element is one element's rows, before and after elimination.
type element struct {
	k, rows int
	// rows × (k + 2S + Q), row-major; after Factor: L below and U on and above the diagonal of the first k columns
	a     []float64
	pivot []int     // row interchanges of the first k columns
	scale []float64 // of the rows that are left after the condensation: powers of two
	// Elimination of the state on the left of this element (none for element 0): the stacked rows (carried above
	// the element's own) × (S | S | S + Q): columns z_e | z_0 | z_(e+1), q.
	q         []float64
	tau       []float64
	stackRows int
	carriedIn int
	state     []float64 // right-hand side that waits for back substitution
	// Of a block triangular system: the factors of the S × S block of the state that is carried to.
	step      []float64
	stepPivot []int
}

// New prepares a system of E elements with own unknowns k[e] and extra rows t[e], S states and Q border unknowns.
// All entries are zero.
func New(s, q int, k, t []int) *System {
	sys := &System{S: s, Q: q}
	extra, numbers, own := 0, 0, 0
	sys.elements = make([]element, len(k))
	for e := range sys.elements {
		el := &sys.elements[e]
		el.k, el.rows = k[e], k[e]+s+t[e]
		extra += t[e]
		numbers += el.rows*(el.k+2*s+q) + s + t[e]
		own += el.k
	}
	sys.closing = s + q - extra
	if sys.closing < 0 {
		panic("blocks: more extra rows than border unknowns and states")
	}
	sys.entries = make([]float64, numbers+sys.closing*(2*s+q))
	store := stores{sys.entries, make([]int, own)}
	for e := range sys.elements {
		el := &sys.elements[e]
		el.a, el.scale = store.numbers(el.rows*(el.k+2*s+q)), store.numbers(el.rows-el.k)
		el.pivot = store.ints(el.k)
	}
	sys.close = store.numbers(sys.closing * (2*s + q))
	return sys
}

// Clear sets all entries to zero again, for another system of the same shape.
func (s *System) Clear() { clear(s.entries) }

// stores are zeros from which parts are cut off: one piece of memory for all elements.
type stores struct {
	left []float64
	n    []int
}

//go:noinline
func (s *stores) numbers(n int) (part []float64) {
	part, s.left = s.left[:n:n], s.left[n:]
	return part
}

func (s *stores) ints(n int) (part []int) {
	part, s.n = s.n[:n:n], s.n[n:]
	return part
}

// Element returns the rows of element e: (k + S + T) × (k + 2S + Q), row-major, columns u, z_e, z_(e+1), q, to be
// filled.
func (s *System) Element(e int) []float64 { return s.elements[e].a }

// Closing returns the closing rows: (S + Q − ΣT) × (2S + Q), row-major, columns z_0, z_E, q, to be filled.
func (s *System) Closing() []float64 { return s.close }

// ClosingRows returns the number of closing rows.
func (s *System) ClosingRows() int { return s.closing }

// Rows returns the number of rows of element e.
func (s *System) Rows(e int) int { return s.elements[e].rows }

// Factor eliminates in place. It reports false when a pivot vanished or a number was not finite; the
// system must then not be solved. Row scaling is the caller's: rows of like importance should have like size.
func (s *System) Factor() bool {
	S, Q := s.S, s.Q
	if s.march = s.triangular(); s.march != 0 {
		return s.factorMarch()
	}
	carried := s.carry // rows × (S | S | Q): z_0, z_e, q
	rowsCarried := 0
	store := s.stackStore()
	for e := range s.elements {
		el := &s.elements[e]
		if !el.condense(S, Q) {
			return false
		}
		rest := el.rows - el.k
		w := el.k + 2*S + Q
		if e == 0 {
			carried = room(carried, rest*(2*S+Q))
			rowsCarried = rest
			for i := range rest {
				copy(carried[i*(2*S+Q):(i+1)*(2*S+Q)], el.a[(el.k+i)*w+el.k:(el.k+i+1)*w])
			}
			continue
		}
		// Stack: columns z_e | z_0 | z_(e+1) | q.
		n := rowsCarried + rest
		c := 3*S + Q
		st := store.numbers(n * c)
		for i := range rowsCarried {
			row := carried[i*(2*S+Q):]
			copy(st[i*c:], row[S:2*S])         // z_e
			copy(st[i*c+S:], row[:S])          // z_0
			copy(st[i*c+3*S:], row[2*S:2*S+Q]) // q
		}
		for i := range rest {
			row := el.a[(el.k+i)*w+el.k:]
			o := (rowsCarried + i) * c
			copy(st[o:], row[:S])            // z_e
			copy(st[o+2*S:], row[S:2*S])     // z_(e+1)
			copy(st[o+3*S:], row[2*S:2*S+Q]) // q
		}
		el.tau, el.state = store.numbers(S), store.numbers(S)
		if !householder(st, n, c, S, el.tau) {
			return false
		}
		el.q, el.stackRows, el.carriedIn = st, n, rowsCarried
		rowsCarried = n - S
		carried = room(carried, rowsCarried*(2*S+Q))
		for i := range rowsCarried {
			copy(carried[i*(2*S+Q):], st[(S+i)*c+S:(S+i+1)*c])
		}
	}
	n := 2*S + Q
	if rowsCarried+s.closing != n {
		panic("blocks: the system is not square")
	}
	s.carry = carried
	raw := s.newFinal(n)
	copy(raw, carried)
	copy(raw[rowsCarried*n:], s.close)
	if !s.factorFinal() {
		return false
	}
	return !math.IsInf(s.condition, 1) && !math.IsNaN(s.condition)
}

// stackStore returns the memory that the elimination of the inner states takes.
func (s *System) stackStore() *stores {
	numbers, rows := 0, 0
	for e := range s.elements {
		rest := s.elements[e].rows - s.elements[e].k
		if rows += rest; e > 0 {
			numbers += rows*(3*s.S+s.Q) + 2*s.S
			rows -= s.S
		}
	}
	s.stacked = room(s.stacked, numbers)
	clear(s.stacked)
	return &stores{left: s.stacked}
}

// room returns n numbers of any value, those at hand where they are enough.
//
//go:noinline
func room(v []float64, n int) []float64 {
	if cap(v) < n {
		return make([]float64, n)
	}
	return v[:n]
}

// newFinal makes room for the last block, of n rows, and returns its entries, which are all to be set.
func (s *System) newFinal(n int) []float64 {
	if s.final == nil || len(s.right) != n {
		store := stores{left: make([]float64, n*n+3*n)}
		s.final = mat.NewDense(n, n, store.numbers(n*n))
		s.rowScale, s.colScale, s.right = store.numbers(n), store.numbers(n), store.numbers(n)
	}
	return s.final.RawMatrix().Data
}

// factorFinal factorises the last block, its rows and columns scaled. It is false where an entry is not finite.
func (s *System) factorFinal() bool {
	raw := s.final.RawMatrix()
	for _, v := range raw.Data {
		if math.IsNaN(v) || math.IsInf(v, 0) {
			return false
		}
	}
	equilibrate(raw.Data, s.rowScale, s.colScale)
	s.lu.Factorize(s.final)
	s.condition = s.lu.Cond()
	return true
}

// Work returns the multiplications of Factor and of SolveTo.
func (s *System) Work() (factor, solve float64) {
	S, Q := float64(s.S), float64(s.Q)
	for e := range s.elements {
		k, rows := float64(s.elements[e].k), float64(s.elements[e].rows)
		width := k + 2*S + Q
		// Σ_(j<k) (rows − j) (width − j), about.
		factor += k * (rows*width - k*(rows+width)/2 + k*k/3)
		solve += rows*k + k*width
		if e > 0 {
			stack := 2*S + Q
			factor += 2 * S * stack * (3*S + Q)
			solve += 2*S*stack + S*(3*S+Q)
		}
	}
	n := 2*S + Q
	return factor + 3*n*n*n, solve + n*n
}

// Condition returns the condition number (1-norm, estimated) of the equilibrated closing system in (z_0, z_E, q):
// huge when the problem has no or many solutions.
func (s *System) Condition() float64 { return s.condition }

// condense eliminates the element's own unknowns with row pivoting over all rows.
func (el *element) condense(S, Q int) bool {
	k, rows, w := el.k, el.rows, el.k+2*S+Q
	a := el.a
	for j := range k {
		p, big := j, math.Abs(a[j*w+j])
		for i := j + 1; i < rows; i++ {
			if v := math.Abs(a[i*w+j]); v > big {
				p, big = i, v
			}
		}
		if big == 0 || math.IsNaN(big) || math.IsInf(big, 0) {
			return false
		}
		el.pivot[j] = p
		rj := a[j*w : (j+1)*w]
		if p != j {
			rp := a[p*w : (p+1)*w]
			for c, v := range rj {
				rj[c], rp[c] = rp[c], v
			}
		}
		inv := 1 / rj[j]
		tail := rj[j+1:]
		for i := j + 1; i < rows; i++ {
			ri := a[i*w+j : (i+1)*w]
			f := ri[0]
			if f == 0 {
				continue
			}
			f *= inv
			ri[0] = f
			axpy(-f, tail, ri[1:])
		}
	}
	el.balance(w)
	return true
}

// balance brings the rows that the condensation leaves to like sizes. The continuation of a low derivative over a short
// element is of order one, and that of a high one of the order of a power of its length; orthogonal elimination of rows
// of such different sizes would lose the small ones.
func (el *element) balance(w int) {
	for i := range el.scale {
		row := el.a[(el.k+i)*w+el.k : (el.k+i+1)*w]
		big := 0.0
		for _, v := range row {
			big = max(big, math.Abs(v))
		}
		el.scale[i] = 1
		if big > 0 && !math.IsInf(big, 0) {
			el.scale[i] = PowerOfTwo(big)
		}
		for j := range row {
			row[j] *= el.scale[i]
		}
	}
}

// axpy adds f x to y.
func axpy(f float64, x, y []float64) {
	y = y[:len(x)]
	if len(x) >= 16 { // where the library's vector kernel pays for its call
		floats.AddScaled(y, f, x)
		return
	}
	for i, v := range x {
		y[i] += f * v
	}
}

// householder triangularises the first s columns of the n×c matrix a (row-major) by reflections
// I − tau v vᵀ with v_j = 1, stored below the diagonal, applied to all columns.
func householder(a []float64, n, c, s int, tau []float64) bool {
	for j := range s {
		norm := 0.0
		for i := j; i < n; i++ {
			norm = math.Hypot(norm, a[i*c+j])
		}
		if norm == 0 || math.IsNaN(norm) || math.IsInf(norm, 0) {
			return false
		}
		alpha := a[j*c+j]
		beta := -math.Copysign(norm, alpha)
		tau[j] = (beta - alpha) / beta
		scale := 1 / (alpha - beta)
		for i := j + 1; i < n; i++ {
			a[i*c+j] *= scale
		}
		a[j*c+j] = beta
		for col := j + 1; col < c; col++ {
			sum := a[j*c+col]
			for i := j + 1; i < n; i++ {
				sum += a[i*c+j] * a[i*c+col]
			}
			sum *= tau[j]
			a[j*c+col] -= sum
			for i := j + 1; i < n; i++ {
				a[i*c+col] -= sum * a[i*c+j]
			}
		}
	}
	return true
}

// reflect applies the stored reflections to a right-hand side of n numbers.
func reflect(a []float64, n, c, s int, tau, b []float64) {
	for j := range s {
		sum := b[j]
		for i := j + 1; i < n; i++ {
			sum += a[i*c+j] * b[i]
		}
		sum *= tau[j]
		b[j] -= sum
		for i := j + 1; i < n; i++ {
			b[i] -= sum * a[i*c+j]
		}
	}
}

// equilibrate scales rows and then columns of a square matrix to largest entry 1, by powers of two, in place, and
// writes the factors.
func equilibrate(a, row, col []float64) {
	n := len(row)
	for i := range n {
		big := 0.0
		for _, v := range a[i*n : (i+1)*n] {
			big = max(big, math.Abs(v))
		}
		row[i] = PowerOfTwo(big)
		for j := range n {
			a[i*n+j] *= row[i]
		}
	}
	for j := range n {
		big := 0.0
		for i := range n {
			big = max(big, math.Abs(a[i*n+j]))
		}
		col[j] = PowerOfTwo(big)
		for i := range n {
			a[i*n+j] *= col[j]
		}
	}
}

// PowerOfTwo returns the power of two nearest below 1/v; 1 for 0.
func PowerOfTwo(v float64) float64 {
	if v == 0 {
		return 1
	}
	_, e := math.Frexp(v)
	return math.Ldexp(1, -e)
}

// Solution is a vector of the system's unknowns: U[e] (own unknowns), Z[e] (states, E+1 of them) and Q.
type Solution struct {
	U, Z [][]float64
	Q    []float64
}

// NewVector returns a zero vector in the layout of the unknowns.
func (s *System) NewVector() *Solution {
	return NewSolution(s.S, s.Q, len(s.elements), func(e int) int { return s.elements[e].k })
}

// NewSolution returns a zero vector for S states, Q border unknowns and elements with the given numbers of their own.
func NewSolution(s, q, elements int, own func(e int) int) *Solution {
	return &NewSolutions(1, s, q, elements, own)[0]
}

// NewSolutions returns n of them, in one piece of memory.
func NewSolutions(n, s, q, elements int, own func(e int) int) []Solution {
	total := (elements+1)*s + q
	for e := range elements {
		total += own(e)
	}
	slices := make([][]float64, n*(2*elements+1))
	store := stores{left: make([]float64, n*total)}
	out := make([]Solution, n)
	for i := range out {
		v := &out[i]
		v.U, v.Z, slices = slices[:elements:elements], slices[elements:2*elements+1], slices[2*elements+1:]
		for e := range elements {
			v.U[e] = store.numbers(own(e))
		}
		for e := range v.Z {
			v.Z[e] = store.numbers(s)
		}
		v.Q = store.numbers(q)
	}
	return out
}

// RHS is a right-hand side: one slice per element (k + S + T numbers, the element's rows in order) and the closing
// rows.
type RHS struct {
	Element [][]float64
	Closing []float64
}

// NewRHS returns a zero right-hand side.
func (s *System) NewRHS() *RHS { return &s.NewRHSs(1)[0] }

// NewRHSs returns n of them, in one piece of memory.
func (s *System) NewRHSs(n int) []RHS {
	E, total := len(s.elements), s.closing
	for e := range s.elements {
		total += s.elements[e].rows
	}
	slices := make([][]float64, n*E)
	store := stores{left: make([]float64, n*total)}
	out := make([]RHS, n)
	for i := range out {
		r := &out[i]
		r.Element, slices = slices[:E:E], slices[E:]
		for e := range s.elements {
			r.Element[e] = store.numbers(s.elements[e].rows)
		}
		r.Closing = store.numbers(s.closing)
	}
	return out
}

// forward eliminates the right-hand side b, in place. What is left is that of the final system.
func (s *System) forward(b *RHS) {
	S, Q := s.S, s.Q
	stack := s.stack[:0]
	for e := range s.elements {
		el := &s.elements[e]
		k := el.k
		r := b.Element[e]
		el.reduce(r, k+2*S+Q)
		stack = append(stack, r[k:]...)
		if e > 0 {
			reflect(el.q, el.stackRows, 3*S+Q, S, el.tau, stack)
			copy(el.state, stack)
			stack = stack[:copy(stack, stack[S:])]
		}
	}
	s.stack = stack
	rhs := s.right
	copy(rhs[copy(rhs, stack):], b.Closing)
	for i := range rhs {
		rhs[i] *= s.rowScale[i]
	}
}

// solveFinal solves the final system for the right-hand side at hand, in its place.
func (s *System) solveFinal() []float64 {
	// An ill-conditioned system still gives a vector; Condition tells how far to believe it.
	x := s.right
	s.lu.SolveVec(x)
	for i := range x {
		x[i] *= s.colScale[i]
	}
	return x
}

// reduce applies the condensation, whose rows have the given width, to an element's right-hand side.
func (el *element) reduce(r []float64, w int) {
	for j := range el.k {
		if p := el.pivot[j]; p != j {
			r[j], r[p] = r[p], r[j]
		}
	}
	// Four rows at a time: what stands before them, and then what they add to each other.
	var sums [4]float64
	for i := 0; i < el.rows; i += 4 {
		n := min(i, el.k)
		s := sums[:min(4, el.rows-i)]
		DotRows(s, el.a[i*w:], w, r[:n])
		for j := range s {
			row := el.a[(i+j)*w:]
			for c := n; c < min(i+j, el.k); c++ {
				s[j] += row[c] * r[c]
			}
			r[i+j] -= s[j]
		}
	}
	for i, v := range el.scale {
		r[el.k+i] *= v
	}
}

// SolveTo solves for one right-hand side, which it overwrites, and writes the unknowns to dst.
func (s *System) SolveTo(dst *Solution, b *RHS) {
	S, Q := s.S, s.Q
	if s.march != 0 {
		s.solveMarch(dst, b)
		return
	}
	s.forward(b)
	x := s.solveFinal()
	E := len(s.elements)
	copy(dst.Z[0], x[:S])
	copy(dst.Z[E], x[S:2*S])
	copy(dst.Q, x[2*S:])
	for e := E - 1; e > 0; e-- {
		el := &s.elements[e]
		c := 3*S + Q
		z := dst.Z[e]
		for i := S - 1; i >= 0; i-- {
			row := el.q[i*c : (i+1)*c]
			sum := el.state[i] - Dot(row[S:2*S], dst.Z[0]) - Dot(row[2*S:3*S], dst.Z[e+1]) - Dot(row[3*S:], dst.Q)
			for j := i + 1; j < S; j++ {
				sum -= row[j] * z[j]
			}
			z[i] = sum / row[i]
		}
	}
	s.substitute(dst, b)
}

// SolveOver solves for several right-hand sides and returns the unknowns. The elements' own ones take their place.
func (s *System) SolveOver(b []RHS) []Solution {
	out := NewSolutions(len(b), s.S, s.Q, len(s.elements), func(int) int { return 0 })
	for i := range out {
		v := &out[i]
		for e := range v.U {
			v.U[e] = b[i].Element[e][:s.elements[e].k]
		}
		s.SolveTo(v, &b[i])
	}
	return out
}

// substitute writes the elements' own unknowns, which may take the place of the right-hand side, when all others are
// known.
func (s *System) substitute(dst *Solution, b *RHS) {
	S, Q := s.S, s.Q
	for e := range s.elements {
		el := &s.elements[e]
		k, w := el.k, el.k+2*S+Q
		r, u := b.Element[e], dst.U[e]
		for i := k - 1; i >= 0; i-- {
			row := el.a[i*w : (i+1)*w]
			sum := r[i] - Dot(row[k:k+S], dst.Z[e]) - Dot(row[k+S:k+2*S], dst.Z[e+1]) - Dot(row[k+2*S:], dst.Q)
			sum -= Dot(row[i+1:k], u[i+1:k])
			u[i] = sum / row[i]
		}
	}
}
