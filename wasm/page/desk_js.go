//go:build js && wasm

package page

import (
	"errors"
	"strings"
	"syscall/js"

	"honnef.co/go/js/dom/v2"

	"nodespan/testdata/demos"
	"nodespan/wasm/keep"
	"nodespan/wasm/link"
	"nodespan/wasm/wire"
)

// Nothing that was typed is lost. The entry of the tab's history that the page stands on holds all of it, and its
// address the sheet and the method, so that reloading, restoring a tab and going back and forward bring it back; the
// browser's storage holds what was edited last, in whatever tab. An example or a link is an entry of its own.

// deskPane is what keeps the desk.
type deskPane struct {
	bring  element // the button that brings an edited sheet back
	told   element // why something is not kept
	save   *timer
	at     string     // the entry as it was written or read last: its desk, or its fragment where it has none
	before *keep.Desk // an edited sheet that another took the place of
	edited bool       // the sheet is the reader's own
	unkept bool       // something was changed since
}

// keepAfter is how many milliseconds after a change it is kept; a page that is left keeps it at once.
const keepAfter = 400

func (p *page) newDeskPane() *deskPane {
	d := &deskPane{bring: plain("bring-back"), told: plain("kept-told")}
	d.save = newTimer(p.keepDesk)
	onValue(d.bring.Value, "click", func(*dom.BasicEvent) {
		if b := d.before; b != nil {
			p.open(*b)
		}
	})
	for _, field := range []element{p.exports.file.title.BasicHTMLElement, p.exports.file.note.BasicHTMLElement} {
		on(field, "input", func(*dom.BasicEvent) { p.touched() })
	}
	onValue(js.Global(), "pagehide", func(*dom.BasicEvent) { p.keepUnkept() })
	onValue(rawDoc, "visibilitychange", func(*dom.BasicEvent) { p.keepUnkept() })
	for _, event := range []string{"popstate", "hashchange"} {
		onValue(js.Global(), event, func(*dom.BasicEvent) { p.arrive() })
	}
	return d
}

// desk is all that is typed, as it stands.
func (p *page) desk() keep.Desk {
	return keep.Desk{
		Sheet: p.sheet.text(), Method: p.method.get(), Numbers: p.numbers.area.Value(),
		Title: p.exports.file.title.Value(), Note: p.exports.file.note.Value(),
		Edited: p.desks.edited, Before: p.desks.before,
	}
}

// touched notes that something was changed, which is kept soon.
//
//go:noinline
func (p *page) touched() {
	p.desks.unkept = true
	p.desks.save.start(keepAfter)
}

func (p *page) keepUnkept() {
	if p.desks.unkept {
		p.keepDesk()
	}
}

// keepDesk writes the desk into the entry that the page stands on.
//
//go:noinline
func (p *page) keepDesk() { p.enterHistory("replaceState") }

// enterHistory writes the desk into this entry of the history, or a new one behind it. What is too long for an address
// is in the entry alone.
func (p *page) enterHistory(by string) {
	d := p.desks
	d.save.stop()
	desk := p.desk()
	text := desk.Text()
	fragment := ""
	if f, err := link.Encode(link.State{Sheet: desk.Sheet, Method: desk.Method, View: p.views.view}); err == nil {
		fragment = "#" + f
	}
	location := js.Global().Get("location")
	address := location.Get("href").String()
	address, _, _ = strings.Cut(address, "#")
	inEntry := try(func() { js.Global().Get("history").Call(by, text, "", address+fragment) })
	if inEntry == nil {
		d.at = text
	}
	var inStorage error
	if p.views.view.On {
		// what is done in a frame is none of the reader's sheets
	} else if desk.Edited || desk.Numbers != "" || desk.Title != "" || desk.Note != "" {
		last := desk
		last.Before = nil
		inStorage = p.storage.Set(keep.LastKey, last.Text())
	}
	d.unkept = false
	p.tellKept(inEntry, inStorage)
	p.showBefore()
}

// noteEntry writes the desk into an entry whose address the page did not make, and leaves this as it is.
func (p *page) noteEntry() {
	text := p.desk().Text()
	if try(func() { js.Global().Get("history").Call("replaceState", text, "") }) == nil {
		p.desks.at = text
	}
}

// tellKept says what of the work is not kept where.
func (p *page) tellKept(inEntry, inStorage error) {
	text := ""
	switch {
	case inEntry != nil && inStorage != nil:
		text = "This browser keeps nothing here: closing or reloading this page loses the sheet. Copy it elsewhere."
	case inStorage != nil:
		text = "This browser stores nothing for this page (blocked, or full). Reloading keeps what you typed, " +
			"closing this tab loses it."
	}
	setText(p.desks.told, text)
}

