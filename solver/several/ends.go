package several

import (
	"math"
	"slices"

	"nodespan/solver/bvp"
	"nodespan/solver/collocation"
)

// missing is a shooting method from one end: what the conditions there leave open, and the conditions elsewhere.
type missing struct {
	w *flow
	// end is where the conditions stand, from where the integration begins (beside a singular end).
	end, from float64
	here      []int // conditions at this end alone
	away      []int // the others
	stops     []float64
	free      []int // the numbers that are not given there, in the state and then the parameters
	bound     []int // the others
	base      []float64
	in        []float64
}

// missingAt prepares shooting from an end; nil where the conditions there cannot be told apart from the others, or hold
// highest derivatives. first holds a state and sought numbers to begin from.
func missingAt(w *flow, end float64, first []float64) *missing {
	p := w.p
	m := &missing{w: w, end: end, base: slices.Clone(first), in: make([]float64, w.inputs)}
	other := p.A + p.B - end
	m.from = w.beside(end, other)
	last := w.beside(other, end)
	points := []float64{last}
	for i, c := range p.Conditions {
		here := len(c.At) > 0
		for _, v := range c.At {
			here = here && v.X == end && v.Derivative < p.Unknowns[v.Unknown].Order
			if v.X != end && v.X != other {
				points = append(points, v.X)
			}
		}
		if here {
			m.here = append(m.here, i)
		} else {
			m.away = append(m.away, i)
		}
	}
	slices.Sort(points)
	if end > other {
		slices.Reverse(points)
	}
	m.stops = slices.Compact(points)
	if !m.choose() {
		return nil
	}
	return m
}

// beside returns an end, or a point next to it where the equations cannot be evaluated there.
func (w *flow) beside(end, other float64) float64 {
	for i := range w.in {
		w.in[i] = 0.3 + 0.17*float64(i)
	}
	w.p.Equations(end, w.in, w.f, w.df)
	lead := 0.0
	for r := range w.top {
		lead = math.Max(lead, math.Abs(w.df[r*w.inputs+w.top[r]]))
	}
	if bvp.AllFinite(w.f) && bvp.AllFinite(w.df) && lead > 0 {
		clear(w.in)
		return end
	}
	clear(w.in)
	return end + endGap*(other-end)
}

// choose parts the state and the sought numbers into those that the conditions at the end give and those that are free.
func (m *missing) choose() bool {
	n := len(m.base)
	k := len(m.here)
	rows := make([][]float64, k)
	for r, i := range m.here {
		rows[r] = make([]float64, n)
		m.condition(i, m.base, rows[r])
	}
	taken := make([]bool, n)
	for r := range rows {
		best, column := 0.0, -1
		for q := r; q < k; q++ {
			for c := range n {
				if v := math.Abs(rows[q][c]); !taken[c] && v > best {
					best, column = v, c
					rows[r], rows[q] = rows[q], rows[r]
				}
			}
		}
		if column < 0 {
			return false
		}
		taken[column] = true
		m.bound = append(m.bound, column)
		for q := r + 1; q < k; q++ {
			f := rows[q][column] / rows[r][column]
			for c := range n {
				rows[q][c] -= f * rows[r][c]
			}
		}
	}
	for c := range n {
		if !taken[c] {
			m.free = append(m.free, c)
		}
	}
	return len(m.free) > 0
}

// condition evaluates a condition at the end for a state and sought numbers, and its derivatives by these.
func (m *missing) condition(i int, at, row []float64) float64 {
	p := m.w.p
	c := p.Conditions[i]
	S := m.w.state
	in, dg := make([]float64, len(c.At)+len(p.Parameters)), make([]float64, len(c.At)+len(p.Parameters))
	where := make([]int, len(c.At))
	for j, v := range c.At {
		s := v.Derivative
		for _, u := range p.Unknowns[:v.Unknown] {
			s += u.Order
		}
		where[j], in[j] = s, at[s]
	}
	copy(in[len(c.At):], at[S:])
	g := c.Residual(in, dg)
	if row != nil {
		clear(row)
		for j, s := range where {
			row[s] += dg[j]
		}
		copy(row[S:], dg[len(c.At):])
	}
	return g
}

// start completes the free numbers to a state and sought numbers that meet the conditions at the end.
func (m *missing) start(free []float64) (at []float64, ok bool) {
	at = slices.Clone(m.base)
	for i, c := range m.free {
		at[c] = free[i]
	}
	k := len(m.bound)
	lin := make([]float64, k*(k+1))
	row := make([]float64, len(at))
	const iterations = 25
	for range iterations {
		for r, i := range m.here {
			lin[r*(k+1)+k] = m.condition(i, at, row)
			for c, b := range m.bound {
				lin[r*(k+1)+c] = row[b]
			}
		}
		collocation.Eliminate(lin, k)
		off, size := 0.0, 0.0
		for c, b := range m.bound {
			at[b] -= lin[c*(k+1)+k]
			off = math.Max(off, math.Abs(lin[c*(k+1)+k]))
			size = math.Max(size, math.Abs(at[b]))
		}
		if off <= 1e-12*size || off == 0 {
			return at, bvp.AllFinite(at)
		}
	}
	return nil, false
}

// shoot integrates from the end with the given free numbers, and returns what is left of the conditions elsewhere.
func (m *missing) shoot(free, left []float64) (t *trajectory, ok bool) {
	at, ok := m.start(free)
	if !ok {
		return nil, false
	}
	p, S := m.w.p, m.w.state
	t, ok = m.w.run(m.from, at[:S], at[S:], m.stops)
	if len(t.x) == 0 || !ok {
		return t, false
	}
	jet := make([]float64, p.Jet())
	for r, i := range m.away {
		c := p.Conditions[i]
		in := make([]float64, 0, len(c.At)+len(p.Parameters))
		for _, v := range c.At {
			t.jet(p, v.X, jet)
			in = append(in, jet[p.JetOffset(v.Unknown)+v.Derivative])
		}
		in = append(in, at[S:]...)
		left[r] = c.Residual(in, nil)
		if !bvp.Finite(left[r]) {
			return t, false
		}
	}
	return t, true
}

// unit is the size of the free number i.
func (m *missing) unit(i int) float64 {
	p := m.w.p
	c := m.free[i]
	for k, u := range p.Unknowns {
		if c < u.Order {
			return m.w.sizes[k] / math.Pow(p.B-p.A, float64(c))
		}
		c -= u.Order
	}
	return math.Max(1, math.Abs(m.base[m.free[i]]))
}
