package storetest

import (
	"context"
	"encoding/json"
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"lastbolt/fault"
	"lastbolt/garage"
	"lastbolt/job"
	"lastbolt/keep"
)

func empty(t *testing.T, b keep.Backend) {
	ctx := t.Context()
	same(t, "events", events(t, b, "none"), nil)
	same(t, "jobs", must[[]string](t)(b.Jobs(ctx)), nil)
	same(t, "summaries", must[[]job.Summary](t)(b.Summaries(ctx, job.Query{Closed: true})), nil)
	same(t, "documents", must[[]garage.Document](t)(b.All(ctx, garage.KindMap)), nil)
	same(t, "history", must[[]garage.Document](t)(b.History(ctx, garage.KindMap, "x")), nil)
	same(t, "kinds", must[[]string](t)(b.Kinds(ctx)), nil)
	same(t, "files", must[[]string](t)(b.Names(ctx)), nil)
	same(t, "added", appended(t, b), 0)
	list, position, err := b.Changed(ctx, 0, 10)
	if len(list) != 0 || position != 0 || err != nil {
		t.Fatalf("Changed = %v, %d, %v", list, position, err)
	}
}

func eventsComeBack(t *testing.T, b keep.Backend) {
	want := Events("a", 20)
	want[3].Data = nil
	want[4].By = ""
	want[5].Data = json.RawMessage(`null`)
	want[6].Data = json.RawMessage(" {\"spaced\" : [1.50, \"\\u00e9\"]}\n")
	want[7].At = At.In(time.FixedZone("east", 2*3600))
	want[8].At = time.Date(1, 1, 1, 0, 0, 0, 0, time.UTC)
	shuffled := slices.Clone(want)
	slices.Reverse(shuffled)
	same(t, "added", appended(t, b, shuffled...), 20)
	appended(t, b, Events("b", 3)...)

	got := events(t, b, "a")
	same(t, "events", got, want)
	if zone := got[7].At.Location(); zone != time.UTC {
		t.Errorf("time came back in %v, want UTC", zone)
	}
	same(t, "jobs", must[[]string](t)(b.Jobs(t.Context())), []string{"a", "b"})
}

func appendTwice(t *testing.T, b keep.Backend) {
	list := Events("a", 5)
	same(t, "first added", appended(t, b, list[:3]...), 3)
	changed := list[1]
	changed.Data = json.RawMessage(`"another"`)
	same(t, "added with known ones among them", appended(t, b, changed, list[3], list[3], list[4]), 2)
	same(t, "events", events(t, b, "a"), list)
	if c, ok := b.(interface {
		Count(context.Context, string) (int, error)
	}); ok { // a store may leave it out: it only saves reading
		same(t, "count", must[int](t)(c.Count(t.Context(), "a")), len(list))
		same(t, "count of no job", must[int](t)(c.Count(t.Context(), "none")), 0)
	}
}

func wholeBatch(t *testing.T, b keep.Backend) {
	list := Events("a", 5)
	list[4].Data = json.RawMessage(`{"broken`)
	n, err := b.Append(t.Context(), list...)
	code(t, err, fault.Bad)
	same(t, "added", n, 0)
	same(t, "events", events(t, b, "a"), nil)
	got, _, err := b.Changed(t.Context(), 0, 10)
	if len(got) > 0 || err != nil {
		t.Fatalf("Changed = %v, %v", got, err)
	}
}

