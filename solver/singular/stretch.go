package singular

import (
	"math"
	"slices"

	"nodespan/solver/bvp"
)

// half is a part of the interval that is stretched from one of its ends: t = length · u^q, u from 0 to 1.
type half struct {
	end    float64
	side   float64 // of the end, as in End
	length float64
	q      float64
	a      []float64 // (order+1)²: t^d d^d/dt^d = Σ_k a[d][k] u^k d^k/du^k
	width  int
	source float64   // as in End
	level  []float64 // as growth tells
}

// Stretch is a change of the variable x to s that stretches the neighbourhood of one or both ends. With one end s runs
// from 0, at this end, to 1; with both from −1 to 1.
type Stretch struct {
	p      *bvp.Problem // maybe split
	split  *split       // nil: not
	first  half         // of u = s, or u = 1 + s
	second *half
	// breaks are those of the stretched problem, of the points breakX; NaN where the two halves meet.
	breaks, breakX []float64
	Problem        *bvp.Problem
}

// newHalf returns the stretch of a length from an end.
func newHalf(e End, length float64, q, order int) half {
	h := half{end: e.X, side: e.Side, length: length, q: float64(q), width: order + 1, source: e.source}
	// With θ = u d/du = q t d/dt: t^(d+1) d^(d+1) = (θ/q − d) t^d d^d, and θ u^k d^k = u^(k+1) d^(k+1) + k u^k d^k.
	w := h.width
	h.a = make([]float64, w*w)
	h.a[0] = 1
	for d := range order {
		for k := range d + 1 {
			v := h.a[d*w+k]
			h.a[(d+1)*w+k] += (float64(k)/h.q - float64(d)) * v
			h.a[(d+1)*w+k+1] += v / h.q
		}
	}
	return h
}

// New returns the stretch of a problem at the given ends (one or two) by the powers q; nil when a condition asks for a
// derivative at such an end whose unknown it is not.
func New(p *bvp.Problem, ends []End, q ...int) *Stretch {
	order := 0
	for _, u := range p.Unknowns {
		order = max(order, u.Order)
	}
	s := &Stretch{p: p}
	if s.split = newSplit(p, ends); s.split != nil {
		p = s.split.Problem
		s.p = p
		order = 0
		for _, u := range p.Unknowns {
			order = max(order, u.Order)
		}
		ends = slices.Clone(ends)
		for i := range ends {
			// What is asked of y is asked of a derivative of it now.
			ends[i].source = math.Max(ends[i].source-float64(slices.Max(s.split.d)), 0)
		}
	}
	a, b := 0.0, 1.0
	if len(ends) == 1 {
		s.first = newHalf(ends[0], p.B-p.A, q[0], order)
	} else {
		a = -1
		s.first = newHalf(ends[0], (p.B-p.A)/2, q[0], order)
		second := newHalf(ends[1], (p.B-p.A)/2, q[1], order)
		s.second = &second
	}
	out := &bvp.Problem{Variable: p.Variable, A: a, B: b, Unknowns: p.Unknowns, Parameters: p.Parameters}
	for _, x := range p.Breaks {
		s.breaks, s.breakX = append(s.breaks, s.To(x)), append(s.breakX, x)
	}
	if s.second != nil && !slices.Contains(s.breaks, 0) {
		i, _ := slices.BinarySearch(s.breaks, 0)
		s.breaks, s.breakX = slices.Insert(s.breaks, i, 0), slices.Insert(s.breakX, i, math.NaN())
	}
	if s.first.side < 0 {
		slices.Reverse(s.breaks)
		slices.Reverse(s.breakX)
	}
	out.Breaks = s.breaks
	s.first.level = s.first.growth(p)
	if s.second != nil {
		s.second.level = s.second.growth(p)
	}
	out.Equations = s.level(s.pull(p.Equations, len(p.Unknowns)))
	out.Rounding = s.levelRounding(s.rounding(p))
	out.Work = 2*p.EvaluationWork() + 20*float64(order*order) // two evaluations near the end
	if len(s.breaks) > 0 {
		out.Continuity = s.pull(s.continuity(), p.State())
	}
	for _, c := range p.Conditions {
		sc, ok := s.condition(c)
		if !ok {
			return nil
		}
		out.Conditions = append(out.Conditions, sc)
	}
	if p.Guess != nil {
		out.Guess = func(v float64, jet []float64) { s.push(v, jet) }
	}
	s.Problem = out
	return s
}

