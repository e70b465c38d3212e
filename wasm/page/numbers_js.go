//go:build js && wasm

package page

import (
	"syscall/js"

	"honnef.co/go/js/dom/v2"

	"nodespan/wasm/wire"
)

// numbersPane takes a reader's own table of numbers and shows how it compares with the solution.
type numbersPane struct {
	section, area, verdict, scroll, table element
	typed                                 *timer
	asked                                 string // the table that was last asked about
}

const numbersPause = 350 // milliseconds without a keystroke after which numbers are compared

// mostNumbers bounds what is pasted, in characters: ten thousand rows and more.
const mostNumbers = 400_000

func newNumbersPane(compare func()) *numbersPane {
	n := &numbersPane{section: byID("own"), area: byID("numbers"), verdict: byID("verdict"), scroll: byID("compared-scroll"), table: byID("compared")}
	n.typed = newTimer(compare)
	on(n.area.Value, "input", func(*dom.BasicEvent) {
		n.setStale(true)
		n.typed.start(numbersPause)
	})
	return n
}

// text is the pasted table.
func (n *numbersPane) text() string { return value(n.area) }

func (n *numbersPane) setStale(stale bool) {
	toggle(n.verdict.Value, "awaited", stale)
	toggle(n.scroll.Value, "awaited", stale)
}

func (n *numbersPane) say(text string) {
	fill(n.verdict, words(text))
	toggle(n.verdict.Value, "loud", false)
	show(n.scroll, false)
	n.setStale(false)
}

func (n *numbersPane) set(c *wire.Comparison) {
	if c == nil {
		n.say("")
		return
	}
	if c.Fault != "" {
		n.say(c.Fault)
		return
	}
	fill(n.verdict, words(c.Verdict.Text))
	toggle(n.verdict.Value, "loud", c.Verdict.Loud)
	n.setStale(false)

	several := len(c.Columns) > 1 // then each row says which column it is of
	cells := func(tag string, texts []string) []js.Value {
		var out []js.Value
		for i, t := range texts {
			if i == 1 && !several {
				continue
			}
			if i == 1 && tag == "th" {
				t = "of"
			}
			cell := node(tag, "", words(t))
			if tag == "th" {
				cell.Set("scope", "col")
			}
			out = append(out, cell)
		}
		return out
	}
	body := node("tbody", "")
	for _, r := range c.Rows {
		class := ""
		if r.Wrong {
			class = "wrong"
		}
		body.Call("appendChild", node("tr", class, cells("td", r.Cells)...))
	}
	fill(n.table, node("thead", "", node("tr", "", cells("th", c.Head)...)), body)
	show(n.scroll, len(c.Rows) > 0)
}
