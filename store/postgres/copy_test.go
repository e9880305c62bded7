package postgres_test

import (
	"context"
	"testing"
	"time"

	"lastbolt/fault"
	"lastbolt/store/pgtest"
	"lastbolt/store/sqlite"
	"lastbolt/store/storetest"
	"lastbolt/store/tables"
)

func TestACopyCutShortAtAnyMomentLeavesNothing(t *testing.T) {
	url := fresh(t, pgtest.Start(t))
	to := open(t, url, t.TempDir())
	from, err := sqlite.Open(t.TempDir(), sqlite.Options{})
	if err != nil {
		t.Fatal(err)
	}
	defer from.Close()
	const events = 4000
	if _, err := from.Append(t.Context(), storetest.Events("belt", events)...); err != nil {
		t.Fatal(err)
	}
	for n := range 20 {
		if _, err := from.Put(t.Context(), storetest.Document("tern", n), n); err != nil {
			t.Fatal(err)
		}
	}
	cuts := 0
	for patience := time.Millisecond; ; patience += patience / 2 {
		ctx, cancel := context.WithTimeout(t.Context(), patience)
		got, err := tables.Copy(ctx, from.Database(), to.Database(), tables.CopyOptions{Resting: true})
		cancel()
		if err == nil {
			if got.Events != events || got.Versions != 20 {
				t.Errorf("copied %+v", got)
			}
			break
		}
		// Cut while it connects, it takes the server to be slow.
		if cuts++; !fault.Is(err, fault.Cancelled) && !fault.Is(err, fault.Busy) {
			t.Fatalf("cut after %v it says %v", patience, err)
		}
		if list, err := to.Events(t.Context(), "belt"); err != nil || len(list) > 0 {
			t.Fatalf("cut after %v it leaves %d events, %v", patience, len(list), err)
		}
	}
	if cuts < 3 {
		t.Errorf("it was cut %d times: this proves nothing", cuts)
	}
	// New events go on behind those that were copied.
	last, position, err := to.Changed(t.Context(), 0, events+10)
	if err != nil || len(last) != events {
		t.Fatalf("%d events, %v", len(last), err)
	}
	if _, err := to.Append(t.Context(), storetest.Event("belt", events)); err != nil {
		t.Fatal(err)
	}
	more, _, err := to.Changed(t.Context(), position, 10)
	if err != nil || len(more) != 1 || more[0].ID != storetest.Event("belt", events).ID {
		t.Errorf("after position %d there are %v, %v", position, more, err)
	}
}
