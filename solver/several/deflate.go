package several

import (
	"context"
	"math"

	"nodespan/solver/blocks"
	"nodespan/solver/budget"
	"nodespan/solver/bvp"
	"nodespan/solver/collocation"
	"nodespan/solver/nodes"
)

// Limits of a deflated iteration.
const (
	deflatedSteps  = 40
	longestStep    = 4    // relative to one and the size of the iterate
	nearEnough     = 1e-5 // a relative correction after which an ordinary solve takes over
	apart          = 1e-4 // a relative distance below which an iterate has come to a known solution
	settling       = 6    // steps from a known solution to that of the grid, which it differs from
	settled        = 1e-2 // and how far that may be
	shift          = 1.0  // Farrell's α, with p = 2
	deflationMesh  = 20   // elements
	deflationNodes = 4
)

// deflation is Newton's iteration for equations with known solutions divided out: the residual counts
//
//	M(v) = Π (1/‖v − r‖² + 1)
//
// times, the product being over the known solutions r. The step is the one of the plain iteration times 1/(1 − δ), δ
// being the relative change of M along it (section 3.2 of the paper).
type deflation struct {
	g     *collocation.Grid
	ctx   context.Context
	asm   *collocation.Assembler
	sizes []float64
	known []*blocks.Solution
	at    []int // place of each unknown in a state
	work  float64
}

func newDeflation(p *bvp.Problem, sizes []float64, ctx context.Context) *deflation {
	x := bvp.Divide(p.Stretches(), max(1, deflationMesh/(1+len(p.Breaks))))
	d := &deflation{g: collocation.NewGrid(p, collocation.Uniform(x, deflationNodes, nodes.Legendre)), ctx: ctx,
		sizes: sizes}
	d.asm = d.g.NewAssembler()
	s := 0
	for _, u := range p.Unknowns {
		d.at = append(d.at, s)
		s += u.Order
	}
	assembly, _ := d.g.Work()
	elimination, substitution := d.g.System().Work()
	d.work = assembly + elimination + substitution
	return d
}

// vector samples a function on the grid.
func (d *deflation) vector(jet func(x float64, jet []float64), parameters []float64) *blocks.Solution {
	v := d.g.NewVector()
	d.g.Fill(v, jet)
	copy(d.g.Parameters(v), parameters)
	return v
}

// inner is the mean product of v − r and w in the sizes of the unknowns; r may be nil.
func (d *deflation) inner(v, r, w *blocks.Solution) float64 {
	sum := 0.0
	for e := range v.Z {
		for i, s := range d.at {
			a := v.Z[e][s]
			b := w.Z[e][s]
			if r != nil {
				a -= r.Z[e][s]
				if w == v {
					b = a
				}
			}
			sum += a * b / (d.sizes[i] * d.sizes[i])
		}
	}
	sum /= float64(len(v.Z))
	q, qw := d.g.Parameters(v), d.g.Parameters(w)
	for i := range q {
		a, b, unit := q[i], qw[i], 1.0
		if r != nil {
			old := d.g.Parameters(r)[i]
			unit = math.Max(1, math.Abs(old))
			a -= old
			if w == v {
				b = a
			}
		}
		sum += a * b / (unit * unit)
	}
	return sum
}

// find iterates from a start, and returns where it came to rest; nil where it did not, or came to a known solution.
func (d *deflation) find(v *blocks.Solution) *blocks.Solution {
	step := d.g.NewVector()
	for range deflatedSteps {
		if budget.Over(d.ctx) || !budget.Afford(d.ctx, d.work) {
			return nil
		}
		sys := d.g.System()
		rhs := sys.NewRHS()
		if !d.asm.Assemble(v, sys, rhs) || !sys.Factor() {
			return nil
		}
		sys.SolveTo(step, rhs)
		size := math.Sqrt(d.inner(step, nil, step))
		whole := 1 + math.Sqrt(d.inner(v, nil, v))
		if !bvp.Finite(size) || whole > escaped {
			return nil
		}
		if size <= nearEnough*whole {
			if d.arrived(v, whole) {
				return nil
			}
			return v
		}
		delta := 0.0
		for _, r := range d.known {
			square := math.Max(d.inner(v, r, v), 1e-20)
			delta -= 2 * d.inner(v, r, step) / square / (1 + shift*square)
		}
		factor := 1 / (1 - delta) // infinite for 1, where the longest step is taken
		if most := longestStep * whole / size; math.Abs(factor) > most {
			factor = math.Copysign(most, factor)
		}
		add(v, factor, step)
	}
	return nil
}

// know adds a known solution: the grid's own one beside it, where there is one.
func (d *deflation) know(r *blocks.Solution) {
	v := d.g.NewVector()
	add(v, 1, r)
	step := d.g.NewVector()
	for range settling {
		sys := d.g.System()
		rhs := sys.NewRHS()
		if !budget.Afford(d.ctx, d.work) || !d.asm.Assemble(v, sys, rhs) || !sys.Factor() {
			break
		}
		sys.SolveTo(step, rhs)
		add(v, 1, step)
		size, whole := math.Sqrt(d.inner(step, nil, step)), 1+math.Sqrt(d.inner(v, nil, v))
		if !(math.Sqrt(d.inner(v, r, v)) <= settled*whole) {
			break
		}
		if size <= 1e-10*whole {
			r = v
			break
		}
	}
	d.known = append(d.known, r)
}

// arrived reports whether a known solution is where the iteration came to.
func (d *deflation) arrived(v *blocks.Solution, whole float64) bool {
	for _, r := range d.known {
		if math.Sqrt(d.inner(v, r, v)) <= apart*whole {
			return true
		}
	}
	return false
}

// add sets v to v + f w.
//
//go:noinline
func add(v *blocks.Solution, f float64, w *blocks.Solution) {
	for i := range v.U {
		for j := range v.U[i] {
			v.U[i][j] += f * w.U[i][j]
		}
	}
	for i := range v.Z {
		for j := range v.Z[i] {
			v.Z[i][j] += f * w.Z[i][j]
		}
	}
	for j := range v.Q {
		v.Q[j] += f * w.Q[j]
	}
}
