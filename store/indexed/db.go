//go:build js && wasm

package indexed

import (
	"context"
	"errors"
	"fmt"
	"sync/atomic"
	"syscall/js"

	"lastbolt/fault"
)

// A Store keeps everything in one database of the browser.
type Store struct {
	db js.Value
}

// Open opens the database of the name, and makes it where there is none.
func Open(ctx context.Context, name string) (*Store, error) {
	if err := ctx.Err(); err != nil {
		return nil, err
	}
	factory := js.Global().Get("indexedDB")
	if factory.IsUndefined() {
		return nil, fault.New(fault.ReadOnly, "This browser gives no database to keep anything in. Open the page in an ordinary window, not a private one.")
	}
	request := factory.Call("open", name, schemaVersion)
	older := js.FuncOf(func(_ js.Value, args []js.Value) any { upgrade(request, args[0].Get("oldVersion").Int()); return nil })
	defer older.Release()
	request.Set("onupgradeneeded", older)
	db, err := wait(request)
	if err != nil {
		return nil, err
	}
	// Another worker with a newer program needs the database to itself; it is
	// closed for that, and this worker is on its way out.
	db.Set("onversionchange", js.FuncOf(func(js.Value, []js.Value) any { db.Call("close"); return nil }))
	return &Store{db}, nil
}

// Close closes the database; running transactions end first.
func (s *Store) Close() { s.db.Call("close") }

// may is what a transaction may do.
type may int

const (
	readonly   may = iota
	readwrite      // write what a page may show
	writeAside     // write what only the notice on a page shows
	writeLine      // write what the worker alone reads
)

func (m may) mode() string {
	if m == readonly {
		return "readonly"
	}
	return "readwrite"
}

// A tx is one transaction. Requests may be sent one after another without
// waiting: they are carried out in their order.
type tx struct {
	it     js.Value
	ended  chan error
	events []js.Func
}

func (s *Store) begin(ctx context.Context, as may, stores ...any) (*tx, error) {
	raised := map[may]string{readwrite: markRecord, writeAside: asideRecord}[as]
	if raised != "" {
		stores = append(stores, markStore)
	}
	it, err := s.transaction(ctx, as, stores...)
	if err != nil {
		return nil, err
	}
	t := &tx{it: it, ended: make(chan error, 1)}
	t.on("oncomplete", func() { t.ended <- nil })
	t.on("onabort", func() { t.ended <- said(t.it.Get("error")) })
	if raised != "" {
		t.raise(raised)
	}
	return t, nil
}

func (s *Store) transaction(ctx context.Context, as may, stores ...any) (it js.Value, err error) {
	if err := ctx.Err(); err != nil {
		return it, err
	}
	defer func() {
		if p := recover(); p != nil { // a database that was closed throws
			failures.Add(1)
			err = fault.Wrap(fmt.Errorf("%v", p), fault.Busy, "The phone's database was closed, perhaps by a newer version of this program. Load the page again")
		}
	}()
	return s.db.Call("transaction", stores, as.mode(), map[string]any{"durability": "strict"}), nil
}

func (t *tx) on(name string, do func()) {
	f := js.FuncOf(func(js.Value, []js.Value) any { do(); return nil })
	t.events = append(t.events, f)
	t.it.Set(name, f)
}

func (t *tx) store(name string) js.Value { return t.it.Call("objectStore", name) }

// done waits until everything is on the disk. With an error the transaction is
// taken back and the error given on.
func (t *tx) done(err error) error {
	if err != nil {
		func() {
			defer func() { _ = recover() }() // it may have ended by itself
			t.it.Call("abort")
		}()
	}
	ended := <-t.ended
	for _, f := range t.events {
		f.Release()
	}
	if err != nil {
		return err
	}
	return ended
}

// wait waits for one request and gives its result. Between two waits of a
// transaction nothing else may be waited for, or it ends.
func wait(request js.Value) (js.Value, error) {
	ended := make(chan error, 1)
	good := js.FuncOf(func(js.Value, []js.Value) any { ended <- nil; return nil })
	defer good.Release()
	bad := js.FuncOf(func(js.Value, []js.Value) any { ended <- said(request.Get("error")); return nil })
	defer bad.Release()
	request.Set("onsuccess", good)
	request.Set("onerror", bad)
	if err := <-ended; err != nil {
		return js.Undefined(), err
	}
	return request.Get("result"), nil
}

var errAborted = errors.New("indexed: the transaction was taken back")

// failures counts what the browser did not do.
var failures atomic.Int64

// Failures grows whenever the browser does not do what it was asked: what was
// read since may not be all there is.
func (s *Store) Failures() int64 { return failures.Load() }

// said makes an error of the browser's.
func said(e js.Value) error {
	failures.Add(1)
	if e.IsNull() || e.IsUndefined() {
		return errAborted
	}
	err := errors.New("indexed: " + e.Get("name").String() + ": " + e.Get("message").String())
	switch e.Get("name").String() {
	case "QuotaExceededError":
		return fault.Wrap(err, fault.Full, "There is no room left on this phone, so nothing was recorded. Make room, then do it again")
	case "VersionError":
		return fault.Wrap(err, fault.NewVersion, "What is kept on this phone was written by a newer version of the program. Load the page again")
	case "UnknownError", "DataError", "NotReadableError":
		return fault.Wrap(err, fault.Damaged, "The browser cannot read what is kept on this phone. Start the phone anew; if that does not help, take in your last copy")
	}
	return err
}

// key is an id as it stands in a key.
func key(id string) string { return "k" + id }

// within is the range of all keys that begin with the parts.
func within(parts ...any) js.Value {
	return js.Global().Get("IDBKeyRange").Call("bound", parts, append(append([]any{}, parts...), []any{}))
}

// lines joins the texts of records into one, so that they cross at once.
func lines(records js.Value) string {
	n := records.Length()
	texts := js.Global().Get("Array").New(n)
	for i := range n {
		texts.SetIndex(i, records.Index(i).Get("line"))
	}
	return texts.Call("join", "").String()
}

// read runs one request of one store in a transaction of its own. Nothing was
// written, so its answer is not kept waiting for the transaction's end.
func (s *Store) read(ctx context.Context, store string, ask func(store js.Value) js.Value) (js.Value, error) {
	it, err := s.transaction(ctx, readonly, store)
	if err != nil {
		return js.Undefined(), err
	}
	return wait(ask(it.Call("objectStore", store)))
}

func (s *Store) readLines(ctx context.Context, store string, keys js.Value) (string, error) {
	records, err := s.read(ctx, store, func(st js.Value) js.Value { return st.Call("getAll", keys) })
	if err != nil {
		return "", err
	}
	return lines(records), nil
}
