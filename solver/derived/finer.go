package derived

import "math"

// finer compares a solution with the finer one that it was judged by. The error of a collocation solution changes its
// sign between the nodes, so that most of it cancels in an integral. How much, the integral of the finer solution
// tells: what that differs by, enlarged as the differences of the two at points are, is the error of the integral, and
// with it a small share of the bound that takes no account of signs, since a difference may vanish by accident; and in
// full what the estimate at a point holds beyond that difference, as the part of rounding.
type finer struct {
	none bool
	jet  []float64
	// most holds, for each element looked at, the largest difference of each entry of the jet.
	most map[int][]float64
}

// enlarged is the least safety that package adapt puts on a difference, and uncancelled the share of the bound that
// counts in any case (common practice, no source).
const (
	enlarged    = 2.5
	uncancelled = 0.03
)

func newFiner(p *along) *finer {
	d := &finer{jet: make([]float64, p.s.Problem.Jet()), most: map[int][]float64{}}
	d.none = !p.s.Finer(p.s.Mesh[0], d.jet)
	return d
}

// at returns by how much f differs with the finer solution at x, where it is v with the error e from the solution, and
// the rest of that error.
func (d *finer) at(p *along, f *Function, x, v, e float64) (differs, rest float64) {
	if d.none {
		return 0, e
	}
	rest = uncancelled * e
	around := d.around(p, x)
	for j, derivative := range p.d {
		if derivative != 0 {
			rest += math.Abs(derivative) * math.Max(0, p.err[j]-enlarged*around[j])
		}
	}
	p.s.Finer(x, d.jet)
	differs = f.F(x, d.jet, p.beside) - v
	if math.IsNaN(differs) {
		return 0, e
	}
	return differs, rest
}

// around returns the largest differences on the element of x and its neighbours, as the estimate at a point takes them.
func (d *finer) around(p *along, x float64) []float64 {
	mesh := p.s.Mesh
	e := 0
	for lo, hi := 0, len(mesh)-1; hi-lo > 1; {
		if m := (lo + hi) / 2; mesh[m] < x {
			lo, e = m, m
		} else {
			hi = m
		}
	}
	if out, ok := d.most[e]; ok {
		return out
	}
	out := make([]float64, len(d.jet))
	one, two := make([]float64, len(d.jet)), make([]float64, len(d.jet))
	n := 2*p.s.Degree + 6
	for k := max(0, e-1); k <= min(len(mesh)-2, e+1); k++ {
		for i := range n {
			x := mesh[k] + (mesh[k+1]-mesh[k])*(float64(i)+0.5)/float64(n)
			p.s.At(x, one)
			p.s.Finer(x, two)
			for j := range out {
				out[j] = math.Max(out[j], math.Abs(one[j]-two[j]))
			}
		}
	}
	d.most[e] = out
	return out
}
