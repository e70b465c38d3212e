//go:build js && wasm

package page

import (
	"syscall/js"

	"nodespan/wasm/wire"
)

// workers keeps one worker at work and one in reserve.
//
// Go holds a worker's event loop while it solves, so a solve cannot be told to stop: its worker is
// ended and the reserve, already started from the compiled module, takes its place.
type workers struct {
	spawn   js.Value
	active  js.Value
	reserve js.Value // undefined until the first answer has come: starting a third program early would delay it

	solving  *wire.Request // the solve under way
	next     *wire.Request // the newer one that waits for it
	latest   int           // the ID given last
	patience *timer        // ends a solve that a newer one waits for

	deaths int // since the last reply

	receive func(wire.Reply)
	died    func(reason string)
}

// grace is how long a newer request waits for the running one, in milliseconds: most solves are
// over by then, and ending a worker costs more than waiting for them.
const grace = 120

func newWorkers(receive func(wire.Reply), died func(string)) *workers {
	host := js.Global().Get("nodespan")
	w := &workers{spawn: host.Get("spawn"), receive: receive, died: died}
	w.patience = newTimer(func() {
		if w.solving != nil && w.next != nil {
			w.replace()
			w.send(*w.next)
		}
	})
	w.adopt(host.Get("first"))
	return w
}

// adopt makes a worker the active one.
func (w *workers) adopt(worker js.Value) {
	w.active = worker
	worker.Set("onmessage", js.FuncOf(func(_ js.Value, args []js.Value) any {
		if w.active.Equal(worker) {
			w.message(args[0].Get("data"))
		}
		return nil
	}))
	worker.Set("onerror", js.FuncOf(func(_ js.Value, args []js.Value) any {
		args[0].Call("preventDefault")
		if !w.active.Equal(worker) {
			return nil
		}
		reason := args[0].Get("message").String()
		lost := w.solving != nil
		if w.deaths++; w.deaths > 3 { // it cannot even start: no use in trying for ever
			w.died(reason)
			return nil
		}
		w.replace()
		if next := w.next; next != nil {
			w.send(*next)
		} else if lost {
			w.died(reason)
		}
		return nil
	}))
}

// replace ends the active worker, with whatever it was doing, and puts the reserve in its place.
func (w *workers) replace() {
	w.active.Call("terminate")
	w.solving = nil
	if w.reserve.IsUndefined() {
		w.reserve = w.spawn.Invoke()
	}
	w.adopt(w.reserve)
	w.reserve = w.spawn.Invoke()
}

func (w *workers) message(data js.Value) {
	text := make([]byte, data.Get("length").Int())
	js.CopyBytesToGo(text, data)
	r, err := wire.DecodeReply(text)
	if err != nil {
		panic(err) // the worker is this same program
	}
	w.deaths = 0
	if r.Last && w.solving != nil && r.ID == w.solving.ID {
		w.solving = nil
		w.patience.stop()
	}
	w.receive(*r)
	if r.Last && w.solving == nil && w.next != nil {
		w.send(*w.next)
	}
	if r.Last && w.reserve.IsUndefined() {
		w.reserve = w.spawn.Invoke()
	}
}

// ask sends a request and returns its ID. A solve waits for the running one a moment, then ends it.
func (w *workers) ask(q wire.Request) int {
	w.latest++
	q.ID = w.latest
	if q.Kind == wire.Solve && w.solving != nil {
		w.next = &q
		if !w.patience.pending {
			w.patience.start(grace)
		}
		return q.ID
	}
	w.send(q)
	return q.ID
}

func (w *workers) send(q wire.Request) {
	if q.Kind == wire.Solve {
		w.solving, w.next = &q, nil
	}
	w.active.Call("postMessage", bytesToJS(q.Encode()))
}

// cancel gives up the running solve and the waiting one.
func (w *workers) cancel() {
	w.next = nil
	if w.solving != nil {
		w.replace()
	}
}

// busy reports whether a solve is under way.
func (w *workers) busy() bool { return w.solving != nil }

func bytesToJS(data []byte) js.Value {
	a := js.Global().Get("Uint8Array").New(len(data))
	js.CopyBytesToJS(a, data)
	return a
}
