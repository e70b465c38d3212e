// Package worker is the calculating half of the browser program: it answers the page's requests.
package worker

import "nodespan/wasm/wire"

// Desk answers requests.
type Desk struct{}

func New() *Desk { return &Desk{} }

func (d *Desk) Handle(q wire.Request, send func(wire.Reply)) {
	send(wire.Reply{ID: q.ID, Kind: q.Kind, Last: true, Reading: &wire.Reading{}, Answer: &wire.Answer{Status: "failed", Headline: []wire.Run{{Text: "Here will be an answer."}}}})
}
