package backups_test

import (
	"context"
	"encoding/json"
	"errors"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"testing/synctest"
	"time"

	"lastbolt/fault"
	"lastbolt/store/backups"
	"lastbolt/store/sqlite"
	"lastbolt/store/storetest"
)

// A source makes folders that read as whole backups, and fails when it is told to.
type source struct {
	mu   sync.Mutex // for tests that look while it runs
	fail error
	half bool // the power is cut while it writes
	n    int
	o    sqlite.BackupOptions
	now  func() time.Time
}

func (s *source) Backup(_ context.Context, to string, o sqlite.BackupOptions) (sqlite.Manifest, error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.n, s.o = s.n+1, o
	m := sqlite.Manifest{Format: sqlite.BackupFormat, Made: s.now().UTC(), Files: []sqlite.BackupFile{{Path: "lastbolt.db", Bytes: 100}}}
	if s.fail != nil {
		return m, s.fail
	}
	if s.half {
		return m, errors.Join(errors.New("the power is cut"), os.MkdirAll(to+".part", 0o700))
	}
	text, err := json.Marshal(m)
	if err == nil {
		err = os.MkdirAll(to, 0o700)
	}
	if err == nil {
		err = os.WriteFile(filepath.Join(to, sqlite.ManifestName), text, 0o600)
	}
	return m, err
}

// row is a keeper of three backups a day, with a clock that the test sets.
func row(t *testing.T) (*backups.Keeper, *source, *time.Time) {
	t.Helper()
	now := time.Date(2031, 5, 4, 9, 0, 0, 0, time.UTC)
	clock := func() time.Time { return now }
	k := &backups.Keeper{
		Dir: filepath.Join(t.TempDir(), "backups"), Every: 24 * time.Hour, Most: 3, Now: clock,
		Space: func(string) (int64, int64, error) { return 1 << 40, 2 << 40, nil },
	}
	return k, &source{now: clock}, &now
}

func names(t *testing.T, k *backups.Keeper) (whole, other []string) {
	t.Helper()
	list, err := backups.List(k.Dir)
	if err != nil {
		t.Fatal(err)
	}
	for _, b := range list {
		if b.Whole() {
			whole = append(whole, b.Name)
		} else {
			other = append(other, b.Name)
		}
	}
	return whole, other
}

func TestTheOldestBackupsGoOnceANewerOneIsWhole(t *testing.T) {
	k, from, now := row(t)
	var made []string
	for range 5 {
		name, err := k.Make(t.Context(), from)
		if err != nil {
			t.Fatal(err)
		}
		made = append(made, name)
		*now = now.Add(24 * time.Hour)
	}
	slices.Reverse(made)
	if whole, other := names(t, k); !slices.Equal(whole, made[:3]) || len(other) > 0 {
		t.Errorf("left are %v and %v, want the newest three of %v", whole, other, made)
	}
	if from.o.Beside != filepath.Join(k.Dir, made[1]) {
		t.Errorf("the last one shares with %q, want the one before it", from.o.Beside)
	}
}

func TestABackupThatFailsTakesNoneAway(t *testing.T) {
	k, from, now := row(t)
	for range 3 {
		if _, err := k.Make(t.Context(), from); err != nil {
			t.Fatal(err)
		}
		*now = now.Add(24 * time.Hour)
	}
	before, _ := names(t, k)
	for range 10 {
		from.fail = fault.New(fault.Full, "There is no room left.")
		if _, err := k.Make(t.Context(), from); !fault.Is(err, fault.Full) {
			t.Fatalf("got %v", err)
		}
		*now = now.Add(24 * time.Hour)
	}
	if after, _ := names(t, k); !slices.Equal(before, after) {
		t.Errorf("left are %v, want all of %v", after, before)
	}
	if _, failed := k.Status(); !strings.Contains(failed, "no room") {
		t.Errorf("the status says %q", failed)
	}
	from.fail = nil
	if _, err := k.Make(t.Context(), from); err != nil {
		t.Fatal(err)
	}
	if _, failed := k.Status(); failed != "" {
		t.Errorf("after a good one the status still says %q", failed)
	}
}

func TestOneBackupIsAlwaysLeftAndTheNewOneNeverGoes(t *testing.T) {
	k, from, now := row(t)
	k.Most = 0 // nonsense that must do no harm
	if _, err := k.Make(t.Context(), from); err != nil {
		t.Fatal(err)
	}
	*now = now.Add(-365 * 24 * time.Hour) // the clock was set back
	name, err := k.Make(t.Context(), from)
	if err != nil {
		t.Fatal(err)
	}
	if whole, _ := names(t, k); !slices.Equal(whole, []string{name}) {
		t.Errorf("left are %v, want %s", whole, name)
	}
}

