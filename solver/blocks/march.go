package blocks

import "math"

// triangular returns 1 where the closing rows stand in z_0 alone, −1 where in z_E alone, and 0 where the system is not
// block triangular.
func (s *System) triangular() int {
	S := s.S
	if s.Q > 0 || s.closing != S {
		return 0
	}
	first, last := false, false
	for i := range S {
		for j, v := range s.close[i*2*S : (i+1)*2*S] {
			if v != 0 {
				first = first || j < S
				last = last || j >= S
			}
		}
	}
	switch {
	case first && !last:
		return 1
	case last && !first:
		return -1
	}
	return 0
}

// factorMarch condenses the elements and factorises the closing rows and the block of every state that is carried to.
func (s *System) factorMarch() bool {
	S := s.S
	raw := s.newFinal(S)
	for i := range S {
		from := i * 2 * S
		if s.march < 0 {
			from += S
		}
		copy(raw[i*S:(i+1)*S], s.close[from:from+S])
	}
	if !s.factorFinal() {
		return false
	}
	store := stores{make([]float64, len(s.elements)*S*S), make([]int, len(s.elements)*S)}
	for e := range s.elements {
		el := &s.elements[e]
		if !el.condense(S, 0) {
			return false
		}
		w := el.k + 2*S
		el.step, el.stepPivot = store.numbers(S*S), store.ints(S)
		for i := range S {
			row := el.a[(el.k+i)*w+el.k:]
			if s.march > 0 {
				row = row[S:]
			}
			copy(el.step[i*S:(i+1)*S], row[:S])
		}
		if !factorSmall(el.step, S, el.stepPivot) {
			return false
		}
	}
	return !math.IsInf(s.condition, 1) && !math.IsNaN(s.condition)
}

// solveMarch solves a block triangular system from the end where the closing rows stand.
func (s *System) solveMarch(dst *Solution, b *RHS) {
	S, E := s.S, len(s.elements)
	end, step := 0, 1
	if s.march < 0 {
		end, step = E, -1
	}
	for i := range s.right {
		s.right[i] = b.Closing[i] * s.rowScale[i]
	}
	copy(dst.Z[end], s.solveFinal())
	for range E {
		e, known := end, 0
		if s.march < 0 {
			e, known = end-1, S
		}
		el := &s.elements[e]
		k, w := el.k, el.k+2*S
		r := b.Element[e]
		el.reduce(r, w)
		next := dst.Z[end+step]
		for i := range S {
			at := (k+i)*w + k + known
			next[i] = r[k+i] - Dot(el.a[at:at+S], dst.Z[end])
		}
		solveSmall(el.step, S, el.stepPivot, next)
		end += step
	}
	s.substitute(dst, b)
}

// factorSmall factorises the n×n matrix a (row-major) in place by elimination with row pivoting; false where a pivot
// vanishes.
func factorSmall(a []float64, n int, pivot []int) bool {
	for j := range n {
		p := j
		for i := j + 1; i < n; i++ {
			if math.Abs(a[i*n+j]) > math.Abs(a[p*n+j]) {
				p = i
			}
		}
		pivot[j] = p
		if p != j {
			for c := range n {
				a[j*n+c], a[p*n+c] = a[p*n+c], a[j*n+c]
			}
		}
		d := a[j*n+j]
		if d == 0 || math.IsNaN(d) || math.IsInf(d, 0) {
			return false
		}
		for i := j + 1; i < n; i++ {
			f := a[i*n+j] / d
			a[i*n+j] = f
			axpy(-f, a[j*n+j+1:(j+1)*n], a[i*n+j+1:(i+1)*n])
		}
	}
	return true
}

// solveSmall solves by the factors of factorSmall, in place.
func solveSmall(a []float64, n int, pivot []int, b []float64) {
	for j := range n {
		if p := pivot[j]; p != j {
			b[j], b[p] = b[p], b[j]
		}
	}
	for i := range n {
		b[i] -= Dot(a[i*n:i*n+i], b[:i])
	}
	for i := n - 1; i >= 0; i-- {
		b[i] = (b[i] - Dot(a[i*n+i+1:(i+1)*n], b[i+1:])) / a[i*n+i]
	}
}
