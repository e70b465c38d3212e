package adapt

import (
	"context"

	"nodespan/solver/collocation"
)

// Stage is what a solve is at, for those who measure where its time goes.
type Stage int

const (
	Choosing  Stage = iota // of degree and mesh, and all else that is not told apart
	Iterating              // Newton's iteration on one mesh
	Judging                // a solution against a finer one
	Rounding               // the part of that which answers to rounding
)

type watchKey struct{}

// Watch returns a context that tells when the solves within it begin (true) and end (false) a stage, and of Newton's
// iterations on which grid. Stages stand inside each other.
func Watch(parent context.Context, told func(s Stage, begins bool, g *collocation.Grid)) context.Context {
	return context.WithValue(parent, watchKey{}, told)
}

// enter tells who watches that a stage begins, and returns what tells that it ends.
func enter(ctx context.Context, s Stage, g *collocation.Grid) (leave func()) {
	if ctx != nil {
		if told, ok := ctx.Value(watchKey{}).(func(Stage, bool, *collocation.Grid)); ok {
			told(s, true, g)
			return func() { told(s, false, g) }
		}
	}
	return func() {}
}
