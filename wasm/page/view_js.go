//go:build js && wasm

package page

import (
	"math"
	"strings"
	"syscall/js"

	"nodespan/wasm/link"
)

// What a link chooses of the page. The sections that it names are moved below one another into a part of their own, and
// the style sheet hides the rest; so it can be done over and over, for the preview of the form.

// parts are the elements of link.Sections; the residual is a part of the figure.
var parts = map[string]string{"answer": "answers", "figure": "figures", "residual": "figures", "table": "tables",
	"ladder": "ladders", "working": "working", "own": "own"}

// viewPane shows a view.
type viewPane struct {
	view     link.View
	sections js.Value // undefined until there is a view
	height   int      // announced last
}

// setView shows what a link chooses. Once something was chosen, the whole page comes back by loading it anew.
func (p *page) setView(v link.View) {
	p.views.view = v
	if !v.On {
		return
	}
	root := rawDoc.Get("documentElement")
	for class, on := range map[string]bool{
		"viewed": true, "free": v.Free, "editable": v.Sheet == "editable", "sheetless": v.Sheet == "hidden",
		"light": v.Theme == "light", "dark": v.Theme == "dark", "no-strip": !link.Has(v.Show, "residual"),
	} {
		toggle(root, class, on)
	}
	if p.views.sections.IsUndefined() {
		p.views.sections = node("div", "chosen-sections")
		plain("main").Call("prepend", p.views.sections)
		p.announce()
	}
	list := []any{}
	if v.Title != "" {
		list = append(list, node("h2", "view-title", words(v.Title)))
		rawDoc.Set("title", v.Title)
	}
	sheet := plain("sheet-part").Value
	switch v.Sheet {
	case "":
		fold := node("details", "view-fold", node("summary", "", words("Sheet")), sheet)
		list = append(list, fold)
	default:
		list = append(list, sheet)
	}
	list = append(list, p.sheet.fault.Value, p.sheet.offer.Value, p.reading.pane.Value)
	shown := map[string]bool{}
	for _, s := range strings.Split(v.Show, ",") {
		if id := parts[s]; !shown[id] {
			shown[id] = true
			list = append(list, plain(id).Value)
		}
	}
	if v.Caption != "" {
		list = append(list, node("p", "help-line", words(v.Caption)))
	}
	for id := range shownParts() {
		if !shown[id] {
			plain("problem").Call("append", plain(id).Value) // which is not shown
		}
	}
	p.views.sections.Call("replaceChildren", list...)
	p.reading.anew = true
	p.sheet.area.SetReadOnly(v.Sheet != "editable")
	if working := plain("working"); shown["working"] {
		working.Set("open", true)
	}
	whole := plain("whole")
	show(wrap(whole.Get("parentElement")), v.Sheet != "hidden")
	p.figure.flat = true
	p.figure.redraw()
	p.ladder.redraw()
}

// shownParts are the ids of all parts.
func shownParts() map[string]bool {
	ids := map[string]bool{}
	for _, id := range parts {
		ids[id] = true
	}
	return ids
}

// tellWhole has the link to the whole page lead to the sheet as it stands.
func (p *page) tellWhole() {
	if p.views.view.On {
		if a, err := address(link.State{Sheet: p.sheet.text(), Method: p.method.get()}); err == nil {
			plain("whole").SetAttribute("href", a)
		}
	}
}

// slides reports whether a constant that has a range has a slider.
func (p *page) slides(name string) bool {
	v := p.views.view
	return !v.On || v.Sliders == "" || link.Has(v.Sliders, name)
}

// announce tells the page around this one how high what is shown is, whenever this changes, as learning platforms hear
// it (1EdTech, LTI: the message lti.frameResize). It says nothing else, so any page may hear it.
func (p *page) announce() {
	body := rawDoc.Get("body")
	tell := js.FuncOf(func(js.Value, []js.Value) any {
		height := int(math.Ceil(body.Call("getBoundingClientRect").Get("height").Float()))
		if p.views.view.Height == 0 && height != p.views.height {
			p.views.height = height
			js.Global().Get("parent").Call("postMessage", map[string]any{"subject": "lti.frameResize",
				"height": height}, "*")
		}
		return nil
	})
	js.Global().Get("ResizeObserver").New(tell).Call("observe", body)
}
