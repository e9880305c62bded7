//go:build js && wasm

package main

import (
	"context"
	"errors"
	"syscall/js"

	"lastbolt/exchange/replicate"
)

// How long a server may take, in milliseconds. A phone that walks out of the
// network must not wait for ever; a photo over a weak one takes its time.
const (
	askTime   = 20_000
	photoTime = 180_000
)

var errNoAnswer = errors.New("the server does not answer")

// ask sends one request to the server that this worker came from, with the
// cookie by which it knows the phone, and follows it nowhere else.
func ask(ctx context.Context, a replicate.Ask) (replicate.Answer, error) {
	if err := ctx.Err(); err != nil {
		return replicate.Answer{}, err
	}
	headers := map[string]any{}
	for name, value := range a.Header {
		headers[name] = value
	}
	patience := askTime
	if len(a.Body) > 1<<20 {
		patience = photoTime
	}
	options := map[string]any{
		"method": a.Method, "headers": headers, "credentials": "same-origin", "redirect": "error", "cache": "no-store",
		"signal": js.Global().Get("AbortSignal").Call("timeout", patience),
	}
	if a.Body != nil {
		body := js.Global().Get("Uint8Array").New(len(a.Body))
		js.CopyBytesToJS(body, a.Body)
		options["body"] = body
	}
	got, err := await(js.Global().Call("fetch", a.Path, options))
	if err != nil {
		return replicate.Answer{}, err
	}
	content, err := await(got.Call("arrayBuffer"))
	if err != nil {
		return replicate.Answer{}, err
	}
	view := js.Global().Get("Uint8Array").New(content)
	body := make([]byte, view.Length())
	js.CopyBytesToGo(body, view)
	return replicate.Answer{Status: got.Get("status").Int(), Body: body, Header: func(name string) string {
		if v := got.Get("headers").Call("get", name); v.Type() == js.TypeString {
			return v.String()
		}
		return ""
	}}, nil
}

// await waits for a promise.
func await(promise js.Value) (js.Value, error) {
	type outcome struct {
		value js.Value
		err   error
	}
	ended := make(chan outcome, 1)
	good := js.FuncOf(func(_ js.Value, args []js.Value) any { ended <- outcome{value: args[0]}; return nil })
	defer good.Release()
	bad := js.FuncOf(func(_ js.Value, _ []js.Value) any { ended <- outcome{err: errNoAnswer}; return nil })
	defer bad.Release()
	promise.Call("then", good, bad)
	out := <-ended
	return out.value, out.err
}
