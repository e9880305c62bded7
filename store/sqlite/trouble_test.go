package sqlite_test

import (
	"bytes"
	"context"
	"database/sql"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"lastbolt/fault"
	"lastbolt/store/sqlite"
	"lastbolt/store/storetest"
)

// try opens a folder and appends one event.
func try(dir string) error {
	s, err := sqlite.Open(dir, sqlite.Options{})
	if err != nil {
		return err
	}
	defer s.Close()
	_, err = s.Append(context.Background(), storetest.Event("try", 1))
	return err
}

// mount puts a small file system of its own on a folder, or skips the test
// where that is not allowed.
func mount(t *testing.T, options string) string {
	t.Helper()
	dir := t.TempDir()
	if out, err := exec.Command("mount", "-t", "tmpfs", "-o", options, "tmpfs", dir).CombinedOutput(); err != nil {
		t.Skipf("a small file system cannot be mounted here (it needs root): %v %s", err, out)
	}
	t.Cleanup(func() {
		if out, err := exec.Command("umount", "-l", dir).CombinedOutput(); err != nil {
			t.Errorf("umount: %v %s", err, out)
		}
	})
	return dir
}

func TestAFullDiskLosesNothingAndSaysSo(t *testing.T) {
	ctx, disk := t.Context(), mount(t, "size=3m")
	dir := filepath.Join(disk, "data")
	s := open(t, dir)
	photo := func(n int) []byte { return bytes.Repeat(fmt.Appendf(nil, "%d", n%10), 200_000+n) }
	var kept []string
	var full error
	acknowledged := 0
	for n := 0; full == nil; n++ {
		var name string
		if name, full = s.Keep(ctx, photo(n), "image/jpeg"); full == nil {
			kept = append(kept, name)
		}
	}
	fails(t, full, fault.Full, "There is no room left on the disk that holds "+dir)
	for full = nil; full == nil; {
		batch := storetest.Events("belt", acknowledged+50)[acknowledged:]
		if _, full = s.Append(ctx, batch...); full == nil {
			acknowledged += 50
		}
	}
	fails(t, full, fault.Full, "There is no room left on the disk that holds "+dir)
	if _, err := s.Backup(ctx, filepath.Join(disk, "backup"), sqlite.BackupOptions{}); !fault.Is(err, fault.Full) {
		t.Errorf("Backup to the full disk: %v, want code %q", err, fault.Full)
	}
	if list, err := s.Events(ctx, "belt"); err != nil || len(list) != acknowledged {
		t.Errorf("%d events, %v, want the %d acknowledged", len(list), err, acknowledged)
	}
	for _, name := range kept {
		if _, _, err := s.Open(ctx, name); err != nil {
			t.Error(err)
		}
	}
	// Room is made: it goes on where it stopped, without being started again.
	if out, err := exec.Command("mount", "-o", "remount,size=8m", disk).CombinedOutput(); err != nil {
		t.Fatalf("remount: %v %s", err, out)
	}
	if n, err := s.Append(ctx, storetest.Events("belt", acknowledged+50)...); err != nil || n != 50 {
		t.Errorf("after room was made: %d added, %v, want 50", n, err)
	}
	leftovers, err := filepath.Glob(filepath.Join(dir, "files", "*", "new-*"))
	if err != nil || len(leftovers) > 0 {
		t.Errorf("left over: %v, %v", leftovers, err)
	}
	if err := s.Check(ctx); err != nil {
		t.Error(err)
	}
}

func TestAReadOnlyFolderIsSaidToBeOne(t *testing.T) {
	dir := filepath.Join(mount(t, "size=8m"), "data")
	s, err := sqlite.Open(dir, sqlite.Options{})
	if err != nil {
		t.Fatal(err)
	}
	fill(t, s, 10)
	if err := s.Close(); err != nil {
		t.Fatal(err)
	}
	if out, err := exec.Command("mount", "-o", "remount,ro", filepath.Dir(dir)).CombinedOutput(); err != nil {
		t.Fatalf("remount: %v %s", err, out)
	}
	_, err = sqlite.Open(dir, sqlite.Options{})
	fails(t, err, fault.ReadOnly, "The folder "+dir+" cannot be written to")
	_, err = sqlite.Open(filepath.Join(dir, "new"), sqlite.Options{})
	fails(t, err, fault.ReadOnly, "cannot be written to")
}

