package sqlite_test

import (
	"bytes"
	"context"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"lastbolt/exchange"
	"lastbolt/fault"
	"lastbolt/keep"
	"lastbolt/store/sqlite"
	"lastbolt/store/storetest"
)

// fill puts some of everything into a store.
func fill(t testing.TB, s keep.Backend, events int) {
	t.Helper()
	ctx := context.Background()
	if _, err := s.Append(ctx, storetest.Events("belt", events)...); err != nil {
		t.Fatal(err)
	}
	for i := range 3 {
		if _, err := s.Put(ctx, storetest.Document("tern", i), i); err != nil {
			t.Fatal(err)
		}
		if _, err := s.Keep(ctx, bytes.Repeat([]byte{byte(i)}, 1000), "image/jpeg"); err != nil {
			t.Fatal(err)
		}
	}
}

func exported(t testing.TB, s keep.Backend) string {
	t.Helper()
	var out strings.Builder
	if _, err := exchange.Export(context.Background(), &out, s, exchange.ExportOptions{}); err != nil {
		t.Fatal(err)
	}
	return out.String()
}

func fails(t *testing.T, err error, code fault.Code, say string) {
	t.Helper()
	if got := fault.CodeOf(err); got != code {
		t.Fatalf("got %v with code %q, want code %q", err, got, code)
	}
	if !strings.Contains(fault.Say(err), say) {
		t.Fatalf("says %q, want %q in it", fault.Say(err), say)
	}
}

func TestABackupMadeWhileWorkingIsWholeAndComesBack(t *testing.T) {
	ctx, dir := t.Context(), t.TempDir()
	s := open(t, filepath.Join(dir, "odd name? #1 %20"))
	fill(t, s, 200)
	before := exported(t, s)

	stop := make(chan struct{})
	done := make(chan int)
	go func() {
		for n := 0; ; n++ {
			select {
			case <-stop:
				done <- n
				return
			default:
			}
			if _, err := s.Append(ctx, storetest.Event("meanwhile", 2*n), storetest.Event("meanwhile", 2*n+1)); err != nil {
				t.Error(err)
			}
			if _, err := s.Keep(ctx, fmt.Appendf(nil, "photo %d", n), "image/png"); err != nil {
				t.Error(err)
			}
		}
	}()
	backup := filepath.Join(dir, "backup")
	m, err := s.Backup(ctx, backup, sqlite.BackupOptions{})
	close(stop)
	if n := <-done; err != nil || n == 0 {
		t.Fatalf("Backup after %d writes: %v", n, err)
	}
	if got, err := sqlite.VerifyBackup(ctx, backup); err != nil || len(got.Files) != len(m.Files) {
		t.Fatalf("VerifyBackup = %d files, %v, want %d", len(got.Files), err, len(m.Files))
	}
	if _, err := os.Stat(backup + ".part"); !os.IsNotExist(err) {
		t.Errorf("the unfinished folder is still there: %v", err)
	}

	restored := filepath.Join(dir, "restored")
	if err := sqlite.Restore(ctx, backup, restored); err != nil {
		t.Fatal(err)
	}
	r := open(t, restored)
	if list, err := r.Events(ctx, "meanwhile"); err != nil || len(list)%2 != 0 {
		t.Errorf("%d events of whole pairs, %v", len(list), err)
	}
	if err := r.Check(ctx); err != nil {
		t.Error(err)
	}
	// What was there before the backup began is all in it.
	if list, err := r.Events(ctx, "belt"); err != nil || len(list) != 200 {
		t.Errorf("belt has %d events, %v", len(list), err)
	}
	if now := exported(t, r); len(now) < len(before) {
		t.Errorf("the restored folder exports %d bytes, the old one did %d", len(now), len(before))
	}
	_, err = s.Backup(ctx, backup, sqlite.BackupOptions{})
	fails(t, err, fault.Bad, "nothing is overwritten")
	fails(t, sqlite.Restore(ctx, backup, restored), fault.Bad, "nothing is overwritten")
}

