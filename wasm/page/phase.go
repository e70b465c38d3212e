package page

// phase says how far the page is with the sheet and the method as they stand now. What is shown belongs to them in
// phase current alone; in the others it belongs to an earlier sheet, or nothing is shown.
type phase int

const (
	starting   phase = iota // nothing was solved yet
	typing                  // they were changed, and are solved when the typing pauses
	ahead                   // the first change after a pause: solved at once, though more changes may be on their way
	withheld                // that solve found a fault or no solution, which is told when the typing pauses
	solving                 // they are being solved
	current                 // the answer to them is shown
	unfinished              // the sheet merely lacks something, which is told when the typing has paused for long
	faulty                  // the sheet cannot be read, and this is told
	unsolved                // there is no solution that could be shown, and this is told
	stopped                 // the solve was given up, or never begun, and this is told
)

// event is what can happen to the sheet and its solve.
type event int

const (
	changed    event = iota // the sheet or the method was changed by typing
	asked                   // a solve of them as they stand was begun
	askedAhead              // the same, before the typing paused
	paused                  // the typing paused
	gotAnswer               // the solve ended with a solution
	gotNothing              // it ended without
	gotFault                // the sheet cannot be read
	gotLack                 // the sheet is unfinished
	pausedLong              // an unfinished sheet was left alone for long
	gaveUp                  // the solve was stopped, or broke off, or was refused
)

// next is the phase that follows. What an event means depends on the phase alone.
func (now phase) next(e event) phase {
	switch e {
	case changed:
		return typing
	case asked:
		return solving
	case askedAhead:
		return ahead
	case gaveUp:
		return stopped
	case paused:
		if now == typing || now == ahead || now == withheld {
			return solving
		}
	case pausedLong:
		if now == unfinished {
			return faulty
		}
	case gotAnswer, gotNothing, gotFault, gotLack:
		return now.after(e)
	}
	return now
}

// after is the phase that follows a reply.
func (now phase) after(reply event) phase {
	switch now {
	case typing:
		return typing // the reply is to what stood there before
	case ahead:
		if reply != gotAnswer {
			return withheld
		}
	}
	return map[event]phase{gotAnswer: current, gotNothing: unsolved, gotFault: faulty, gotLack: unfinished}[reply]
}

// standing says to which sheet what is shown below the sheet belongs.
type standing int

const (
	nothing standing = iota // nothing is shown
	ofThis                  // the sheet as it stands
	before                  // the one of a moment ago, whose successor is on its way
	ofLast                  // the last one that had an answer, and so it is marked
)

// standing tells it of a phase. Once the sheet was found to have no solution, nothing is shown until there is one
// again.
//
//go:noinline
func (now phase) standing(shown bool) standing {
	switch {
	case !shown || now == starting || now == unsolved:
		return nothing
	case now == current:
		return ofThis
	case now == faulty || now == stopped:
		return ofLast
	}
	return before
}

// why says in a sentence why nothing is copied, saved or compared now; "" where it can be.
func (s standing) why() string {
	switch s {
	case nothing:
		return "There is no solution yet."
	case before:
		return "The sheet has changed, and its answer is on the way."
	case ofLast:
		return "The sheet has changed and has no answer yet; what is shown belongs to an earlier one."
	}
	return ""
}
