//go:build js && wasm

package page

import "nodespan/wasm/wire"

// What shows how far an answer can be trusted is worked out after it, in the reserve worker's spare time.

// climbAfter is how many milliseconds the answer has the machine to itself before the ladder is climbed.
const climbAfter = 150

// climbNow asks for the ladder of the answer that is shown.
func (p *page) climbNow() {
	p.climbing.stop()
	if p.good == nil {
		return
	}
	q := p.ladder.request(*p.good, p.used)
	p.ladder.ask(q, p.used)
	p.climb = p.workers.spare(q)
}

// rest leaves off what is done in spare time: the sheet is being changed.
func (p *page) rest() {
	p.climbing.stop()
	p.workers.idle(wire.Climb)
}

// chooseRung solves with the number of nodes of a rung.
func (p *page) chooseRung(m wire.Method) {
	m.Digits, m.Mode = p.method.get().Digits, p.method.get().Mode
	p.method.set(m)
	p.method.setChosen("")
	p.solveNow()
}