// at returns the half in which s lies, and its u and t and the sign of du/ds.
func (s *Stretch) at(v float64) (h *half, u, turn float64) {
	switch {
	case s.second == nil:
		return &s.first, v, 1
	case v <= 0:
		return &s.first, 1 + v, 1
	}
	return s.second, 1 - v, -1
}

// From returns the x of s.
func (s *Stretch) From(v float64) float64 {
	h, u, _ := s.at(v)
	if u == 1 && s.second == nil {
		return s.p.A + s.p.B - h.end // exactly the other end
	}
	return h.end + h.side*h.length*math.Pow(u, h.q)
}

// To returns the s of x.
func (s *Stretch) To(x float64) float64 {
	u := func(h *half) float64 { return math.Pow(math.Max(h.side*(x-h.end), 0)/h.length, 1/h.q) }
	if s.second == nil {
		return math.Min(u(&s.first), 1)
	}
	if v := u(&s.first); v <= 1 {
		return v - 1
	}
	return 1 - u(s.second)
}

// matrix writes, for the point s, rows that turn derivatives by s into those by x, where the distance from the end is
// t: not quite that of s when x was rounded, so that the powers of t in the coefficients and here cancel.
func (s *Stretch) matrix(v, t float64, rows []float64) {
	h, u, turn := s.at(v)
	w := h.width
	td := 1.0
	for d := range w {
		uk := td
		for k := range d + 1 {
			rows[d*w+k] = h.a[d*w+k] * uk
			uk *= u * turn
		}
		td *= h.side / t
	}
}

// distance returns the distance from the end that belongs to s.
func (s *Stretch) distance(v float64) float64 {
	h, u, _ := s.at(v)
	return h.length * math.Pow(u, h.q)
}

// apply multiplies a jet by s with the rows of matrix.
func (s *Stretch) apply(rows, in, out []float64) {
	w := s.first.width
	at := 0
	for _, u := range s.p.Unknowns {
		for d := range u.Order + 1 {
			sum := 0.0
			for k := range d + 1 {
				sum += rows[d*w+k] * in[at+k]
			}
			out[at+d] = sum
		}
		at += u.Order + 1
	}
}

// pull returns residuals in the jet by x as residuals in the jet by s.
func (s *Stretch) pull(r bvp.Residuals, count int) bvp.Residuals {
	w := s.first.width
	J := s.p.Jet() + len(s.p.Parameters)
	rows, jet, d := make([]float64, w*w), make([]float64, J), make([]float64, count*J)
	f2, df2 := make([]float64, count), make([]float64, count*J)
	// at evaluates where x was rounded to a point at distance t.
	at := func(v, x, t float64, in, f, df []float64) {
		s.matrix(v, t, rows)
		s.apply(rows, in, jet)
		copy(jet[s.p.Jet():], in[s.p.Jet():])
		if df == nil {
			r(x, jet, f, nil)
			return
		}
		r(x, jet, f, d)
		for i := range count {
			s.applyRow(rows, d[i*J:(i+1)*J], df[i*J:(i+1)*J])
		}
	}
	none := make([]float64, J)
	return func(v float64, in, f, df []float64) {
		t := s.distance(v)
		if x, ok := s.besideBreak(v); ok {
			at(v, x, t, in, f, df)
			return
		}
		h, _, _ := s.at(v)
		x0, x1, weight := s.neighbours(v, t)
		t0 := math.Abs(x0 - h.end)
		at(v, x0, t0, in, f, df)
		switch {
		case math.Abs(t-t0) <= 1e-15*t:
		case h.source > 0:
			// A linear equation: what the right side is at t, relative to t0, is known.
			at(v, x0, t0, none, f2, nil)
			part := math.Pow(t/t0, h.source) - 1
			for i := range f {
				f[i] += part * f2[i]
			}
		case weight != 0:
			if df == nil {
				at(v, x1, math.Abs(x1-h.end), in, f2, nil)
			} else {
				at(v, x1, math.Abs(x1-h.end), in, f2, df2)
			}
			for i := range f {
				f[i] += weight * (f2[i] - f[i])
			}
			for i := range df {
				df[i] += weight * (df2[i] - df[i])
			}
		}
	}
}

