package sqlite

import (
	"errors"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"testing"
	"testing/iotest"
)

// Half a manifest or half a database would be taken for a damaged one, so a
// file has its name only once all of it is there.
func TestAFileOfABackupHasItsNameOnlyWhenWhole(t *testing.T) {
	path := filepath.Join(t.TempDir(), "below", "manifest.json")
	here := func() bool {
		_, err := os.Stat(path)
		if err != nil && !errors.Is(err, fs.ErrNotExist) {
			t.Fatal(err)
		}
		return err == nil
	}
	r, w := io.Pipe()
	done := make(chan error)
	go func() { done <- writeFrom(path, r) }()
	for _, half := range []string{"first half, ", "second half"} {
		if _, err := io.WriteString(w, half); err != nil {
			t.Fatal(err)
		}
		if here() {
			t.Errorf("the file has its name after %q", half)
		}
	}
	if err := errors.Join(w.Close(), <-done); err != nil {
		t.Fatal(err)
	}
	if content, err := os.ReadFile(path); err != nil || string(content) != "first half, second half" {
		t.Errorf("%q, %v", content, err)
	}
}

func TestAFileOfABackupThatFailsLeavesNothing(t *testing.T) {
	dir, broken := t.TempDir(), errors.New("broken")
	if err := writeFrom(filepath.Join(dir, "manifest.json"), iotest.ErrReader(broken)); !errors.Is(err, broken) {
		t.Errorf("%v", err)
	}
	if left, err := os.ReadDir(dir); err != nil || len(left) > 0 {
		t.Errorf("left: %v, %v", left, err)
	}
}
