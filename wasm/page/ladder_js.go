//go:build js && wasm

package page

import (
	"math"
	"strconv"
	"syscall/js"

	"honnef.co/go/js/dom/v2"

	"nodespan/expr/plot"
	"nodespan/wasm/wire"
)

// ladderPane shows error against number of unknowns, and lets a number of nodes be chosen by it.
//
// Two canvases: the ladder, and over it a transparent one for what moves. The lower one has the keyboard, as a slider
// over the rungs.
type ladderPane struct {
	section, rungs, readout, sentence, resolution element
	numbers, table, canvas                        element
	others                                        *dom.HTMLInputElement
	picture, overlay                              *canvasPainter

	ladder  *wire.Ladder
	layout  *plot.LadderLayout
	used    wire.Method // of the answer that is shown
	shown   *plot.Step
	pointed *plot.Step
	asked   wire.Request // the last climb asked for
	drawn   wire.Request // the one whose ladder is shown
	told    wire.Request // the one whose sentence is shown
	awaited bool         // another is on its way
	past    bool         // it belongs to the last sheet that had an answer
	frame   *frameRequest

	choose func(wire.Method) // a rung was chosen
	again  func()            // the ladder is wanted anew

	drawnAnew func()
}

func newLadderPane(choose func(wire.Method), again func()) *ladderPane {
	l := &ladderPane{
		section: plain("ladders"), rungs: plain("rungs"), readout: plain("ladder-readout"),
		sentence:   plain("ladder-text"),
		resolution: plain("resolution"), others: input("others"), numbers: plain("ladder-numbers"),
		table: plain("ladder-table"), canvas: plain("ladder"),
		picture: newCanvasPainter(plain("ladder").Value), overlay: newCanvasPainter(plain("ladder-overlay").Value),
		choose: choose, again: again,
	}
	l.frame = newFrameRequest(l.draw)
	on(l.others.BasicHTMLElement, "input", func(*dom.BasicEvent) { l.again() })
	if l.picture != nil && l.overlay != nil {
		l.listen()
	}
	return l
}

// request is the climb that belongs to an answer.
func (l *ladderPane) request(good wire.Request, used wire.Method) wire.Request {
	good.Kind, good.Method, good.Others = wire.Climb, used, l.others.Checked()
	good.Method.Digits = max(good.Method.Digits, 0)
	if used.Name != "one" && used.Name != "pieces" {
		good.Method.Family = ""
	}
	return good
}

// ask remembers what the ladder will be of; one that is of something else is dimmed until it comes.
func (l *ladderPane) ask(q wire.Request, used wire.Method) {
	l.used, l.asked = used, q
	same := sameClimb(q, l.drawn)
	show(l.section, true) // its place is kept, so that nothing moves when it comes
	if used.Name != "one" {
		setText(l.resolution, "")
	}
	l.find()
	l.dim(!same)
}

// sameClimb reports whether two climbs make the same ladder: another number of nodes does not change it.
func sameClimb(a, b wire.Request) bool {
	return a.Sheet == b.Sheet && a.Method.Family == b.Method.Family && a.Method.Digits == b.Method.Digits &&
		a.Others == b.Others
}

// set shows a ladder, complete or not. The sentence is about a complete one, and dimmed until it comes.
func (l *ladderPane) set(w *wire.Ladder) {
	l.ladder, l.drawn = w, l.asked
	if w.Sentence != "" || w.Reason != "" {
		l.told = l.asked
	}
	classed(l.sentence, "awaited", !sameClimb(l.asked, l.told))
	drawn := w.From > 0
	show(l.rungs, drawn)
	toggle(l.section.Get("parentElement"), "bare", !drawn) // the node table has the width to itself
	show(wrap(l.others.Get("parentElement")), drawn)
	if w.Reason != "" {
		setText(l.sentence, w.Reason)
	} else if w.Sentence != "" {
		setText(l.sentence, w.Sentence+" "+w.Against)
		l.tabulate()
	}
	show(l.numbers, w.Sentence != "" && drawn)
	if w.Sentence != "" || w.Reason != "" {
		setText(l.resolution, w.Resolution)
		mark("nodespan-ladder")
	}
	l.find()
	l.dim(w.Sentence == "" && w.Reason == "" && !drawn)
	l.redraw()
}

// tabulate says the same in a table.
func (l *ladderPane) tabulate() {
	head := node("tr", "")
	for _, h := range []string{"method", "meets what was asked with", "rate", "smallest error"} {
		th := node("th", "", words(h))
		th.Set("scope", "col")
		head.Call("appendChild", th)
	}
	body := node("tbody", "")
	for _, s := range l.ladder.Series {
		tr := node("tr", "")
		name := node("th", "", words(s.Name))
		name.Set("scope", "row")
		tr.Call("appendChild", name)
		rate := s.Rate
		if rate == "" {
			rate = "none to be seen"
		}
		for _, text := range []string{s.Met, rate, s.Best} {
			tr.Call("appendChild", node("td", "", words(text)))
		}
		body.Call("appendChild", tr)
	}
	fill(l.table, node("thead", "", head), body)
}

