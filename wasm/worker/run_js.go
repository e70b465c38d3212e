//go:build js && wasm

package worker

import (
	"syscall/js"

	"nodespan/wasm/wire"
)

// Run serves the page's requests and never returns.
//
// Go holds the event loop while it works on a request, so requests are answered in order; replies
// sent on the way (the reading, progress) reach the page at once.
func Run() {
	scope := js.Global()
	send := func(r wire.Reply) {
		text := r.Encode()
		data := scope.Get("Uint8Array").New(len(text))
		js.CopyBytesToJS(data, text)
		scope.Call("postMessage", data, []any{data.Get("buffer")})
	}
	desk := New()
	serve := func(data js.Value) {
		text := make([]byte, data.Get("length").Int())
		js.CopyBytesToGo(text, data)
		q, err := wire.DecodeRequest(text)
		if err != nil {
			panic(err) // the page is this same program
		}
		desk.Handle(*q, send)
	}
	inbox := scope.Get("nodespan").Get("inbox")
	scope.Set("onmessage", js.FuncOf(func(_ js.Value, args []js.Value) any {
		serve(args[0].Get("data"))
		return nil
	}))
	for inbox.Length() > 0 {
		serve(inbox.Call("shift"))
	}
	select {}
}
