//go:build js && wasm

package main

import (
	"context"
	"syscall/js"

	"lastbolt/store/indexed"
	"lastbolt/web"
)

// room is what the page about storage shows on a phone.
func room(st *indexed.Store) *web.Room {
	return &web.Room{Store: st, Where: "this browser, on this phone", Browser: granted}
}

// granted asks the browser what it grants. What it does not say stays zero, or
// not promised.
func granted(context.Context) web.Browser {
	b := web.Browser{Alone: !hasServer()}
	storage := js.Global().Get("navigator").Get("storage")
	if storage.IsUndefined() {
		return b
	}
	if e, err := await(storage.Call("estimate")); err == nil {
		b.Used, b.Granted = int64(e.Get("usage").Float()), int64(e.Get("quota").Float())
	}
	if kept, err := await(storage.Call("persisted")); err == nil {
		b.Promised = kept.Truthy()
	}
	return b
}
