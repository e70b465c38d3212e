//go:build js && wasm

package page

import (
	"strconv"

	"nodespan/wasm/wire"
)

// What shows how far an answer can be trusted is worked out after it, in the reserve worker's spare time.

// doubtNow asks for all of it, once the answer has had its time.
func (p *page) doubtNow() {
	if p.phase == unsolved {
		p.searchNow()
	}
	if p.standing() != ofThis {
		return
	}
	p.climbNow()
	if p.shown.answer.HasExact {
		p.askSpare(theExactness, wire.Request{Kind: wire.Exact})
	}
	p.compareNow()
	p.searchNow()
}

// searchNow asks for further solutions, or for the reason why there is none.
func (p *page) searchNow() {
	p.latest[theFindings] = p.workers.spare(wire.Request{Kind: wire.Search, Sheet: p.asked.Sheet,
		Method: p.asked.Method})
}

// chooseSolution puts a first guess into the sheet that leads to another solution.
func (p *page) chooseSolution(sheet string) {
	if p.phase != current && p.phase != unsolved {
		setText(p.findings.told, p.standing().why())
		return
	}
	p.putSheet(sheet)
}

// putSheet has a sheet solved that was made of the reader's own.
func (p *page) putSheet(sheet string) {
	p.sheet.replace(sheet)
	p.desks.edited = true
	p.touched()
	p.solveNow()
}

// climb is the request for the ladder that belongs to the answer, and the method that was used for this.
func (p *page) climb() (wire.Request, wire.Method) {
	used := p.shown.answer.Used
	return p.ladder.request(p.shown.request, used), used
}

// climbNow asks for the ladder. While the sheet changes it waits: a new answer asks again.
func (p *page) climbNow() {
	if p.standing() == ofThis {
		q, used := p.climb()
		p.ladder.ask(q, used)
		p.latest[theLadder] = p.workers.spare(q)
	}
}

// numbersEdited takes back what was said about the reader's own numbers as they were.
func (p *page) numbersEdited() {
	p.touched()
	p.workers.idle(wire.Compare)
	p.latest[theComparison] = 0
	p.figure.setOwn(nil)
	p.numbers.wait(p.standing())
}

// compareNow asks how they compare.
func (p *page) compareNow() {
	text := p.numbers.text()
	switch s := p.standing(); {
	case len(text) > mostNumbers:
		p.numbers.say("This is more than " + strconv.Itoa(mostNumbers) + " characters; paste fewer rows.")
		p.figure.setOwn(nil)
	case text == "" || s != ofThis:
		p.numbers.wait(s)
	default:
		p.numbers.wait(s)
		p.askSpare(theComparison, wire.Request{Kind: wire.Compare, Numbers: text})
	}
}

// checkNow has the sheet solved by other methods.
func (p *page) checkNow() {
	if why := p.standing().why(); why != "" {
		p.opinions.say(why)
		return
	}
	p.askSpare(theAgreement, wire.Request{Kind: wire.Agree, Point: written(p.answer.ask.Value())})
}

// chooseRung solves with the number of nodes of a rung.
func (p *page) chooseRung(m wire.Method) {
	now := p.method.get()
	m.Digits, m.Mode = now.Digits, now.Mode
	p.method.set(m)
	p.method.setChosen("")
	p.touched()
	p.solveNow()
}

// chooseMode shows another eigenfunction.
func (p *page) chooseMode(mode int) {
	p.method.mode = mode
	p.touched()
	p.solveNow()
}
