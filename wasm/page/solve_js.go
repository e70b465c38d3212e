//go:build js && wasm

package page

import (
	"strconv"
	"strings"

	"nodespan/wasm/link"
	"nodespan/wasm/wire"
)

// The course from a change of the sheet to its answer; phase.go says what follows what.

// In milliseconds:
const (
	pause      = 150  // without a keystroke, after which the sheet is solved
	longPause  = 1500 // without a keystroke, after which an unfinished sheet is told what it lacks
	slowAfter  = 300  // of solving, after which the page says what is being tried
	spareAfter = 150  // that an answer has the machine to itself before the ladder is climbed
)

// standing says to which sheet what is shown belongs.
//
//go:noinline
func (p *page) standing() standing { return p.phase.standing(p.shown != nil) }

// enter goes on to a phase: what is shown is marked as what it is, and only what belongs to the sheet as it stands
// can be taken.
func (p *page) enter(to phase) {
	p.phase = to
	s := p.standing()
	p.below.set(s)
	if s != before { // a moment ago: it stays as it is marked
		p.markPast(s)
	}
	switch s {
	case nothing:
		p.figure.setOwn(nil)
		p.opinions.clear(false)
		p.findings.clear()
	case ofLast:
		p.opinions.leave()
	}
	if s == nothing || s == ofLast || s == before && p.numbers.judged {
		p.numbers.wait(s)
	}
	p.tellBrief()
	p.showBusy()
}

// tellBrief has one line ready for a narrow window whose sheet is written in: the answer, or what is wrong.
func (p *page) tellBrief() {
	if p.standing() == before {
		return
	}
	text := p.sheet.fault.TextContent()
	classed(p.brief, "faulty", text != "")
	if text == "" {
		text = p.answer.pane.Get("firstElementChild").Get("textContent").String()
	}
	setText(p.brief, text)
}

// markPast marks what belongs to the last sheet that had an answer, where that is so.
func (p *page) markPast(s standing) {
	past := s == ofLast
	p.reading.setPast(past || p.phase == faulty)
	p.answer.setPast(past && p.phase == faulty) // else the answer's place is taken by the reason
	p.figure.dim(past)
	p.table.setPast(past)
	p.ladder.setPast(past)
	p.findings.setPast(past)
	p.working.setPast(past)
}

// leave comes before every new solve: nothing more is to come about the sheet that was.
func (p *page) leave() {
	p.timers.typing.stop()
	p.timers.unfinished.stop()
	p.timers.spare.stop()
	p.timers.working.stop()
	p.withheld = nil
	for _, kind := range []wire.Kind{
		wire.Climb, wire.Search, wire.Exact, wire.Agree, wire.Compare, wire.Working, wire.Origin, wire.Export,
	} {
		p.workers.idle(kind)
	}
	for about := range topics {
		switch about {
		case theSolve, theReadout, theWindow: // these belong to the figure, which is still looked at
		default:
			p.latest[about] = 0
		}
	}
	p.opinions.leave()
	p.trace.leave()
	p.exports.leave(before.why())
}

// sheetEdited follows what somebody types into the sheet.
func (p *page) sheetEdited() {
	p.desks.edited = true
	p.edited()
}

// edited answers the first change after a pause at once, and waits for the next pause when more follow.
func (p *page) edited() {
	resting := !p.timers.typing.pending && !p.workers.busy() && p.phase != starting
	p.leave()
	if !resting || !p.begin(askedAhead) {
		p.enter(p.phase.next(changed))
	}
	p.timers.typing.start(pause)
	p.touched()
	p.showBusy()
}

// rested comes after a pause in the typing.
func (p *page) rested() {
	held := p.withheld
	p.withheld = nil
	switch {
	case held != nil:
		p.phase = p.phase.next(paused)
		p.receiveSolve(*held)
	case p.phase == typing:
		p.solveNow()
	default:
		p.enter(p.phase.next(paused))
	}
	p.showBusy()
}

// restedLong comes when an unfinished sheet was left alone for long.
func (p *page) restedLong() {
	if to := p.phase.next(pausedLong); to != p.phase {
		p.tell(&p.lacking)
		p.enter(to)
	}
}

// solveNow asks for the problem as it now stands.
func (p *page) solveNow() {
	p.leave()
	if !p.begin(asked) {
		n, most := strconv.Itoa(len(p.sheet.text())), strconv.Itoa(link.MaxSheet)
		p.refuse("This sheet is too long: " + n + " bytes, where " + most + " are the most. " +
			"Leave out what is not part of the problem.")
	}
}

// begin begins a solve, unless the sheet is too long.
func (p *page) begin(e event) bool {
	text := p.sheet.text()
	if len(text) > link.MaxSheet {
		return false
	}
	p.asked = wire.Request{Kind: wire.Solve, Sheet: text, Method: p.method.get(), Moving: p.moving()}
	p.progress = "Solving …"
	p.timers.slow.start(slowAfter)
	p.latest[theSolve] = p.workers.ask(p.asked)
	p.enter(p.phase.next(e))
	return true
}

// showBusy tells readers of screens, and tests, whether the answer that stands there is still to change.
func (p *page) showBusy() {
	busy := p.timers.typing.pending || p.workers.busy() || p.moving()
	p.answer.pane.SetAttribute("aria-busy", strconv.FormatBool(busy))
}

// showProgress says what is being tried. What stands on the page is by then the answer to an older sheet.
func (p *page) showProgress() {
	if p.workers.busy() {
		p.answer.setProgress(p.progress)
		p.answer.setAwaited(true)
		p.figure.dim(true)
		p.table.setAwaited(true)
		p.ladder.dim(true)
	}
}

