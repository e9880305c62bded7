package sqlite

import (
	"context"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"testing/fstest"
	"time"

	"lastbolt/fault"
	"lastbolt/job"
	"lastbolt/keep"
	"lastbolt/store/tables"
)

// steps are the embedded migrations with more behind them.
func steps(t *testing.T, more ...string) fstest.MapFS {
	t.Helper()
	out := fstest.MapFS{}
	all, err := tables.Migrations(embedded)
	if err != nil {
		t.Fatal(err)
	}
	for _, m := range all {
		out["migrations/"+m.Name] = &fstest.MapFile{Data: []byte(m.Text)}
	}
	for i, text := range more {
		name := "migrations/000" + string(rune('1'+len(all)+i)) + "_more.sql"
		out[name] = &fstest.MapFile{Data: []byte(text)}
	}
	return out
}

// shape is the number of the newest embedded step.
func shape(t *testing.T) int {
	t.Helper()
	all, err := tables.Migrations(embedded)
	if err != nil {
		t.Fatal(err)
	}
	return len(all)
}

// older makes a folder with one event, closed again.
func older(t *testing.T) string {
	t.Helper()
	dir := filepath.Join(t.TempDir(), "data")
	s, err := Open(dir, Options{})
	if err != nil {
		t.Fatal(err)
	}
	e := job.Event{ID: "e", Job: "a", Kind: "note", At: time.Unix(0, 0)}
	if _, err := s.Append(t.Context(), e); err != nil {
		t.Fatal(err)
	}
	if err := s.Close(); err != nil {
		t.Fatal(err)
	}
	return dir
}

func copies(t *testing.T, dir string) []string {
	t.Helper()
	list, err := filepath.Glob(filepath.Join(dir, "copies", "*.db"))
	if err != nil {
		t.Fatal(err)
	}
	return list
}

func TestAMigrationRunsOnceBehindACopy(t *testing.T) {
	dir := older(t)
	newer := steps(t, "ALTER TABLE event ADD COLUMN bay TEXT NOT NULL DEFAULT 'one'")
	for range 2 {
		s, err := Open(dir, Options{migrations: newer})
		if err != nil {
			t.Fatal(err)
		}
		var bay string
		if err := s.read.QueryRow("SELECT bay FROM event WHERE id = 'e'").Scan(&bay); err != nil || bay != "one" {
			t.Errorf("bay = %q, %v", bay, err)
		}
		if err := s.Close(); err != nil {
			t.Fatal(err)
		}
	}
	list := copies(t, dir)
	if len(list) != 1 || !strings.Contains(list[0], fmt.Sprintf("lastbolt-%04d-", shape(t))) {
		t.Fatalf("copies: %v, want one of the shape before", list)
	}
	// The copy is the database as it was: the older program opens it.
	again := t.TempDir()
	text, err := os.ReadFile(list[0])
	if err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(filepath.Join(again, databaseName), text, 0o600); err != nil {
		t.Fatal(err)
	}
	s, err := Open(again, Options{})
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	if list, err := s.Events(t.Context(), "a"); err != nil || len(list) != 1 {
		t.Errorf("the copy has %d events, %v", len(list), err)
	}
	if _, err := Open(dir, Options{}); !fault.Is(err, fault.NewVersion) {
		t.Errorf("the older program on the newer folder: %v, want code %q", err, fault.NewVersion)
	}
}

func TestAMigrationThatFailsLeavesTheFolderAsItWas(t *testing.T) {
	dir := older(t)
	_, err := Open(dir, Options{migrations: steps(t, "CREATE TABLE half (x); INSERT INTO half VALUES (1); INSERT INTO nowhere VALUES (1)")})
	if err == nil || !strings.Contains(err.Error(), fmt.Sprintf("%04d_more.sql", shape(t)+1)) {
		t.Fatalf("got %v, want an error that names the step", err)
	}
	s, err := Open(dir, Options{})
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	var n int
	if err := s.read.QueryRow("SELECT count(*) FROM sqlite_master WHERE name = 'half'").Scan(&n); err != nil || n != 0 {
		t.Errorf("half a step stayed: %d, %v", n, err)
	}
}

