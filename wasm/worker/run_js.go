//go:build js && wasm

package worker

import (
	"context"
	"syscall/js"

	"nodespan/wasm/wire"
)

// Run serves the page's requests and never returns.
//
// Go holds the event loop while it works on a request, so requests are answered in order; replies
// sent on the way (the reading, progress) reach the page at once. What is done in spare time pauses now and
// then to let requests through, and ends when a newer one of its kind comes.
func Run() {
	scope := js.Global()
	send := func(r wire.Reply) {
		text := r.Encode()
		data := scope.Get("Uint8Array").New(len(text))
		js.CopyBytesToJS(data, text)
		scope.Call("postMessage", data, []any{data.Get("buffer")})
	}
	rest := func() {
		over := make(chan struct{})
		f := js.FuncOf(func(js.Value, []js.Value) any {
			close(over)
			return nil
		})
		scope.Call("setTimeout", f, 0)
		<-over
		f.Release()
	}
	handler := New()
	stop := map[wire.Kind]context.CancelFunc{} // what goes on in spare time
	start := func(q *wire.Request, job func(context.Context, wire.Request, func(wire.Reply), func())) {
		if before := stop[q.Kind]; before != nil {
			before()
		}
		ctx, cancel := context.WithCancel(context.Background())
		stop[q.Kind] = cancel
		go job(ctx, *q, send, rest)
	}
	serve := func(data js.Value) {
		text := make([]byte, data.Get("length").Int())
		js.CopyBytesToGo(text, data)
		q, err := wire.DecodeRequest(text)
		if err != nil {
			panic(err) // the page is this same program
		}
		switch q.Kind {
		case wire.Climb:
			start(q, handler.Climb)
		case wire.Search:
			start(q, handler.Search)
		case wire.Rest:
			if end := stop[q.Of]; end != nil {
				end()
			}
		default:
			handler.Handle(*q, send)
		}
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
