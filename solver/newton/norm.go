package newton

import (
	"math"

	"nodespan/solver/blocks"
	"nodespan/solver/collocation"
)

// norm measures corrections relative to the size of what they correct.
type norm struct {
	g     *collocation.Grid
	u     []float64 // weight of each unknown's û
	z     []float64 // weight of each state entry
	q     []float64 // weight of each border unknown
	own   []int     // nodes per element
	count float64
}

func newNorm(g *collocation.Grid, a, b *blocks.Solution) *norm {
	p := g.P
	nu, nz := len(p.Unknowns), p.State()
	store := make([]float64, nu+nz+len(a.Q))
	n := &norm{g: g, u: store[:nu:nu], z: store[nu : nu+nz : nu+nz], q: store[nu+nz:], own: g.Mesh.Nodes}
	for _, v := range []*blocks.Solution{a, b} {
		for _, z := range v.Z {
			for i, x := range z {
				n.z[i] = math.Max(n.z[i], math.Abs(x))
			}
		}
		for e, u := range v.U {
			k := n.own[e]
			for i := range n.u {
				for _, x := range u[i*k : (i+1)*k] {
					n.u[i] = math.Max(n.u[i], math.Abs(x))
				}
			}
		}
		for i, x := range v.Q {
			n.q[i] = math.Max(n.q[i], math.Abs(x))
		}
	}
	length := g.Mesh.X[len(g.Mesh.X)-1] - g.Mesh.X[0]
	at := 0
	for i, u := range p.Unknowns {
		n.u[i] = math.Max(n.u[i], n.z[at])
		// A derivative may vanish at every mesh point (cos πx on [−1, 1]); its size is then the unknown's over the
		// length.
		floor := n.u[i]
		for d := range u.Order {
			n.z[at+d] = math.Max(n.z[at+d], floor)
			floor /= length
		}
		at += u.Order
	}
	n.floorTaps(length)
	for _, u := range a.U {
		n.count += float64(len(u))
	}
	n.count += float64(len(a.Z)*len(n.z) + len(a.Q))
	return n
}

// floorTaps gives a value at a point that vanishes (a support, a slope at the middle of a symmetric beam) the size of
// its entry elsewhere: relative to itself it is all rounding.
func (n *norm) floorTaps(length float64) {
	p := n.g.P
	for i, v := range n.g.Taps() {
		at := p.JetOffset(v.Unknown) - v.Unknown // of the state: one entry less for each unknown before
		size := n.z[at] / math.Pow(length, float64(v.Derivative))
		if v.Derivative < p.Unknowns[v.Unknown].Order {
			size = n.z[at+v.Derivative]
		}
		n.q[i] = math.Max(n.q[i], size)
	}
}

// floor gives an unknown that vanishes to within rounding, while another does not, and a sought number that vanishes
// weights above their rounding: corrections of that size must count as such.
func (n *norm) floor(noise *blocks.Solution) {
	const digits, sure = 1e8, 1e-8
	p := n.g.P
	other := newNorm(n.g, noise, noise)
	largest := 0.0
	at := 0
	for _, u := range p.Unknowns {
		largest = math.Max(largest, n.z[at])
		at += u.Order
	}
	at = 0
	vanishes := make([]bool, len(p.Unknowns))
	for i, u := range p.Unknowns {
		if vanishes[i] = n.z[at] <= 8*other.z[at] && other.z[at] <= sure*largest; vanishes[i] {
			n.u[i] = math.Max(n.u[i], digits*other.u[i])
			for d := range u.Order {
				n.z[at+d] = math.Max(n.z[at+d], digits*other.z[at+d])
			}
		}
		at += u.Order
	}
	for i, v := range n.g.Taps() {
		if vanishes[v.Unknown] {
			n.q[i] = math.Max(n.q[i], digits*other.q[i])
		}
	}
	n.floorSought(other, vanishes, digits, sure)
}

// floorSought does so of the sought numbers, where rounding is a small part of every unknown that does not vanish.
func (n *norm) floorSought(other *norm, vanishes []bool, digits, sure float64) {
	at := 0
	for i, u := range n.g.P.Unknowns {
		if !vanishes[i] && !(other.z[at] <= sure*n.z[at]) {
			return
		}
		at += u.Order
	}
	for i := len(n.g.Taps()); i < len(n.q); i++ {
		if n.q[i] <= 8*other.q[i] {
			n.q[i] = math.Max(n.q[i], digits*other.q[i])
		}
	}
}

// ofDifference measures v − f w.
func (n *norm) ofDifference(v *blocks.Solution, f float64, w *blocks.Solution) float64 {
	sum, most := 0.0, 0.0
	term := func(x, weight float64) {
		if weight > 0 {
			x /= weight
			sum += x * x
			most = math.Max(most, math.Abs(x))
		}
	}
	for e, u := range v.U {
		k := n.own[e]
		for j, x := range u {
			term(x-f*w.U[e][j], n.u[j/k])
		}
	}
	for e, z := range v.Z {
		for i, x := range z {
			term(x-f*w.Z[e][i], n.z[i])
		}
	}
	for i, x := range v.Q {
		term(x-f*w.Q[i], n.q[i])
	}
	if math.IsNaN(sum) {
		return math.NaN()
	}
	// Between the mean and the largest: a layer in one of a thousand elements must count.
	return math.Sqrt(math.Sqrt(sum/n.count) * most)
}
