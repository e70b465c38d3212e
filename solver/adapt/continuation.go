package adapt

import (
	"math"
	"slices"
	"sort"

	"nodespan/solver/bvp"
	"nodespan/solver/collocation"
	"nodespan/solver/newton"
)

// Limits of a continuation.
const (
	smallestStep  = 1.0 / 256 // of the path from 0 to 1
	mostPathSteps = 80
	wayShare      = 0.5  // of the work that is left, for each way
	pathTol       = 1e-3 // on the way, an outline is enough
)

// path is a family of problems that ends at the one to be solved.
type path struct {
	name string
	at   func(s float64) *bvp.Problem // s = 1 is the problem itself
	// known says that the first guess solves the problem at s = 0.
	known bool
}

// follow tries the ways from an easier problem to p in turn and returns the answer of the first that arrives, or nil.
// An answer that is short of the tolerance counts: another way leads to the same equations and cannot do better.
func follow(p *bvp.Problem, o Options) *Answer {
	for _, w := range slices.Concat(constants(p), []path{stretching(p)}, homotopies(p)) {
		if o.cancelled() {
			return nil
		}
		if a := w.follow(o.part(wayShare)); a != nil {
			a.Way = w.name
			return a
		}
	}
	return nil
}

// constants lists the continuations in the problem's own constants: the constant c goes from sign(c) to c,
// geometrically. The one farthest from 1 comes first.
func constants(p *bvp.Problem) []path {
	if p.With == nil {
		return nil
	}
	var order []int
	values := make([]float64, len(p.Constants))
	far := func(i int) float64 { return math.Abs(math.Log(math.Abs(values[i]))) }
	for i, c := range p.Constants {
		values[i] = c.Value
		if c.Value != 0 && !math.IsInf(c.Value, 0) && far(i) > 0.3 {
			order = append(order, i)
		}
	}
	sort.SliceStable(order, func(i, j int) bool { return far(order[i]) > far(order[j]) })
	var out []path
	for _, i := range order {
		at := func(s float64) *bvp.Problem {
			v := slices.Clone(values)
			v[i] = math.Copysign(math.Pow(math.Abs(v[i]), s), v[i])
			if s == 1 {
				return p
			}
			return p.With(v)
		}
		// A constant that moves the ends or the breaks changes the mesh: not a path to follow.
		if q := at(0.5); q == nil || q.A != p.A || q.B != p.B || !slices.Equal(q.Breaks, p.Breaks) {
			continue
		}
		out = append(out, path{name: "continuation in " + p.Constants[i].Name, at: at})
	}
	return out
}

// mostStretched is by how much the highest derivatives count for more where a continuation in them begins.
const mostStretched = 1e6

// stretching is the continuation in the size of the highest derivatives, which enter as c y^(m) with c going
// geometrically to 1: layers and fronts begin wide, and what is fast in time slow.
func stretching(p *bvp.Problem) path {
	return path{name: "continuation in the size of the highest derivatives", at: func(s float64) *bvp.Problem {
		if s == 1 {
			return p
		}
		c := math.Pow(mostStretched, 1-s)
		q := *p
		at := make([]float64, p.Jet()+len(p.Parameters))
		q.Equations = func(x float64, in, f, df []float64) {
			copy(at, in)
			for i, u := range p.Unknowns {
				at[p.JetOffset(i)+u.Order] *= c
			}
			p.Equations(x, at, f, df)
			for row := range len(df) / len(at) {
				for i, u := range p.Unknowns {
					df[row*len(at)+p.JetOffset(i)+u.Order] *= c
				}
			}
		}
		return &q
	}}
}

// mostKept is at how many places the residual of a guess is kept.
const mostKept = 1 << 17

