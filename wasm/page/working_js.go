//go:build js && wasm

package page

import (
	"strconv"
	"strings"
	"syscall/js"
	"unicode"

	"honnef.co/go/js/dom/v2"

	"nodespan/expr/lesson"
	"nodespan/wasm/wire"
)

// workingPane shows every matrix of one polynomial, step by step: all steps at once, or one at a time for a class.
// It is closed until it is asked for, and its numbers are made only then.
type workingPane struct {
	details              *dom.HTMLDetailsElement
	steps, came, counter element
	single               *dom.HTMLInputElement
	previous, next       *dom.HTMLButtonElement
	ask                  func()
	explain              func(wire.Entry)
	lesson               *wire.Lesson
	sections             []js.Value
	grids                map[string][]js.Value // the tables that show a matrix, by its name
	inStep               map[string]int        // the step that makes a matrix
	lit                  []js.Value
	pointed              *wire.Entry
	why, followPart      element
	follow               *dom.HTMLInputElement
	step                 int
	parts                []part // of the step, where it is shown by itself
	part                 int
	current              bool // what is shown belongs to the answer that is shown
}

func newWorkingPane(ask func(), explain func(wire.Entry)) *workingPane {
	w := &workingPane{
		details: details("working"), steps: plain("steps"), came: plain("came"), single: input("one-step"),
		previous: button("previous-step"), next: button("next-step"), counter: plain("step-counter"),
		why: plain("working-why"), followPart: plain("follow-part"), follow: input("follow"),
		ask: ask, explain: explain,
	}
	w.details.SetOpen(stored("working") == "open")
	w.single.SetChecked(stored("steps") == "one")
	on(w.details.BasicHTMLElement, "toggle", func(*dom.BasicEvent) {
		state := "closed"
		if w.open() {
			state = "open"
			w.want()
		}
		store("working", state)
	})
	on(w.single.BasicHTMLElement, "change", func(*dom.BasicEvent) {
		state := "all"
		if w.one() {
			state = "one"
		}
		store("steps", state)
		w.arrange()
	})
	on(w.follow.BasicHTMLElement, "change", func(*dom.BasicEvent) {
		w.current = false
		w.want()
	})
	onValue(js.Global(), "resize", func(*dom.BasicEvent) {
		if w.one() && w.open() {
			w.arrange()
		}
	})
	on(w.previous.BasicHTMLElement, "click", func(*dom.BasicEvent) { w.turn(-1) })
	on(w.next.BasicHTMLElement, "click", func(*dom.BasicEvent) { w.turn(1) })
	onKey(w.details.BasicHTMLElement, w.key)
	at := func(e *dom.BasicEvent) {
		if entry := entryOf(e.Get("target")); entry != nil {
			w.point(entry)
		}
	}
	on(w.steps, "pointerover", at)
	on(w.steps, "focusin", at)
	on(w.steps, "click", func(e *dom.BasicEvent) {
		if cell := e.Get("target").Call("closest", "td"); cell.Truthy() {
			move(cell)
		}
	})
	return w
}

//go:noinline
func (w *workingPane) open() bool { return w.details.Open() }

//go:noinline
func (w *workingPane) one() bool { return w.single.Checked() }

// renew says that there is another answer.
func (w *workingPane) renew() {
	w.current = false
	if w.open() {
		classed(w.steps, "awaited", true)
		return
	}
	w.sections = nil // what is closed waits until it is looked at
	fill(w.steps)
	fill(w.came)
	w.arrange()
}

// want asks for the working where it is looked at and not there yet.
func (w *workingPane) want() {
	if w.open() && !w.current {
		classed(w.steps, "awaited", true)
		w.ask()
	}
}

// setPast marks the working of the last sheet that had an answer.
func (w *workingPane) setPast(past bool) { classed(w.details.BasicHTMLElement, "stale", past) }

