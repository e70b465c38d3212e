package page

import "testing"

var phases = []phase{starting, typing, ahead, withheld, solving, current, unfinished, faulty, unsolved, stopped}

// What people do and what replies come, in order, and the phase after each.
func TestPhases(t *testing.T) {
	type step struct {
		event event
		after phase
	}
	for name, steps := range map[string][]step{
		"the page opens":             {{asked, solving}, {gotAnswer, current}, {paused, current}},
		"it opens on a faulty sheet": {{asked, solving}, {gotFault, faulty}},
		"a word is typed": {
			{changed, typing}, {changed, typing}, {paused, solving}, {gotAnswer, current},
		},
		"an old reply comes meanwhile": {
			{changed, typing}, {gotAnswer, typing}, {gotFault, typing}, {gotNothing, typing}, {paused, solving},
		},
		"a sheet is left unfinished": {{asked, solving}, {gotLack, unfinished}, {pausedLong, faulty}},
		"it is finished in time": {
			{asked, solving}, {gotLack, unfinished}, {changed, typing}, {pausedLong, typing},
		},
		"there is no solution": {{asked, solving}, {gotNothing, unsolved}, {changed, typing}},
		"a solve is stopped":   {{asked, solving}, {gaveUp, stopped}, {paused, stopped}, {asked, solving}},
		"a letter is typed":    {{askedAhead, ahead}, {gotAnswer, current}, {paused, current}},
		"two letters are typed": {
			{askedAhead, ahead}, {changed, typing}, {gotAnswer, typing}, {paused, solving},
		},
		"a newer solve before an older": {{asked, solving}, {asked, solving}, {gotAnswer, current}},
	} {
		now := starting
		for i, s := range steps {
			if now = now.next(s.event); now != s.after {
				t.Errorf("%s: step %d leads to %v, want %v", name, i, now, s.after)
			}
		}
	}
}

// The first change after a pause is answered at once when that gives an answer; anything else waits for the next pause.
func TestAhead(t *testing.T) {
	for reply, want := range map[event][2]phase{
		gotAnswer:  {current, current},
		gotNothing: {withheld, unsolved},
		gotFault:   {withheld, faulty},
		gotLack:    {withheld, unfinished},
	} {
		if got := ahead.next(reply); got != want[0] {
			t.Errorf("reply %v ahead leads to %v, want %v", reply, got, want[0])
		}
		if now := ahead.next(reply); now == withheld {
			if got := now.next(paused).next(reply); got != want[1] { // what was withheld is told as if it came now
				t.Errorf("reply %v told late leads to %v, want %v", reply, got, want[1])
			}
		}
		if got := ahead.next(paused).next(reply); got != want[1] {
			t.Errorf("reply %v after the pause leads to %v, want %v", reply, got, want[1])
		}
	}
	if withheld.next(changed) != typing {
		t.Error("what is withheld is forgotten with the next change")
	}
}

// Only the answer to the sheet as it stands is given away; without an answer, nothing is in any phase.
func TestStanding(t *testing.T) {
	want := map[phase]standing{
		starting: nothing, unsolved: nothing, current: ofThis, faulty: ofLast, stopped: ofLast,
		typing: before, ahead: before, withheld: before, solving: before, unfinished: before,
	}
	for _, p := range phases {
		if got := p.standing(true); got != want[p] {
			t.Errorf("phase %v: %v, want %v", p, got, want[p])
		}
		if got := p.standing(false); got != nothing {
			t.Errorf("phase %v without an answer: %v", p, got)
		}
		if given := p.standing(true).why() == ""; given != (p == current) {
			t.Errorf("phase %v: given away: %v", p, given)
		}
	}
}
