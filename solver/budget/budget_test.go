package budget

import (
	"context"
	"errors"
	"testing"
)

func TestBudget(t *testing.T) {
	outer := Within(context.Background(), 100)
	inner := Within(outer, 30)
	Spend(inner, 29)
	if inner.Err() != nil || outer.Err() != nil {
		t.Fatal("a budget ended early")
	}
	Spend(inner, 1)
	if !Spent(inner) || Over(outer) {
		t.Error("the inner budget must end, and the outer must not")
	}
	if inner.Left() != 0 || outer.Left() != 70 || outer.Spent() != 30 {
		t.Errorf("left %d and %d, spent %d; want 0, 70, 30", inner.Left(), outer.Left(), outer.Spent())
	}
	var none context.Context // of callers without a budget
	if Afford(outer, 71) || outer.Left() != 0 || Within(none, 5).Left() != 5 {
		t.Error("71 units of 70, of which none is left")
	}
	outer = Within(context.Background(), 100)
	if !Afford(outer, 30) || outer.Spent() != 30 || !Afford(none, 1e99) {
		t.Error("30 units of 100")
	}
	part := Part(outer, 0.5)
	if part.Left() != 35 || Part(none, 0.25).Left() != Default/4 {
		t.Error("a part is a share of what is left")
	}
	Spend(part, 0)
	Spend(part, -5)
	if part.Left() != 35 {
		t.Error("nothing was done")
	}
	Spend(part, 35)
	if !Spent(part) || Over(outer) {
		t.Error("half of what is left is 35")
	}
	// What holds a budget ends with it.
	late := Within(outer, 1000)
	if late.Left() != 35 {
		t.Errorf("left %d, want 35: no more than the budget around", late.Left())
	}
	Spend(late, 35)
	if !Spent(late) || !Spent(outer) {
		t.Error("a budget must end with the one around it")
	}
	if last := Within(none, 7); !Afford(last, 7) || last.Left() != 0 || Afford(last, 1) {
		t.Error("all that is left may be used")
	}
}

func TestCancelled(t *testing.T) {
	ctx, cancel := context.WithCancel(context.Background())
	b := Within(ctx, 10)
	derived, stop := context.WithCancel(b)
	defer stop()
	Spend(derived, 4)
	if b.Spent() != 4 {
		t.Errorf("%d counted through a context, want 4", b.Spent())
	}
	cancel()
	if !Over(b) || Spent(b) || !errors.Is(b.Err(), context.Canceled) {
		t.Error("a cancelled context is not a spent one")
	}
	spent := Within(context.Background(), 0)
	if Reason(b) != "the work was cancelled" ||
		Reason(spent) != "the work that one solve may take is done, and the tolerance is not met" {
		t.Errorf("%q, %q", Reason(b), Reason(spent))
	}
}

func TestNil(t *testing.T) {
	var none context.Context
	Spend(none, 1e300)
	if Over(none) || Spent(none) {
		t.Error("no context never ends")
	}
	b := Within(none, 1)
	for range 8 {
		Spend(b, 1e300)
		if !Spent(b) {
			t.Error("a huge count must end a budget")
		}
	}
}
