//go:build js && wasm

package indexed

import (
	"syscall/js"
	"time"
)

// schemaVersion is 3: version 1 did not know when a file was last kept, and
// version 2 had no mark of writing.
const schemaVersion = 3

// upgrade makes what a database of an older version does not have; 0 is a new
// one. The browser takes all of it back if the worker is stopped in the middle.
func upgrade(request js.Value, from int) {
	db := request.Get("result")
	if from < 1 {
		makeStores(db)
	}
	if from < 2 {
		db.Call("createObjectStore", "kept", map[string]any{"keyPath": "id"})
	}
	if from < 3 {
		makeMark(db)
	}
	if from == 1 {
		listFiles(request.Get("transaction"))
	}
}

func makeStores(db js.Value) {
	events := db.Call("createObjectStore", "events", keyed("job", "id"))
	events.Call("createIndex", "id", "id", map[string]any{"unique": true})
	events.Call("createIndex", "at", "at", map[string]any{"unique": true})
	db.Call("createObjectStore", "versions", keyed("kind", "id", "version"))
	db.Call("createObjectStore", "newest", keyed("kind", "id"))
	for _, plain := range []string{"summaries", "files", "notes"} {
		db.Call("createObjectStore", plain, map[string]any{"keyPath": "id"})
	}
}

func keyed(path ...any) map[string]any { return map[string]any{"keyPath": path} }

// listFiles lists the files of version 1, one after another, for their contents
// would not fit into memory together. When they were kept is not known.
func listFiles(t js.Value) {
	kept := t.Call("objectStore", "kept")
	request := t.Call("objectStore", "files").Call("openCursor")
	var next js.Func
	next = js.FuncOf(func(js.Value, []js.Value) any {
		cursor := request.Get("result")
		if cursor.IsNull() {
			next.Release()
			return nil
		}
		f := cursor.Get("value")
		kept.Call("put", keptRecord(f.Get("id").String(), f.Get("media").String()[1:], int64(f.Get("content").Length()), time.Time{}))
		cursor.Call("continue")
		return nil
	})
	request.Set("onsuccess", next)
}
