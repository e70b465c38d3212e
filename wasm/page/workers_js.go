//go:build js && wasm

package page

import (
	"syscall/js"

	"nodespan/wasm/wire"
)

// workers keeps one worker at work and one in reserve.
//
// Go holds a worker's event loop while it solves, so a solve cannot be told to stop: its worker is
// ended and the reserve, already started from the compiled module, takes its place. Until then the reserve does
// what can wait: it climbs the ladder. (Package dom knows no workers: they are plain values.)
type workers struct {
	spawn   js.Value
	active  js.Value
	reserve js.Value // undefined until the first answer has come: starting a third program early would delay it

	solving *wire.Request // the solve under way
	next    *wire.Request // the newer one that waits for it
	latest  int           // the ID given last
	waiting *timer        // ends a solve that a newer one waits for

	// jobs are what the reserve does in its spare time: the last of each kind, until it is done.
	jobs    map[wire.Kind]wire.Request
	stalled *timer // ends a reserve that does not let a newer job through

	deaths int // since the last reply

	receive func(wire.Reply)
	died    func(reason string)
}

// waitFor is how long a newer request waits for the running one, in milliseconds: most solves are
// over by then, and ending a worker costs more than waiting for them.
const waitFor = 120

func newWorkers(receive func(wire.Reply), died func(string)) *workers {
	host := js.Global().Get("nodespan")
	w := &workers{spawn: host.Get("spawn"), receive: receive, died: died, jobs: map[wire.Kind]wire.Request{}}
	w.stalled = newTimer(w.renew)
	w.waiting = newTimer(func() {
		if w.solving != nil && w.next != nil {
			w.replace()
			w.send(*w.next)
		}
	})
	w.active = host.Get("first")
	w.listen(w.active)
	return w
}

// listen hears a worker for as long as it is the active one or the reserve.
func (w *workers) listen(worker js.Value) {
	worker.Set("onmessage", js.FuncOf(func(_ js.Value, args []js.Value) any {
		switch {
		case w.active.Equal(worker):
			w.message(args[0].Get("data"))
		case w.reserve.Equal(worker):
			w.spareMessage(args[0].Get("data"))
		}
		return nil
	}))
	worker.Set("onerror", js.FuncOf(func(_ js.Value, args []js.Value) any {
		args[0].Call("preventDefault")
		if w.reserve.Equal(worker) { // its jobs are lost; the answer stands without them
			clear(w.jobs)
			if w.deaths++; w.deaths <= 3 {
				w.renew()
			}
			return nil
		}
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
	if len(w.jobs) > 0 { // the reserve may be deep in a job
		w.renew()
	} else if w.reserve.IsUndefined() {
		w.spawnReserve()
	}
	w.active = w.reserve
	w.spawnReserve()
	w.resume()
}

func (w *workers) spawnReserve() {
	w.reserve = w.spawn.Invoke()
	w.listen(w.reserve)
}

// renew ends the reserve and gives its jobs to a fresh one.
func (w *workers) renew() {
	w.stalled.stop()
	if !w.reserve.IsUndefined() {
		w.reserve.Call("terminate")
	}
	w.spawnReserve()
	w.resume()
}

func (w *workers) resume() {
	for kind, q := range w.jobs {
		if q.Sheet == "" {
			delete(w.jobs, kind)
			continue
		}
		w.reserve.Call("postMessage", bytesToJS(q.Encode()))
	}
}

// spare lets the reserve do something in its spare time, in the place of an earlier job of the same kind.
func (w *workers) spare(q wire.Request) int {
	w.latest++
	q.ID = w.latest
	if _, busy := w.jobs[q.Kind]; busy && !w.stalled.pending {
		w.stalled.start(stallAfter)
	}
	w.jobs[q.Kind] = q
	if w.reserve.IsUndefined() {
		w.spawnReserve()
	}
	w.reserve.Call("postMessage", bytesToJS(q.Encode()))
	return q.ID
}

// idle gives up the jobs of a kind.
func (w *workers) idle(kind wire.Kind) {
	if job, busy := w.jobs[kind]; busy {
		job.Sheet = "" // what is left of it is only that its end is awaited
		w.jobs[kind] = job
		q := wire.Request{Kind: wire.Rest, Of: kind}
		w.reserve.Call("postMessage", bytesToJS(q.Encode()))
	}
}

// giveUp ends the job of a kind that does not pause, and reports whether there was one.
func (w *workers) giveUp(kind wire.Kind) bool {
	_, busy := w.jobs[kind]
	if delete(w.jobs, kind); busy {
		w.renew()
	}
	return busy
}

// stallAfter is how long a newer job waits for the reserve to come to a pause, in milliseconds.
const stallAfter = 600

func (w *workers) spareMessage(data js.Value) {
	r := decode(data)
	job, known := w.jobs[r.Kind]
	if !known || job.ID != r.ID {
		return
	}
	w.stalled.stop()
	if r.Last {
		delete(w.jobs, r.Kind)
	}
	if job.Sheet != "" {
		w.receive(*r)
	}
}

func decode(data js.Value) *wire.Reply {
	text := make([]byte, data.Get("length").Int())
	js.CopyBytesToGo(text, data)
	r, err := wire.DecodeReply(text)
	if err != nil {
		panic(err) // the worker is this same program
	}
	return r
}

func (w *workers) message(data js.Value) {
	r := decode(data)
	w.deaths = 0
	if r.Last && w.solving != nil && r.ID == w.solving.ID {
		w.solving = nil
		w.waiting.stop()
	}
	w.receive(*r)
	if r.Last && w.solving == nil && w.next != nil {
		w.send(*w.next)
	}
	if r.Last && w.reserve.IsUndefined() {
		w.spawnReserve()
	}
}

// ask sends a request and returns its ID. A solve waits for the running one a moment, then ends it; one of many, while
// a constant moves, waits for its end.
func (w *workers) ask(q wire.Request) int {
	w.latest++
	q.ID = w.latest
	if q.Kind == wire.Solve && w.solving != nil {
		w.next = &q
		if !w.waiting.pending && !q.Moving {
			w.waiting.start(waitFor)
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

// busy reports whether a solve is under way or waits.
func (w *workers) busy() bool { return w.solving != nil || w.next != nil }

func bytesToJS(data []byte) js.Value {
	a := js.Global().Get("Uint8Array").New(len(data))
	js.CopyBytesToJS(a, data)
	return a
}
