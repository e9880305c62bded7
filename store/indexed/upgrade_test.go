//go:build js && wasm

package indexed

import (
	"fmt"
	"slices"
	"syscall/js"
	"testing"
	"time"

	"lastbolt/garage"
	"lastbolt/job"
	"lastbolt/keep"
)

// versionOne makes a database as version 1 of the schema was, whatever is made
// today.
const versionOne = `(name, records) => new Promise((resolve, reject) => {
	const request = indexedDB.open(name, 1);
	request.onupgradeneeded = () => {
		const db = request.result;
		const events = db.createObjectStore('events', { keyPath: ['job', 'id'] });
		events.createIndex('id', 'id', { unique: true });
		events.createIndex('at', 'at', { unique: true });
		db.createObjectStore('versions', { keyPath: ['kind', 'id', 'version'] });
		db.createObjectStore('newest', { keyPath: ['kind', 'id'] });
		for (const plain of ['summaries', 'files', 'notes']) db.createObjectStore(plain, { keyPath: 'id' });
	};
	request.onerror = () => reject(request.error);
	request.onsuccess = () => {
		const db = request.result;
		const t = db.transaction(['events', 'versions', 'newest', 'files', 'notes'], 'readwrite');
		for (const [store, record] of records) t.objectStore(store).put(record);
		t.oncomplete = () => { db.close(); resolve(); };
		t.onabort = () => reject(t.error);
	};
})`

func TestADatabaseOfVersionOneIsTakenOver(t *testing.T) {
	name := fmt.Sprintf("old-%d", time.Now().UnixNano())
	at := time.Date(2026, 3, 1, 8, 30, 0, 0, time.UTC)
	shown, left := []byte("a photo that is shown"), []byte("left over")
	event := job.Event{ID: "e1", Job: "j", Kind: "note", At: at, Data: []byte(`{"file":"` + keep.Hash(shown) + `"}`)}
	document := garage.Document{Kind: "map", ID: "m", Version: 1, At: at, Body: []byte("id: m\n")}
	version := map[string]any{"kind": "kmap", "id": "km", "version": 1, "line": packDocument(document)}
	file := func(content []byte) map[string]any {
		body := js.Global().Get("Uint8Array").New(len(content))
		js.CopyBytesToJS(body, content)
		return map[string]any{"id": keep.Hash(content), "media": "kimage/jpeg", "content": body}
	}
	records := []any{
		[]any{"events", map[string]any{"job": "kj", "id": "ke1", "at": 1, "line": packEvent(event)}},
		[]any{"versions", version}, []any{"newest", version},
		[]any{"files", file(shown)}, []any{"files", file(left)},
		[]any{"notes", map[string]any{"id": "ktheme", "line": pack("theme=sun")}},
	}
	made := make(chan string, 1)
	good := js.FuncOf(func(js.Value, []js.Value) any { made <- ""; return nil })
	bad := js.FuncOf(func(_ js.Value, args []js.Value) any { made <- args[0].Call("toString").String(); return nil })
	js.Global().Call("eval", versionOne).Invoke(name, records).Call("then", good, bad)
	if wrong := <-made; wrong != "" {
		t.Fatal(wrong)
	}

	st, err := Open(t.Context(), name)
	if err != nil {
		t.Fatal(err)
	}
	sameAsBefore(t, st, event, document, shown, left)
	// When they were kept was not known, so that nothing is swept at once.
	later := time.Now().Add(time.Hour)
	if gone, err := st.Forget(t.Context(), []string{keep.Hash(left)}, later, 1); err != nil || len(gone) != 0 {
		t.Errorf("gone are %v, %v: its age was not known", gone, err)
	}
	if err := st.Adopt(t.Context(), keep.Hash(left), "x", 1); err != nil {
		t.Fatal(err)
	}
	st.Close()
	if st, err = Open(t.Context(), name); err != nil { // a second time there is nothing to change
		t.Fatal(err)
	}
	defer st.Close()
	sameAsBefore(t, st, event, document, shown, left)
	if gone, err := st.Forget(t.Context(), []string{keep.Hash(left), keep.Hash(shown)}, later, 0); err != nil || !slices.Equal(gone, []string{keep.Hash(left)}) {
		t.Errorf("gone are %v, %v, want only what nothing mentions", gone, err)
	}
	if names, err := st.Names(t.Context()); err != nil || !slices.Equal(names, []string{keep.Hash(shown)}) {
		t.Errorf("left are %v, %v", names, err)
	}
}

func sameAsBefore(t *testing.T, st *Store, event job.Event, document garage.Document, files ...[]byte) {
	t.Helper()
	events, position, err := st.Changed(t.Context(), 0, 0)
	if err != nil || len(events) != 1 || !keep.Same(events[0], event) || position != 1 {
		t.Errorf("events: %+v up to %d, %v", events, position, err)
	}
	d, err := st.Latest(t.Context(), "map", "m")
	if err != nil || string(d.Body) != string(document.Body) || d.Version != 1 {
		t.Errorf("document: %+v, %v", d, err)
	}
	if note, err := st.Note(t.Context(), "theme"); err != nil || note != "theme=sun" {
		t.Errorf("note: %q, %v", note, err)
	}
	stored, err := st.Stored(t.Context())
	if err != nil || len(stored) != len(files) {
		t.Fatalf("listed are %+v, %v", stored, err)
	}
	for _, content := range files {
		got, media, err := st.Open(t.Context(), keep.Hash(content))
		if err != nil || string(got) != string(content) || media != "image/jpeg" {
			t.Errorf("file: %q, %q, %v", got, media, err)
		}
		i := slices.IndexFunc(stored, func(f keep.Stored) bool { return f.Name == keep.Hash(content) })
		if i < 0 || stored[i].Bytes != int64(len(content)) || stored[i].Media != "image/jpeg" {
			t.Errorf("%q is listed as %+v", content, stored)
		}
	}
}
