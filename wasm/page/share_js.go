//go:build js && wasm

package page

import (
	"syscall/js"

	"honnef.co/go/js/dom/v2"

	"nodespan/wasm/link"
)

// copyText puts text on the clipboard and then says so, or says that the browser refused.
// Where the page has no clipboard of its own (an address without https, an old browser), the text
// goes by way of a selected text area.
func copyText(text string, told element, done string) {
	refused := func() { setText(told, "The browser did not allow copying.") }
	clipboard := js.Global().Get("navigator").Get("clipboard")
	if clipboard.Truthy() && clipboard.Get("writeText").Truthy() {
		var yes, no js.Func
		release := func() { yes.Release(); no.Release() }
		yes = js.FuncOf(func(js.Value, []js.Value) any { release(); setText(told, done); return nil })
		no = js.FuncOf(func(js.Value, []js.Value) any {
			release()
			if copySelected(text) {
				setText(told, done)
			} else {
				refused()
			}
			return nil
		})
		clipboard.Call("writeText", text).Call("then", yes, no)
		return
	}
	if copySelected(text) {
		setText(told, done)
	} else {
		refused()
	}
}

func copySelected(text string) bool {
	area := node("textarea", "off-screen")
	area.Set("value", text)
	rawDoc.Get("body").Call("appendChild", area)
	defer area.Call("remove")
	before := rawDoc.Get("activeElement")
	area.Call("select")
	ok := rawDoc.Call("execCommand", "copy").Bool()
	if before.Truthy() {
		before.Call("focus")
	}
	return ok
}

// address returns this page's address with the problem in its fragment.
func address(s link.State) (string, error) {
	fragment, err := link.Encode(s)
	if err != nil {
		return "", err
	}
	base := js.Global().Get("location").Get("href").String()
	for i := range base {
		if base[i] == '#' {
			base = base[:i]
			break
		}
	}
	return base + "#" + fragment, nil
}

// copyPlain copies what is selected by hand with numbers as any program reads them: without the narrow spaces between
// their digits, and with a hyphen for the minus sign and e for the power of ten. Fields copy what stands in them.
func copyPlain(e *dom.BasicEvent) {
	selected := js.Global().Call("getSelection").Call("toString").String()
	if at := rawDoc.Get("activeElement").Get("localName").String(); at == "textarea" || at == "input" {
		return
	}
	if plain := plainNumbers(selected); plain != selected {
		e.Get("clipboardData").Call("setData", "text/plain", plain)
		e.PreventDefault()
	}
}

// share lets the link and the frame be copied. They hold the sheet and the method as they stand, whatever is shown.
func (p *page) share() {
	told := plain("copied-link")
	const tooLong = "This sheet is too long for a link."
	said := plain("copied-sentence")
	on(button("copy-sentence").BasicHTMLElement, "click", func(*dom.BasicEvent) {
		if why := p.standing().why(); why != "" {
			setText(said, why)
			return
		}
		copyText(p.shown.answer.Sentence, said, "Copied: "+p.shown.answer.Sentence)
	})
	onValue(rawDoc, "copy", copyPlain)
	on(button("copy-link").BasicHTMLElement, "click", func(*dom.BasicEvent) {
		a, err := address(link.State{Sheet: p.sheet.text(), Method: p.method.get()})
		if err != nil {
			setText(told, tooLong)
			return
		}
		copyText(a, told, "Copied the link")
	})
	on(button("copy-frame").BasicHTMLElement, "click", func(*dom.BasicEvent) {
		switch snippet, err := p.frames.snippet(); {
		case err != nil:
			setText(told, tooLong)
		case snippet == "":
			setText(told, "Not copied: the frame would lead nowhere.")
		default:
			copyText(snippet, told, "Copied the frame")
		}
	})
}