func TestADamagedBackupIsFoundAndNotRestored(t *testing.T) {
	ctx, dir := t.Context(), t.TempDir()
	s := open(t, filepath.Join(dir, "data"))
	fill(t, s, 50)
	for _, test := range []struct {
		name   string
		damage func(backup string, m sqlite.Manifest) error
		code   fault.Code
		say    string
	}{
		{"one bit of a photo", func(b string, m sqlite.Manifest) error { return flip(filepath.Join(b, m.Files[1].Path), 10) }, fault.Damaged, "is not what was written"},
		{"one bit of the database", func(b string, _ sqlite.Manifest) error { return flip(filepath.Join(b, "lastbolt.db"), 5000) }, fault.Damaged, "lastbolt.db is not what was written"},
		{"a photo gone", func(b string, m sqlite.Manifest) error { return os.Remove(filepath.Join(b, m.Files[2].Path)) }, fault.Damaged, "lacks the file"},
		{"no manifest", func(b string, _ sqlite.Manifest) error { return os.Remove(filepath.Join(b, "manifest.json")) }, fault.Bad, "not a whole backup"},
		{"manifest cut", func(b string, _ sqlite.Manifest) error { return os.Truncate(filepath.Join(b, "manifest.json"), 40) }, fault.Damaged, "does not read"},
		{"a path outside", func(b string, _ sqlite.Manifest) error {
			return os.WriteFile(filepath.Join(b, "manifest.json"), []byte(`{"format":"lastbolt backup 1","files":[{"path":"lastbolt.db"},{"path":"../x"}]}`), 0o600)
		}, fault.Damaged, "cannot be right"},
	} {
		t.Run(test.name, func(t *testing.T) {
			backup := filepath.Join(t.TempDir(), "backup")
			m, err := s.Backup(ctx, backup, sqlite.BackupOptions{})
			if err != nil {
				t.Fatal(err)
			}
			if err := test.damage(backup, m); err != nil {
				t.Fatal(err)
			}
			_, err = sqlite.VerifyBackup(ctx, backup)
			fails(t, err, test.code, test.say)
			to := filepath.Join(t.TempDir(), "to")
			fails(t, sqlite.Restore(ctx, backup, to), test.code, test.say)
			if _, err := os.Stat(to); !os.IsNotExist(err) {
				t.Errorf("something was restored: %v", err)
			}
		})
	}
}

// flip changes one bit of a file.
func flip(path string, at int64) error {
	f, err := os.OpenFile(path, os.O_RDWR, 0)
	if err != nil {
		return err
	}
	defer f.Close()
	var b [1]byte
	if _, err := f.ReadAt(b[:], at); err != nil {
		return err
	}
	b[0] ^= 1
	_, err = f.WriteAt(b[:], at)
	return err
}

func TestADamagedDatabaseIsRefusedAndWhatCanBeReadIsRescued(t *testing.T) {
	ctx, dir := t.Context(), filepath.Join(t.TempDir(), "data")
	const events = 3000
	s, err := sqlite.Open(dir, sqlite.Options{})
	if err != nil {
		t.Fatal(err)
	}
	fill(t, s, events)
	if err := s.Close(); err != nil {
		t.Fatal(err)
	}
	path := filepath.Join(dir, "lastbolt.db")
	content, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	// Overwrite two pages in the middle, somewhere among the events.
	middle := len(content) / 2 / 4096 * 4096
	for i := range 2 * 4096 {
		content[middle+i] = 0xA5
	}
	if err := os.WriteFile(path, content, 0o600); err != nil {
		t.Fatal(err)
	}
	_, err = sqlite.Open(dir, sqlite.Options{CheckFor: 1e10})
	fails(t, err, fault.Damaged, "is damaged")
	if after, _ := os.ReadFile(path); !bytes.Equal(after, content) {
		t.Error("the damaged database was changed")
	}

	to := filepath.Join(t.TempDir(), "new")
	got, err := sqlite.Rescue(ctx, dir, to)
	if err != nil {
		t.Fatal(err)
	}
	if got.Events < events*8/10 || got.Events > events || got.Versions != 3 || got.Files != 3 || len(got.Jobs) != 1 {
		t.Errorf("rescued %d of %d events, %d versions, %d files: %v", got.Events, events, got.Versions, got.Files, got.Trouble)
	}
	r := open(t, to)
	list, err := r.Events(ctx, "belt")
	if err != nil || len(list) != got.Events {
		t.Errorf("the new folder has %d events, %v", len(list), err)
	}
	for _, e := range list {
		var n int
		if _, err := fmt.Sscanf(e.ID, "belt-%06d", &n); err != nil || !keep.Same(e, storetest.Event("belt", n)) {
			t.Fatalf("a rescued event is not what it was: %+v", e)
		}
	}
}

// A copy that broke off, or a disk that was full: the file ends too early.
func TestADatabaseCutShortGivesWhatItStillHas(t *testing.T) {
	const events = 3000
	for name, row := range map[string]struct {
		keep  func(size int) int
		least int    // events at least
		says  string // where the jobs are lost
	}{
		"nine tenths":      {func(n int) int { return n * 9 / 10 }, events * 6 / 10, ""},
		"half, mid-page":   {func(n int) int { return n/2 + 1234 }, events * 2 / 10, ""},
		"half of one page": {func(int) int { return 2048 }, 0, "bring back a backup"},
		"nothing":          {func(int) int { return 0 }, 0, "bring back a backup"},
	} {
		t.Run(name, func(t *testing.T) {
			ctx, dir := t.Context(), filepath.Join(t.TempDir(), "data")
			s, err := sqlite.Open(dir, sqlite.Options{})
			if err != nil {
				t.Fatal(err)
			}
			fill(t, s, events)
			if err := s.Close(); err != nil {
				t.Fatal(err)
			}
			path := filepath.Join(dir, "lastbolt.db")
			about, err := os.Stat(path)
			if err != nil {
				t.Fatal(err)
			}
			if err := os.Truncate(path, int64(row.keep(int(about.Size())))); err != nil {
				t.Fatal(err)
			}
			got, err := sqlite.Rescue(ctx, dir, filepath.Join(t.TempDir(), "new"))
			if err != nil {
				t.Fatal(err)
			}
			t.Logf("%d of %d events, %d versions, %d files, trouble %q", got.Events, events, got.Versions, got.Files, got.Trouble)
			if got.Events < row.least || got.Files != 3 || len(got.Trouble) == 0 {
				t.Errorf("rescued %d events, %d files, trouble %q; want %d events at least", got.Events, got.Files, got.Trouble, row.least)
			}
			if all := strings.Join(got.Trouble, "; "); !strings.Contains(all, row.says) {
				t.Errorf("trouble %q, want it to say %q", all, row.says)
			}
		})
	}
}