// dim shows that another ladder is on its way.
func (l *ladderPane) dim(awaited bool) {
	if l.awaited != awaited {
		l.awaited = awaited
		l.redraw()
	}
	classed(l.section, "awaited", awaited && !l.past)
}

// setPast marks the ladder of the last sheet that had an answer.
func (l *ladderPane) setPast(past bool) {
	if l.past != past {
		l.past = past
		l.redraw()
	}
	classed(l.section, "stale", past)
	classed(l.section, "awaited", l.awaited && !past)
}

// inert reports whether no rung can be chosen: the ladder is not that of the answer to the sheet as it stands.
func (l *ladderPane) inert() bool { return l.awaited || l.past }

// find marks the rung that is the answer's.
func (l *ladderPane) find() {
	l.shown = nil
	if l.ladder == nil {
		return
	}
	for i, s := range l.ladder.Series {
		if s.Choice.Name != l.used.Name || s.Choice.Family != l.used.Family || s.Choice.Order != l.used.Order {
			continue
		}
		for j, r := range s.Rungs {
			if r.Nodes == l.used.Nodes && (s.Choice.Name != "pieces" || r.Elements == l.used.Elements) {
				l.shown = &plot.Step{Series: i, Rung: j}
			}
		}
	}
	l.announce()
}

// announce tells the slider's value to those who do not see it.
func (l *ladderPane) announce() {
	canvas := l.canvas
	if l.shown == nil {
		canvas.SetAttribute("aria-valuenow", "0")
		canvas.SetAttribute("aria-valuetext", "no rung is chosen")
		return
	}
	s := l.ladder.Series[l.shown.Series]
	canvas.SetAttribute("aria-valuemin", "0")
	canvas.SetAttribute("aria-valuemax", strconv.Itoa(len(s.Rungs)-1))
	canvas.SetAttribute("aria-valuenow", strconv.Itoa(l.shown.Rung))
	canvas.SetAttribute("aria-valuetext", s.Rungs[l.shown.Rung].Words)
}

//go:noinline
func (l *ladderPane) redraw() {
	l.frame.ask()
}

// build makes plot's ladder.
func (l *ladderPane) build() *plot.Ladder {
	w := l.ladder
	d := &plot.Ladder{Tol: w.Tol, From: float64(w.From), To: float64(w.To), Dimmed: l.inert()}
	families := false // colours go to the families where they are compared
	for _, s := range w.Series {
		families = families || !s.Main
	}
	rank, muted := 0, 1
	for _, s := range w.Series {
		p := plot.LadderSeries{
			Label: s.Label, Note: s.Rate, Rank: rank, Fit: plot.Curve{X: s.FitX, Y: s.FitY},
			FirstMet: s.FirstMet, PlateauFrom: s.PlateauFrom, WiggleFrom: s.WiggleFrom, Plateau: s.Plateau,
		}
		if families && s.Choice.Name != "one" {
			p.Muted, p.Rank = true, muted
			muted++
		} else {
			rank++
		}
		for _, r := range s.Rungs {
			p.Points.X, p.Points.Y = append(p.Points.X, float64(r.Unknowns)), append(p.Points.Y, r.Error)
			p.Names = append(p.Names, strconv.Itoa(r.Nodes)+" nodes")
		}
		d.Series = append(d.Series, p)
	}
	return d
}

func (l *ladderPane) draw() {
	if l.ladder == nil || l.ladder.From == 0 || l.picture == nil || l.overlay == nil {
		return
	}
	width := math.Floor(l.rungs.Value.Get("clientWidth").Float())
	if width < 50 {
		return
	}
	scale := js.Global().Get("devicePixelRatio").Float()
	l.layout = plot.NewLadderLayout(l.build(), plot.Options{Width: width, Palette: currentPalette()}, l.picture)
	l.picture.resize(width, l.layout.Height, scale)
	l.overlay.resize(width, l.layout.Height, scale)
	l.layout.Draw(l.picture)
	l.marks()
	l.drawnAnew()
}

// onPaper lays the ladder out for paper; nil where there is none.
func (l *ladderPane) onPaper(m plot.Measurer) *picture {
	if l.ladder == nil || l.ladder.From == 0 {
		return nil
	}
	k := plot.NewLadderLayout(l.build(), plot.Options{Width: paperColumn, Palette: plot.Print,
		FontSize: paperFont}, m)
	return &picture{k.Width, k.Height, func(p plot.Painter) {
		k.Draw(p)
		k.DrawMarks(p, l.shown, nil)
	}}
}

