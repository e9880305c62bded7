package storetest

import (
	"bytes"
	"errors"
	"slices"
	"strings"
	"testing"
	"time"

	"lastbolt/fault"
	"lastbolt/garage"
	"lastbolt/job"
	"lastbolt/keep"
)

// put stores the versions of a document and returns them as they are stored.
func put(t *testing.T, b keep.Backend, versions ...garage.Document) []garage.Document {
	t.Helper()
	out := slices.Clone(versions)
	for i := range out {
		out[i].Version = must[int](t)(b.Put(t.Context(), versions[i], i))
	}
	return out
}

func versionsStay(t *testing.T, b keep.Backend) {
	ctx := t.Context()
	want := put(t, b, Document("tern", 1), Document("tern", 2), Document("tern", 3))
	for i, d := range want {
		same(t, "number", d.Version, i+1)
		same(t, "version", must[garage.Document](t)(b.Version(ctx, d.Kind, d.ID, i+1)), d)
	}
	got := must[garage.Document](t)(b.Latest(ctx, garage.KindVehicle, "tern"))
	same(t, "latest", got, want[2])
	got.Body[0] = 'X'
	same(t, "latest after its body was changed by the caller", must[garage.Document](t)(b.Latest(ctx, garage.KindVehicle, "tern")), want[2])
	same(t, "kinds", must[[]string](t)(b.Kinds(ctx)), []string{garage.KindVehicle})
}

func staleEdit(t *testing.T, b keep.Backend) {
	ctx := t.Context()
	put(t, b, Document("tern", 1), Document("tern", 2))
	for _, test := range []struct {
		id   string
		base int
	}{{"tern", 0}, {"tern", 1}, {"tern", 3}, {"tern", -1}, {"not there", 1}} {
		_, err := b.Put(ctx, Document(test.id, 9), test.base)
		if !errors.Is(err, garage.ErrStale) {
			t.Errorf("%s from %d: got %v, want ErrStale", test.id, test.base, err)
		}
		code(t, err, fault.Stale)
	}
	same(t, "versions", len(must[[]garage.Document](t)(b.History(ctx, garage.KindVehicle, "tern"))), 2)
	same(t, "documents", len(must[[]garage.Document](t)(b.All(ctx, garage.KindVehicle))), 1)
}

func lateClock(t *testing.T, b keep.Backend) {
	first, late := put(t, b, Document("tern", 9))[0], Document("tern", 2)
	must[int](t)(b.Put(t.Context(), late, 1))
	got := must[garage.Document](t)(b.Latest(t.Context(), garage.KindVehicle, "tern"))
	if !got.At.After(first.At) || got.At.Sub(first.At) > time.Second {
		t.Errorf("edited at %v, what it began from at %v", got.At, first.At)
	}
	late.At, late.Version = got.At, 2
	same(t, "the rest", got, late)
}

func historyOrder(t *testing.T, b keep.Backend) {
	want := put(t, b, Document("tern", 1), Document("tern", 2), Document("tern", 3))
	put(t, b, Document("other", 1))
	slices.Reverse(want)
	for i := range want {
		want[i].Body = nil
	}
	same(t, "history", must[[]garage.Document](t)(b.History(t.Context(), garage.KindVehicle, "tern")), want)
}

func allNewest(t *testing.T, b keep.Backend) {
	last := put(t, b, Document("b", 1), Document("b", 2))[1]
	only := put(t, b, Document("a", 1))[0]
	m := Document("c", 1)
	m.Kind = garage.KindMap
	put(t, b, m)
	same(t, "vehicles", must[[]garage.Document](t)(b.All(t.Context(), garage.KindVehicle)), []garage.Document{only, last})
	same(t, "kinds", must[[]string](t)(b.Kinds(t.Context())), []string{garage.KindMap, garage.KindVehicle})
}

func unknown(t *testing.T, b keep.Backend) {
	ctx := t.Context()
	put(t, b, Document("tern", 1))
	_, latest := b.Latest(ctx, garage.KindVehicle, "teal")
	_, kind := b.Latest(ctx, garage.KindMap, "tern")
	_, version := b.Version(ctx, garage.KindVehicle, "tern", 2)
	_, zero := b.Version(ctx, garage.KindVehicle, "tern", 0)
	_, _, file := b.Open(ctx, strings.Repeat("0", 64))
	for i, err := range []error{latest, kind, version, zero, file} {
		if !errors.Is(err, garage.ErrUnknown) {
			t.Errorf("%d: got %v, want ErrUnknown", i, err)
		}
		code(t, err, fault.NotFound)
	}
}

