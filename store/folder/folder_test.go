package folder_test

import (
	"os"
	"path/filepath"
	"runtime"
	"testing"
	"time"

	"lastbolt/keep"
	"lastbolt/store/folder"
	"lastbolt/store/storetest"
)

func open(t *testing.T) (*folder.Files, string) {
	t.Helper()
	dir := t.TempDir()
	f, err := folder.Open(dir)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		if err := f.Close(); err != nil {
			t.Error(err)
		}
	})
	return f, filepath.Join(dir, folder.Name)
}

func TestContents(t *testing.T) {
	storetest.RunContents(t, func(t *testing.T) (keep.Contents, func(string, []byte)) {
		f, dir := open(t)
		return f, func(name string, content []byte) {
			path := filepath.Join(dir, folder.Path(name))
			err := os.Remove(path)
			if content != nil {
				err = os.WriteFile(path, content, 0o600)
			}
			if err != nil {
				t.Fatal(err)
			}
		}
	})
}

func TestOnlyWhatACutWriteLeftBehindLongAgoIsTidiedAway(t *testing.T) {
	f, dir := open(t)
	content := []byte("a photo")
	name := keep.Hash(content)
	if err := f.Keep(t.Context(), name, content); err != nil {
		t.Fatal(err)
	}
	old, fresh := filepath.Join(dir, name[:2], "new-OLD"), filepath.Join(dir, name[:2], "new-FRESH")
	for _, path := range []string{old, fresh} {
		if err := os.WriteFile(path, []byte("half"), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	long := time.Now().Add(-48 * time.Hour)
	for _, path := range []string{old, filepath.Join(dir, folder.Path(name))} {
		if err := os.Chtimes(path, long, long); err != nil {
			t.Fatal(err)
		}
	}
	if n, err := f.Tidy(time.Now().Add(-24 * time.Hour)); n != 1 || err != nil {
		t.Errorf("tidied %d, %v; want the one old one", n, err)
	}
	if _, err := os.Stat(fresh); err != nil {
		t.Errorf("one that may still be written is gone: %v", err)
	}
	if _, err := f.Read(t.Context(), name); err != nil {
		t.Errorf("a photo is gone: %v", err)
	}
}

func TestTheDiskSaysHowMuchIsFree(t *testing.T) {
	free, total, err := folder.Space(t.TempDir())
	if err != nil || total == 0 && runtime.GOOS == "linux" || free < 0 || free > total {
		t.Errorf("%d of %d bytes are free, %v", free, total, err)
	}
	if _, _, err := folder.Space(filepath.Join(t.TempDir(), "nowhere")); err == nil {
		t.Error("a folder that is not there has room")
	}
}
