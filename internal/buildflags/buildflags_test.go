package buildflags

import (
	"os"
	"path/filepath"
	"slices"
	"testing"
)

func TestAFlagIsALine(t *testing.T) {
	path := filepath.Join(t.TempDir(), "some.flags")
	if err := os.WriteFile(path, []byte("# why\n-trimpath\n\n-ldflags=-s -w\n"), 0o600); err != nil {
		t.Fatal(err)
	}
	if got, err := Read(path); err != nil || !slices.Equal(got, []string{"-trimpath", "-ldflags=-s -w"}) {
		t.Errorf("%q, %v", got, err)
	}
	if _, err := Read(path + "x"); err == nil {
		t.Error("a file that is not there was read")
	}
}
