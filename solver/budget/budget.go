// Package budget counts what a solve costs and ends it when that is enough. The count is of arithmetic, never of time,
// so that a slow machine and a fast one stop at the same place and give the same answer.
//
// A Budget is a context: whatever asks a context whether to go on asks a budget as well. Who does the work counts it
// with Spend; budgets stand inside each other, and what one counts all those around it count too.
package budget

import (
	"context"
	"errors"
	"math"
)

// Default is the work of one solve where nothing else is said: about five seconds natively on one core, where a unit
// takes one to two nanoseconds, and about four times that as WebAssembly.
const Default = 3_000_000_000

// ErrSpent is what the Err of a budget returns when its work has been done.
var ErrSpent = errors.New("the work budget is spent")

// Budget is an amount of work. It is for one goroutine.
type Budget struct {
	context.Context
	limit, spent int64
}

// Within returns a budget of the given number of units inside a context, which may be nil, and which may be or hold a
// budget itself.
func Within(parent context.Context, units int64) *Budget {
	if parent == nil {
		parent = context.Background()
	}
	return &Budget{Context: parent, limit: units}
}

// Part returns a budget of a share, 0 to 1, of what is left in the innermost budget of a context; of Default where
// there is none.
func Part(parent context.Context, share float64) *Budget {
	left := int64(Default)
	if b := of(parent); b != nil {
		left = b.Left()
	}
	return Within(parent, int64(share*float64(left)))
}

// Err is the error of the context around it, or else ErrSpent once the work has been done.
func (b *Budget) Err() error {
	if err := b.Context.Err(); err != nil {
		return err
	}
	if b.spent >= b.limit {
		return ErrSpent
	}
	return nil
}

// Spent returns the units counted so far.
func (b *Budget) Spent() int64 { return b.spent }

// Left returns the units that may still be counted here and in every budget around.
func (b *Budget) Left() int64 {
	left := max(0, b.limit-b.spent)
	if outer := of(b.Context); outer != nil {
		left = min(left, outer.Left())
	}
	return left
}

type key struct{}

// Value returns the innermost budget for this package's key, and else what the context around it holds.
func (b *Budget) Value(k any) any {
	if k == (key{}) {
		return b
	}
	return b.Context.Value(k)
}

// of returns the innermost budget of a context, nil where there is none.
//
//go:noinline
func of(ctx context.Context) *Budget {
	if ctx == nil {
		return nil
	}
	b, _ := ctx.Value(key{}).(*Budget)
	return b
}

// Spend counts units of work, one for a multiplication with an addition, in every budget of a context; it may be nil.
func Spend(ctx context.Context, units float64) {
	n := int64(math.Min(math.Max(units, 0), math.MaxInt64/4))
	for b := of(ctx); b != nil; b = of(b.Context) {
		b.spent = min(b.spent+n, math.MaxInt64/2)
	}
}

// Afford counts units of work that are about to be done, as Spend does, and reports whether there are so many left.
// Where there are not, what is left is used up: the work is not to be begun. The context may be nil.
func Afford(ctx context.Context, units float64) bool {
	if b := of(ctx); b != nil && units > float64(b.Left()) {
		Spend(ctx, float64(b.Left()))
		return false
	}
	Spend(ctx, units)
	return true
}

// Over reports whether a context asks to stop: cancelled, or its work done. It may be nil.
//
//go:noinline
func Over(ctx context.Context) bool { return ctx != nil && ctx.Err() != nil }

// Reason says in a sentence why a context asks to stop.
//
//go:noinline
func Reason(ctx context.Context) string {
	if Spent(ctx) {
		return "the work that one solve may take is done, and the tolerance is not met"
	}
	return "the work was cancelled"
}

// Spent reports whether it is the work that is done: the context has not been cancelled otherwise.
func Spent(ctx context.Context) bool { return ctx != nil && errors.Is(ctx.Err(), ErrSpent) }
