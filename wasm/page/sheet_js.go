//go:build js && wasm

package page

import (
	"sort"
	"strconv"
	"strings"
	"syscall/js"

	"honnef.co/go/js/dom/v2"

	"nodespan/wasm/wire"
)

// sheetPane is the text area and the mirror behind it: the same text in the same type, invisible,
// that gives the area its height and carries the underlines and marks which a text area cannot have.
type sheetPane struct {
	area   *dom.HTMLTextAreaElement
	mirror element
	veil   element // over the text area: what greys the words that are no mathematics
	paper  element
	gist   element // the mathematics without its remarks, for a narrow window
	fault  element
	offer  element // the choices of a fault

	choices []wire.Choice
	asked   wire.Span // what they may stand for

	lines  []wire.Line
	faults []wire.Fault
	// remarks are the words that are no mathematics.
	remarks []wire.Span
	pieces  []piece
	marked  int  // the line that is marked, -1 for none
	laying  bool // the page itself puts another sheet there

	moved     wire.Span // what a value that moves will take the place of; empty where none does
	movedText string    // that value

	changed func()         // the text was edited
	pointed func(line int) // a line was pointed at, by the pointer or the caret; -1 for none
}

// piece is a stretch of the mirror.
type piece struct {
	node js.Value
	line int // index of the statement it belongs to, or -1
}

func newSheetPane(changed func(), pointed func(int)) *sheetPane {
	s := &sheetPane{
		area:    area("sheet"),
		mirror:  plain("mirror"),
		veil:    plain("veil"),
		paper:   plain("paper"),
		gist:    plain("gist"),
		fault:   plain("fault"),
		offer:   plain("choices"),
		marked:  -1,
		changed: changed,
		pointed: pointed,
	}
	on(s.area.BasicHTMLElement, "input", func(*dom.BasicEvent) {
		s.lines, s.faults, s.remarks = nil, nil, nil // places in the old text
		s.moved = wire.Span{}
		s.ask(nil)
		s.reflect()
		if !s.laying {
			s.changed()
		}
	})
	on(s.area.BasicHTMLElement, "scroll", func(*dom.BasicEvent) {
		s.follow()
	})
	on(s.offer, "click", func(e *dom.BasicEvent) {
		if b := e.Value.Get("target").Call("closest", "button"); b.Truthy() {
			i, _ := strconv.Atoi(b.Get("value").String())
			s.write(s.asked, s.choices[i].Text)
		}
	})
	on(s.area.BasicHTMLElement, "pointermove", func(e *dom.BasicEvent) {
		s.pointed(s.lineUnder(e.Value))
	})
	on(s.area.BasicHTMLElement, "pointerleave", func(*dom.BasicEvent) { s.pointed(-1) })
	onValue(rawDoc, "selectionchange", func(*dom.BasicEvent) {
		if active(s.area.Underlying()) {
			s.pointed(s.lineAt(byteOffset(s.area.Value(), s.area.SelectionStart())))
		}
	})
	entered := newTimer(s.showFirst) // the caret is put where the press was only after the focus
	on(s.area.BasicHTMLElement, "focus", func(*dom.BasicEvent) { entered.start(0) })
	on(s.area.BasicHTMLElement, "blur", func(*dom.BasicEvent) { s.pointed(-1) })
	return s
}

// text is the sheet as it stands, with the value that moves.
func (s *sheetPane) text() string {
	all := s.area.Value()
	if s.moved.From < s.moved.To {
		return all[:s.moved.From] + s.movedText + all[s.moved.To:]
	}
	return all
}

// source is what stands at a place that was read.
//
//go:noinline
func (s *sheetPane) source(at wire.Span) string {
	all := s.area.Value()
	return all[min(at.From, len(all)):min(at.To, len(all))]
}

// move has another text in the place of a stretch for the time being, and reports whether that is news. Places that
// were read in an older text move nothing.
func (s *sheetPane) move(at wire.Span, text string) bool {
	if s.lines == nil || s.moved == at && s.movedText == text {
		return false
	}
	s.moved, s.movedText = at, text
	return true
}

// settle writes what was moved.
func (s *sheetPane) settle() {
	at, text := s.moved, s.movedText
	s.moved = wire.Span{}
	if at.From < at.To {
		s.edit(at, text)
	}
}

func (s *sheetPane) setText(text string) {
	s.moved = wire.Span{}
	s.area.SetValue(text)
	s.lines, s.faults, s.remarks = nil, nil, nil
	s.ask(nil)
	s.reflect()
}

