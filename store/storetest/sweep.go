package storetest

import (
	"encoding/json"
	"fmt"
	"slices"
	"sync"
	"testing"
	"time"

	"lastbolt/keep"
)

func sweeper(t *testing.T, b keep.Backend) keep.Sweeper {
	t.Helper()
	s, ok := b.(keep.Sweeper)
	if !ok {
		t.Skip("this store does not sweep")
	}
	return s
}

func forgotten(t *testing.T, b keep.Backend) {
	s := sweeper(t, b)
	began := time.Now().Add(-time.Second)
	names := map[string]string{}
	for _, what := range []string{"old", "in an event", "in a document", "after the position"} {
		names[what] = must[string](t)(b.Keep(t.Context(), []byte(what), "image/jpeg"))
	}
	mention := func(n int, what string) {
		e := Event("one", n)
		e.Data = json.RawMessage(fmt.Sprintf(`{"file":%q}`, names[what]))
		appended(t, b, e)
	}
	mention(1, "in an event")
	_, position, err := b.Changed(t.Context(), 0, 0)
	if err != nil {
		t.Fatal(err)
	}
	mention(2, "after the position")
	d := Document("tern", 0)
	d.Body = []byte(names["in a document"])
	if _, err := b.Put(t.Context(), d, 0); err != nil {
		t.Fatal(err)
	}
	stored := must[[]keep.Stored](t)(s.Stored(t.Context()))
	if len(stored) != 4 || stored[0].Media != "image/jpeg" || stored[0].Bytes == 0 || stored[0].Kept.Before(began) {
		t.Fatalf("stored: %+v", stored)
	}
	all := []string{names["old"], names["in a document"], names["after the position"]}
	if gone := must[[]string](t)(s.Forget(t.Context(), all, began, position)); len(gone) != 0 {
		t.Errorf("files kept just now are gone: %v", gone)
	}
	later := time.Now().Add(time.Hour)
	if gone := must[[]string](t)(s.Forget(t.Context(), all, later, position)); !slices.Equal(gone, []string{names["old"]}) {
		t.Errorf("gone are %v, want %v", gone, names["old"])
	}
	if _, _, err := b.Open(t.Context(), names["old"]); err == nil {
		t.Error("what was taken away can still be opened")
	}
	for what, name := range names {
		if what == "old" {
			continue
		}
		if content, _, err := b.Open(t.Context(), name); err != nil || string(content) != what {
			t.Errorf("%s: %q, %v", what, content, err)
		}
	}
	contents := must[[]keep.Content](t)(s.Contents(t.Context()))
	if len(contents) != 3 {
		t.Errorf("%d contents are left, want 3", len(contents))
	}
}

// The same photo is kept again and again while sweeps that would take it run:
// whoever was told that it is kept finds it, as no sweep may take what was kept
// after its time.
func keptWhileSwept(t *testing.T, b keep.Backend) {
	s := sweeper(t, b)
	content := []byte("kept while swept")
	name := keep.Hash(content)
	var group sync.WaitGroup
	stop := make(chan struct{})
	group.Go(func() {
		for {
			select {
			case <-stop:
				return
			default:
			}
			if _, err := s.Forget(t.Context(), []string{name}, time.Now(), 0); err != nil {
				t.Error(err)
				return
			}
		}
	})
	for range 4 {
		group.Go(func() {
			for range 25 {
				told := time.Now()
				if _, err := b.Keep(t.Context(), content, "image/jpeg"); err != nil {
					t.Error(err)
					return
				}
				// A sweep whose time is after this one's may take it; then it is
				// unknown. What is listed must be there whole.
				got, _, err := b.Open(t.Context(), name)
				if err == nil && string(got) != string(content) {
					t.Errorf("it reads %q", got)
				}
				if err != nil && !unlisted(t, s, name, told) {
					t.Errorf("it is listed as kept and cannot be opened: %v", err)
				}
			}
		})
	}
	done := make(chan struct{})
	go func() { group.Wait(); close(done) }()
	time.AfterFunc(2*time.Second, func() { close(stop) })
	<-done
	// At rest, what is listed and what is there are the same.
	stored, contents := must[[]keep.Stored](t)(s.Stored(t.Context())), must[[]keep.Content](t)(s.Contents(t.Context()))
	if len(stored) != len(contents) {
		t.Errorf("%d files are listed, %d are there", len(stored), len(contents))
	}
	for _, f := range stored {
		if _, _, err := b.Open(t.Context(), f.Name); err != nil {
			t.Errorf("what is listed cannot be opened: %v", err)
		}
	}
}

// unlisted reports whether a file is gone from the list, or was kept again since.
func unlisted(t *testing.T, s keep.Sweeper, name string, since time.Time) bool {
	stored, err := s.Stored(t.Context())
	if err != nil {
		t.Error(err)
		return false
	}
	i := slices.IndexFunc(stored, func(f keep.Stored) bool { return f.Name == name })
	return i < 0 || stored[i].Kept.After(since)
}