// currentPalette returns the colours for the screen as it is set.
func currentPalette() plot.Palette {
	chosen := rawDoc.Get("documentElement").Get("classList")
	dark := js.Global().Call("matchMedia", "(prefers-color-scheme: dark)").Get("matches").Bool()
	if chosen.Call("contains", "dark").Bool() || dark && !chosen.Call("contains", "light").Bool() {
		return plot.Dark
	}
	return plot.Light
}

func (l *ladderPane) marks() {
	if l.layout == nil {
		return
	}
	l.overlay.clear()
	l.layout.DrawMarks(l.overlay, l.shown, l.pointed)
}

// point reads a rung without choosing it; nil for none.
func (l *ladderPane) point(s *plot.Step) {
	l.pointed = s
	text := ""
	if s == nil {
		s = l.shown
	}
	if s != nil && s.Series < len(l.ladder.Series) && s.Rung < len(l.ladder.Series[s.Series].Rungs) {
		text = l.ladder.Series[s.Series].Rungs[s.Rung].Words + "."
	}
	setText(l.readout, text)
	l.marks()
}

// pick chooses a rung: it becomes the method, and everything is redrawn.
func (l *ladderPane) pick(s plot.Step) {
	series := l.ladder.Series[s.Series]
	r := series.Rungs[s.Rung]
	m := series.Choice
	m.Nodes, m.Elements = r.Nodes, r.Elements
	l.shown, l.pointed = &s, nil
	l.point(nil)
	l.announce()
	l.choose(m)
}

const ladderReach = 16 // pixels within which the pointer takes hold of a rung

func (l *ladderPane) listen() {
	at := func(e *dom.BasicEvent, reach float64) (plot.Step, bool) {
		if l.layout == nil || l.ladder == nil || l.inert() {
			return plot.Step{}, false
		}
		x, y := place(e, l.rungs)
		return l.layout.Nearest(x, y, reach)
	}
	on(l.rungs, "pointermove", func(e *dom.BasicEvent) {
		s, ok := at(e, ladderReach)
		classed(l.rungs, "over", ok)
		if !ok {
			l.point(nil)
			return
		}
		l.point(&s)
	})
	on(l.rungs, "pointerleave", func(*dom.BasicEvent) {
		if l.ladder != nil {
			l.point(nil)
		}
	})
	on(l.rungs, "click", func(e *dom.BasicEvent) {
		// A click's place is rounded to whole pixels, a movement's is not: what was marked is within reach.
		if s, ok := at(e, ladderReach+1); ok {
			l.pick(s)
		}
	})
	onKey(l.canvas, l.key)
	on(l.canvas, "focus", func(*dom.BasicEvent) {
		if l.ladder != nil {
			l.point(nil)
		}
	})

	again := js.FuncOf(func(js.Value, []js.Value) any { l.redraw(); return nil })
	js.Global().Get("ResizeObserver").New(again).Call("observe", l.rungs.Value)
	js.Global().Call("matchMedia", "(prefers-color-scheme: dark)").Call("addEventListener", "change", again)
}

// key chooses by the keyboard: along a series by the arrows to the sides, another series by those up and down.
func (l *ladderPane) key(e *dom.KeyboardEvent) {
	if modified(e) {
		return
	}
	if e.Key() == "Escape" {
		l.choose(wire.Method{}) // the automatic one
		return
	}
	if l.ladder == nil || len(l.ladder.Series) == 0 || l.inert() {
		return
	}
	s := plot.Step{Rung: -1}
	if l.shown != nil {
		s = *l.shown
	}
	series := func() []wire.Rung { return l.ladder.Series[s.Series].Rungs }
	// along finds the next rung with a solution.
	along := func(dir int) {
		for r := s.Rung + dir; r >= 0 && r < len(series()); r += dir {
			if !math.IsNaN(series()[r].Error) {
				s.Rung = r
				return
			}
		}
	}
	across := func(dir int) {
		if l.shown == nil {
			s.Rung = 0
			return
		}
		unknowns := series()[s.Rung].Unknowns
		n := len(l.ladder.Series)
		s.Series = (s.Series + dir + n) % n
		s.Rung = 0
		for i, r := range series() {
			if math.Abs(float64(r.Unknowns-unknowns)) < math.Abs(float64(series()[s.Rung].Unknowns-unknowns)) {
				s.Rung = i
			}
		}
	}
	before := s
	switch e.Key() {
	case "ArrowLeft":
		along(-1)
	case "ArrowRight":
		along(1)
	case "PageDown":
		s.Rung = max(s.Rung-5, 0) + 1
		along(-1)
	case "PageUp":
		s.Rung = min(s.Rung+5, len(series())-1) - 1
		along(1)
	case "ArrowUp":
		across(-1)
	case "ArrowDown":
		across(1)
	case "Home":
		s.Rung = -1
		along(1)
	case "End":
		s.Rung = len(series())
		along(-1)
	default:
		return
	}
	e.PreventDefault()
	if s != before && s.Rung >= 0 && s.Rung < len(series()) {
		l.pick(s)
	}
}