// growth returns, for each equation, the largest power p by which the coefficient of a highest derivative goes as
// u^(−p) towards the end once derivatives are those by s; 0 where none is a power.
func (h *half) growth(p *bvp.Problem) []float64 {
	n, J := len(p.Unknowns), p.Jet()+len(p.Parameters)
	f, df := make([]float64, n), make([]float64, n*J)
	in := probes(p)[0]
	out := make([]float64, n)
	for r := range n {
		some := false
		for i, unknown := range p.Unknowns {
			m := unknown.Order
			_, mu, ok := power(func(t float64) float64 {
				p.Equations(h.end+h.side*t, in, f, df)
				return df[r*J+p.JetOffset(i)+m]
			}, h.length*reach)
			if v := float64(m)*(h.q-1) - h.q*mu; ok && (!some || v > out[r]) {
				out[r], some = v, true
			}
		}
	}
	return out
}

// levels writes what the equations are multiplied by at s, so that the coefficients of the highest derivatives are
// about the same all the way to the end. Otherwise a residual, which is integrated against polynomials, would be large
// or small near the end whatever its part in the solution.
func (s *Stretch) levels(v float64, out []float64) {
	h, u, _ := s.at(v)
	for i, p := range h.level {
		out[i] = 1
		if u > 0 {
			out[i] = math.Pow(u, p)
		}
	}
}

// level multiplies equations by their levels.
func (s *Stretch) level(r bvp.Residuals) bvp.Residuals {
	factors := make([]float64, len(s.p.Unknowns))
	return func(v float64, in, f, df []float64) {
		r(v, in, f, df)
		s.levels(v, factors)
		for i, c := range factors {
			f[i] *= c
			if df != nil {
				row := df[i*len(df)/len(f) : (i+1)*len(df)/len(f)]
				for j := range row {
					row[j] *= c
				}
			}
		}
	}
}

// levelRounding multiplies what rounding does to the equations by their levels.
func (s *Stretch) levelRounding(r bvp.Rounding) bvp.Rounding {
	factors := make([]float64, len(s.p.Unknowns))
	return func(in, off, own []float64, shared [][]float64) {
		r(in, off, own, shared)
		s.levels(in[len(in)-1], factors)
		for i, c := range factors {
			own[i] *= c // nothing is shared
		}
	}
}

// neighbours returns the rounded point at the distance t from the end and, where rounding is felt, the next one on the
// other side of the exact point, which divides the stretch between them as weight says. Both are inside the interval.
func (s *Stretch) neighbours(v, t float64) (x0, x1, weight float64) {
	h, _, _ := s.at(v)
	x0 = s.From(v)
	inward := h.side * math.Inf(1)
	if x0 == h.end && h.end != 0 {
		return math.Nextafter(x0, inward), 0, 0
	}
	t0 := math.Abs(x0 - h.end)
	if math.Abs(t-t0) <= 1e-15*t {
		return x0, 0, 0
	}
	if t > t0 {
		x1 = math.Nextafter(x0, inward)
	} else if x1 = math.Nextafter(x0, -inward); x1 == h.end {
		return x0, 0, 0
	}
	if x1 < s.p.A || x1 > s.p.B {
		return x0, 0, 0
	}
	return x0, x1, (t - t0) / (math.Abs(x1-h.end) - t0)
}

