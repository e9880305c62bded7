package tables_test

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"sync"
	"testing"
	"time"

	"lastbolt/job"
	"lastbolt/store/sqlite"
	"lastbolt/store/storetest"
	"lastbolt/store/tables"
)

// counted opens a folder's tables so that every transaction of more than one
// statement is counted, and one with an event called bad fails.
func counted(t *testing.T) (ts *tables.Tables, transactions func() int) {
	t.Helper()
	s, err := sqlite.Open(t.TempDir(), sqlite.Options{})
	if err != nil {
		t.Fatal(err)
	}
	e := s.Database()
	for _, text := range []string{
		`CREATE TABLE turn (n INTEGER PRIMARY KEY)`,
		`CREATE TRIGGER bad BEFORE INSERT ON event WHEN new.id = 'bad' BEGIN SELECT RAISE(ABORT, 'bad'); END`,
	} {
		if _, err := e.Write.Exec(text); err != nil {
			t.Fatal(err)
		}
	}
	e.Turn = `INSERT INTO turn DEFAULT VALUES`
	if ts, err = tables.New(t.Context(), e); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		if err := errors.Join(ts.Close(), s.Close()); err != nil {
			t.Error(err)
		}
	})
	return ts, func() (n int) {
		if err := e.Read.QueryRow(`SELECT count(*) FROM turn`).Scan(&n); err != nil {
			t.Fatal(err)
		}
		return n
	}
}

// atOnce has all begin while a transaction goes on, the first one before the
// others, and gives what came of each.
func atOnce(t *testing.T, ts *tables.Tables, all ...func() (int, error)) (added []int, errs []error) {
	t.Helper()
	added, errs = make([]int, len(all)), make([]error, len(all))
	var group sync.WaitGroup
	begin := func(i int) { group.Go(func() { added[i], errs[i] = all[i]() }) }
	db := ts.Database().Write
	before := db.Stats().WaitCount
	err := ts.Do(t.Context(), func(*sql.Tx) error {
		begin(0)
		// It leads once it waits for this transaction. Had others come before
		// it did, it would have taken them along.
		if err := until(func() bool { return db.Stats().WaitCount > before }); err != nil {
			return err
		}
		for i := 1; i < len(all); i++ {
			begin(i)
		}
		return until(func() bool { return ts.Waiting() == len(all)-1 })
	})
	if err != nil {
		t.Fatal(err)
	}
	group.Wait()
	return added, errs
}

// until waits for something that happens soon.
func until(so func() bool) error {
	for end := time.Now().Add(time.Minute); !so(); time.Sleep(time.Millisecond) {
		if time.Now().After(end) {
			return errors.New("what was waited for did not happen in a minute")
		}
	}
	return nil
}

func TestWhoeverWaitsForADurableWriteSharesTheNext(t *testing.T) {
	ts, transactions := counted(t)
	var all []func() (int, error)
	for i := range 40 {
		if i%2 == 0 {
			all = append(all, func() (int, error) { return ts.Append(t.Context(), storetest.Event("a", i)) })
		} else {
			sum := job.Summary{ID: fmt.Sprint("job ", i), Title: "Alternator", Touched: storetest.At}
			all = append(all, func() (int, error) {
				return ts.AppendSummarised(t.Context(), sum, storetest.Event("a", i), storetest.Event("a", i-1))
			})
		}
	}
	added, errs := atOnce(t, ts, all...)
	total := 0
	for i := range all {
		if errs[i] != nil {
			t.Errorf("%d: %v", i, errs[i])
		}
		total += added[i]
	}
	events, err := ts.Events(t.Context(), "a")
	if err != nil || len(events) != 40 || total != 40 {
		t.Errorf("%d events are kept and %d were said to be new, want 40; %v", len(events), total, err)
	}
	lines, err := ts.Summaries(t.Context(), job.Query{Limit: 100})
	if err != nil || len(lines) != 20 {
		t.Errorf("%d lines of jobs are kept, want 20; %v", len(lines), err)
	}
	if n := transactions(); n > 3 { // the test's, the first one's, and one for all others
		t.Errorf("it took %d transactions", n)
	}
}

func TestOneThatCannotBeKeptKeepsNobodyElseFromIt(t *testing.T) {
	ts, _ := counted(t)
	bad := storetest.Event("a", 9)
	bad.ID = "bad"
	_, errs := atOnce(t, ts,
		func() (int, error) { return ts.Append(t.Context(), storetest.Event("a", 0)) },
		func() (int, error) { return ts.Append(t.Context(), storetest.Event("a", 1)) },
		func() (int, error) { return ts.Append(t.Context(), storetest.Event("a", 2), bad) },
		func() (int, error) { return ts.Append(t.Context(), storetest.Event("a", 3)) },
	)
	failed := 0
	for _, err := range errs {
		if err != nil {
			failed++
		}
	}
	events, err := ts.Events(t.Context(), "a")
	if err != nil || len(events) != 3 || failed != 1 || errs[2] == nil {
		t.Errorf("%d events are kept, want 3; errors %v; %v", len(events), errs, err)
	}
}

func TestWhoGoesAwayHoldsUpNobodyWhoWaits(t *testing.T) {
	ts, _ := counted(t)
	gone, cancel := context.WithCancel(t.Context())
	defer cancel()
	var all []func() (int, error)
	for i := range 30 {
		ctx := t.Context()
		if i%3 != 0 {
			ctx = gone
		}
		all = append(all, func() (int, error) {
			if i == 0 {
				time.AfterFunc(time.Millisecond, cancel) // some wait by then, some do not yet
			}
			return ts.Append(ctx, storetest.Event("a", i))
		})
	}
	var group sync.WaitGroup
	errs := make([]error, len(all))
	for i, one := range all {
		group.Go(func() { _, errs[i] = one() })
	}
	group.Wait()
	events, err := ts.Events(t.Context(), "a")
	if err != nil {
		t.Fatal(err)
	}
	there := map[string]bool{}
	for _, e := range events {
		there[e.ID] = true
	}
	for i, err := range errs {
		switch {
		case err == nil && !there[storetest.Event("a", i).ID]:
			t.Errorf("%d was acknowledged and is not there", i)
		case err != nil && (i%3 == 0 || !errors.Is(err, context.Canceled)):
			t.Errorf("%d: %v", i, err)
		}
	}
	if _, err := ts.Append(t.Context(), storetest.Event("a", 99)); err != nil {
		t.Errorf("afterwards: %v", err)
	}
}
