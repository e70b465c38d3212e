// Package collocation turns a boundary value problem on a mesh of elements into a bordered block
// system. It knows how to write the equations down and how to read a solution back as a function; it
// does not choose meshes, iterate or judge.
//
// # The discretisation
//
// On the element [a, a+h] with nodes s_1 … s_k of (0, 1), the unknowns are the values of each highest
// derivative at the nodes, scaled by h^m: û_j = h^m y^(m)(a + h s_j). Lower derivatives are their
// integrals from the state at the left end,
//
//	y^(m−l)(a + h s) = Σ_(j<l) y^(m−l+j)(a) (h s)^j / j! + h^(l−m) Σ_j I_l(s)_j û_j,
//
// where I_l(s)_j is the l-fold integral from 0 to s of the Lagrange polynomial of node j. The equations hold at the
// nodes; the state is carried to the next element. On one element this is collocation by one polynomial of degree k + m
// − 1. Integration matrices stay well conditioned at any degree (L. Greengard, "Spectral integration and two-point
// boundary value problems", SIAM J. Numer. Anal. 28, 1991, 1071–1080); collocation at Gauss points on a mesh is due to
// C. de Boor and B. Swartz (SIAM J. Numer. Anal. 10, 1973, 582–606).
package collocation

import (
	"math"
	"slices"
	"sort"

	"nodespan/solver/blocks"
	"nodespan/solver/bvp"
	"nodespan/solver/nodes"
)

// Mesh is a division of the interval: the ends of the elements (E+1, ascending) and the number of collocation nodes in
// each (E).
type Mesh struct {
	X      []float64
	Nodes  []int
	Family nodes.Family
}

// Uniform returns a mesh with the given ends and k nodes in each element.
//
//go:noinline
func Uniform(x []float64, k int, family nodes.Family) Mesh {
	m := Mesh{X: x, Nodes: make([]int, len(x)-1), Family: family}
	for i := range m.Nodes {
		m.Nodes[i] = k
	}
	return m
}

// Grid is a problem on a mesh: the layout of its unknowns, ready to be assembled.
type Grid struct {
	P    *bvp.Problem
	Mesh Mesh

	n, s, jet, par int   // unknowns, state, jet, parameters
	maxOrder       int   // highest order
	jetAt, stateAt []int // offsets of each unknown in a jet and in a state
	bases          []*basis
	taps           []tap   // border unknowns that conditions need, in order of elements
	tapOf          [][]int // taps of each element
	where          [][]place
	isBreak        []bool // mesh point e (1 … E−1) is a break with its own continuity
}

// tap is the value of a derivative at a point that is not a plain entry of the first or last state.
type tap struct {
	value   bvp.PointValue
	element int
	s       float64
	weights [][]float64 // for each fold, the integrals up to s (basis.weightsAt)
}

// place says where a point value of a condition lives: the column in (z_0, z_E, q).
type place struct{ column int }

// NewGrid lays the problem out on the mesh. Points of conditions must lie in the interval.
func NewGrid(p *bvp.Problem, m Mesh) *Grid {
	g := &Grid{P: p, Mesh: m, n: len(p.Unknowns), s: p.State(), jet: p.Jet(), par: len(p.Parameters)}
	jo, so := 0, 0
	for _, u := range p.Unknowns {
		g.jetAt = append(g.jetAt, jo)
		g.stateAt = append(g.stateAt, so)
		jo += u.Order + 1
		so += u.Order
		g.maxOrder = max(g.maxOrder, u.Order)
	}
	E := len(m.Nodes)
	g.bases = make([]*basis, E)
	for e, k := range m.Nodes {
		if e > 0 && k == g.bases[e-1].k {
			g.bases[e] = g.bases[e-1]
		} else {
			g.bases[e] = basisFor(m.Family, k, g.maxOrder)
		}
	}
	g.isBreak = make([]bool, E+1)
	if p.Continuity != nil {
		for _, x := range p.Breaks {
			if e, ok := slices.BinarySearch(m.X, x); ok && e > 0 && e < E {
				g.isBreak[e] = true
			}
		}
	}
	// Taps, in order of elements, so that each element's rows are known before anything is assembled.
	for _, c := range p.Conditions {
		for _, v := range c.At {
			if g.plain(v) || g.tap(v) >= 0 {
				continue
			}
			e := g.Find(v.X)
			s := (v.X - m.X[e]) / (m.X[e+1] - m.X[e])
			g.taps = append(g.taps, tap{v, e, s, g.bases[e].weightsAt(s, g.maxOrder)})
		}
	}
	sort.SliceStable(g.taps, func(i, j int) bool { return g.taps[i].element < g.taps[j].element })
	g.tapOf = make([][]int, E)
	for i, t := range g.taps {
		g.tapOf[t.element] = append(g.tapOf[t.element], i)
	}
	for _, c := range p.Conditions {
		pl := make([]place, len(c.At))
		for i, v := range c.At {
			switch {
			case !g.plain(v):
				pl[i] = place{2*g.s + g.tap(v)}
			case v.X == m.X[0]:
				pl[i] = place{g.stateAt[v.Unknown] + v.Derivative}
			default:
				pl[i] = place{g.s + g.stateAt[v.Unknown] + v.Derivative}
			}
		}
		g.where = append(g.where, pl)
	}
	return g
}