// besideBreak returns the point on the right side of a break for an s next to one, where rounding must not change the
// side.
func (s *Stretch) besideBreak(v float64) (x float64, ok bool) {
	for i, b := range s.breaks {
		if math.Abs(v-b) < 1e-15 && !math.IsNaN(s.breakX[i]) {
			to := v - b
			if s.second == nil {
				to *= s.first.side
			}
			return math.Nextafter(s.breakX[i], s.breakX[i]+to*math.Inf(1)), true
		}
	}
	return 0, false
}

// applyRow turns derivatives of a residual by the jet by x into those by the jet by s.
func (s *Stretch) applyRow(rows, row, to []float64) {
	w := s.first.width
	clear(to)
	at := 0
	for _, u := range s.p.Unknowns {
		for e := range u.Order + 1 {
			if c := row[at+e]; c != 0 {
				for k := range e + 1 {
					to[at+k] += c * rows[e*w+k]
				}
			}
		}
		at += u.Order + 1
	}
	copy(to[at:], row[at:])
}

// continuity is that of the problem, or the state itself.
func (s *Stretch) continuity() bvp.Residuals {
	p := s.p
	J := p.Jet() + len(p.Parameters)
	state := func(in, f, df []float64) {
		clear(df)
		row := 0
		for i, u := range p.Unknowns {
			for d := range u.Order {
				f[row] = in[p.JetOffset(i)+d]
				if df != nil {
					df[row*J+p.JetOffset(i)+d] = 1
				}
				row++
			}
		}
	}
	return func(x float64, in, f, df []float64) {
		beside := func(b float64) bool { return math.Abs(x-b) <= 1e-15*math.Abs(b) }
		if p.Continuity != nil && slices.ContainsFunc(p.Breaks, beside) {
			p.Continuity(x, in, f, df)
			return
		}
		state(in, f, df)
	}
}

// condition returns a condition in derivatives by s; false when it asks for a derivative at a stretched end.
func (s *Stretch) condition(c bvp.Condition) (bvp.Condition, bool) {
	w, extra := s.first.width, len(s.p.Parameters)
	var at []bvp.PointValue
	place := func(v bvp.PointValue) int {
		if i := slices.Index(at, v); i >= 0 {
			return i
		}
		at = append(at, v)
		return len(at) - 1
	}
	type part struct {
		place  int
		weight float64
	}
	parts := make([][]part, len(c.At))
	rows := make([]float64, w*w)
	for j, v := range c.At {
		sv := s.To(v.X)
		if _, u, _ := s.at(sv); u == 0 {
			if v.Derivative == 0 {
				parts[j] = []part{{place(bvp.PointValue{X: sv, Unknown: v.Unknown}), 1}}
			} else if !absent(c, j, extra) {
				return c, false
			}
			continue
		}
		s.matrix(sv, s.distance(sv), rows)
		for k := range v.Derivative + 1 {
			if weight := rows[v.Derivative*w+k]; weight != 0 {
				pv := bvp.PointValue{X: sv, Unknown: v.Unknown, Derivative: k}
				parts[j] = append(parts[j], part{place(pv), weight})
			}
		}
	}
	count := len(c.At)
	in, dg := make([]float64, count+extra), make([]float64, count+extra)
	return bvp.Condition{At: at, Text: c.Text, Residual: func(v, d []float64) float64 {
		for j := range parts {
			in[j] = 0
			for _, q := range parts[j] {
				in[j] += q.weight * v[q.place]
			}
		}
		copy(in[count:], v[len(at):])
		if d == nil {
			return c.Residual(in, nil)
		}
		g := c.Residual(in, dg)
		clear(d)
		for j := range parts {
			for _, q := range parts[j] {
				d[q.place] += dg[j] * q.weight
			}
		}
		copy(d[len(at):], dg[count:])
		return g
	}}, true
}

