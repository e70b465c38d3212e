//go:build js && wasm

package page

import (
	"syscall/js"

	"honnef.co/go/js/dom/v2"

	"nodespan/wasm/wire"
)

// numbersPane takes a reader's own table of numbers and shows how it compares with the solution.
type numbersPane struct {
	area                            *dom.HTMLTextAreaElement
	section, verdict, scroll, table element
	typed                           *timer
	judged                          bool // what is said is a verdict
}

const numbersPause = 350 // milliseconds without a keystroke after which numbers are compared

// mostNumbers bounds what is pasted, in characters: ten thousand rows and more.
const mostNumbers = 400_000

func newNumbersPane(edited, compare func()) *numbersPane {
	n := &numbersPane{
		section: plain("own"), area: area("numbers"), verdict: plain("verdict"),
		scroll: plain("compared-scroll"), table: plain("compared"),
	}
	n.typed = newTimer(compare)
	on(n.area.BasicHTMLElement, "input", func(*dom.BasicEvent) {
		edited()
		n.typed.start(numbersPause)
	})
	return n
}

// text is the pasted table.
func (n *numbersPane) text() string { return written(n.area.Value()) }

// setAwaited says that a verdict is to come. The table before it keeps its place, unseen, so that nothing moves.
func (n *numbersPane) setAwaited(awaited bool) {
	classed(n.verdict, "awaited", awaited)
	classed(n.scroll, "awaited", awaited)
}

// say says a sentence that is no verdict.
func (n *numbersPane) say(text string) {
	n.judged = false
	setText(n.verdict, text)
	classed(n.verdict, "loud", false)
	show(n.scroll, false)
	n.setAwaited(false)
}

// wait takes a verdict away: the numbers, or the solution that they were compared with, are not what they were.
func (n *numbersPane) wait(s standing) {
	switch {
	case n.text() == "":
		n.say("")
	case s == nothing:
		n.say("There is no solution to compare these numbers with.")
	case s == ofLast:
		n.say("These numbers are compared when the sheet has an answer again.")
	default:
		n.judged = false
		setText(n.verdict, "Comparing …")
		classed(n.verdict, "loud", false)
		n.setAwaited(true)
	}
}

// set shows how the numbers compare.
func (n *numbersPane) set(c *wire.Comparison) {
	if c == nil {
		n.say("")
		return
	}
	if c.Fault != "" {
		n.say(c.Fault)
		return
	}
	n.judged = true
	setText(n.verdict, c.Verdict.Text)
	classed(n.verdict, "loud", c.Verdict.Loud)
	n.setAwaited(false)

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