// A folder of the first shape knows no times of its files: nothing of it is
// swept before the time has begun to count.
func TestFilesOfTheFirstShapeAreKeptUntilTheirTimeCounts(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "data")
	s, err := Open(dir, Options{migrations: first(t, 1)})
	if err != nil {
		t.Fatal(err)
	}
	name := keep.Hash([]byte("a photo"))
	if err := s.files.Keep(t.Context(), name, []byte("a photo")); err != nil {
		t.Fatal(err)
	}
	if _, err := s.write.Exec(`INSERT INTO file (name, media, size) VALUES ($1, 'image/jpeg', 7)`, name); err != nil {
		t.Fatal(err)
	}
	if err := s.Close(); err != nil {
		t.Fatal(err)
	}
	if s, err = Open(dir, Options{}); err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	later := time.Now().Add(time.Hour)
	if gone, err := s.Forget(t.Context(), []string{name}, later, 0); err != nil || len(gone) != 0 {
		t.Errorf("a file of unknown age is gone: %v, %v", gone, err)
	}
	if err := s.Adopt(t.Context(), name, "image/jpeg", 7); err != nil {
		t.Fatal(err)
	}
	if gone, err := s.Forget(t.Context(), []string{name}, later, 0); err != nil || len(gone) != 1 {
		t.Errorf("once its time counts it stays: %v, %v", gone, err)
	}
}

func TestAChangedMigrationIsNoticed(t *testing.T) {
	dir := older(t)
	changed := steps(t)
	changed["migrations/0001_start.sql"].Data = append(changed["migrations/0001_start.sql"].Data, "-- more"...)
	if _, err := Open(dir, Options{migrations: changed}); !fault.Is(err, fault.NewVersion) {
		t.Errorf("got %v, want code %q", err, fault.NewVersion)
	}
}

func TestAFolderInUseIsNotMigrated(t *testing.T) {
	dir := older(t)
	s, err := Open(dir, Options{})
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	_, err = Open(dir, Options{migrations: steps(t, "CREATE TABLE more (x)")})
	if !fault.Is(err, fault.Busy) || len(copies(t, dir)) != 0 {
		t.Errorf("got %v and %v, want code %q and no copy", err, copies(t, dir), fault.Busy)
	}
}

func TestEveryConnectionHasItsSettings(t *testing.T) {
	s, err := Open(t.TempDir(), Options{})
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	ctx := context.Background()
	for range readers { // held together, so that each is another connection
		c, err := s.read.Conn(ctx)
		if err != nil {
			t.Fatal(err)
		}
		defer c.Close()
		for pragma, want := range map[string]string{"journal_mode": "wal", "synchronous": "2", "foreign_keys": "1", "busy_timeout": "5000", "query_only": "1"} {
			var got string
			if err := c.QueryRowContext(ctx, "PRAGMA "+pragma).Scan(&got); err != nil || got != want {
				t.Errorf("%s = %q, %v, want %q", pragma, got, err, want)
			}
		}
	}
	var sync string
	if err := s.write.QueryRow("PRAGMA synchronous").Scan(&sync); err != nil || sync != "2" {
		t.Errorf("the writer's synchronous = %q, %v, want 2 (FULL)", sync, err)
	}
}

func TestALookOverALargeDatabaseEndsInTime(t *testing.T) {
	dir := older(t)
	s, err := Open(dir, Options{CheckFor: time.Nanosecond})
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	if s.Checked() {
		t.Error("a look over of a nanosecond claims to have got to the end")
	}
	whole, err := s.quickCheck(t.Context(), time.Minute)
	if err != nil || !whole {
		t.Errorf("a minute: %v, %v", whole, err)
	}
}