func TestAPhotoChangedOnDiskIsNotShownAsWhole(t *testing.T) {
	ctx, dir := t.Context(), t.TempDir()
	s := open(t, dir)
	content := bytes.Repeat([]byte("photo"), 100)
	name, err := s.Keep(ctx, content, "image/jpeg")
	if err != nil {
		t.Fatal(err)
	}
	path := filepath.Join(dir, "files", name[:2], name)
	if err := flip(path, 3); err != nil {
		t.Fatal(err)
	}
	_, _, err = s.Open(ctx, name)
	fails(t, err, fault.Damaged, "was changed or damaged")
	if _, err := s.Keep(ctx, content, "image/jpeg"); err != nil {
		t.Fatal(err)
	}
	if got, _, err := s.Open(ctx, name); err != nil || !bytes.Equal(got, content) {
		t.Errorf("keeping it again did not mend it: %v", err)
	}
	if err := os.Remove(path); err != nil {
		t.Fatal(err)
	}
	_, _, err = s.Open(ctx, name)
	fails(t, err, fault.Damaged, "is gone from the folder")
}

func TestABackupGoesOnWithoutWhatIsGoneAndSaysSo(t *testing.T) {
	dir := t.TempDir()
	s := open(t, dir)
	fill(t, s, 5)
	names, err := s.Names(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	if err := os.Remove(filepath.Join(dir, "files", names[1][:2], names[1])); err != nil {
		t.Fatal(err)
	}
	backup := filepath.Join(t.TempDir(), "backup")
	m, err := s.Backup(t.Context(), backup, sqlite.BackupOptions{})
	if err != nil {
		t.Fatal(err)
	}
	if len(m.Missing) != 1 || m.Missing[0] != names[1] || len(m.Files) != 3 {
		t.Errorf("missing %v of %v, and %d files; want the one that is gone, and the database with two photos", m.Missing, names, len(m.Files))
	}
	if _, err := sqlite.VerifyBackup(t.Context(), backup); err != nil {
		t.Errorf("it does not read back: %v", err)
	}
}

// Backups in a row hold each photo once on the disk, and each is whole all the
// same: also when an earlier one is damaged or taken away.
func TestARowOfBackupsSharesPhotosThatAreWhole(t *testing.T) {
	dir := t.TempDir()
	s := open(t, dir)
	fill(t, s, 5)
	names, err := s.Names(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	under := func(backup, name string) string { return filepath.Join(backup, "files", name[:2], name) }
	first, second := filepath.Join(t.TempDir(), "first"), filepath.Join(t.TempDir(), "second")
	if _, err := s.Backup(t.Context(), first, sqlite.BackupOptions{}); err != nil {
		t.Fatal(err)
	}
	damaged, goneAtHome := names[0], names[1]
	if err := os.WriteFile(under(first, damaged), []byte("damaged"), 0o600); err != nil {
		t.Fatal(err)
	}
	if err := os.Remove(under(dir, goneAtHome)); err != nil {
		t.Fatal(err)
	}
	m, err := s.Backup(t.Context(), second, sqlite.BackupOptions{Beside: first})
	if err != nil {
		t.Fatal(err)
	}
	if len(m.Missing) != 0 || len(m.Files) != 4 {
		t.Errorf("missing %v, %d files; want all, the one gone at home from the first backup", m.Missing, len(m.Files))
	}
	for _, name := range names {
		a, errA := os.Stat(under(first, name))
		b, errB := os.Stat(under(second, name))
		if errA != nil || errB != nil {
			t.Fatal(errA, errB)
		}
		if shared := os.SameFile(a, b); shared != (name != damaged) {
			t.Errorf("%s: shared %t, damaged in the first backup %t", name, shared, name == damaged)
		}
	}
	if err := os.RemoveAll(first); err != nil {
		t.Fatal(err)
	}
	if _, err := sqlite.VerifyBackup(t.Context(), second); err != nil {
		t.Errorf("without the first one the second does not read back: %v", err)
	}
}