// plain reports whether a point value is an entry of the first or the last state.
func (g *Grid) plain(v bvp.PointValue) bool {
	return v.Derivative < g.P.Unknowns[v.Unknown].Order && (v.X == g.Mesh.X[0] || v.X == g.Mesh.X[len(g.Mesh.X)-1])
}

// tap returns which tap a point value is; −1 where it is none.
func (g *Grid) tap(v bvp.PointValue) int {
	return slices.IndexFunc(g.taps, func(t tap) bool { return t.value == v })
}

// Find returns the element that holds x; a mesh point belongs to the element on its left, outside points to the nearest
// one.
func (g *Grid) Find(x float64) int { return findElement(g.Mesh.X, x) }

func findElement(mesh []float64, x float64) int {
	e := sort.SearchFloat64s(mesh, x) - 1
	return min(max(e, 0), len(mesh)-2)
}

// Elements returns the number of elements.
func (g *Grid) Elements() int { return len(g.Mesh.Nodes) }

// Unknowns returns how many numbers the discrete problem has.
func (g *Grid) Unknowns() int {
	t := (g.Elements()+1)*g.s + g.border()
	for _, k := range g.Mesh.Nodes {
		t += k * g.n
	}
	return t
}

func (g *Grid) border() int { return len(g.taps) + g.par }

// System returns an empty block system of the right shape.
func (g *Grid) System() *blocks.System {
	E := g.Elements()
	k, t := make([]int, E), make([]int, E)
	for e := range k {
		k[e], t[e] = g.n*g.Mesh.Nodes[e], len(g.tapOf[e])
	}
	return blocks.New(g.s, g.border(), k, t)
}

// Work returns the units of work (package budget) of assembling the Jacobian and of a residual.
func (g *Grid) Work() (assemble, residual float64) {
	evaluation := g.P.EvaluationWork()
	orders := float64(g.s + g.n)
	for e, k := range g.Mesh.Nodes {
		n := float64(k)
		residual += n*evaluation + n*n*orders
		width := n*float64(g.n) + float64(2*g.s+g.border())
		assemble += n*n*orders*float64(g.n) + (n*float64(g.n)+float64(g.s+len(g.tapOf[e])))*width
	}
	return residual + assemble, residual
}

// NewVector returns a zero vector of the discrete unknowns: û in U (unknown by unknown, k each), states in Z,
// border unknowns (taps, then the parameters) in Q.
func (g *Grid) NewVector() *blocks.Solution {
	return &g.NewVectors(1)[0]
}

// NewVectors returns n zero vectors.
func (g *Grid) NewVectors(n int) []blocks.Solution {
	return blocks.NewSolutions(n, g.s, g.border(), g.Elements(), func(e int) int { return g.n * g.Mesh.Nodes[e] })
}

// Parameters returns the parameters' part of a vector.
func (g *Grid) Parameters(v *blocks.Solution) []float64 { return v.Q[len(g.taps):] }

// Taps lists the values that the border unknowns in front of the parameters stand for.
func (g *Grid) Taps() []bvp.PointValue {
	out := make([]bvp.PointValue, len(g.taps))
	for i, t := range g.taps {
		out[i] = t.value
	}
	return out
}

// Fill sets a vector from a function that writes the jet at x. At the ends of an element the jet is asked for at
// the mesh point itself.
//
//go:noinline
func (g *Grid) Fill(v *blocks.Solution, jet func(x float64, jet []float64)) {
	g.fill(v, jet, func(x, jets []float64) {
		for i, at := range x {
			jet(at, jets[i*g.jet:(i+1)*g.jet])
		}
	})
}

// FillFrom sets a vector from a curve of the same problem.
//
//go:noinline
func (g *Grid) FillFrom(v *blocks.Solution, c *Curve) {
	g.fill(v, c.At, func(x, jets []float64) {
		e := c.g.Find(x[0])
		if e == c.g.Find(x[len(x)-1]) {
			c.AtAll(e, x, jets)
			return
		}
		for i, at := range x {
			c.At(at, jets[i*g.jet:(i+1)*g.jet])
		}
	})
}

// fill is Fill, with a function that writes the jets at the nodes of an element, one behind the other.
func (g *Grid) fill(v *blocks.Solution, jet func(x float64, jet []float64), inside func(x, jets []float64)) {
	most := slices.Max(g.Mesh.Nodes)
	store := make([]float64, g.jet+most+most*g.jet)
	j, places, jets := store[:g.jet], store[g.jet:][:most], store[g.jet+most:]
	for e, x := range g.Mesh.X {
		jet(x, j)
		for i, u := range g.P.Unknowns {
			copy(v.Z[e][g.stateAt[i]:], j[g.jetAt[i]:g.jetAt[i]+u.Order])
		}
	}
	for e, b := range g.bases {
		a, h := g.element(e)
		for node, s := range b.s {
			places[node] = a + h*s
		}
		inside(places[:b.k], jets)
		for i, u := range g.P.Unknowns {
			scale := math.Pow(h, float64(u.Order))
			for node := range b.k {
				v.U[e][i*b.k+node] = jets[node*g.jet+g.jetAt[i]+u.Order] * scale
			}
		}
	}
	for i, t := range g.taps {
		jet(t.value.X, j)
		v.Q[i] = j[g.jetAt[t.value.Unknown]+t.value.Derivative]
	}
}

func (g *Grid) element(e int) (a, h float64) {
	a = g.Mesh.X[e]
	return a, g.Mesh.X[e+1] - a
}