// set shows a working.
func (w *workingPane) set(l *wire.Lesson) {
	w.current = true
	w.lesson, w.pointed, w.lit = l, nil, nil
	w.grids, w.inStep, w.sections = map[string][]js.Value{}, map[string]int{}, nil
	fill(w.came)
	classed(w.steps, "awaited", false)
	setText(w.why, l.Why)
	show(wrap(w.why.Get("parentElement")), l.Why != "")
	show(w.followPart, l.Follow > 0)
	if l.Fault != "" {
		fill(w.steps, node("p", "told", words(l.Fault)))
		w.arrange()
		return
	}
	for i, s := range l.Steps {
		w.sections = append(w.sections, w.section(i, s))
	}
	fill(w.steps, w.sections...)
	w.step = min(w.step, len(w.sections)-1)
	w.arrange()
}

// section makes one step.
func (w *workingPane) section(i int, s wire.LessonStep) js.Value {
	title := node("h3", "", words(strconv.Itoa(i+1)+"\u2002"+s.Title))
	out := node("section", "step", title, node("p", "sentence", levelled(s.Sentence)...))
	if len(s.Formulas) > 0 {
		box := node("div", "formulas")
		box.Set("tabIndex", 0)
		box.Call("setAttribute", "role", "group")
		box.Call("setAttribute", "aria-label", "Formulas: "+s.Title)
		for _, f := range s.Formulas {
			box.Call("appendChild", node("div", "formula", mathML(f)))
		}
		out.Call("appendChild", box)
	}
	if len(s.Matrices) > 0 {
		list := node("div", "matrices")
		group, note := list, ""
		for _, m := range s.Matrices {
			if m.Note != note { // those before and those after stand together
				group, note = node("div", "matrices"), m.Note
				list.Call("appendChild", group)
			}
			group.Call("appendChild", w.matrix(m))
			if _, made := w.inStep[m.Name]; !made {
				w.inStep[m.Name] = i
			}
		}
		out.Call("appendChild", list)
	}
	return out
}

// matrix makes a table that scrolls in itself, its row labels staying in sight.
func (w *workingPane) matrix(m wire.LessonMatrix) js.Value {
	name := m.Name
	if m.Note != "" {
		name += ", " + m.Note
	}
	size := strconv.Itoa(len(m.Rows)) + " × " + strconv.Itoa(len(m.Columns))
	table := node("table", "matrix")
	table.Get("dataset").Set("matrix", m.Name)
	table.Call("setAttribute", "role", "grid")
	table.Call("setAttribute", "aria-label", name+", "+size)
	corner := node("td", "corner")
	head := node("tr", "", corner)
	for _, c := range m.Columns {
		head.Call("appendChild", header(c, "col"))
	}
	body := node("tbody", "")
	taken := map[int]bool{}
	for _, r := range m.Taken {
		taken[r] = true
	}
	for i, row := range m.Cells {
		tr := node("tr", "", header(m.Rows[i], "row"))
		toggle(tr, "taken", taken[i])
		for j, c := range row {
			if c == "" {
				c = "·"
			}
			cell := node("td", "", levelled(c)...)
			cell.Set("tabIndex", -1)
			if i == 0 && j == 0 {
				cell.Set("tabIndex", 0)
			}
			tr.Call("appendChild", cell)
		}
		body.Call("appendChild", tr)
	}
	table.Call("append", node("thead", "", head), body)
	w.grids[m.Name] = append(w.grids[m.Name], table)
	caption := node("p", "matrix-name", node("b", "", levelled(lesson.Symbol(m.Name))...))
	if m.Note != "" {
		caption.Call("append", "\u2002"+m.Note)
	}
	caption.Call("appendChild", node("span", "size", words("\u2002"+size)))
	return node("div", "matrix-box", caption, node("div", "matrix-scroll", table))
}

