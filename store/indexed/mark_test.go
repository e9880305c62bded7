//go:build js && wasm

package indexed

import (
	"context"
	"fmt"
	"testing"
	"time"

	"lastbolt/garage"
	"lastbolt/job"
	"lastbolt/keep"
)

// What the worker keeps rests on this: after anything was written the mark is
// another one, and it is the same while nothing was.
func TestEveryWriteRaisesTheMark(t *testing.T) {
	st, err := Open(t.Context(), fmt.Sprintf("marks-%d", time.Now().UnixNano()))
	if err != nil {
		t.Fatal(err)
	}
	defer st.Close()
	at := time.Date(2026, 3, 1, 8, 30, 0, 0, time.UTC)
	content := []byte("a photo")
	event := func(id string) job.Event {
		return job.Event{ID: id, Job: "j", Kind: "note", At: at, Data: []byte(`{}`)}
	}
	document := func(id string) garage.Document {
		return garage.Document{Kind: "map", ID: id, Version: 1, At: at, Body: []byte("id: m\n")}
	}
	ctx := t.Context()
	for _, w := range []struct {
		what        string
		mark, aside bool // which is raised
		do          func() error
	}{
		{"an event", true, false, func() error { _, err := st.Append(ctx, event("e1")); return err }},
		{"a line of the list", true, false, func() error { return st.SetSummary(ctx, job.Summary{ID: "j"}) }},
		{"a document", true, false, func() error { _, err := st.Put(ctx, document("m"), 0); return err }},
		{"a document refused", false, false, func() error { return refused(st.Put(ctx, document("m"), 7)) }},
		{"what comes by the exchange", true, false, func() error {
			_, err := st.Merge(ctx, keep.Batch{Events: []job.Event{event("e2")}, Documents: []garage.Document{document("n")}})
			return err
		}},
		{"a photo", true, false, func() error { _, err := st.Keep(ctx, content, "image/jpeg"); return err }},
		{"a file adopted", true, false, func() error { return st.Adopt(ctx, keep.Hash([]byte("x")), "image/jpeg", 1) }},
		{"a sweep", true, false, func() error {
			_, err := st.Forget(ctx, []string{keep.Hash(content)}, time.Now().Add(time.Hour), 0)
			return err
		}},
		{"a note", true, false, func() error { return st.SetNote(ctx, "theme", "dark") }},
		{"a note aside", false, true, func() error { return st.SetNoteAside(ctx, "exchange", "{}") }},
		{"a line", false, false, func() error { return st.SetLine(ctx, "<p>", Marks{}, at) }},
		{"reading", false, false, func() error { return readAll(ctx, st) }},
	} {
		before, err := st.Marks(ctx)
		if err != nil {
			t.Fatal(err)
		}
		if err := w.do(); err != nil {
			t.Errorf("%s: %v", w.what, err)
		}
		after, err := st.Marks(ctx)
		if err != nil {
			t.Fatal(err)
		}
		if raised := before.mark != after.mark; raised != w.mark {
			t.Errorf("%s: the mark is raised: %v", w.what, raised)
		}
		if raised := before.aside != after.aside; raised != w.aside {
			t.Errorf("%s: the mark aside is raised: %v", w.what, raised)
		}
	}
}

func refused(_ int, err error) error {
	if err == nil {
		return fmt.Errorf("it was taken")
	}
	return nil
}

func readAll(ctx context.Context, st *Store) error {
	_, err := st.Events(ctx, "j")
	if err == nil {
		_, err = st.Summaries(ctx, job.Query{})
	}
	if err == nil {
		_, err = st.Jobs(ctx)
	}
	if err == nil {
		_, err = st.Contents(ctx)
	}
	if err == nil {
		_, err = st.All(ctx, "map")
	}
	return err
}