// residualOf returns the residual of a guess, which is worked out once at each place: a guess may be dear, and the
// nodes of a mesh are asked in every iteration. jet holds the sought numbers, and is overwritten before them.
func residualOf(p *bvp.Problem, guess func(float64, []float64), jet []float64) func(x float64) []float64 {
	kept := map[float64][]float64{}
	return func(x float64) []float64 {
		f, ok := kept[x]
		if !ok {
			f = make([]float64, len(p.Unknowns))
			guess(x, jet[:p.Jet()])
			p.Equations(x, jet, f, nil)
			if len(kept) >= mostKept {
				clear(kept)
			}
			kept[x] = f
		}
		return f
	}
}

// homotopies lists the ways that any problem has: the residual of the first guess is taken away and given back,
//
//	F(x, y) − (1 − s) F(x, y_guess(x)) = 0,
//
// for the equations and the conditions alike (the Newton homotopy of E. L. Allgower and K. Georg, Numerical
// Continuation Methods, 1990).
func homotopies(p *bvp.Problem) []path {
	var guesses []func(x float64, jet []float64)
	if p.Guess != nil {
		guesses = append(guesses, p.Guess)
	} else {
		levels := []float64{0, 1}
		if size := sizeByConditions(p); len(p.Parameters) > 0 && size != 1 {
			levels = append(levels, size)
		}
		for _, c := range levels {
			guesses = append(guesses, func(_ float64, jet []float64) {
				clear(jet)
				for i := range p.Unknowns {
					jet[p.JetOffset(i)] = c
				}
			})
		}
		if c := interpolant(p); c != nil {
			guesses = append([]func(x float64, jet []float64){jetOf(c, p)}, guesses...)
		}
	}
	var out []path
	for _, guess := range guesses {
		out = append(out, path{name: "a homotopy from the first guess", known: true, at: func(s float64) *bvp.Problem {
			if s == 1 {
				return p
			}
			q := *p
			q.Guess = guess
			jet := make([]float64, p.Jet()+len(p.Parameters))
			for i, par := range p.Parameters {
				jet[p.Jet()+i] = 1
				if par.HasGuess {
					jet[p.Jet()+i] = par.Guess
				}
			}
			left := residualOf(p, guess, jet)
			q.Equations = func(x float64, in, f, df []float64) {
				f0 := left(x)
				p.Equations(x, in, f, df)
				for i := range f {
					f[i] -= (1 - s) * f0[i]
				}
			}
			q.Conditions = slices.Clone(p.Conditions)
			for i, c := range p.Conditions {
				in := make([]float64, 0, len(c.At)+len(p.Parameters))
				for _, v := range c.At {
					guess(v.X, jet[:p.Jet()])
					in = append(in, jet[p.JetOffset(v.Unknown)+v.Derivative])
				}
				in = append(in, jet[p.Jet():]...)
				g0 := c.Residual(in, nil)
				q.Conditions[i].Residual = func(in, dg []float64) float64 { return c.Residual(in, dg) - (1-s)*g0 }
			}
			return &q
		}})
	}
	return out
}

// follow goes along the path with steps that adapt to what Newton's iteration can do.
func (w path) follow(o Options) *Answer {
	loose := o
	loose.Tol = math.Max(o.Tol, pathTol)
	loose.Elements, loose.Nodes = 0, 0
	var at *collocation.Curve
	s := 0.0
	if !w.known {
		for _, s = range []float64{0.75, 0.5, 0.25, 0} {
			o.say("%s, %.0f %% of the way", w.name, 100*s)
			if a := pieces(w.at(s), loose, nil); a.Met {
				at = a.Curve
				break
			}
		}
		if at == nil {
			return nil
		}
	}
	step := math.Min(1-s, 0.5)
	for range mostPathSteps {
		if o.cancelled() {
			return nil
		}
		next := s + step
		if next >= 1 {
			next = 1
		}
		o.say("%s, %.0f %% of the way", w.name, 100*next)
		opt := loose
		if next == 1 {
			opt = o
		}
		a := pieces(w.at(next), opt, at)
		if a.Met || (next == 1 && a.Curve != nil && a.Outcome == newton.Converged) {
			if next == 1 {
				return a
			}
			at, s = a.Curve, next
			step *= 2
			continue
		}
		step /= 2
		if step < smallestStep {
			return nil
		}
	}
	return nil
}