// header is the cell of a label.
func header(l wire.Label, scope string) js.Value {
	h := node("th", "", words(l.Words))
	if l.Math != nil {
		m := mathML(l.Math)
		// Not all programs that read aloud read formulas.
		m.Call("setAttribute", "aria-label", strings.TrimPrefix(l.Text, l.Words))
		h.Call("appendChild", m)
	}
	h.Set("scope", scope)
	h.Get("dataset").Set("label", l.Text)
	return h
}

// levelled makes nodes of words with raised and lowered parts, as in s^2, T_s and 1.5e-7.
func levelled(text string) []js.Value {
	var out []js.Value
	for _, r := range lesson.Runs(text) {
		switch r.Level {
		case 1:
			out = append(out, node("sup", "", words(r.Text)))
		case -1:
			out = append(out, node("sub", "", words(r.Text)))
		default:
			out = append(out, words(r.Text))
		}
	}
	return out
}

// symbols writes the names of matrices in a text as they stand above them.
func (w *workingPane) symbols(text string) string {
	var b strings.Builder
	for text != "" {
		n := strings.IndexFunc(text, func(r rune) bool {
			return r != '_' && !unicode.IsLetter(r) &&
				!unicode.IsDigit(r)
		})
		switch {
		case n < 0:
			n = len(text)
		case n == 0:
			n = len(firstRune(text))
		}
		word := text[:n]
		if _, known := w.grids[word]; known {
			word = lesson.Symbol(word)
		}
		b.WriteString(word)
		text = text[n:]
	}
	return b.String()
}

// entryOf returns the entry that a cell shows, nil for anything else.
func entryOf(target js.Value) *wire.Entry {
	cell := target.Call("closest", ".matrix tbody td")
	if !cell.Truthy() {
		return nil
	}
	row := cell.Get("parentNode")
	return &wire.Entry{
		Matrix: cell.Call("closest", "table").Get("dataset").Get("matrix").String(),
		Row:    row.Get("rowIndex").Int() - 1, Col: cell.Get("cellIndex").Int() - 1,
	}
}

// cells returns the cells that show an entry.
func (w *workingPane) cells(e wire.Entry) []js.Value {
	var out []js.Value
	for _, table := range w.grids[e.Matrix] {
		if row := table.Get("rows").Index(e.Row + 1); row.Truthy() {
			if cell := row.Get("cells").Index(e.Col + 1); cell.Truthy() {
				out = append(out, cell)
			}
		}
	}
	return out
}

// point asks how an entry came about.
func (w *workingPane) point(e *wire.Entry) {
	if w.pointed != nil && *w.pointed == *e || !w.current {
		return
	}
	w.pointed = e
	w.explain(*e)
}

// setOrigin says how the entry that is pointed at came about, and marks what it came from.
func (w *workingPane) setOrigin(c *wire.Provenance) {
	if c == nil || w.pointed == nil || c.Entry != *w.pointed {
		return
	}
	for _, cell := range w.lit {
		toggle(cell, "source", false)
		toggle(cell, "pointed", false)
	}
	w.lit = w.lit[:0]
	light := func(e wire.Entry, class string) {
		for _, cell := range w.cells(e) {
			toggle(cell, class, true)
			w.lit = append(w.lit, cell)
		}
	}
	var from []string
	named := map[string]bool{}
	for _, e := range c.From {
		light(e, "source")
		if !named[e.Matrix] {
			named[e.Matrix] = true
			name := lesson.Symbol(e.Matrix)
			if step, known := w.inStep[e.Matrix]; known {
				name += " (step " + strconv.Itoa(step+1) + ")"
			}
			from = append(from, name)
		}
	}
	light(c.Entry, "pointed")
	place := c.Entry.Matrix
	if table := w.grids[place]; len(table) > 0 {
		row := table[0].Get("rows").Index(c.Entry.Row + 1).Get("cells").Index(0).Get("dataset").Get("label").String()
		column := table[0].Get("rows").Index(0).Get("cells").Index(c.Entry.Col + 1).Get("dataset").Get("label").String()
		place = lesson.Symbol(place) + ", row " + row + ", column " + column
	}
	parts := []js.Value{node("p", "came-place", levelled(place)...), node("p", "", levelled(w.symbols(c.Formula))...)}
	if c.Numbers != "" {
		parts = append(parts, node("p", "came-numbers", levelled(c.Numbers)...))
	}
	if len(from) > 0 {
		parts = append(parts, node("p", "came-from",
			levelled("Marked: what it came from, "+strings.Join(from, ", "))...))
	}
	fill(w.came, parts...)
}

