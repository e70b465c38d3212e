package blocks

import "gonum.org/v1/gonum/mat"

// Dense returns the whole system, which has not been factorised yet, as one matrix: the rows of the elements in order
// and the closing rows; the columns u_0, u_1, …, z_0, z_1, …, q.
func (s *System) Dense() *mat.Dense {
	S, Q, E := s.S, s.Q, len(s.elements)
	own := 0
	for e := range s.elements {
		own += s.elements[e].k
	}
	n := own + (E+1)*S + Q
	a := mat.NewDense(n, n, nil)
	row, u := 0, 0
	for e := range s.elements {
		el := &s.elements[e]
		w := el.k + 2*S + Q
		for i := range el.rows {
			from, to := el.a[i*w:(i+1)*w], a.RawRowView(row)
			copy(to[u:], from[:el.k])
			copy(to[own+e*S:], from[el.k:el.k+2*S])
			copy(to[n-Q:], from[el.k+2*S:])
			row++
		}
		u += el.k
	}
	for i := range s.closing {
		from, to := s.close[i*(2*S+Q):(i+1)*(2*S+Q)], a.RawRowView(row)
		for j, v := range from[:S] {
			to[own+j] += v
		}
		for j, v := range from[S : 2*S] {
			to[own+E*S+j] += v
		}
		copy(to[n-Q:], from[2*S:])
		row++
	}
	return a
}

// Dense returns the right-hand side in the order of the rows of System.Dense.
func (r *RHS) Dense() []float64 {
	var out []float64
	for _, e := range r.Element {
		out = append(out, e...)
	}
	return append(out, r.Closing...)
}

// SetDense reads a vector in the order of the columns of System.Dense.
func (v *Solution) SetDense(x []float64) {
	take := func(dst []float64) { x = x[copy(dst, x):] }
	for _, u := range v.U {
		take(u)
	}
	for _, z := range v.Z {
		take(z)
	}
	take(v.Q)
}
