package storetest

import (
	"context"
	"errors"
	"fmt"
	"maps"
	"slices"
	"sync"
	"sync/atomic"
	"testing"

	"pgregory.net/rapid"

	"lastbolt/garage"
	"lastbolt/job"
	"lastbolt/keep"
)

func cancelled(t *testing.T, b keep.Backend) {
	ctx := cancelledContext(t)
	_, appendErr := b.Append(ctx, Events("a", 2)...)
	_, putted := b.Put(ctx, Document("tern", 1), 0)
	_, kept := b.Keep(ctx, []byte("photo"), "image/jpeg")
	_, merged := b.Merge(ctx, keep.Batch{Events: Events("b", 1)})
	summed := b.SetSummary(ctx, job.Summary{ID: "a"})
	_, read := b.Events(ctx, "a")
	_, listed := b.Summaries(ctx, job.Query{})
	for i, err := range []error{appendErr, putted, kept, merged, summed, read, listed} {
		if !errors.Is(err, context.Canceled) {
			t.Errorf("%d: got %v, want context.Canceled", i, err)
		}
	}
	empty(t, b)
}

func manyWriters(t *testing.T, b keep.Backend) {
	const writers, batches, size = 8, 12, 5
	var group sync.WaitGroup
	for w := range writers {
		group.Go(func() {
			list := Events(fmt.Sprintf("job-%d", w%4), batches*size*writers)
			for i := range batches {
				// Half of the events are also sent by the writer of the same job.
				from := (i + w/4*batches/2) * size
				if _, err := b.Append(t.Context(), list[from:from+size]...); err != nil {
					t.Error(err)
				}
			}
		})
	}
	group.Wait()
	total := 0
	for j := range 4 {
		id := fmt.Sprintf("job-%d", j)
		want := Events(id, (batches+batches/2)*size)
		same(t, id, events(t, b, id), want)
		total += len(want)
	}
	list, _, err := b.Changed(t.Context(), 0, 10*total)
	if err != nil || len(list) != total {
		t.Errorf("Changed has %d events (%v), want %d", len(list), err, total)
	}
}

func manyEditors(t *testing.T, b keep.Backend) {
	put(t, b, Document("tern", 0))
	var won atomic.Int32
	var group sync.WaitGroup
	for i := range 8 {
		group.Go(func() {
			_, err := b.Put(t.Context(), Document("tern", i), 1)
			switch {
			case err == nil:
				won.Add(1)
			case !errors.Is(err, garage.ErrStale):
				t.Error(err)
			}
		})
	}
	group.Wait()
	same(t, "edits that won", won.Load(), 1)
	same(t, "version", must[garage.Document](t)(b.Latest(t.Context(), garage.KindVehicle, "tern")).Version, 2)
}

func readersSeeWhole(t *testing.T, b keep.Backend) {
	const batches, size = 40, 6
	done := make(chan struct{})
	var group sync.WaitGroup
	for range 3 {
		group.Go(func() {
			for seen := 0; ; {
				list, err := b.Events(t.Context(), "a")
				if err != nil || len(list)%size != 0 || len(list) < seen {
					t.Errorf("saw %d events after %d (%v), want whole batches of %d", len(list), seen, err, size)
					return
				}
				seen = len(list)
				select {
				case <-done:
					return
				default:
				}
			}
		})
	}
	list := Events("a", batches*size)
	for batch := range slices.Chunk(list, size) {
		appended(t, b, batch...)
	}
	close(done)
	group.Wait()
}

// matchesModel makes random calls and compares with the plainest of models: a
// map of events by id and a list of versions.
func matchesModel(t *testing.T, b keep.Backend) {
	round := 0
	rapid.Check(t, func(r *rapid.T) {
		round++
		prefix := fmt.Sprintf("r%d-", round) // the store is not emptied between rounds
		model := map[string]map[string]job.Event{}
		versions := map[string]int{}
		for range rapid.IntRange(1, 12).Draw(r, "calls") {
			if rapid.Bool().Draw(r, "event") {
				modelAppend(r, b, prefix, model)
			} else {
				modelPut(r, b, prefix, versions)
			}
		}
		for id, want := range model {
			got, err := b.Events(t.Context(), id)
			if err != nil {
				r.Fatal(err)
			}
			keys := slices.Sorted(maps.Keys(want))
			if len(got) != len(keys) {
				r.Fatalf("%s has %d events, want %d", id, len(got), len(keys))
			}
			for i, k := range keys {
				if !keep.Same(got[i], want[k]) {
					r.Fatalf("event %d of %s: got %+v, want %+v", i, id, got[i], want[k])
				}
			}
		}
	})
}

func modelAppend(r *rapid.T, b keep.Backend, prefix string, model map[string]map[string]job.Event) {
	id := prefix + rapid.SampledFrom([]string{"a", "b"}).Draw(r, "job")
	numbers := rapid.SliceOfN(rapid.IntRange(0, 15), 0, 6).Draw(r, "numbers")
	want := 0
	var list []job.Event
	for _, n := range numbers {
		e := Event(id, n)
		list = append(list, e)
		if model[id] == nil {
			model[id] = map[string]job.Event{}
		}
		if _, there := model[id][e.ID]; !there {
			model[id][e.ID] = e
			want++
		}
	}
	got, err := b.Append(context.Background(), list...)
	if err != nil || got != want {
		r.Fatalf("Append %v = %d, %v, want %d", numbers, got, err, want)
	}
}

func modelPut(r *rapid.T, b keep.Backend, prefix string, versions map[string]int) {
	id := prefix + rapid.SampledFrom([]string{"v", "w"}).Draw(r, "document")
	base := rapid.IntRange(0, 4).Draw(r, "base")
	version, err := b.Put(context.Background(), Document(id, base), base)
	if base != versions[id] {
		if !errors.Is(err, garage.ErrStale) {
			r.Fatalf("Put from %d at version %d: %v, want ErrStale", base, versions[id], err)
		}
		return
	}
	if err != nil || version != base+1 {
		r.Fatalf("Put from %d = %d, %v", base, version, err)
	}
	versions[id] = version
}