// setReading shows where the statements and the faults are. An unfinished sheet is not underlined.
func (s *sheetPane) setReading(r *wire.Reading) {
	s.lines, s.faults, s.remarks = r.Lines, nil, r.Remarks
	if !r.Incomplete {
		s.faults = r.Faults
	}
	s.reflect()
	classed(s.area.BasicHTMLElement, "faulty", len(s.faults) > 0)
	if len(s.faults) > 0 {
		s.area.SetAttribute("aria-invalid", "true")
	} else {
		s.area.RemoveAttribute("aria-invalid")
	}
}

// ask offers the choices of a fault; those of nil are none.
func (s *sheetPane) ask(f *wire.Fault) {
	s.choices = nil
	if f != nil {
		s.choices, s.asked = f.Choices, f.Span
	}
	var buttons []js.Value
	for i, c := range s.choices {
		b := node("button", "choice")
		b.Set("type", "button")
		b.Set("value", i)
		b.Set("title", "Write "+c.Text)
		if c.Math != nil {
			b.Call("appendChild", mathML(c.Math))
		} else {
			b.Call("appendChild", words(c.Text))
		}
		buttons = append(buttons, b)
	}
	fill(s.offer, buttons...)
	show(s.offer, len(buttons) > 0)
}

// write puts text in the place of a stretch of the sheet, as if it had been typed: it can be undone.
func (s *sheetPane) write(at wire.Span, text string) {
	s.area.Focus()
	s.put(at, text)
}

func (s *sheetPane) put(at wire.Span, text string) {
	all := s.area.Value()
	if !s.insert(utf16Offset(all, at.From), utf16Offset(all, at.To), text) { // then it cannot be undone
		s.setText(all[:at.From] + text + all[at.To:])
		s.changed()
	}
}

// edit does the same for a control elsewhere, which keeps the keyboard; undo takes back the last edit, or brings it
// again, in its name.
//
//go:noinline
func (s *sheetPane) edit(at wire.Span, text string) { s.beside(func() { s.put(at, text) }) }

func (s *sheetPane) undo(again bool) {
	command := "undo"
	if again {
		command = "redo"
	}
	s.beside(func() { rawDoc.Call("execCommand", command) })
}

// beside does something within the text area, while what had the keyboard keeps it and nothing scrolls.
func (s *sheetPane) beside(f func()) {
	had := rawDoc.Get("activeElement")
	window := js.Global()
	x, y := window.Get("scrollX"), window.Get("scrollY")
	s.area.Call("focus", map[string]any{"preventScroll": true})
	f()
	if had.Truthy() && !had.Equal(s.area.Underlying()) {
		had.Call("focus", map[string]any{"preventScroll": true})
		if !active(had) {
			s.area.Blur()
		}
	}
	window.Call("scrollTo", x, y)
}

// replace puts another sheet in the place of this one. That too can be undone, unless nothing stood there. What had
// the keyboard keeps it.
func (s *sheetPane) replace(text string) {
	s.laying = true
	if all := s.area.Value(); all != "" && all != text {
		s.beside(func() { s.insert(0, utf16Offset(all, len(all)), text) })
	}
	s.laying = false
	if s.area.Value() != text {
		s.setText(text)
	}
	s.area.SetSelectionRange(0, 0, "none")
}

// insert has the browser put text in the place of a stretch, in its own units, and reports whether it did.
func (s *sheetPane) insert(from, to int, text string) bool {
	if !active(s.area.Underlying()) {
		return false
	}
	s.area.SetSelectionRange(from, to, "none")
	if text == "" {
		return rawDoc.Call("execCommand", "delete").Bool()
	}
	return rawDoc.Call("execCommand", "insertText", false, text).Bool()
}

// reflect rebuilds the mirror: the text cut at the ends of the statements and faults.
func (s *sheetPane) reflect() {
	text := s.area.Value()
	cuts := []int{0, len(text)}
	for _, l := range s.lines {
		cuts = append(cuts, l.Span.From, l.Span.To)
	}
	for _, f := range s.faults {
		from, to := s.faultSpan(text, f.Span)
		cuts = append(cuts, from, to)
	}
	sort.Ints(cuts)
	s.pieces = s.pieces[:0]
	var nodes []js.Value
	for i := 1; i < len(cuts); i++ {
		from, to := min(max(cuts[i-1], 0), len(text)), min(max(cuts[i], 0), len(text))
		if from >= to {
			continue
		}
		n := node("span", "", words(text[from:to]))
		for _, f := range s.faults {
			if a, b := s.faultSpan(text, f.Span); a <= from && to <= b {
				n.Set("className", "underlined")
			}
		}
		p := piece{n, -1}
		for k, l := range s.lines {
			if l.Span.From <= from && to <= l.Span.To {
				p.line = k
			}
		}
		s.pieces = append(s.pieces, p)
		nodes = append(nodes, n)
	}
	nodes = append(nodes, words("\u200b\n")) // room for the line on which the caret will stand next
	fill(s.mirror, nodes...)
	s.reflectRemarks(text)
	s.follow()
	s.fold()
	s.mark(s.marked)
}

