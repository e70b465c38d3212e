//go:build js && wasm

package page

import (
	"nodespan/wasm/wire"
)

// Constants that move. A slider beside a constant's reading writes another value in the place of its own. While it is
// moved the sheet's text area stays as it is, for its history's sake, and what follows the finger is the answer to the
// text with that value in it. One solve is under way at a time, and none is asked for faster than the browser draws:
// values that were passed meanwhile are never solved. When the finger rests the value is written into the sheet, as one
// edit that can be undone, and this is solved, doubted and kept like any other.

// restAfter is how many milliseconds after the last change by a slider the value is written into the sheet.
const restAfter = 250

// movePane is what moves the constants.
type movePane struct {
	rest  *timer
	chase *frameRequest
	name  string // of the constant that moves; "" for none
	newer bool   // it has moved on since the last solve was asked for
	given string // the constant that was given a slider, which takes the keyboard when it comes
}

func (p *page) newMovePane() *movePane {
	return &movePane{rest: newTimer(p.settle), chase: newFrameRequest(p.chase)}
}

// move gives a constant another value for the time being. More is to come, unless it rests.
func (p *page) move(c *wire.Constant, value string, rests bool) {
	m := p.moves
	if m.name != c.Name {
		p.settle()
		m.name = c.Name
		p.leave()
		p.ladder.dim(true)
	}
	m.newer = p.sheet.move(c.At, value) || m.newer
	p.desks.unkept = true
	m.chase.ask()
	if m.rest.stop(); rests {
		m.rest.start(restAfter)
	}
	p.showBusy()
}

// chase asks for the answer to the value where the slider now is, unless one is still being worked out.
func (p *page) chase() {
	if m := p.moves; m.name != "" && m.newer && !p.workers.busy() {
		m.newer = false
		p.begin(asked)
	}
}

// settle writes the value into the sheet.
func (p *page) settle() {
	m := p.moves
	m.rest.stop()
	if m.name == "" {
		return
	}
	m.name, m.newer = "", false
	p.latest[theSolve] = 0 // an answer that is still on its way has nothing of what comes with one at rest
	p.sheet.settle()
}

// moving reports whether a constant moves.
func (p *page) moving() bool { return p.moves.name != "" }

// write writes a value that was entered exactly.
func (p *page) write(c *wire.Constant, value string) {
	p.settle()
	p.sheet.edit(c.At, value)
}

// slide has a constant given a range, and so a slider.
func (p *page) slide(name string) {
	p.settle()
	if p.sheet.lines != nil { // else another reading is on its way
		p.moves.given = name
		p.latest[theSlide] = p.workers.ask(wire.Request{Kind: wire.Slide, Sheet: p.sheet.text(), Name: name})
	}
}

// receiveSlide writes the range into the sheet, or says why there is none.
func (p *page) receiveSlide(r wire.Reply) {
	switch {
	case r.Edit != nil && p.asked.Sheet == p.sheet.text():
		p.sheet.edit(r.Edit.At, r.Edit.Text)
	case r.Value != nil:
		setText(p.sheet.fault, r.Value.Fault)
	}
}