func filesKept(t *testing.T, b keep.Backend) {
	ctx := t.Context()
	one, two := bytes.Repeat([]byte("\x00photo\xff"), 1000), []byte("clip")
	name := must[string](t)(b.Keep(ctx, one, "image/jpeg"))
	same(t, "name", name, keep.Hash(one))
	// The published SHA-256 of "abc": FIPS 180-2, appendix B.1.
	abc := must[string](t)(b.Keep(ctx, []byte("abc"), "text/plain"))
	same(t, "name of abc", abc, "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad")

	same(t, "kept again", must[string](t)(b.Keep(ctx, slices.Clone(one), "image/png")), name)
	other := must[string](t)(b.Keep(ctx, two, "audio/wav"))
	content, media, err := b.Open(ctx, name)
	if err != nil || !bytes.Equal(content, one) || media != "image/jpeg" {
		t.Fatalf("Open = %d bytes, %q, %v", len(content), media, err)
	}
	content[0] = 'X'
	if again, _, _ := b.Open(ctx, name); !bytes.Equal(again, one) {
		t.Error("the kept file changed with the caller's copy")
	}
	same(t, "names", must[[]string](t)(b.Names(ctx)), slices.Sorted(slices.Values([]string{name, other, abc})))

	_, err = b.Keep(ctx, nil, "image/jpeg")
	code(t, err, fault.Bad)
	_, err = b.Keep(ctx, make([]byte, keep.MaxFile+1), "image/jpeg")
	code(t, err, fault.TooLarge)
}

func filesOddNames(t *testing.T, b keep.Backend) {
	for _, name := range []string{"", ".", "..", "../lastbolt.db", "/etc/hostname", "new-x", strings.Repeat("A", 64), strings.Repeat("../", 21) + "x", "ba/ba"} {
		_, _, err := b.Open(t.Context(), name)
		code(t, err, fault.NotFound)
	}
}

func mergeTwice(t *testing.T, b keep.Backend) {
	ctx := t.Context()
	appended(t, b, Events("a", 3)...)
	have := put(t, b, Document("tern", 1))
	batch := keep.Batch{Events: Events("a", 5), Documents: append(have, Document("tern", 2), Document("teal", 1))}
	batch.Documents[1].Version = 2
	batch.Documents[2].Version = 1
	spaced := batch.Events[0]
	spaced.Data = []byte(` { "n" : 0 } `)
	batch.Events[0] = spaced // the same but for its layout
	same(t, "first", must[keep.Merged](t)(b.Merge(ctx, batch)), keep.Merged{Events: 2, Versions: 2})
	same(t, "second", must[keep.Merged](t)(b.Merge(ctx, batch)), keep.Merged{})
	same(t, "events", events(t, b, "a"), Events("a", 5))
	same(t, "latest", must[garage.Document](t)(b.Latest(ctx, garage.KindVehicle, "tern")), batch.Documents[1])
}

func mergeDiverged(t *testing.T, b keep.Backend) {
	ctx := t.Context()
	put(t, b, Document("tern", 1), Document("tern", 5))
	theirs := []garage.Document{Document("tern", 1), Document("tern", 3)}
	theirs[0].Version, theirs[1].Version = 1, 2
	batch := keep.Batch{Documents: theirs}
	want := keep.Merged{Versions: 2, Diverged: []string{"vehicle tern"}}
	same(t, "first", must[keep.Merged](t)(b.Merge(ctx, batch)), want)
	same(t, "second", must[keep.Merged](t)(b.Merge(ctx, batch)), keep.Merged{})
	var notes []string
	for _, d := range must[[]garage.Document](t)(b.History(ctx, garage.KindVehicle, "tern")) {
		notes = append(notes, d.Note)
	}
	same(t, "notes, newest first", notes, []string{"edit 5", "edit 3", "edit 5", "edit 1"})
}

func mergeContradiction(t *testing.T, b keep.Backend) {
	appended(t, b, Events("a", 3)...)
	list := Events("a", 5)
	list[2].Data = []byte(`{"n":"changed"}`)
	_, err := b.Merge(t.Context(), keep.Batch{Events: list[1:], Documents: []garage.Document{Document("tern", 1)}})
	code(t, err, fault.Bad)
	same(t, "events", events(t, b, "a"), Events("a", 3))
	same(t, "documents", must[[]garage.Document](t)(b.All(t.Context(), garage.KindVehicle)), nil)
	// Also within the batch itself: the later one contradicts the earlier.
	twice := Events("c", 2)
	twice[1].ID = twice[0].ID
	_, err = b.Merge(t.Context(), keep.Batch{Events: twice})
	code(t, err, fault.Bad)
	same(t, "events of c", events(t, b, "c"), []job.Event{})
}
