package sqlite_test

import (
	"bufio"
	"bytes"
	"context"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"lastbolt/fault"
	"lastbolt/store/sqlite"
	"lastbolt/store/storetest"
)

// backups makes one backup after another beside the data, each sharing photos
// with the one before, while the folder is worked on. Each is said when done.
func backups(dir string) error {
	s, err := sqlite.Open(dir, sqlite.Options{})
	if err != nil {
		return err
	}
	ctx := context.Background()
	prefix := fmt.Sprintf("%d-%d-", time.Now().UnixNano(), os.Getpid())
	go func() { _ = storetest.Load(ctx, s, io.Discard, prefix, false) }() // it ends with the process
	o, n := sqlite.BackupOptions{}, 0
	for {
		to := backupAt(dir, n)
		if _, err := os.Stat(to); err == nil {
			o.Beside, n = to, n+1
			continue
		}
		fmt.Println("begun", n, 0)
		if _, err := s.Backup(ctx, to, o); err != nil {
			return err
		}
		fmt.Println("whole", n, 0)
	}
}

func backupAt(dir string, n int) string {
	return filepath.Join(filepath.Dir(dir), "backups", fmt.Sprint(n))
}

// A process killed while it makes a backup is what a cut of power is to the
// folders: the earlier backups stay whole, and what was half made is not taken
// for a backup and gives way to the next attempt.
func TestABackupCutShortIsNoneAndHarmsNoOther(t *testing.T) {
	rounds := max(crashes()/3, 3)
	dir := filepath.Join(t.TempDir(), "data")
	s, err := sqlite.Open(dir, sqlite.Options{})
	if err != nil {
		t.Fatal(err)
	}
	for n := range 20 {
		if _, err := s.Keep(t.Context(), bytes.Repeat(fmt.Appendf(nil, "photo %d ", n), 4000), "image/jpeg"); err != nil {
			t.Fatal(err)
		}
	}
	if err := s.Close(); err != nil {
		t.Fatal(err)
	}
	whole, cut := 0, 0
	most := 400 * time.Millisecond
	for n := 0; n < rounds || whole == 0 && n < 2*rounds; n++ {
		killBackups(t, dir, most)
		for whole = 0; ; whole++ {
			if _, err := os.Stat(backupAt(dir, whole)); err != nil {
				break
			}
			if _, err := sqlite.VerifyBackup(t.Context(), backupAt(dir, whole)); err != nil {
				t.Fatalf("backup %d: %v", whole, err)
			}
		}
		if whole == 0 {
			most = min(2*most, 10*time.Second) // on a busy machine none gets done in less
		}
		part := backupAt(dir, whole) + ".part"
		if _, err := os.Stat(part); err != nil {
			continue
		}
		_, err := sqlite.VerifyBackup(t.Context(), part)
		if err == nil {
			continue // all of it was there, but for its name
		}
		cut++
		to := filepath.Join(t.TempDir(), "restored")
		if restored := sqlite.Restore(t.Context(), part, to); !fault.Is(err, fault.Bad) || !fault.Is(restored, fault.Bad) || !strings.Contains(fault.Say(err), "not a whole backup") {
			t.Errorf("half a backup: verified %v, restored %v; want it said that it is not a whole one", err, restored)
		}
		if _, err := os.Stat(filepath.Join(to, "lastbolt.db")); err == nil {
			t.Error("half a backup was restored")
		}
	}
	t.Logf("%d kills, %d whole backups, %d cut short", rounds, whole, cut)
	if whole == 0 || rounds >= 10 && cut == 0 {
		t.Fatal("no kill came in the middle of a backup: this proves nothing")
	}
	to := filepath.Join(t.TempDir(), "restored")
	if err := sqlite.Restore(t.Context(), backupAt(dir, whole-1), to); err != nil {
		t.Fatal(err)
	}
	restored := open(t, to)
	if n := storetest.CheckPositions(t, restored); n == 0 {
		t.Error("the backup has no events")
	}
	names, err := restored.Names(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	for _, name := range names {
		if _, _, err := restored.Open(t.Context(), name); err != nil {
			t.Error(err)
		}
	}
	if len(names) < 20 {
		t.Errorf("%d photos in the backup: %v", len(names), slices.Compact(names))
	}
}

func killBackups(t *testing.T, dir string, most time.Duration) {
	t.Helper()
	k := start(t, child(t, "backups", dir))
	for lines := bufio.NewScanner(k.out); lines.Scan(); k.within(most) {
		if strings.HasPrefix(lines.Text(), "error") {
			t.Fatal(lines.Text())
		}
	}
	_ = k.cmd.Wait() // it was killed
}
