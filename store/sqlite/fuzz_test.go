package sqlite_test

import (
	"os"
	"path/filepath"
	"testing"

	"lastbolt/fault"
	"lastbolt/store/sqlite"
)

// FuzzManifest reads any list of what is in a backup: it is verified or refused
// in a sentence, and nothing is read or written outside the two folders.
func FuzzManifest(f *testing.F) {
	f.Add([]byte(`{"format":"lastbolt backup 1","files":[{"path":"lastbolt.db","bytes":3,"sha256":"ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"}]}`))
	f.Add([]byte(`{"format":"lastbolt backup 1","files":[{"path":"lastbolt.db","bytes":3},{"path":"../../x"},{"path":"/etc/hostname"}]}`))
	f.Add([]byte(`{"format":"lastbolt backup 2"}`))
	f.Add([]byte(`null`))
	f.Fuzz(func(t *testing.T, manifest []byte) {
		room := t.TempDir()
		backup, to := filepath.Join(room, "backup"), filepath.Join(room, "to")
		if err := os.Mkdir(backup, 0o700); err != nil {
			t.Fatal(err)
		}
		for name, content := range map[string][]byte{"lastbolt.db": []byte("abc"), "manifest.json": manifest} {
			if err := os.WriteFile(filepath.Join(backup, name), content, 0o600); err != nil {
				t.Fatal(err)
			}
		}
		_, err := sqlite.VerifyBackup(t.Context(), backup)
		if err == nil || fault.CodeOf(err) == fault.Internal {
			t.Errorf("verified: %v; the database in it is none", err)
		}
		if err := sqlite.Restore(t.Context(), backup, to); err == nil || fault.CodeOf(err) == fault.Internal {
			t.Errorf("restored: %v", err)
		}
		left, err := os.ReadDir(room)
		if err != nil || len(left) > 2 {
			t.Errorf("%v in the folder around: %v", left, err)
		}
	})
}
