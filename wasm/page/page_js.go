//go:build js && wasm

// Package page is the page's half of the browser program: it reads what people type and points at,
// sends it to a worker, and shows what comes back. It holds no mathematics: every number, digit and
// sentence about a problem is made by the worker.
package page

import (
	"syscall/js"

	"honnef.co/go/js/dom/v2"

	"nodespan/testdata/demos"
	"nodespan/wasm/keep"
	"nodespan/wasm/wire"
)

// page is the whole page.
type page struct {
	workers *workers

	sheet    *sheetPane
	reading  *readingPane
	method   *methodSentence
	answer   *answerPane
	figure   *figurePane
	table    *nodeTable
	ladder   *ladderPane
	opinions *opinionsPane
	findings *findingsPane
	trace    *tracePane
	numbers  *numbersPane
	working  *workingPane
	exports  *exportPane
	below    *belowPane
	brief    element // the answer in one line
	desks    *deskPane
	kept     *keptPane
	moves    *movePane
	frames   *framePane
	views    viewPane
	storage  keep.Storage

	phase    phase
	shown    *shown       // nil where nothing is
	asked    wire.Request // the last solve asked for
	withheld *wire.Reply  // in phase withheld
	lacking  wire.Reading // in phase unfinished
	progress string       // what is being tried

	latest [topics]int // IDs of the last requests
	timers timers
	drawn  bool // the first answer was drawn
}

// shown is what the page knows of the answer that it shows.
type shown struct {
	request wire.Request
	answer  *wire.Answer
}

// topic is what a request is about. A reply counts only where it is to the last request about its topic.
type topic int

const (
	theSolve topic = iota
	theValue
	theReadout
	theWindow
	theLadder
	theExactness
	theFindings
	theTrace
	thePick
	theAgreement
	theComparison
	theWorking
	theOrigin
	theSlide
	topics
)

// timers are what the page waits for.
type timers struct {
	typing     *timer // a pause in the typing
	unfinished *timer // a long one
	slow       *timer // a solve that takes so long that the page says what is being tried
	spare      *timer // the time that an answer has the machine to itself
	working    *timer // the same, before the working
}

// Run starts the page and never returns.
func Run() {
	rawDoc = js.Global().Get("document")
	p := &page{}
	p.sheet = newSheetPane(p.sheetEdited, p.point)
	p.moves = p.newMovePane()
	p.reading = newReadingPane(p.sheet, p)
	p.method = newMethodSentence(p.edited)
	p.answer = newAnswerPane(p.askValue, p.cancel, p.chooseMode)
	p.figure = newFigurePane()
	p.figure.read, p.figure.sample = p.askReadout, p.askWindow
	p.table = newNodeTable(p.figure.light, func(format string) { p.exports.copyTable(format) })
	p.figure.pointed = p.table.light
	p.ladder = newLadderPane(p.chooseRung, p.climbNow)
	p.opinions = newOpinionsPane(p.checkNow)
	p.findings = newFindingsPane(p.chooseSolution)
	p.trace = p.newTracePane()
	p.numbers = newNumbersPane(p.numbersEdited, p.compareNow)
	p.working = newWorkingPane(p.askLesson, p.askOrigin)
	p.exports = p.newExportPane()
	p.below = newBelowPane()
	p.brief = plain("brief")
	paper := newPaperPane(p.figure.onPaper, p.ladder.onPaper)
	p.ladder.drawnAnew = paper.renew
	p.figure.drawn = func() {
		p.markDrawn()
		paper.renew()
	}
	p.timers = timers{
		typing: newTimer(p.rested), unfinished: newTimer(p.restedLong), slow: newTimer(p.showProgress),
		spare: newTimer(p.doubtNow), working: newTimer(p.working.want),
	}
	p.workers = newWorkers(p.receive, p.died)
	p.listExamples()
	p.share()
	p.frames = p.newFramePane()
	toggle(rawDoc.Get("documentElement"), "framed", !js.Global().Get("parent").Equal(js.Global()))
	p.storage = browserStorage{}
	p.desks = p.newDeskPane()
	p.kept = p.newKeptPane()
	p.enter(starting)
	p.beginDesk()
	select {}
}

