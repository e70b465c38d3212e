//go:build js && wasm

// Package page is the page's half of the browser program: it reads what people type and points at,
// sends it to a worker, and shows what comes back. It holds no mathematics: every number, digit and
// sentence about a problem is made by the worker.
package page

import (
	"errors"
	"strconv"
	"strings"
	"syscall/js"

	"honnef.co/go/js/dom/v2"

	"nodespan/testdata/demos"
	"nodespan/wasm/link"
	"nodespan/wasm/wire"
)

const (
	pause   = 150  // milliseconds without a keystroke after which the sheet is solved
	patient = 300  // milliseconds of solving after which the page says what is being tried
	scold   = 1500 // milliseconds without a keystroke after which an unfinished sheet is told what it lacks
)

// page is the whole page.
type page struct {
	workers *workers
	sheet   *sheetPane
	reading *readingPane
	method  *methodSentence
	answer  *answerPane
	figure  *figurePane
	table   *nodeTable
	ladder  *ladderPane

	opinions *opinionsPane
	numbers  *numbersPane
	working  *workingPane
	lesson   *timer
	exports  *exportPane

	asked      wire.Request  // the last solve asked for
	good       *wire.Request // the request whose answer is shown
	solve      int           // ID of the last solve, value, read-out, window
	value      int
	readout    int
	window     int
	climb      int // IDs of what is done in spare time
	exact      int
	agree      int
	compare    int
	spare      *timer
	used       wire.Method // by the answer that is shown
	hasExact   bool        // whether its sheet gives an exact solution
	progress   string      // what is being tried
	typing     *timer
	eager      int           // the request that the first change after a rest was answered with
	held       *wire.Reading // its faults, held back until the typing rests
	slow       *timer
	unfinished *timer
	lacking    *wire.Reading // the unfinished sheet that the timer waits to tell of
	first      bool          // the first answer was drawn
}

// Run starts the page and never returns.
func Run() {
	rawDoc = js.Global().Get("document")
	p := &page{}
	p.sheet = newSheetPane(p.edited, p.point)
	p.reading = newReadingPane(p.sheet.choose, p.point)
	p.method = newMethodSentence(p.edited)
	p.answer = newAnswerPane(p.askValue, p.cancel, p.chooseMode)
	p.figure = newFigurePane()
	p.figure.read, p.figure.sample = p.askReadout, p.askWindow
	p.table = newNodeTable(p.figure.light, func(format string) { p.exports.copyTable(format) })
	p.figure.pointed = p.table.light
	p.figure.drawn = p.drawn
	p.ladder = newLadderPane(p.chooseRung, p.climbNow)
	p.opinions = newOpinionsPane(p.checkNow)
	p.numbers = newNumbersPane(p.compareNow)
	p.working = newWorkingPane(p.askLesson, p.askOrigin)
	p.lesson = newTimer(p.working.want)
	p.exports = p.newExportPane()
	p.spare = newTimer(p.doubtNow)
	p.typing = newTimer(p.settled)
	p.slow = newTimer(p.showProgress)
	p.unfinished = newTimer(func() {
		p.showFaults(p.lacking)
	})
	p.workers = newWorkers(p.receive, p.died)
	p.listExamples()
	p.share()
	toggle(rawDoc.Get("documentElement"), "framed", !js.Global().Get("parent").Equal(js.Global()))
	onValue(js.Global(), "hashchange", func(*dom.BasicEvent) { p.follow() })
	if !p.follow() {
		p.sheet.setText(demos.All()[0].Sheet)
		p.solveNow()
	}
	select {}
}

// listExamples fills the line of example links.
func (p *page) listExamples() {
	line := node("p", "", words("Try: "))
	for i, d := range demos.All() {
		b := node("button", "link", words(d.Title))
		b.Set("type", "button")
		b.Call("addEventListener", "click", js.FuncOf(func(js.Value, []js.Value) any {
			p.method.set(wire.Method{})
			p.sheet.setText(d.Sheet)
			p.solveNow()
			return nil
		}))
		item := node("span", "example", b)
		if i+1 < len(demos.All()) {
			item.Call("appendChild", words(" ·"))
		}
		line.Call("append", item, " ")
	}
	fill(plain("examples"), line)
}