func TestWhatCannotBeOpenedIsExplained(t *testing.T) {
	dir := t.TempDir()
	file := filepath.Join(dir, "file")
	write(t, file, "text")
	_, err := sqlite.Open(file, sqlite.Options{})
	fails(t, err, fault.Bad, "is a file, not a folder")

	other := filepath.Join(dir, "other")
	write(t, filepath.Join(other, "lastbolt.db"), "this is a shopping list, and a long one at that, longer than any header of a database")
	_, err = sqlite.Open(other, sqlite.Options{})
	fails(t, err, fault.Damaged, "The database in "+other+" is damaged")

	short := filepath.Join(dir, "short")
	write(t, filepath.Join(short, "lastbolt.db"), "SQLite format 3\x00")
	_, err = sqlite.Open(short, sqlite.Options{})
	fails(t, err, fault.Damaged, "is damaged")

	blank := filepath.Join(dir, "blank")
	write(t, filepath.Join(blank, "lastbolt.db"), "")
	open(t, blank)

	foreign := filepath.Join(dir, "foreign")
	run(t, foreign, "CREATE TABLE recipe (name TEXT)")
	_, err = sqlite.Open(foreign, sqlite.Options{})
	fails(t, err, fault.Bad, "another program's database")
	run(t, foreign, "PRAGMA application_id = 77")
	_, err = sqlite.Open(foreign, sqlite.Options{})
	fails(t, err, fault.Bad, "another program's database")
}

func TestAFolderOfANewerProgramIsLeftAlone(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "data")
	s, err := sqlite.Open(dir, sqlite.Options{})
	if err != nil {
		t.Fatal(err)
	}
	if err := s.Close(); err != nil {
		t.Fatal(err)
	}
	run(t, dir, "INSERT INTO schema_migration VALUES (9999, '9999_later.sql', 'x', '')")
	_, err = sqlite.Open(dir, sqlite.Options{})
	fails(t, err, fault.NewVersion, "written by a newer Lastbolt")
}

func TestASecondProcessOnTheFolderIsNoticed(t *testing.T) {
	dir := t.TempDir()
	first := open(t, dir)
	if got := first.Notice(); got != "" {
		t.Errorf("alone: %q", got)
	}
	second := open(t, dir)
	if got, want := second.Notice(), fmt.Sprintf("(process %d)", os.Getpid()); !strings.Contains(got, want) {
		t.Errorf("says %q, want %q in it", got, want)
	}
	// Both work on the same events, from another process too.
	if out, err := child(t, "try", dir).CombinedOutput(); err != nil {
		t.Fatalf("%v: %s", err, out)
	}
	for _, s := range []*sqlite.Store{first, second} {
		if list, err := s.Events(t.Context(), "try"); err != nil || len(list) != 1 {
			t.Errorf("%d events, %v", len(list), err)
		}
	}
}

func write(t *testing.T, path, content string) {
	t.Helper()
	if err := os.MkdirAll(filepath.Dir(path), 0o700); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(path, []byte(content), 0o600); err != nil {
		t.Fatal(err)
	}
}

// rawDatabase opens a folder's database with the store's settings.
func rawDatabase(t testing.TB, dir string) *sql.DB {
	t.Helper()
	db, err := sql.Open("sqlite", "file:"+filepath.Join(dir, "lastbolt.db")+"?_pragma=busy_timeout(5000)&_pragma=journal_mode(wal)&_pragma=synchronous(full)&_txlock=immediate")
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = db.Close() })
	return db
}

// run executes SQL on a folder's database behind the store's back.
func run(t *testing.T, dir, text string) {
	t.Helper()
	if err := os.MkdirAll(dir, 0o700); err != nil {
		t.Fatal(err)
	}
	db, err := sql.Open("sqlite", filepath.Join(dir, "lastbolt.db"))
	if err != nil {
		t.Fatal(err)
	}
	defer db.Close()
	if _, err := db.Exec(text); err != nil {
		t.Fatal(err)
	}
}
