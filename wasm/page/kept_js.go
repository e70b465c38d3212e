//go:build js && wasm

package page

import (
	"strings"
	"syscall/js"

	"honnef.co/go/js/dom/v2"

	phrase "nodespan/expr/words"
	"nodespan/wasm/keep"
	"nodespan/wasm/wire"
)

// keptPane is "My sheets": those that are kept by name in this browser, written to and read from text files.
type keptPane struct {
	page  *page
	shelf keep.Shelf
	fold  *dom.HTMLDetailsElement
	name  *dom.HTMLInputElement
	list  element
	told  element
	undo  element
	files *dom.HTMLInputElement
	named bool        // the name was typed, and not suggested
	lost  []keep.Kept // what the last action replaced or removed
}

func (p *page) newKeptPane() *keptPane {
	k := &keptPane{
		page: p, shelf: keep.Shelf{Storage: p.storage}, fold: details("my-sheets"), name: input("keep-name"),
		list: plain("kept-list"), told: plain("kept-done"), undo: plain("kept-undo"), files: input("import-sheets"),
	}
	on(k.fold.BasicHTMLElement, "toggle", func(*dom.BasicEvent) { k.refresh() })
	on(k.name.BasicHTMLElement, "input", func(*dom.BasicEvent) { k.named = true })
	on(plain("keep-form"), "submit", func(e *dom.BasicEvent) {
		e.PreventDefault()
		k.keep()
	})
	on(k.list, "click", func(e *dom.BasicEvent) {
		if b := e.Value.Get("target").Call("closest", "button"); b.Truthy() {
			k.press(b.Get("name").String(), b.Get("value").String())
		}
	})
	on(k.undo, "click", func(*dom.BasicEvent) { k.restore() })
	on(button("export-sheets").BasicHTMLElement, "click", func(*dom.BasicEvent) { k.export() })
	on(k.files.BasicHTMLElement, "change", func(*dom.BasicEvent) { k.open() })
	onValue(js.Global(), "storage", func(*dom.BasicEvent) { k.refresh() }) // another tab's doing
	return k
}

// say tells what was done, and offers to undo it where something was lost by it.
func (k *keptPane) say(text string, lost ...keep.Kept) {
	k.lost = lost
	setText(k.told, text)
	show(k.undo, len(lost) > 0)
}

const keepsNothing = "This browser stores nothing for this page (blocked, or full). " +
	"Save the sheet as a text file instead."

// refresh lists the sheets, where the list is looked at.
func (k *keptPane) refresh() {
	if !k.fold.Open() {
		return
	}
	if !k.named || written(k.name.Value()) == "" {
		k.named = false
		k.name.SetValue(keep.Suggested(k.page.sheet.text()))
	}
	names, err := k.shelf.Names()
	if err != nil {
		k.say(keepsNothing)
	}
	var items []js.Value
	for _, name := range names {
		tick := node("input", "")
		tick.Set("type", "checkbox")
		tick.Set("checked", true)
		tick.Set("value", name)
		tick.Call("setAttribute", "aria-label", "Into the file: "+name)
		items = append(items, node("li", "", tick, words(" "), k.button("open", name, name, "Open "+name),
			words(" "), k.button("remove", name, "Remove", "Remove "+name)))
	}
	fill(k.list, items...)
}

func (k *keptPane) button(does, name, text, title string) js.Value {
	b := node("button", "link", words(text))
	b.Set("type", "button")
	b.Set("name", does)
	b.Set("value", name)
	b.Set("title", title)
	b.Call("setAttribute", "aria-label", title)
	return b
}

// keep keeps the sheet as it stands under the name in the field.
func (k *keptPane) keep() {
	name := keep.Name(k.name.Value())
	if name == "" {
		k.say("Give the sheet a name.")
		return
	}
	now := k.page.desk()
	old, found, _ := k.shelf.Get(name)
	if err := k.shelf.Put(name, now); err != nil {
		k.say(keepsNothing)
		return
	}
	k.named = false
	k.refresh()
	if found && old.Sheet != now.Sheet {
		k.say("Kept as “"+name+"”, in the place of another sheet.", keep.Kept{Name: name, Desk: old})
		return
	}
	k.say("Kept as “" + name + "”.")
}