func TestHalfABackupIsSeenAndCountsForNothing(t *testing.T) {
	k, from, now := row(t)
	good, err := k.Make(t.Context(), from)
	if err != nil {
		t.Fatal(err)
	}
	*now = now.Add(24 * time.Hour)
	from.half = true
	if _, err := k.Make(t.Context(), from); err == nil {
		t.Fatal("half a backup is reported as made")
	}
	// A folder whose manifest is gone, and one of somebody else's.
	for _, name := range []string{"lastbolt-20310101T000000Z", "my own copy"} {
		if err := os.MkdirAll(filepath.Join(k.Dir, name), 0o700); err != nil {
			t.Fatal(err)
		}
	}
	whole, other := names(t, k)
	if !slices.Equal(whole, []string{good}) || len(other) != 2 {
		t.Errorf("whole %v, other %v; want the good one, and the two that are not", whole, other)
	}
	list, err := backups.List(k.Dir)
	if err != nil {
		t.Fatal(err)
	}
	if list[0].Problem != "cut short while it was made" {
		t.Errorf("the newest is called %q", list[0].Problem)
	}
	if k.Due(list).After(*now) {
		t.Error("half a backup counts as one")
	}
	from.half = false
	*now = now.Add(48 * time.Hour)
	for range 4 {
		if _, err := k.Make(t.Context(), from); err != nil {
			t.Fatal(err)
		}
		*now = now.Add(24 * time.Hour)
	}
	whole, other = names(t, k)
	if len(whole) != 3 || !slices.Equal(other, []string{"lastbolt-20310101T000000Z"}) {
		t.Errorf("whole %v, other %v: want three, and only what no cut left behind", whole, other)
	}
	if _, err := os.Stat(filepath.Join(k.Dir, "my own copy")); err != nil {
		t.Errorf("somebody else's folder: %v", err)
	}
}

func TestABackupThatWouldFillTheDiskIsNotBegun(t *testing.T) {
	k, from, _ := row(t)
	k.Need = func(context.Context, int64) (int64, error) { return 5 << 30, nil }
	k.Space = func(string) (int64, int64, error) { return 5 << 30, 500 << 30, nil }
	if _, err := k.Make(t.Context(), from); !fault.Is(err, fault.Full) || from.n != 0 {
		t.Errorf("got %v after %d tries, want a fault before any", err, from.n)
	}
	k.Space = func(string) (int64, int64, error) { return 6 << 30, 500 << 30, nil }
	if _, err := k.Make(t.Context(), from); err != nil {
		t.Error(err)
	}
}

func TestBackupsAreMadeAsTheyBecomeDue(t *testing.T) {
	dir := t.TempDir()
	synctest.Test(t, func(t *testing.T) {
		k := &backups.Keeper{Dir: dir, Every: 24 * time.Hour, Most: 3, Now: time.Now, Space: func(string) (int64, int64, error) { return 0, 0, nil }}
		from := &source{now: time.Now}
		ctx, cancel := context.WithCancel(t.Context())
		var told atomic.Int64
		ended := make(chan struct{})
		go func() {
			k.Watch(ctx, from, 5*time.Minute, func(string, error) { told.Add(1) })
			close(ended)
		}()
		failing := func(err error) {
			from.mu.Lock()
			defer from.mu.Unlock()
			from.fail = err
		}
		at := func(after time.Duration, want int) {
			t.Helper()
			time.Sleep(after)
			synctest.Wait()
			from.mu.Lock()
			defer from.mu.Unlock()
			if from.n != want || int(told.Load()) != want {
				t.Errorf("at %v: %d made, %d told of, want %d", time.Now(), from.n, told.Load(), want)
			}
		}
		at(4*time.Minute, 0)
		at(2*time.Minute, 1)
		at(23*time.Hour, 1)
		at(2*time.Hour, 2)
		failing(errors.New("no disk"))
		at(23*time.Hour, 3)
		at(61*time.Minute, 4) // tried again before the day is over
		failing(nil)
		at(61*time.Minute, 5)
		at(22*time.Hour, 5)
		cancel()
		<-ended
	})
}

// The row on a real store: each backup reads back, also after the older ones
// are gone.
func TestARowOfRealBackups(t *testing.T) {
	k, _, now := row(t)
	k.Most = 2
	st, err := sqlite.Open(t.TempDir(), sqlite.Options{})
	if err != nil {
		t.Fatal(err)
	}
	defer st.Close()
	var last string
	for n := range 4 {
		if _, err := st.Append(t.Context(), storetest.Event("one", n)); err != nil {
			t.Fatal(err)
		}
		if _, err := st.Keep(t.Context(), []byte(strings.Repeat("p", n+1)), "image/jpeg"); err != nil {
			t.Fatal(err)
		}
		if last, err = k.Make(t.Context(), st); err != nil {
			t.Fatal(err)
		}
		*now = now.Add(24 * time.Hour)
	}
	whole, _ := names(t, k)
	if len(whole) != 2 {
		t.Fatalf("left are %v, want two", whole)
	}
	for _, name := range whole {
		if m, err := sqlite.VerifyBackup(t.Context(), filepath.Join(k.Dir, name)); err != nil || len(m.Missing) > 0 {
			t.Errorf("%s: %v, missing %v", name, err, m.Missing)
		}
	}
	var apart int64
	list, err := backups.List(k.Dir)
	if err != nil {
		t.Fatal(err)
	}
	for _, b := range list {
		apart += b.Bytes
	}
	if together, err := backups.Taken(k.Dir); err != nil || together != apart-(1+2+3) {
		t.Errorf("both take %d bytes, %v; want %d less the photos they share", together, err, apart)
	}
	fresh := filepath.Join(t.TempDir(), "fresh")
	if err := sqlite.Restore(t.Context(), filepath.Join(k.Dir, last), fresh); err != nil {
		t.Fatal(err)
	}
	again, err := sqlite.Open(fresh, sqlite.Options{})
	if err != nil {
		t.Fatal(err)
	}
	defer again.Close()
	events, err := again.Events(t.Context(), "one")
	if files, _ := again.Names(t.Context()); err != nil || len(events) != 4 || len(files) != 4 {
		t.Errorf("brought back: %d events, %d photos, %v; want 4 and 4", len(events), len(files), err)
	}
}
