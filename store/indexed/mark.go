//go:build js && wasm

package indexed

import (
	"context"
	"syscall/js"
	"time"
)

// The object store mark tells the worker, which keeps pages in the object store
// pages, whether they are still what the program would make. Nothing here reads or
// writes those. Its records:
//
//	mark   a text that was never there before, put anew by every transaction that
//	       may write: who finds the same one twice knows that nothing was written
//	aside  the same of notes that only the notice on a page shows ([Store.SetNoteAside])
//	line   the notice of a page, at a mark and an aside ([Store.SetLine])
const (
	markStore  = "mark"
	pagesStore = "pages"

	markRecord  = "mark"
	asideRecord = "aside"
	lineRecord  = "line"
)

func makeMark(db js.Value) {
	for _, plain := range []string{markStore, pagesStore} {
		db.Call("createObjectStore", plain, map[string]any{"keyPath": "id"})
	}
}

// raise puts a record of the marks anew, which stays only if the transaction does.
func (t *tx) raise(record string) {
	mark := js.Global().Get("crypto").Call("randomUUID")
	t.store(markStore).Call("put", map[string]any{"id": record, "mark": mark})
}

// SetNoteAside keeps a text as [Store.SetNote] does. Nothing but the notice on a page
// may depend on what is new in it.
func (s *Store) SetNoteAside(ctx context.Context, name, text string) error {
	return s.put(ctx, writeAside, "notes", noteRecord(name, text))
}

// Marks are what tells that nothing was written in between; see [Store.SetLine].
type Marks struct{ mark, aside string }

// Marks gives the marks of now.
func (s *Store) Marks(ctx context.Context) (Marks, error) {
	records, err := s.read(ctx, markStore, func(st js.Value) js.Value { return st.Call("getAll") })
	if err != nil {
		return Marks{}, err
	}
	var m Marks
	for i := range records.Length() {
		switch r := records.Index(i); r.Get("id").String() {
		case markRecord:
			m.mark = r.Get("mark").String()
		case asideRecord:
			m.aside = r.Get("mark").String()
		}
	}
	return m, nil
}

// SetLine keeps the notice that stands on every page, for the worker to put it on
// those that it has kept. It was made after the marks were looked at, and holds
// while they are the same and until an instant.
func (s *Store) SetLine(ctx context.Context, html string, m Marks, until time.Time) error {
	t, err := s.begin(ctx, writeLine, markStore)
	if err != nil {
		return err
	}
	t.store(markStore).Call("put", map[string]any{"id": lineRecord, "mark": m.mark, "aside": m.aside, "html": html, "until": float64(until.UnixMilli())})
	return t.done(nil)
}
