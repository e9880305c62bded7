//go:build js && wasm

package indexed

import (
	"bytes"
	"context"
	"syscall/js"
	"time"

	"lastbolt/keep"
)

var _ keep.Sweeper = (*Store)(nil)

// What a file is and when it was last kept lies apart from its content, in the
// object store kept, so that neither the list nor a file kept again touches the
// content. Both are always written in one transaction.

func keptRecord(name, media string, bytes int64, at time.Time) map[string]any {
	return map[string]any{"id": name, "line": packStored(keep.Stored{Name: name, Media: media, Bytes: bytes, Kept: at})}
}

// stored reads a record of the object store kept; there is false for none.
func stored(record js.Value) (s keep.Stored, there bool, err error) {
	if !record.Truthy() {
		return s, false, nil
	}
	list, err := unpackStored(record.Get("line").String())
	if err != nil || len(list) != 1 {
		return s, false, errRecord
	}
	return list[0], true, nil
}

// Keep implements garage.Files. A sweep comes before or after it, never
// between its look at the file and its note that the file is wanted.
func (s *Store) Keep(ctx context.Context, content []byte, mediaType string) (string, error) {
	name, err := keep.File(content, mediaType)
	if err != nil {
		return "", err
	}
	t, err := s.begin(ctx, readwrite, "files", "kept")
	if err != nil {
		return "", err
	}
	err = t.keep(name, content, mediaType)
	return name, t.done(err)
}

func (t *tx) keep(name string, content []byte, mediaType string) error {
	listed := t.store("kept").Call("get", name)
	there, err := wait(t.store("files").Call("getKey", name)) // listed has ended too
	if err != nil {
		return err
	}
	have, known, err := stored(listed.Get("result"))
	if err != nil {
		return err
	}
	if !known {
		have.Media = mediaType
	}
	if !there.Truthy() {
		body := js.Global().Get("Uint8Array").New(len(content))
		js.CopyBytesToJS(body, content)
		t.store("files").Call("put", map[string]any{"id": name, "media": key(have.Media), "content": body})
	}
	t.store("kept").Call("put", keptRecord(name, have.Media, int64(len(content)), time.Now()))
	return nil
}

// Open implements garage.Files.
func (s *Store) Open(ctx context.Context, name string) ([]byte, string, error) {
	if !keep.IsHash(name) {
		return nil, "", keep.NoFile(name)
	}
	f, err := s.read(ctx, "files", func(st js.Value) js.Value { return st.Call("get", name) })
	if err != nil {
		return nil, "", err
	}
	if !f.Truthy() {
		return nil, "", keep.NoFile(name)
	}
	content := make([]byte, f.Get("content").Length())
	js.CopyBytesToGo(content, f.Get("content"))
	return content, f.Get("media").String()[1:], nil
}

// Names implements garage.Files.
func (s *Store) Names(ctx context.Context) ([]string, error) {
	keys, err := s.read(ctx, "files", func(st js.Value) js.Value { return st.Call("getAllKeys") })
	if err != nil {
		return nil, err
	}
	var out []string
	for i := range keys.Length() {
		out = append(out, keys.Index(i).String())
	}
	return out, nil
}

// Stored implements keep.Sweeper.
func (s *Store) Stored(ctx context.Context) ([]keep.Stored, error) {
	text, err := s.readLines(ctx, "kept", js.Undefined())
	if err != nil {
		return nil, err
	}
	return unpackStored(text) // the browser gives records by their key, the name
}

// Contents implements keep.Sweeper. It looks at what contents there are, not at
// the list; of one that is not listed the size is given as 0, and the time is
// not known.
func (s *Store) Contents(ctx context.Context) ([]keep.Content, error) {
	t, err := s.begin(ctx, readonly, "files", "kept")
	if err != nil {
		return nil, err
	}
	listed := t.store("kept").Call("getAll")
	names, err := wait(t.store("files").Call("getAllKeys")) // listed has ended too
	if err := t.done(err); err != nil {
		return nil, err
	}
	list, err := unpackStored(lines(listed.Get("result")))
	if err != nil {
		return nil, err
	}
	by := map[string]keep.Stored{}
	for _, f := range list {
		by[f.Name] = f
	}
	var out []keep.Content
	for i := range names.Length() {
		name := names.Index(i).String()
		out = append(out, keep.Content{Name: name, Bytes: by[name].Bytes, At: by[name].Kept})
	}
	return out, nil
}

// Adopt implements keep.Sweeper.
func (s *Store) Adopt(ctx context.Context, name, mediaType string, bytes int64) error {
	t, err := s.begin(ctx, readwrite, "kept")
	if err != nil {
		return err
	}
	record, err := wait(t.store("kept").Call("get", name))
	if err != nil {
		return t.done(err)
	}
	have, there, err := stored(record)
	switch {
	case err != nil || there && !have.Kept.IsZero():
	case there:
		t.store("kept").Call("put", keptRecord(name, have.Media, have.Bytes, time.Now()))
	default:
		t.store("kept").Call("put", keptRecord(name, mediaType, bytes, time.Now()))
	}
	return t.done(err)
}

// Forget implements keep.Sweeper. Its transaction holds off everybody who would
// record something that mentions a file.
func (s *Store) Forget(ctx context.Context, names []string, before time.Time, position int64) ([]string, error) {
	t, err := s.begin(ctx, readwrite, "files", "kept", "events", "versions")
	if err != nil {
		return nil, err
	}
	gone, err := t.forget(names, before, position)
	if err := t.done(err); err != nil {
		return nil, err
	}
	return gone, nil
}

func (t *tx) forget(names []string, before time.Time, position int64) (gone []string, err error) {
	old := map[string]bool{}
	for _, name := range names {
		record, err := wait(t.store("kept").Call("get", name))
		if err != nil {
			return nil, err
		}
		f, there, err := stored(record)
		if err != nil {
			return nil, err
		}
		if there && !f.Kept.IsZero() && f.Kept.Before(before) {
			old[name] = true
		}
	}
	if len(old) == 0 {
		return nil, nil
	}
	spare := func(text string) {
		for name := range old {
			if bytes.Contains([]byte(text), []byte(name)) {
				delete(old, name)
			}
		}
	}
	if err := t.through(t.store("events").Call("index", "at"), float64(max(position, 0)), func(r js.Value) any { return r.Get("at") }, spare); err != nil {
		return nil, err
	}
	if err := t.through(t.store("versions"), []any{}, func(r js.Value) any { return []any{r.Get("kind"), r.Get("id"), r.Get("version")} }, spare); err != nil {
		return nil, err
	}
	for _, name := range names {
		if old[name] {
			delete(old, name) // named twice, it goes once
			t.store("files").Call("delete", name)
			t.store("kept").Call("delete", name)
			gone = append(gone, name)
		}
	}
	return gone, nil
}

// stride is how many records through reads at once.
const stride = 500

// through gives the texts of all records behind a key, some at a time.
func (t *tx) through(from js.Value, behind any, keyOf func(record js.Value) any, see func(text string)) error {
	for {
		records, err := wait(from.Call("getAll", js.Global().Get("IDBKeyRange").Call("lowerBound", behind, true), stride))
		if err != nil {
			return err
		}
		see(lines(records))
		n := records.Length()
		if n < stride {
			return nil
		}
		behind = keyOf(records.Index(n - 1))
	}
}
