//go:build js && wasm

package page

import (
	"math"
	"strconv"
	"syscall/js"
)

// One step of the working at a time, for a class: what does not fit into the window is shown in parts, one after the
// other.

// part is a piece of a step: formulas and matrices from item from to item to, and of the rows of a matrix that is
// itself too tall those from first to last (all where last is 0).
type part struct {
	from, to    int
	first, last int
}

const (
	roomBelow = 72  // pixels kept free for how an entry came about
	leastRoom = 200 // pixels that a part has at least
)

// items are the formulas and the matrices of a step.
func items(section js.Value) []js.Value {
	list := section.Call("querySelectorAll", ".formula, .matrix-box")
	out := make([]js.Value, list.Length())
	for i := range out {
		out[i] = list.Index(i)
	}
	return out
}

// showRows shows the rows of a matrix from first to last alone, all where last is 0.
func showRows(item js.Value, first, last int) {
	rows := item.Call("querySelectorAll", ".matrix tbody tr")
	for i := range rows.Length() {
		rows.Index(i).Set("hidden", last > 0 && (i < first || i >= last))
	}
}

// extent is where an element begins and ends in the window.
func extent(n js.Value) (top, bottom float64) {
	box := n.Call("getBoundingClientRect")
	return box.Get("top").Float(), box.Get("bottom").Float()
}

// divide divides the step that is shown into parts that fit into the window, by where things lie in it when all of it
// is shown.
func (w *workingPane) divide() []part {
	list := items(w.sections[w.step])
	for _, n := range list {
		n.Set("hidden", false)
		showRows(n, 0, 0)
	}
	if len(list) == 0 {
		return []part{{}}
	}
	head, _ := extent(w.counter.Value)
	start, _ := extent(list[0])
	room := math.Max(js.Global().Get("innerHeight").Float()-(start-head)-roomBelow, leastRoom)
	var parts []part
	top := start
	for i := 0; i < len(list); {
		lineTop, lineEnd := extent(list[i])
		k := i + 1
		for ; k < len(list); k++ { // what stands beside it
			a, b := extent(list[k])
			if a >= lineEnd {
				break
			}
			lineEnd = math.Max(lineEnd, b)
		}
		switch n := len(parts); {
		case lineEnd-lineTop > room:
			parts = append(parts, rows(list[i], i, k, lineEnd-lineTop, room)...)
		case n > 0 && parts[n-1].last == 0 && lineEnd-top <= room:
			parts[n-1].to = k
		default:
			parts, top = append(parts, part{from: i, to: k}), lineTop
		}
		i = k
	}
	return parts
}

// rows divides a matrix of a given height, and what stands beside it, by its rows.
func rows(item js.Value, from, to int, height, room float64) []part {
	n := item.Call("querySelectorAll", ".matrix tbody tr").Length()
	if n < 2 {
		return []part{{from: from, to: to}}
	}
	const around = 64 // its name and the labels of its columns
	each := max(int((room-around)/((height-around)/float64(n))), 1)
	var parts []part
	for first := 0; first < n; first += each {
		parts = append(parts, part{from, to, first, min(first+each, n)})
	}
	return parts
}

// arrange shows all steps, or one, or a part of one.
func (w *workingPane) arrange() {
	steps := len(w.sections)
	several := w.one() && steps > 0
	classed(w.details.BasicHTMLElement, "single", several)
	for i, s := range w.sections {
		s.Set("hidden", several && i != w.step)
		if !several {
			for _, n := range items(s) {
				n.Set("hidden", false)
				showRows(n, 0, 0)
			}
		}
	}
	show(w.previous.BasicHTMLElement, several)
	show(w.next.BasicHTMLElement, several)
	text := ""
	if several {
		w.parts = w.divide()
		w.part = min(w.part, len(w.parts)-1)
		shown := w.parts[w.part]
		for i, n := range items(w.sections[w.step]) {
			n.Set("hidden", i < shown.from || i >= shown.to)
			showRows(n, shown.first, shown.last)
		}
		text = "Step " + strconv.Itoa(w.step+1) + " of " + strconv.Itoa(steps) + ": " + w.lesson.Steps[w.step].Title
		if len(w.parts) > 1 {
			text += ", part " + strconv.Itoa(w.part+1) + " of " + strconv.Itoa(len(w.parts))
		}
	}
	setText(w.counter, text)
	w.handOn(several && w.step == 0 && w.part == 0, several && w.step == steps-1 && w.part == len(w.parts)-1)
}

// handOn switches the buttons off at the first and at the last step; one that has the keyboard hands it to the other.
func (w *workingPane) handOn(first, last bool) {
	w.previous.SetDisabled(first && !active(w.previous.Underlying()))
	w.next.SetDisabled(last && !active(w.next.Underlying()))
	switch {
	case first && !last && active(w.previous.Underlying()):
		w.next.Focus()
	case last && !first && active(w.next.Underlying()):
		w.previous.Focus()
	}
	w.previous.SetDisabled(first)
	w.next.SetDisabled(last)
}

// turn shows the next part, step after step, or the one before.
func (w *workingPane) turn(by int) {
	if !w.one() || len(w.sections) == 0 {
		return
	}
	switch to := w.part + by; {
	case to >= 0 && to < len(w.parts):
		w.part = to
	case by > 0 && w.step < len(w.sections)-1:
		w.step, w.part = w.step+1, 0
	case by < 0 && w.step > 0:
		w.step, w.part = w.step-1, math.MaxInt
	default:
		return
	}
	w.arrange()
	w.counter.Get("parentElement").Call("scrollIntoView", map[string]any{"block": "start"})
}
