//go:build js && wasm

package page

import (
	"strconv"

	"nodespan/wasm/wire"
)

// What shows how far an answer can be trusted is worked out after it, in the reserve worker's spare time.

// climbAfter is how many milliseconds the answer has the machine to itself before the ladder is climbed.
const climbAfter = 150

// doubt asks for everything that belongs to the answer that has just come, and leaves off what was about the one before
// it.
func (p *page) doubt(a *wire.Answer) {
	p.rest()
	p.used = a.Used
	p.hasExact = a.HasExact
	p.climb, p.exact, p.agree, p.compare = 0, 0, 0, 0
	p.opinions.clear(a.Usable)
	p.ladder.ask(p.ladder.request(*p.good, p.used), p.used)
	p.spare.start(climbAfter)
}

// doubtNow asks once the answer has had its time.
func (p *page) doubtNow() {
	if p.good == nil {
		return
	}
	p.climbNow()
	if p.hasExact {
		p.exact = p.askSpare(wire.Request{Kind: wire.Exact})
	}
	p.compareNow()
}

// askSpare asks about the answer that is shown, in spare time.
func (p *page) askSpare(q wire.Request) int {
	q.Sheet, q.Method = p.good.Sheet, p.good.Method
	return p.workers.spare(q)
}

// climbNow asks for the ladder.
func (p *page) climbNow() {
	if p.good == nil {
		return
	}
	q := p.ladder.request(*p.good, p.used)
	p.ladder.ask(q, p.used)
	p.climb = p.workers.spare(q)
}

// compareNow asks how the reader's own numbers compare.
func (p *page) compareNow() {
	text := p.numbers.text()
	switch {
	case text == "":
		p.compare = 0
		p.numbers.set(nil)
		p.figure.setOwn(nil)
	case len(text) > mostNumbers:
		p.compare = 0
		p.numbers.say("This is more than " + strconv.Itoa(mostNumbers) + " characters; paste fewer rows.")
		p.figure.setOwn(nil)
	case p.good == nil:
		p.numbers.say("There is no solution yet to compare these numbers with.")
	default:
		p.numbers.asked = text
		p.compare = p.askSpare(wire.Request{Kind: wire.Compare, Numbers: text})
	}
}

// checkNow has the sheet solved by other methods.
func (p *page) checkNow() {
	if p.good != nil {
		p.agree = p.askSpare(wire.Request{Kind: wire.Agree, Point: written(p.answer.ask.Value())})
	}
}

// rest leaves off what is done in spare time: the sheet is being changed.
func (p *page) rest() {
	p.spare.stop()
	for _, kind := range []wire.Kind{wire.Climb, wire.Exact, wire.Agree, wire.Compare} {
		p.workers.idle(kind)
	}
}

// receiveDoubt shows what was worked out in spare time.
func (p *page) receiveDoubt(r wire.Reply) {
	switch {
	case r.Kind == wire.Climb && r.ID == p.climb && r.Ladder != nil:
		p.ladder.set(r.Ladder)
	case r.Kind == wire.Agree && r.ID == p.agree:
		p.opinions.setAgreement(r.Agreement)
	case r.Kind == wire.Exact && r.ID == p.exact:
		p.opinions.setExactness(r.Exactness)
		p.figure.setError(r.Exactness)
	case r.Kind == wire.Compare && r.ID == p.compare && p.numbers.asked == p.numbers.text():
		p.numbers.set(r.Comparison)
		p.figure.setOwn(r.Comparison)
	}
}

// chooseRung solves with the number of nodes of a rung.
func (p *page) chooseRung(m wire.Method) {
	now := p.method.get()
	m.Digits, m.Mode = now.Digits, now.Mode
	p.method.set(m)
	p.method.setChosen("")
	p.solveNow()
}

// chooseMode shows another eigenfunction.
func (p *page) chooseMode(mode int) {
	p.method.mode = mode
	p.solveNow()
}
