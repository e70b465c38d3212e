//go:build js && wasm

package page

import (
	"fmt"
	"strconv"
	"strings"
	"syscall/js"

	"honnef.co/go/js/dom/v2"

	"nodespan/expr/typeset"
	"nodespan/wasm/link"
)

// framePane is the form that says what a frame for a course page shows, with a preview.
type framePane struct {
	page     *page
	part     *dom.HTMLDetailsElement
	sections element
	sliders  element
	address  *dom.HTMLInputElement
	told     element
	preview  element
	order    []string        // of all sections
	ticked   map[string]bool // those that are shown
	without  map[string]bool // constants without their slider
	soon     *timer
	at       string // what the preview shows
}

func (p *page) newFramePane() *framePane {
	f := &framePane{
		page: p, part: details("frame-part"), sections: plain("frame-sections"), sliders: plain("frame-sliders"),
		address: input("frame-address"), told: plain("frame-told"), preview: plain("frame-preview"),
		order: link.Sections(), ticked: map[string]bool{}, without: map[string]bool{},
	}
	for _, s := range strings.Split(link.Usual.Show, ",") {
		f.ticked[s] = true
	}
	f.soon = newTimer(f.show)
	f.address.SetValue(here())
	f.list()
	f.warn()
	on(plain("frame-form"), "submit", func(e *dom.BasicEvent) { e.PreventDefault() })
	on(plain("frame-form"), "input", func(e *dom.BasicEvent) {
		field := e.Value.Get("target")
		switch name := field.Get("name").String(); {
		case name == "section":
			f.ticked[field.Get("value").String()] = field.Get("checked").Bool()
		case name == "slider":
			f.without[field.Get("value").String()] = !field.Get("checked").Bool()
		}
		f.warn()
		f.soon.start(pause)
	})
	on(f.sections, "click", func(e *dom.BasicEvent) {
		if b := e.Value.Get("target").Call("closest", "button"); b.Truthy() {
			f.raise(b.Get("value").String())
		}
	})
	on(f.part.BasicHTMLElement, "toggle", func(*dom.BasicEvent) { f.renew() })
	return f
}

// here is where this page lies, for the address of a frame: a page from disk can only be beside the course page.
func here() string {
	location := js.Global().Get("location")
	address, _, _ := strings.Cut(location.Get("href").String(), "#")
	if fromDisk(address) {
		return address[strings.LastIndexByte(address, '/')+1:]
	}
	return address
}

// fromDisk reports whether an address leads to somebody's own disk.
func fromDisk(address string) bool {
	a := strings.ToLower(written(address))
	return strings.HasPrefix(a, "file:") || strings.HasPrefix(a, `\`) || len(a) > 1 && a[1] == ':' ||
		strings.HasPrefix(a, "blob:") || strings.HasPrefix(a, "data:")
}

// list lists the sections, those that are shown in their order.
func (f *framePane) list() {
	var items []js.Value
	for i, s := range f.order {
		tick := node("input", "")
		tick.Set("type", "checkbox")
		tick.Set("name", "section")
		tick.Set("value", s)
		tick.Set("checked", f.ticked[s])
		text := s
		if s == "own" {
			text = "own numbers"
		}
		item := node("li", "", node("label", "", tick, words(" "+text)))
		if i > 0 {
			up := node("button", "link", words("up"))
			up.Set("type", "button")
			up.Set("value", s)
			up.Call("setAttribute", "aria-label", "up: "+text)
			item.Call("append", " ", up)
		}
		items = append(items, item)
	}
	fill(f.sections, items...)
}

// raise moves a section one place up.
func (f *framePane) raise(section string) {
	for i := 1; i < len(f.order); i++ {
		if f.order[i] == section {
			f.order[i-1], f.order[i] = section, f.order[i-1]
			f.list()
			if b := f.sections.Call("querySelector", `button[value="`+section+`"]`); b.Truthy() {
				b.Call("focus")
			}
			break
		}
	}
	f.soon.start(pause)
}

// warn says where the frame will look for the page, where that is not plain.
func (f *framePane) warn() {
	a := written(f.address.Value())
	text := ""
	switch {
	case fromDisk(a):
		text = "That address is on your own disk, where nobody else can reach it. Put the page on a server, or " +
			"beside the course page, and write its address there."
	case fromDisk(js.Global().Get("location").Get("href").String()) && !strings.Contains(a, "://"):
		text = "This page was opened from disk. The frame will look for " + a + " beside the course page: put the " +
			"file there, or write the address of a copy on a server."
	}
	setText(f.told, text)
}

// view is what the form says.
func (f *framePane) view() link.View {
	var shown, sliders []string
	for _, s := range f.order {
		if f.ticked[s] {
			shown = append(shown, s)
		}
	}
	all := true
	for _, c := range f.page.ranged() {
		if f.without[c] {
			all = false
		} else {
			sliders = append(sliders, c)
		}
	}
	v := link.View{
		On: true, Show: strings.Join(shown, ","),
		Sheet: choice("frame-sheet").Value(), Theme: choice("frame-theme").Value(),
		Free: input("frame-free").Checked(), Height: number(input("frame-height")),
		Title: written(input("frame-title").Value()), Caption: written(input("frame-caption").Value()),
	}
	switch {
	case all:
	case len(sliders) == 0:
		v.Sliders = "-"
	default:
		v.Sliders = strings.Join(sliders, ",")
	}
	if v.Show == "" {
		v.Show = "answer"
	}
	return v
}

// ranged are the constants that have a range.
func (p *page) ranged() (names []string) {
	for _, l := range p.reading.lines {
		if c := l.read.Constant; c != nil && c.Range != nil {
			names = append(names, c.Name)
		}
	}
	return names
}

// renew lists the constants that have a range now, and shows the sheet as it is.
func (f *framePane) renew() {
	if !f.part.Open() {
		return
	}
	var ticks []js.Value
	for _, c := range f.page.ranged() {
		tick := node("input", "")
		tick.Set("type", "checkbox")
		tick.Set("name", "slider")
		tick.Set("value", c)
		tick.Set("checked", !f.without[c])
		ticks = append(ticks, node("label", "", tick, words(" "+c+" ")))
	}
	fill(f.sliders, ticks...)
	show(plain("frame-sliders-part"), len(ticks) > 0)
	f.show()
}

// fragment is the link of the frame.
func (f *framePane) fragment() (string, error) {
	return link.Encode(link.State{Sheet: f.page.sheet.text(), Method: f.page.method.get(), View: f.view()})
}

// show shows the frame as it will look.
func (f *framePane) show() {
	fragment, err := f.fragment()
	if !f.part.Open() || err != nil || fragment == f.at {
		return
	}
	f.at = fragment
	base, _, _ := strings.Cut(js.Global().Get("location").Get("href").String(), "#")
	f.preview.Set("height", f.height())
	f.preview.Set("src", base+"#"+fragment)
}

func (f *framePane) height() int {
	if h := f.view().Height; h > 0 {
		return h
	}
	return 480
}

// snippet is what is put into a course page; "" where it would lead to a disk.
func (f *framePane) snippet() (string, error) {
	fragment, err := f.fragment()
	a := written(f.address.Value())
	if fromDisk(a) || a == "" {
		return "", err
	}
	title := f.view().Title
	if title == "" {
		title = "Nodespan: a boundary value problem, solved"
	}
	return fmt.Sprintf(`<iframe src="%s" title="%s" width="100%%" height="%s" style="border:0" loading="lazy" `+
		`allow="clipboard-write"></iframe>`, typeset.Escape(a+"#"+fragment), typeset.Escape(title),
		strconv.Itoa(f.height())), err
}
