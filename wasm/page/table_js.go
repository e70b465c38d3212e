//go:build js && wasm

package page

import (
	"syscall/js"

	"honnef.co/go/js/dom/v2"

	"nodespan/wasm/wire"
)

// nodeTable is the node table, its doubtful digits grey, and the buttons that copy it.
type nodeTable struct {
	section, table, copied element
	rows                   []js.Value
	kept                   []js.Func
	lit                    int

	point func(row int) // a row is pointed at; -1 for none
}

func newNodeTable(point func(int), copyAs func(format string)) *nodeTable {
	t := &nodeTable{section: plain("tables"), table: plain("node-table"), copied: plain("copied-table"), lit: -1,
		point: point}
	onEach(t.section.Value, "button[data-format]", "data-format", copyAs)
	on(t.table, "pointerleave", func(*dom.BasicEvent) { t.point(-1) })
	return t
}

func (t *nodeTable) set(w *wire.Table) {
	show(t.section, w != nil)
	if w == nil {
		return
	}
	const beside = 4 // columns that have room beside the ladder on paper
	toggle(t.section.Get("parentElement"), "broad", len(w.Columns) > beside)
	for _, f := range t.kept {
		f.Release()
	}
	t.kept, t.rows, t.lit = t.kept[:0], t.rows[:0], -1
	head := node("tr", "")
	for _, c := range w.Columns {
		h := node("th", "", runs(c)...)
		h.Set("scope", "col")
		head.Call("appendChild", h)
	}
	body := node("tbody", "")
	for i, row := range w.Rows {
		tr := node("tr", "")
		for _, c := range row {
			cell := node("td", "", words(c.Sure))
			if c.Doubtful != "" {
				cell.Call("appendChild", node("span", wire.Doubtful, words(c.Doubtful)))
			}
			if c.Power != "" {
				cell.Call("appendChild", words(c.Power))
			}
			tr.Call("appendChild", cell)
		}
		f := js.FuncOf(func(js.Value, []js.Value) any { t.point(i); return nil })
		t.kept = append(t.kept, f)
		tr.Call("addEventListener", "pointerenter", f)
		body.Call("appendChild", tr)
		t.rows = append(t.rows, tr)
	}
	fill(t.table, node("thead", "", head), body)
	setText(t.copied, "")
	t.setAwaited(false)
}

// light marks the row of a node, -1 for none.
func (t *nodeTable) light(row int) {
	if row == t.lit {
		return
	}
	if t.lit >= 0 && t.lit < len(t.rows) {
		toggle(t.rows[t.lit], "lit", false)
	}
	if t.lit = row; row >= 0 && row < len(t.rows) {
		toggle(t.rows[row], "lit", true)
	}
}

// setPast marks the table of the last sheet that had an answer, and setAwaited one whose successor is long in coming.
func (t *nodeTable) setPast(past bool) { classed(t.section, "stale", past) }

//go:noinline
func (t *nodeTable) setAwaited(awaited bool) { classed(t.section, "awaited", awaited) }
