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

// slowCommit has the database sleep for a second while it commits a document.
const slowCommit = `
CREATE FUNCTION slow() RETURNS trigger LANGUAGE plpgsql AS 'BEGIN PERFORM pg_sleep(1); RETURN NULL; END';
CREATE CONSTRAINT TRIGGER slow AFTER INSERT ON document DEFERRABLE INITIALLY DEFERRED FOR EACH ROW EXECUTE FUNCTION slow()`

func TestACopyLeftWhileItCommitsSaysWhatCameOfIt(t *testing.T) {
	to := open(t, fresh(t, pgtest.Start(t)), t.TempDir())
	from, err := sqlite.Open(t.TempDir(), sqlite.Options{})
	if err != nil {
		t.Fatal(err)
	}
	defer from.Close()
	if _, err := from.Put(t.Context(), storetest.Document("tern", 0), 0); err != nil {
		t.Fatal(err)
	}
	if _, err := to.Database().Write.Exec(slowCommit); err != nil {
		t.Fatal(err)
	}
	ctx, cancel := context.WithCancel(t.Context())
	defer cancel()
	seen := make(chan error, 1)
	go func() {
		defer cancel()
		for commits := false; !commits; time.Sleep(time.Millisecond) {
			err := to.Database().Read.QueryRow(`SELECT count(*) > 0 FROM pg_stat_activity WHERE wait_event = 'PgSleep' AND datname = current_database()`).Scan(&commits)
			if err != nil {
				seen <- err
				return
			}
		}
		seen <- nil
	}()
	got, err := tables.Copy(ctx, from.Database(), to.Database(), tables.CopyOptions{Resting: true})
	if err != nil || got.Versions != 1 {
		t.Errorf("copied %+v, %v", got, err)
	}
	if err := <-seen; err != nil || ctx.Err() == nil {
		t.Errorf("it was not left while it committed: %v", err)
	}
}