// key moves from entry to entry, and from step to step.
func (w *workingPane) key(e *dom.KeyboardEvent) {
	if modified(e) {
		return
	}
	key := e.Key()
	cell := e.Get("target").Call("closest", ".matrix tbody td")
	if !cell.Truthy() {
		switch key {
		case "ArrowRight", "PageDown", "n":
			w.turn(1)
		case "ArrowLeft", "PageUp", "p":
			w.turn(-1)
		default:
			return
		}
		if w.one() && e.Get("target").Get("tagName").String() != "SUMMARY" {
			e.PreventDefault()
		}
		return
	}
	row, col := cell.Get("parentNode"), cell.Get("cellIndex").Int()
	body := row.Get("parentNode").Get("rows")
	r := row.Get("sectionRowIndex").Int()
	last := row.Get("cells").Length() - 1
	switch key {
	case "ArrowRight":
		col = min(col+1, last)
	case "ArrowLeft":
		col = max(col-1, 1)
	case "ArrowDown":
		r = min(r+1, body.Length()-1)
	case "ArrowUp":
		r = max(r-1, 0)
	case "Home":
		col = 1
	case "End":
		col = last
	case "n", "PageDown", "p", "PageUp":
		if w.one() {
			e.PreventDefault()
			w.turn(map[string]int{"n": 1, "PageDown": 1, "p": -1, "PageUp": -1}[key])
		}
		return
	default:
		return
	}
	e.PreventDefault()
	move(body.Index(r).Get("cells").Index(col))
}

// move brings the keyboard to a cell: one cell of a matrix is in the order of the tab key.
func move(cell js.Value) {
	entry := cell.Call("closest", ".matrix tbody td")
	if !entry.Truthy() {
		return
	}
	if before := cell.Call("closest", "table").Call("querySelector", `td[tabindex="0"]`); before.Truthy() {
		before.Set("tabIndex", -1)
	}
	cell.Set("tabIndex", 0)
	cell.Call("focus")
}

// storage is where the page remembers how the working was left, where its browser lets it. Reading the property itself
// can throw, which Call turns into a panic that its callers take back.
func storage() js.Value {
	return js.Global().Get("Reflect").Call("get", js.Global(), "localStorage")
}

func stored(name string) (value string) {
	defer func() { _ = recover() }()
	if v := storage().Call("getItem", "nodespan-"+name); v.Type() == js.TypeString {
		value = v.String()
	}
	return value
}

func store(name, value string) {
	defer func() { _ = recover() }()
	storage().Call("setItem", "nodespan-"+name, value)
}

// lessonAfter is how many milliseconds a new answer has the machine to itself before its working is laid out, where it
// is open.
const lessonAfter = 200

// askLesson asks for the working of the answer that is shown.
func (p *page) askLesson() { p.askWorking(theWorking, wire.Request{Kind: wire.Working}) }

// askOrigin asks how an entry of it came about.
func (p *page) askOrigin(e wire.Entry) {
	p.askWorking(theOrigin, wire.Request{Kind: wire.Origin, Entry: &e})
}

func (p *page) askWorking(about topic, q wire.Request) {
	if p.shown != nil {
		q.Used, q.Follow = p.shown.answer.Used, p.working.follow.Checked()
		p.askSpare(about, q)
	}
}