// point marks a statement in the sheet and in its reading.
func (p *page) point(line int) {
	p.sheet.mark(line)
	p.reading.mark(line)
}

// edited answers the first change after a rest at once, and waits for a pause when more follow. What that first answer
// finds wrong is held back until the pause: more may be on its way.
func (p *page) edited() {
	p.unfinished.stop()
	p.held = nil
	p.rest()
	if !p.typing.pending && !p.workers.busy() && p.good != nil {
		p.solveNow()
		p.eager = p.solve
	}
	p.typing.start(pause)
	p.showBusy()
}

// showBusy tells readers of screens, and tests, whether the answer that stands there is still to change.
func (p *page) showBusy() {
	busy := "false"
	if p.typing.pending || p.workers.busy() {
		busy = "true"
	}
	p.answer.pane.SetAttribute("aria-busy", busy)
}

// settled comes after a pause in the typing.
func (p *page) settled() {
	text := p.sheet.text()
	switch {
	case p.eager == 0 || p.eager != p.solve || p.asked.Sheet != text || p.asked.Method != p.method.get():
		p.solveNow()
	case p.held != nil:
		p.showFaults(p.held)
	}
	p.eager, p.held = 0, nil
	p.showBusy()
}

// solveNow asks for the problem as it now stands.
func (p *page) solveNow() {
	p.typing.stop()
	text := p.sheet.text()
	if len(text) > link.MaxSheet {
		p.refuse("This sheet is too long: " + strconv.Itoa(len(text)) + " bytes, where " + strconv.Itoa(link.MaxSheet) +
			" are the most. Leave out what is not part of the problem.")
		return
	}
	p.asked = wire.Request{Kind: wire.Solve, Sheet: text, Method: p.method.get()}
	p.progress = "Solving …"
	p.slow.start(patient)
	p.solve = p.workers.ask(p.asked)
	p.showBusy()
}

// refuse says why nothing is solved, over the last good figure.
func (p *page) refuse(sentence string) {
	p.showBusy()
	p.answer.say(sentence)
	p.dim()
}

// dim shows that what stands there is not the answer to the sheet as it is now.
func (p *page) dim() {
	p.figure.dim(true)
	p.table.setStale(true)
	p.ladder.dim(true)
	p.numbers.setStale(true)
}

// showProgress says what is being tried. What stands on the page is by then the answer to an older sheet.
func (p *page) showProgress() {
	if p.workers.busy() {
		p.answer.setProgress(p.progress)
		p.answer.setStale(true)
		p.dim()
	}
}

func (p *page) endProgress() {
	p.slow.stop()
	p.answer.setProgress("")
}

// cancel gives up the running solve.
func (p *page) cancel() {
	p.workers.cancel()
	p.endProgress()
	sentence := "Stopped."
	if p.good != nil {
		sentence = "Stopped. The figure and the table are those of the last sheet that was solved."
	}
	p.refuse(sentence)
	p.sheet.area.Focus()
}

// died says that the worker failed, once; a fresh one is in its place already.
func (p *page) died(reason string) {
	p.endProgress()
	if strings.Contains(reason, "call stack") || strings.Contains(reason, "recursion") {
		p.refuse("This sheet is nested too deeply for the browser; the calculation was given up. Shorter formulas, " +
			"or names for their parts, help.")
		return
	}
	p.refuse("The calculation broke off (" + strings.TrimPrefix(reason, "Uncaught ") + ") and was started afresh; " +
		"the sheet is untouched. Changing it, or the method, tries again.")
}

// receive shows what a worker replies.
func (p *page) receive(r wire.Reply) {
	switch r.Kind {
	case wire.Solve:
		if r.ID == p.solve {
			p.receiveSolve(r)
			p.showBusy()
		}
	case wire.Progress:
		if r.ID == p.solve {
			p.progress = r.Words
			if !p.slow.pending {
				p.showProgress()
			}
		}
	case wire.Value:
		switch r.ID {
		case p.value:
			p.answer.setValue(r.Value)
		case p.readout:
			p.figure.setReadout(r.Value)
		}
	case wire.Window:
		if r.ID == p.window && r.Curves != nil {
			p.figure.setWindow(r.Curves)
		}
	case wire.Working, wire.Origin:
		p.receiveWorking(r)
	case wire.Export:
		p.exports.receive(r)
	default:
		p.receiveDoubt(r)
	}
}

