//go:build js && wasm

package main

import (
	"bytes"
	"context"
	"net/http"
	"net/url"
	"syscall/js"
)

// answer has a page answer a request and hands the answer to done(status,
// headers, body). Headers are name, value, name, value; body is a Uint8Array
// or null.
func answer(pages http.Handler, method, address string, headers, body, done js.Value) {
	a := &answered{header: http.Header{}}
	r, err := request(method, address, headers, body)
	if err != nil {
		a.WriteHeader(http.StatusBadRequest)
	} else {
		pages.ServeHTTP(a, r)
	}
	if a.status == 0 {
		a.WriteHeader(http.StatusOK)
	}
	if a.header.Get("Content-Type") == "" && a.body.Len() > 0 {
		a.header.Set("Content-Type", http.DetectContentType(a.body.Bytes()))
	}
	content := js.Global().Get("Uint8Array").New(a.body.Len())
	js.CopyBytesToJS(content, a.body.Bytes())
	list := []any{}
	for name, values := range a.header {
		for _, v := range values {
			list = append(list, []any{name, v})
		}
	}
	done.Invoke(a.status, list, content)
}

// request is the browser's request as a server would get it.
func request(method, address string, headers, body js.Value) (*http.Request, error) {
	var content []byte
	if !body.IsNull() {
		content = make([]byte, body.Length())
		js.CopyBytesToGo(content, body)
	}
	u, err := url.Parse(address)
	if err != nil {
		return nil, err
	}
	r, err := http.NewRequestWithContext(context.Background(), method, address, bytes.NewReader(content))
	if err != nil {
		return nil, err
	}
	for i := 0; i+1 < headers.Length(); i += 2 {
		if v := headers.Index(i + 1).String(); v != "" {
			r.Header.Add(headers.Index(i).String(), v)
		}
	}
	r.RequestURI = u.RequestURI()
	origin(r)
	return r, nil
}

// origin says where a request comes from. A worker is not shown the header
// Origin, only the page that asked, and a page elsewhere may hide itself: what
// does not name a page of this site is treated as coming from another.
func origin(r *http.Request) {
	from, err := url.Parse(r.Referer())
	switch {
	case err == nil && from.Scheme == r.URL.Scheme && from.Host == r.URL.Host:
		r.Header.Set("Origin", r.URL.Scheme+"://"+r.URL.Host)
	default:
		r.Header.Set("Origin", "null")
	}
}

// answered collects what a page writes.
type answered struct {
	header http.Header
	status int
	body   bytes.Buffer
}

func (a *answered) Header() http.Header { return a.header }

func (a *answered) WriteHeader(status int) {
	if a.status == 0 && status >= 200 {
		a.status = status
	}
}

func (a *answered) Write(b []byte) (int, error) {
	a.WriteHeader(http.StatusOK)
	return a.body.Write(b)
}