// press opens or removes a sheet of the list.
func (k *keptPane) press(does, name string) {
	d, found, err := k.shelf.Get(name)
	switch {
	case does == "remove":
		if err := k.shelf.Remove(name); err != nil {
			k.say(keepsNothing)
			return
		}
		k.refresh()
		var lost []keep.Kept
		if found {
			lost = []keep.Kept{{Name: name, Desk: d}}
		}
		k.say("Removed “"+name+"”.", lost...)
		k.fold.Call("querySelector", "summary").Call("focus")
	case !found:
		k.say("“" + name + "” is gone, or cannot be read.")
		if err == nil {
			k.refresh()
		}
	default:
		k.page.open(d)
		k.say("Opened “" + name + "”.")
	}
}

// restore undoes what was done last.
func (k *keptPane) restore() {
	for _, l := range k.lost {
		if err := k.shelf.Put(l.Name, l.Desk); err != nil {
			k.say(keepsNothing, k.lost...)
			return
		}
	}
	k.refresh()
	k.say("Undone.")
}

// export writes the ticked sheets into one text file; where none is kept, the sheet as it stands.
func (k *keptPane) export() {
	var list []keep.Kept
	ticked := k.list.Call("querySelectorAll", "input:checked")
	for i := range ticked.Length() {
		name := ticked.Index(i).Get("value").String()
		if d, found, _ := k.shelf.Get(name); found {
			list = append(list, keep.Kept{Name: name, Desk: d})
		}
	}
	if k.list.Get("childElementCount").Int() == 0 {
		name := keep.Name(k.name.Value())
		if name == "" {
			name = "sheet"
		}
		list = []keep.Kept{{Name: name, Desk: k.page.desk()}}
	}
	if len(list) == 0 {
		k.say("Tick the sheets that the file is to hold.")
		return
	}
	f := wire.File{Name: keep.FileName(list), Media: "text/plain"}
	save(f, keep.Export(list))
	k.say("Asked the browser to save " + phrase.Count(len(list), "sheet") + " as " + f.Name)
}

// open reads text files, and keeps each sheet of them by its name. One sheet alone is opened too.
func (k *keptPane) open() {
	chosen := k.files.Get("files")
	var list []keep.Kept
	var refused []string
	left := chosen.Length()
	for i := range chosen.Length() {
		f := chosen.Index(i)
		name := f.Get("name").String()
		var yes, no js.Func
		end := func(text string, readable bool) {
			yes.Release()
			no.Release()
			sheets, err := keep.Import(name, text)
			if !readable || err != nil {
				refused = append(refused, name)
			}
			list = append(list, sheets...)
			if left--; left == 0 {
				k.take(list, refused)
			}
		}
		yes = js.FuncOf(func(_ js.Value, args []js.Value) any { end(args[0].String(), true); return nil })
		no = js.FuncOf(func(js.Value, []js.Value) any { end("", false); return nil })
		if f.Get("size").Int() > keep.MostText {
			end("", false)
			continue
		}
		f.Call("text").Call("then", yes, no)
	}
	k.files.SetValue("") // the same files may be chosen again
}

// take keeps what was read.
func (k *keptPane) take(list []keep.Kept, refused []string) {
	var as []string
	for _, l := range list {
		name, err := k.shelf.Add(l.Name, l.Desk)
		if err != nil {
			break
		}
		as = append(as, name)
	}
	k.refresh()
	text := "Read " + phrase.Count(len(as), "sheet") + "."
	switch {
	case len(list) == 1:
		k.page.open(list[0].Desk)
		text = "Opened “" + list[0].Name + "”."
	case len(as) < len(list):
		text = keepsNothing
	case len(list) == 0:
		text = "There is no sheet in what was chosen."
	}
	if len(refused) > 0 {
		text += " No plain text of a sheet's size: " + strings.Join(refused, ", ") + "."
	}
	k.say(text)
}