// absent reports whether the condition does not depend on its value j.
func absent(c bvp.Condition, j, extra int) bool {
	in, dg := make([]float64, len(c.At)+extra), make([]float64, len(c.At)+extra)
	for _, size := range []float64{0.31, -1.7} {
		for i := range in {
			in[i] = size * (1 + 0.13*float64(i))
		}
		c.Residual(in, dg)
		if dg[j] != 0 {
			return false
		}
	}
	return true
}

// push writes the problem's guess at s as derivatives by s.
func (s *Stretch) push(v float64, jet []float64) {
	w := s.first.width
	rows := make([]float64, w*w)
	_, u, _ := s.at(v)
	s.p.Guess(s.From(v), jet)
	if u != 0 {
		s.matrix(v, s.distance(v), rows)
	}
	at := 0
	for _, q := range s.p.Unknowns {
		for d := 1; d <= q.Order; d++ {
			if u == 0 {
				jet[at+d] = 0
				continue
			}
			for k := range d {
				jet[at+d] -= rows[d*w+k] * jet[at+k]
			}
			jet[at+d] /= rows[d*w+d]
		}
		at += q.Order + 1
	}
}

// Jet writes the jet by x of the problem for that by s of the stretched problem, which read writes. Derivatives at a
// stretched end itself are those very near to it.
func (s *Stretch) Jet(x float64, read func(v float64, jet []float64), jet []float64) {
	v := s.To(x)
	in := make([]float64, s.Problem.Jet())
	read(v, in)
	if h, u, turn := s.at(v); u == 0 {
		near := slices.Clone(in)
		v += turn * math.Pow(1e-12, 1/h.q)
		read(v, near)
		at := 0
		for _, q := range s.p.Unknowns {
			copy(in[at+1:at+q.Order+1], near[at+1:])
			at += q.Order + 1
		}
	}
	s.turn(v, in, func(c float64) float64 { return c })
	s.join(in, jet)
}

// join writes the jet of the problem for that of its split one.
func (s *Stretch) join(in, jet []float64) {
	if s.split == nil {
		copy(jet, in)
		return
	}
	for i, k := range s.split.place {
		jet[i] = in[k]
	}
}

// Errors does the same with estimated errors: infinite for derivatives at a stretched end itself.
func (s *Stretch) Errors(x float64, read func(v float64, err []float64), err []float64) {
	v := s.To(x)
	in := make([]float64, s.Problem.Jet())
	read(v, in)
	if _, u, _ := s.at(v); u > 0 {
		s.turn(v, in, math.Abs)
	} else {
		at := 0
		for _, q := range s.p.Unknowns {
			for d := 1; d <= q.Order; d++ {
				in[at+d] = math.Inf(1)
			}
			at += q.Order + 1
		}
	}
	s.join(in, err)
}

func (s *Stretch) turn(v float64, jet []float64, f func(float64) float64) {
	w := s.first.width
	rows, in := make([]float64, w*w), slices.Clone(jet)
	s.matrix(v, s.distance(v), rows)
	for i, r := range rows {
		rows[i] = f(r)
	}
	s.apply(rows, in, jet)
}

// Mesh returns the mesh in x of a mesh in s. Next to a stretched end elements are cut further, each to a part of the
// one before, so that formulas for polynomials in x serve on each.
func (s *Stretch) Mesh(mesh []float64) []float64 {
	const part = 0.2
	var out []float64
	for i, v := range mesh {
		out = append(out, s.From(v))
		for _, j := range []int{i - 1, i + 1} {
			if j < 0 || j >= len(mesh) {
				continue
			}
			h, u, _ := s.at(v)
			_, other, _ := s.at(mesh[j])
			if other != 0 || u == 0 {
				continue
			}
			t := h.length * math.Pow(u, h.q)
			for t *= part; t > 1e-16*h.length && h.end+h.side*t != h.end; t *= part {
				out = append(out, h.end+h.side*t)
			}
		}
	}
	slices.Sort(out)
	return slices.Compact(out)
}