// listExamples lets the examples be chosen from their list, which the build has made.
func (p *page) listExamples() {
	list := details("examples")
	sheets := map[string]string{}
	for _, d := range demos.All() {
		sheets[d.Name] = d.Sheet
	}
	onEach(list.Value, "button[data-example]", "data-example", func(name string) {
		list.SetOpen(false)
		p.openExample(sheets[name])
		list.Get("firstElementChild").Call("focus") // what had the keyboard is away
	})
	onKey(list.BasicHTMLElement, func(e *dom.KeyboardEvent) {
		if e.Key() == "Escape" && list.Open() {
			list.SetOpen(false)
			list.Get("firstElementChild").Call("focus")
		}
	})
	onValue(rawDoc, "pointerdown", func(e *dom.BasicEvent) { // a press elsewhere closes it
		if list.Open() && !list.Value.Call("contains", e.Get("target")).Bool() {
			list.SetOpen(false)
		}
	})
	onValue(plain("skip").Value, "click", func(e *dom.BasicEvent) {
		e.PreventDefault() // the address is that of the sheet
		p.answer.pane.Focus()
	})
}

// point marks a statement in the sheet and in its reading.
func (p *page) point(line int) {
	p.sheet.mark(line)
	p.reading.mark(line)
}

// markDrawn notes the moments that are measured: the first answer drawn, and each one after.
func (p *page) markDrawn() {
	if !p.drawn {
		p.drawn = true
		mark("nodespan-first-answer")
		return
	}
	mark("nodespan-redraw")
}

// ask sends a request about the answer that is shown, and askSpare one that can wait until there is time.
//
//go:noinline
func (p *page) ask(about topic, q wire.Request) int {
	return p.askBy(p.workers.ask, about, q)
}

//go:noinline
func (p *page) askSpare(about topic, q wire.Request) int {
	return p.askBy(p.workers.spare, about, q)
}

//go:noinline
func (p *page) askBy(ask func(wire.Request) int, about topic, q wire.Request) int {
	if p.shown == nil {
		return 0
	}
	q.Sheet, q.Method = p.shown.request.Sheet, p.shown.request.Method
	id := ask(q)
	if about < topics {
		p.latest[about] = id
	}
	return id
}

// askValue asks for the value at a point. While the sheet changes it waits: a new answer asks again.
func (p *page) askValue(point string) {
	switch {
	case point == "":
		fill(p.answer.askValue)
	case p.standing() == ofThis:
		p.ask(theValue, wire.Request{Kind: wire.Value, Point: point})
	}
}

func (p *page) askReadout(x float64) {
	p.ask(theReadout, wire.Request{Kind: wire.Value, Point: exactly(x), Brief: true})
}

func (p *page) askWindow(from, to float64) {
	p.ask(theWindow, wire.Request{Kind: wire.Window, From: from, To: to})
}

// receive shows what a worker replies.
func (p *page) receive(r wire.Reply) {
	is := func(about topic) bool { return r.ID == p.latest[about] }
	switch {
	case r.Kind == wire.Export:
		p.exports.receive(r)
	case is(theSolve):
		p.receiveSolve(r)
	case is(theValue):
		p.answer.setValue(r.Value)
	case is(theReadout):
		p.figure.setReadout(r.Value)
	case is(theWindow) && r.Curves != nil:
		p.figure.setWindow(r.Curves)
	case is(theLadder) && r.Ladder != nil:
		p.ladder.set(r.Ladder)
	case is(theFindings) && r.Findings != nil:
		p.findings.set(r.Findings)
	case is(theTrace) && r.Trace != nil:
		p.trace.set(r.Trace)
	case is(thePick):
		p.trace.picked(r)
	case is(theAgreement):
		p.opinions.setAgreement(r.Agreement)
	case is(theExactness):
		p.opinions.setExactness(r.Exactness)
		p.figure.setError(r.Exactness)
	case is(theComparison):
		p.numbers.set(r.Comparison)
		p.figure.setOwn(r.Comparison)
	case is(theWorking) && r.Lesson != nil:
		p.working.set(r.Lesson)
	case is(theOrigin):
		p.working.setOrigin(r.Provenance)
	case is(theSlide):
		p.receiveSlide(r)
	case r.Kind == wire.Solve:
		p.showBusy() // one that nobody waits for any more is over
	}
}