// showBefore offers the edited sheet that another took the place of.
func (p *page) showBefore() {
	b := p.desks.before
	show(p.desks.bring, b != nil && b.Sheet != p.sheet.text())
}

// arrive shows what belongs to the entry of the history to which the browser went: back, forward, or by a link.
func (p *page) arrive() {
	if p.entry() {
		return
	}
	if hash := fragmentNow(); hash != p.desks.at {
		p.desks.at = hash
		p.follow()
	}
}

// entry shows the desk that the entry holds, and reports whether it holds one.
func (p *page) entry() bool {
	state := js.Global().Get("history").Get("state")
	if state.Type() != js.TypeString {
		return false
	}
	text := state.String()
	d, err := keep.ReadDesk(text)
	if err != nil || text == p.desks.at {
		return err == nil
	}
	if p.desks.unkept { // it could not be written into the entry that was left
		d.Before = p.desk().SetAside(d.Sheet)
	}
	p.desks.at = text
	p.lay(d)
	p.solveNow()
	return true
}

func fragmentNow() string { return js.Global().Get("location").Get("hash").String() }

// beginDesk shows what there was before the page was loaded; else the problem in the address, else what was edited
// last, else the first demonstration.
func (p *page) beginDesk() {
	if s, err := link.Decode(fragmentNow()); err == nil {
		p.setView(s.View)
	}
	if p.entry() {
		return
	}
	if p.views.view.On {
		p.follow()
		return
	}
	last := keep.Desk{Sheet: demos.All()[0].Sheet}
	if text, found, _ := p.storage.Get(keep.LastKey); found {
		if d, err := keep.ReadDesk(text); err == nil {
			last = d
		}
	}
	p.desks.at = fragmentNow()
	p.desks.before = last.SetAside("")
	if p.follow() {
		p.showBefore()
		return
	}
	p.lay(last)
	p.noteEntry()
	p.solveNow()
}

// lay puts a desk into the fields.
func (p *page) lay(d keep.Desk) {
	p.method.set(d.Method)
	p.sheet.replace(d.Sheet)
	p.desks.edited, p.desks.before = d.Edited, d.Before
	p.exports.file.title.SetValue(d.Title)
	p.exports.file.note.SetValue(d.Note)
	if p.numbers.area.Value() != d.Numbers {
		p.numbers.area.SetValue(d.Numbers)
		p.numbersEdited()
	}
	p.desks.unkept = false
	p.desks.save.stop()
	p.showBefore()
}

// open shows another sheet: an example, or one that was kept. It is a new entry of the history. An edited sheet stays
// within reach; numbers and titles stay where the other sheet brings none.
func (p *page) open(d keep.Desk) {
	now := p.desk()
	if now.Sheet == d.Sheet && now.Method == d.Method {
		p.solveNow()
		return
	}
	p.keepDesk()
	for _, field := range []struct {
		to   *string
		from string
	}{{&d.Numbers, now.Numbers}, {&d.Title, now.Title}, {&d.Note, now.Note}} {
		if *field.to == "" {
			*field.to = field.from
		}
	}
	d.Before = now.SetAside(d.Sheet)
	p.lay(d)
	p.enterHistory("pushState")
	p.solveNow()
	p.kept.refresh()
}

// openExample shows a sheet as it came with the page.
func (p *page) openExample(sheet string) { p.open(keep.Desk{Sheet: sheet, Method: wire.Method{}}) }

// follow shows the problem in the address, and reports whether there is one. One that cannot be read is said to be
// so, with nothing solved in its place: another problem's answer would take the sentence away again.
func (p *page) follow() bool {
	s, err := link.Decode(js.Global().Get("location").Get("hash").String())
	switch {
	case errors.Is(err, link.ErrNone):
		return false
	case errors.Is(err, link.ErrVersion):
		p.leave()
		p.refuse("This link was made by a newer Nodespan and cannot be read by this one.")
		return true
	case err != nil:
		p.leave()
		p.refuse("The problem in this link cannot be read: it is damaged or was cut short. " +
			"Ask for the sheet itself.")
		return true
	}
	if p.views.view.On && !s.View.On {
		js.Global().Get("location").Call("reload") // the whole page
		return true
	}
	p.setView(s.View)
	d := p.desk()
	before := d.SetAside(s.Sheet)
	d.Sheet, d.Method, d.Edited, d.Before = s.Sheet, s.Method, false, before
	p.lay(d)
	p.noteEntry()
	p.solveNow()
	return true
}