// showFirst scrolls a sheet that does not fit into its area past the remarks that it begins with, when it is entered
// within these.
func (s *sheetPane) showFirst() {
	if len(s.lines) == 0 || byteOffset(s.area.Value(), s.area.SelectionStart()) > s.lines[0].Span.From {
		return
	}
	for _, p := range s.pieces {
		if p.line == 0 {
			s.area.Underlying().Set("scrollTop", p.node.Get("offsetTop"))
			return
		}
	}
}

// fold has the sheet's gist ready where it is shorter than the sheet, which was understood: in a narrow window the
// style sheet shows it until the area is written in.
func (s *sheetPane) fold() {
	text := s.area.Value()
	shorter := gist(text, s.lines, s.remarks)
	folded := len(s.faults) == 0 && shorter != "" && len(shorter) < len(text)
	classed(s.paper, "folded", folded)
	if folded {
		setText(s.gist, shorter)
	}
}

// follow scrolls what lies behind and over the text area as far as that.
func (s *sheetPane) follow() {
	top := s.area.Underlying().Get("scrollTop")
	s.mirror.Set("scrollTop", top)
	s.veil.Set("scrollTop", top)
}

// reflectRemarks rebuilds the veil.
func (s *sheetPane) reflectRemarks(text string) {
	var nodes []js.Value
	at := 0
	for _, sp := range s.remarks {
		if sp.From < at || sp.To > len(text) || sp.From >= sp.To {
			continue
		}
		nodes = append(nodes, words(text[at:sp.From]), node("span", "remark", words(text[sp.From:sp.To])))
		at = sp.To
	}
	if nodes != nil {
		nodes = append(nodes, words(text[at:]+"\u200b\n"))
	}
	fill(s.veil, nodes...)
}

// faultSpan returns the stretch to underline: where a fault has no extent, the character at it or before it.
func (s *sheetPane) faultSpan(text string, sp wire.Span) (from, to int) {
	from, to = min(sp.From, len(text)), min(sp.To, len(text))
	if from < to {
		return from, to
	}
	if from < len(text) && text[from] != '\n' {
		return from, from + len(firstRune(text[from:]))
	}
	trimmed := strings.TrimRight(text[:from], " \t\r\n")
	if trimmed == "" {
		return from, from
	}
	return len(trimmed) - len(lastRune(trimmed)), len(trimmed)
}

func firstRune(s string) string {
	for i := range s {
		if i > 0 {
			return s[:i]
		}
	}
	return s
}

func lastRune(s string) string {
	at := 0
	for i := range s {
		at = i
	}
	return s[at:]
}

// mark marks a statement, -1 for none.
func (s *sheetPane) mark(line int) {
	s.marked = line
	for _, p := range s.pieces {
		toggle(p.node, "marked", line >= 0 && p.line == line)
	}
}

// lineUnder returns the statement whose text lies under the pointer, or -1.
func (s *sheetPane) lineUnder(pointer js.Value) int {
	under := rawDoc.Call("elementsFromPoint", pointer.Get("clientX"), pointer.Get("clientY"))
	for i := range under.Length() {
		for _, p := range s.pieces {
			if p.node.Equal(under.Index(i)) {
				return p.line
			}
		}
	}
	return -1
}

// lineAt returns the statement at a byte of the text, or -1.
func (s *sheetPane) lineAt(at int) int {
	for i, l := range s.lines {
		if l.Span.From <= at && at <= l.Span.To {
			return i
		}
	}
	return -1
}

// choose selects a stretch of the text and brings the caret there.
func (s *sheetPane) choose(sp wire.Span) {
	text := s.area.Value()
	s.area.Focus()
	s.area.SetSelectionRange(utf16Offset(text, sp.From), utf16Offset(text, sp.To), "none")
}