func (p *page) endProgress() {
	p.timers.slow.stop()
	p.answer.setProgress("")
	p.answer.setAwaited(false)
	p.table.setAwaited(false)
}

// refuse says why nothing is solved.
func (p *page) refuse(sentence string) {
	p.endProgress()
	p.latest[theSolve] = 0 // should one still run, its answer is not to the sheet as it stands
	if p.shown != nil {
		sentence += " What is shown below is of the last sheet that was solved."
	}
	p.answer.say(sentence)
	p.enter(p.phase.next(gaveUp))
}

// cancel gives up the running solve.
func (p *page) cancel() {
	p.workers.cancel()
	p.leave()
	p.refuse("Stopped.")
	p.sheet.area.Focus()
}

// died says that the worker failed, once; a fresh one is in its place already.
func (p *page) died(reason string) {
	if p.phase == typing { // what has changed since is solved afresh anyway
		p.endProgress()
		return
	}
	// An error of a worker reaches the page as a sentence of the browser's and nothing else.
	if strings.Contains(reason, "call stack") || strings.Contains(reason, "recursion") {
		p.refuse("This sheet is nested too deeply for the browser; the calculation was given up. " +
			"Shorter formulas, or names for their parts, help.")
		return
	}
	p.refuse("The calculation broke off (" + strings.TrimPrefix(reason, "Uncaught ") +
		") and was started afresh; the sheet is untouched. Changing it, or the method, tries again.")
}

// receiveSolve shows what comes of the last solve: progress, how the sheet was read, the answer.
func (p *page) receiveSolve(r wire.Reply) {
	if r.Kind == wire.Progress {
		p.progress = r.Words
		if !p.timers.slow.pending {
			p.showProgress()
		}
		return
	}
	if r.Last {
		p.endProgress()
		p.moves.chase.ask()
	}
	switch {
	case r.Reading != nil && len(r.Reading.Faults) > 0:
		p.receiveFault(r)
	case r.Reading != nil:
		p.showReading(r.Reading)
	case r.Answer != nil && r.Answer.Usable:
		p.showAnswer(r.Answer)
	case r.Answer != nil && p.moving(): // what is shown stays in its place until the finger rests
		p.answer.set(r.Answer)
		p.figure.dim(true)
	case r.Answer != nil:
		if to := p.phase.next(gotNothing); p.take(to, r) {
			p.showNone(r.Answer)
			p.enter(to)
		}
	}
	p.showBusy()
}

// take reports whether a reply is told now. What the first change after a pause brings about, and is no answer, is
// withheld until the typing pauses: more may be on its way.
func (p *page) take(to phase, r wire.Reply) bool {
	if to == withheld {
		p.withheld = &r
		p.enter(withheld)
	}
	return to != withheld && to != typing
}

// receiveFault takes a sheet that cannot be read. One that is merely unfinished keeps everything as it was until the
// typing has paused for long.
func (p *page) receiveFault(r wire.Reply) {
	e := gotFault
	if r.Reading.Incomplete && p.shown != nil {
		e = gotLack
	}
	to := p.phase.next(e)
	if !p.take(to, r) {
		return
	}
	if to == unfinished {
		p.sheet.setReading(r.Reading)
		p.lacking = *r.Reading
		p.timers.unfinished.start(longPause)
	} else {
		p.tell(r.Reading)
	}
	p.enter(to)
}

// tell says what is wrong with the sheet, or what it lacks.
func (p *page) tell(r *wire.Reading) {
	p.sheet.setReading(r)
	classed(p.sheet.fault, "unfinished", r.Incomplete)
	setText(p.sheet.fault, faultSentence(r.Faults[0]))
	p.sheet.ask(&r.Faults[0])
	switch {
	case p.shown == nil:
		p.answer.say("There is no answer yet: the sheet cannot be read.")
	case p.answer.says: // why a solve was given up
		p.answer.set(p.shown.answer)
	}
}

// showReading shows how the sheet was read.
func (p *page) showReading(r *wire.Reading) {
	if p.phase == typing {
		return // of a text that has changed since
	}
	setText(p.sheet.fault, "")
	p.sheet.ask(nil)
	if p.moving() {
		p.reading.follow(r)
		return
	}
	p.sheet.setReading(r)
	p.reading.set(r, p.moves.given)
	p.moves.given = ""
}

// showAnswer shows an answer, and has what goes with it made.
func (p *page) showAnswer(a *wire.Answer) {
	p.shown = &shown{p.asked, a}
	p.figure.set(a) // first, before the page is laid out anew: it is what is looked at while typing
	p.answer.set(a)
	p.method.setAnswer(a)
	p.table.set(a.Table)
	if p.moving() { // the rest waits until the finger rests
		p.enter(p.phase.next(gotAnswer))
		return
	}
	p.working.renew()
	p.opinions.clear(true)
	p.findings.clear()
	p.trace.offer(true)
	p.ladder.ask(p.climb())
	p.enter(p.phase.next(gotAnswer))
	p.figure.fit()
	p.tellWhole()
	p.frames.renew()
	p.timers.spare.start(spareAfter)
	p.timers.working.start(lessonAfter)
}

// showNone says why there is no solution that could be shown.
func (p *page) showNone(a *wire.Answer) {
	p.shown = nil
	p.figure.set(a)
	p.answer.set(a)
	p.method.setAnswer(a)
	p.working.renew()
	p.trace.offer(true)
	p.timers.spare.start(spareAfter)
}