func refused(t *testing.T, b keep.Backend) {
	for _, test := range []struct {
		name   string
		change func(*job.Event)
		say    string
	}{
		{"no id", func(e *job.Event) { e.ID = "" }, "its id is missing"},
		{"no job", func(e *job.Event) { e.Job = "" }, "its job is missing"},
		{"no kind", func(e *job.Event) { e.Kind = "" }, "its kind is missing"},
		{"long id", func(e *job.Event) { e.ID = strings.Repeat("x", keep.MaxName+1) }, "has 201 bytes"},
		{"zero byte", func(e *job.Event) { e.ID = "a\x00b" }, "control character at byte 2"},
		{"not UTF-8", func(e *job.Event) { e.By = "\xff" }, "not UTF-8"},
		{"not JSON", func(e *job.Event) { e.Data = json.RawMessage(`{]`) }, "not JSON"},
		{"not UTF-8 in JSON", func(e *job.Event) { e.Data = json.RawMessage("\"\xff\"") }, "not UTF-8"},
		{"large", func(e *job.Event) { e.Data = json.RawMessage(`"` + strings.Repeat("x", keep.MaxEvent) + `"`) }, "at most 1048576"},
		{"far future", func(e *job.Event) { e.At = time.Date(10000, 1, 1, 0, 0, 0, 0, time.UTC) }, "year 10000"},
	} {
		e := Event("a", 1)
		test.change(&e)
		_, err := b.Append(t.Context(), Event("a", 0), e)
		code(t, err, fault.Bad)
		if say := fault.Say(err); !strings.Contains(say, test.say) {
			t.Errorf("%s: says %q, want %q in it", test.name, say, test.say)
		}
	}
	same(t, "events", events(t, b, "a"), nil)
	_, err := b.Put(t.Context(), garage.Document{Kind: "map", ID: "m", Body: []byte("\xff")}, 0)
	code(t, err, fault.Bad)
	code(t, b.SetSummary(t.Context(), job.Summary{}), fault.Bad)
}

func copied(t *testing.T, b keep.Backend) {
	e := Event("a", 1)
	want := slices.Clone(e.Data)
	appended(t, b, e)
	copy(e.Data, "XXXX")
	got := events(t, b, "a")[0]
	same(t, "data after the caller changed its own", string(got.Data), string(want))
	copy(got.Data, "YYYY")
	same(t, "data after the caller changed the answer", string(events(t, b, "a")[0].Data), string(want))
}

func changed(t *testing.T, b keep.Backend) {
	ctx := t.Context()
	first, second := Events("b", 7), Events("a", 5)
	appended(t, b, first...)
	appended(t, b, second...)
	appended(t, b, first[2], Event("b", 100))
	want := slices.Concat(first, second, []job.Event{Event("b", 100)})

	var got []job.Event
	position := int64(0)
	for {
		list, next, err := b.Changed(ctx, position, 4)
		if err != nil {
			t.Fatal(err)
		}
		if len(list) > 4 || next < position {
			t.Fatalf("got %d events and the position %d after %d", len(list), next, position)
		}
		if len(list) == 0 {
			same(t, "position at the end", next, position)
			break
		}
		got, position = append(got, list...), next
	}
	same(t, "changed events", got, want)
	far, next, err := b.Changed(ctx, position+1000, 0)
	if len(far) != 0 || next != position+1000 || err != nil {
		t.Errorf("beyond the end: %v, %d, %v", far, next, err)
	}
}

func largeBatch(t *testing.T, b keep.Backend) {
	list := Events("big", 10_000)
	same(t, "added", appended(t, b, list...), len(list))
	same(t, "events", events(t, b, "big"), list)
}

// Odd names that are all allowed.
var oddNames = []string{
	"Ünïcödé", "ワゴン", "عربة", "שלום", "🔧🚐", "e\u0301 is not é", "a/b\\c", "..", "' OR 1=1 --", `"quoted"`, "%_\\", " ", "\u202eright", "$1", "?",
}

func anyScript(t *testing.T, b keep.Backend) {
	ctx := t.Context()
	for i, name := range oddNames {
		e := Event("x", i)
		e.ID, e.Job, e.Kind, e.By = name, name, job.Kind(name), name
		e.Data, _ = json.Marshal(name)
		appended(t, b, e)
		same(t, name, events(t, b, name), []job.Event{e})

		d := garage.Document{Kind: name, ID: name, At: At, By: name, Note: name, Body: []byte(name), Version: 1}
		must[int](t)(b.Put(ctx, d, 0))
		same(t, name, must[garage.Document](t)(b.Latest(ctx, name, name)), d)

		s := job.Summary{ID: name, Title: name, Stage: name, VehicleID: name, Touched: At}
		if err := b.SetSummary(ctx, s); err != nil {
			t.Fatal(err)
		}
		got := must[[]job.Summary](t)(b.Summaries(ctx, job.Query{Text: name, Stage: name, Vehicle: name}))
		same(t, fmt.Sprintf("search for %q", name), got, []job.Summary{s})
	}
	jobs := must[[]string](t)(b.Jobs(ctx))
	same(t, "jobs", jobs, slices.Sorted(slices.Values(oddNames)))
}
