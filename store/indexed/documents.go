//go:build js && wasm

package indexed

import (
	"cmp"
	"context"
	"slices"
	"syscall/js"

	"lastbolt/garage"
	"lastbolt/keep"
)

// Put implements garage.Documents.
func (s *Store) Put(ctx context.Context, d garage.Document, base int) (int, error) {
	d, err := keep.Document(d)
	if err != nil {
		return 0, err
	}
	t, err := s.begin(ctx, readwrite, "versions", "newest")
	if err != nil {
		return 0, err
	}
	record, err := wait(t.store("newest").Call("get", []any{key(d.Kind), key(d.ID)}))
	if err == nil {
		d, err = follow(d, base, record)
	}
	d.Version = base + 1
	if err == nil {
		t.write(d)
	}
	if err := t.done(err); err != nil {
		return 0, err
	}
	return d.Version, nil
}

// follow is d as it follows on the newest version, which is undefined for a new
// document.
func follow(d garage.Document, base int, record js.Value) (garage.Document, error) {
	have := 0
	if record.Truthy() {
		have = record.Get("version").Int()
	}
	if have != base {
		return d, keep.Stale(d, base, have)
	}
	if base == 0 {
		return d, nil
	}
	newest, err := unpackDocuments(record.Get("line").String())
	if err != nil || len(newest) != 1 {
		return d, errRecord
	}
	return keep.Behind(d, newest[0]), nil
}

// write adds a version, which becomes the newest.
func (t *tx) write(d garage.Document) {
	record := map[string]any{"kind": key(d.Kind), "id": key(d.ID), "version": d.Version, "line": packDocument(d)}
	t.store("versions").Call("add", record)
	t.store("newest").Call("put", record)
}

// Latest implements garage.Documents.
func (s *Store) Latest(ctx context.Context, kind, id string) (garage.Document, error) {
	return s.one(ctx, "newest", kind, id, 0, key(kind), key(id))
}

// Version implements garage.Documents.
func (s *Store) Version(ctx context.Context, kind, id string, version int) (garage.Document, error) {
	return s.one(ctx, "versions", kind, id, version, key(kind), key(id), version)
}

func (s *Store) one(ctx context.Context, store, kind, id string, version int, at ...any) (garage.Document, error) {
	record, err := s.read(ctx, store, func(st js.Value) js.Value { return st.Call("get", at) })
	if err != nil {
		return garage.Document{}, err
	}
	if !record.Truthy() {
		return garage.Document{}, keep.Unknown(kind, id, version)
	}
	list, err := unpackDocuments(record.Get("line").String())
	if err != nil || len(list) != 1 {
		return garage.Document{}, errRecord
	}
	return list[0], nil
}

// All implements garage.Documents.
func (s *Store) All(ctx context.Context, kind string) ([]garage.Document, error) {
	text, err := s.readLines(ctx, "newest", within(key(kind)))
	if err != nil {
		return nil, err
	}
	out, err := unpackDocuments(text)
	slices.SortFunc(out, func(a, b garage.Document) int { return cmp.Compare(a.ID, b.ID) })
	return out, err
}

// History implements garage.Documents.
func (s *Store) History(ctx context.Context, kind, id string) ([]garage.Document, error) {
	text, err := s.readLines(ctx, "versions", within(key(kind), key(id)))
	if err != nil {
		return nil, err
	}
	out, err := unpackDocuments(text)
	slices.Reverse(out)
	for i := range out {
		out[i].Body = nil
	}
	return out, err
}

// Kinds implements keep.Backend.
func (s *Store) Kinds(ctx context.Context) ([]string, error) {
	keys, err := s.read(ctx, "newest", func(st js.Value) js.Value { return st.Call("getAllKeys") })
	if err != nil {
		return nil, err
	}
	var out []string
	for i := range keys.Length() {
		out = append(out, keys.Index(i).Index(0).String()[1:])
	}
	slices.Sort(out)
	return slices.Compact(out), nil
}

// Merge implements keep.Backend.
func (s *Store) Merge(ctx context.Context, b keep.Batch) (keep.Merged, error) {
	b, err := b.Check()
	if err != nil {
		return keep.Merged{}, err
	}
	t, err := s.begin(ctx, readwrite, "events", "versions", "newest")
	if err != nil {
		return keep.Merged{}, err
	}
	var out keep.Merged
	out.Events, err = t.add(b.Events, true)
	for _, come := range b.Histories() {
		if err != nil {
			break
		}
		err = t.merge(come, &out)
	}
	if err := t.done(err); err != nil {
		return keep.Merged{}, err
	}
	return out, nil
}

func (t *tx) merge(come []garage.Document, out *keep.Merged) error {
	kind, id := come[0].Kind, come[0].ID
	records, err := wait(t.store("versions").Call("getAll", within(key(kind), key(id))))
	if err != nil {
		return err
	}
	have, err := unpackDocuments(lines(records))
	if err != nil {
		return err
	}
	add, diverged := keep.MergeHistory(have, come)
	for _, d := range add {
		t.write(d)
	}
	out.Note(kind, id, len(add), diverged)
	return nil
}

// SetNote keeps a small text of the host's own under a name.
func (s *Store) SetNote(ctx context.Context, name, text string) error {
	return s.put(ctx, readwrite, "notes", noteRecord(name, text))
}

func noteRecord(name, text string) map[string]any {
	return map[string]any{"id": key(name), "line": pack(text)}
}

// Note gives a text of the host's own, empty where none was kept.
func (s *Store) Note(ctx context.Context, name string) (string, error) {
	record, err := s.read(ctx, "notes", func(st js.Value) js.Value { return st.Call("get", key(name)) })
	if err != nil || !record.Truthy() {
		return "", err
	}
	groups, err := unpack(record.Get("line").String(), 1)
	if err != nil || len(groups) != 1 {
		return "", errRecord
	}
	return groups[0][0], nil
}