func (p *page) receiveSolve(r wire.Reply) {
	if r.Reading != nil {
		p.showReading(r.Reading)
	}
	if r.Last {
		p.endProgress()
	}
	if a := r.Answer; a != nil {
		if a.Usable {
			good := p.asked
			p.good = &good
			p.figure.set(a) // first, before the page is laid out anew: it is what is looked at while typing
		}
		p.answer.set(a)
		p.method.setChosen(a.Chosen)
		if len(a.Modes) == 0 {
			p.method.mode = 0
		}
		if a.Usable {
			p.table.set(a.Table)
			p.doubt(a)
			p.working.renew()
			p.lesson.start(lessonAfter)
		} else {
			p.dim()
		}
	}
}

// showReading shows how the sheet was read, or what is wrong with it. A sheet that is merely
// unfinished keeps everything as it was until the typing has rested for a while.
func (p *page) showReading(r *wire.Reading) {
	if len(r.Faults) == 0 {
		setText(p.sheet.fault, "")
		p.sheet.setReading(r)
		p.reading.set(r)
		return
	}
	if r.Incomplete && p.good != nil {
		p.sheet.setReading(r)
		p.lacking = r
		p.unfinished.start(scold)
		return
	}
	if p.eager != 0 && p.eager == p.solve && p.typing.pending {
		p.held = r
		return
	}
	p.showFaults(r)
}

// showFaults says what is wrong with the sheet, or what it lacks, over the last good answer.
func (p *page) showFaults(r *wire.Reading) {
	p.sheet.setReading(r)
	p.reading.setStale(true)
	p.answer.setStale(true)
	p.dim()
	classed(p.sheet.fault, "unfinished", r.Incomplete)
	setText(p.sheet.fault, faultSentence(r.Faults[0]))
}

// drawn notes the moments that are measured: the first answer drawn, and each one after.
func (p *page) drawn() {
	if !p.first {
		p.first = true
		mark("nodespan-first-answer")
		return
	}
	mark("nodespan-redraw")
}

// ask sends a request about the answer that is shown.
func (p *page) ask(q wire.Request) int {
	if p.good == nil {
		return 0
	}
	q.Sheet, q.Method = p.good.Sheet, p.good.Method
	return p.workers.ask(q)
}

func (p *page) askValue(point string) {
	if point == "" {
		fill(p.answer.askValue)
		return
	}
	p.value = p.ask(wire.Request{Kind: wire.Value, Point: point})
}

func (p *page) askReadout(x float64) {
	p.readout = p.ask(wire.Request{Kind: wire.Value, Point: exactly(x), Brief: true})
}

func (p *page) askWindow(from, to float64) {
	p.window = p.ask(wire.Request{Kind: wire.Window, From: from, To: to})
}

// share lets the link and the frame be copied.
func (p *page) share() {
	told := plain("copied-link")
	give := func(done string, make func(address string) string) func(*dom.BasicEvent) {
		return func(*dom.BasicEvent) {
			a, err := address(link.State{Sheet: p.sheet.text(), Method: p.method.get()})
			if err != nil {
				setText(told, "This sheet is too long for a link.")
				return
			}
			copyText(make(a), told, done)
		}
	}
	on(button("copy-link").BasicHTMLElement, "click", give("Copied the link", func(a string) string { return a }))
	on(button("copy-frame").BasicHTMLElement, "click", give("Copied the frame", frame))
}

// follow shows the problem in the address, and reports whether there is one. One that cannot be read is said to be so,
// with nothing solved in its place: another problem's answer would take the sentence away again.
func (p *page) follow() bool {
	s, err := link.Decode(js.Global().Get("location").Get("hash").String())
	switch {
	case errors.Is(err, link.ErrNone):
		return false
	case errors.Is(err, link.ErrVersion):
		p.refuse("This link was made by a newer Nodespan and cannot be read by this one.")
		return true
	case err != nil:
		p.refuse("The problem in this link cannot be read: it is damaged or was cut short. Ask for the sheet itself.")
		return true
	}
	p.method.set(s.Method)
	p.sheet.setText(s.Sheet)
	p.solveNow()
	return true
}
