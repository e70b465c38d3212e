//go:build js && wasm

// Command wasm is the browser program. One compiled module serves twice: where there is a document
// it is the page, elsewhere it is a worker of that page.
package main

import (
	"syscall/js"

	"nodespan/wasm/page"
	"nodespan/wasm/worker"
)

func main() {
	if js.Global().Get("document").IsUndefined() {
		worker.Run()
	} else {
		page.Run()
	}
}
