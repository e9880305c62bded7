package cli_test

import (
	"bytes"
	"context"
	"io"
	"net/http"
	"os"
	"path/filepath"
	"strings"
	"sync/atomic"
	"testing"
	"time"

	"lastbolt/cli"
	"lastbolt/store/sqlite"
)

// servingOn is serving with a disk that the test fills: free of 1000 GB.
func servingOn(t *testing.T, free *atomic.Int64, args ...string) *server {
	t.Helper()
	ctx, cancel := context.WithCancel(t.Context())
	s := &server{t: t, cancel: cancel, done: make(chan int, 1)}
	started := make(chan string, 1)
	env := cli.Env{In: strings.NewReader(""), Out: &s.out, Err: &s.err, Now: time.Now, Cache: t.TempDir(), Started: func(url string) { started <- url },
		Space: func(string) (int64, int64, error) { return free.Load(), 1000 << 30, nil }}
	go func() { s.done <- cli.Run(ctx, append(args, "--listen", "127.0.0.1:0"), env) }()
	t.Cleanup(func() {
		cancel()
		select {
		case <-s.done:
		case <-time.After(30 * time.Second):
			t.Error("the server does not stop")
		}
	})
	select {
	case s.url = <-started:
	case code := <-s.done:
		s.done <- code
		t.Fatalf("exit status %d before it served: %s", code, s.err.String())
	case <-time.After(30 * time.Second):
		t.Fatal("the server does not start")
	}
	return s
}

func TestADiskNearlyFullIsSaidBeforeItHurts(t *testing.T) {
	dir := t.TempDir()
	id := demoFolder(t, dir)
	var free atomic.Int64
	free.Store(900 << 20)
	s := servingOn(t, &free, "serve", "--dir", dir)
	for n := 0; n < 100 && !strings.Contains(s.err.String(), "nearly full"); n++ {
		time.Sleep(20 * time.Millisecond)
	}
	contains(t, "the start", s.err.String(), "The disk is nearly full: 944 MB free. Make room on it")
	for _, path := range []string{"jobs", "jobs/" + id, "shelf", "storage"} {
		_, page := s.get(path)
		contains(t, "the page "+path, page, "The disk is nearly full: 944 MB free.")
	}
	if code, page := s.photo(id, "bolt.jpg", picture(t, 640, 480)); code != http.StatusOK {
		t.Errorf("a photo while the disk is low: status %d: %.200s", code, page)
	}
	free.Store(100 << 20)
	code, page := s.photo(id, "nut.jpg", picture(t, 641, 480))
	if code != http.StatusInsufficientStorage {
		t.Errorf("a photo into the last room: status %d", code)
	}
	contains(t, "the refusal", page, "the photo or sound was not kept: what is recorded in words needs the rest")
	if code, page := s.post("jobs/"+id+"/note", map[string][]string{"text": {"still recorded"}}); code != http.StatusOK {
		t.Errorf("a note into the last room: status %d: %.200s", code, page)
	}
	code, page = s.post("storage/backup", nil)
	if code != http.StatusInsufficientStorage {
		t.Errorf("a backup into the last room: status %d", code)
	}
	contains(t, "the refusal", page, "There is no room for a backup in")
	free.Store(500 << 30)
	if _, page := s.get("jobs"); strings.Contains(page, "nearly full") {
		t.Error("with room again the page still warns")
	}
}

func TestFilesThatNothingRefersToAreSweptAndMissingOnesNamed(t *testing.T) {
	dir := t.TempDir()
	id := demoFolder(t, dir)
	s := serving(t, "serve", "--dir", dir)
	for _, wide := range []int{640, 641} {
		if code, _ := s.photo(id, "bolt.jpg", picture(t, wide, 480)); code != http.StatusOK {
			t.Fatalf("status %d", code)
		}
	}
	s.stop()
	st, err := sqlite.Open(dir, sqlite.Options{})
	if err != nil {
		t.Fatal(err)
	}
	orphan, err := st.Keep(t.Context(), []byte("an upload that was broken off"), "image/jpeg")
	if err != nil {
		t.Fatal(err)
	}
	names, err := st.Names(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	lost := names[0]
	if lost == orphan {
		lost = names[1]
	}
	long := time.Now().Add(-30 * 24 * time.Hour)
	if _, err := st.Database().Write.Exec("UPDATE file SET kept = $1", long.UTC().Format("2006-01-02T15:04:05.000000000Z")); err != nil {
		t.Fatal(err)
	}
	if err := st.Close(); err != nil {
		t.Fatal(err)
	}
	if err := os.Remove(filepath.Join(dir, "files", lost[:2], lost)); err != nil {
		t.Fatal(err)
	}

	out, said := must(t, "sweep", "--dir", dir)
	contains(t, "the list", out, orphan, "old enough", lost, "missing")
	contains(t, "what it says", said, "1 file that nothing refers to, 1 missing. Nothing was taken away")
	s = serving(t, "serve", "--dir", dir)
	_, page := s.get("storage")
	contains(t, "the page", page, "1 file that nothing refers to, 29 bytes", "Photo or clip "+lost[:12], "3 photos")
	_, page = s.post("storage/sweep", nil)
	contains(t, "the page after", page, "Taken away: 1 file, 29 bytes.")
	if strings.Contains(page, "Left over") {
		t.Error("something is still left over")
	}
	s.stop()
	out, _ = must(t, "sweep", "--dir", dir, "--remove")
	if strings.Contains(out, orphan) {
		t.Errorf("it is listed again: %s", out)
	}
	if _, err := os.Stat(filepath.Join(dir, "files", orphan[:2], orphan)); err == nil {
		t.Error("its content is still there")
	}
}

func TestABackupIsMadeFromThePageAndItsAgeShown(t *testing.T) {
	dir, row := t.TempDir(), filepath.Join(t.TempDir(), "row")
	demoFolder(t, dir)
	s := serving(t, "serve", "--dir", dir, "--backups", row)
	_, page := s.get("storage")
	contains(t, "the page", page, "There is no backup yet.", row)
	_, page = s.post("storage/backup", nil)
	contains(t, "the page after", page, "Backed up, and read back whole.", "just now", "1 backup")
	s.stop()
	out, _ := must(t, "backup", "list", "--dir", dir, row)
	made := strings.Fields(out)[0]
	out, _ = must(t, "backup", "verify", made)
	contains(t, "the check", out, "good:")
	// Cut short by the power, and old.
	old := filepath.Join(row, "lastbolt-20200101T000000Z")
	if err := os.Rename(made, old); err != nil {
		t.Fatal(err)
	}
	text, err := os.ReadFile(filepath.Join(old, "manifest.json"))
	if err != nil {
		t.Fatal(err)
	}
	year := time.Now().UTC().Format("2006-")
	if err := os.WriteFile(filepath.Join(old, "manifest.json"), bytes.Replace(text, []byte(`"made": "`+year), []byte(`"made": "2020-`), 1), 0o600); err != nil {
		t.Fatal(err)
	}
	if err := os.Mkdir(filepath.Join(row, "lastbolt-20250101T000000Z.part"), 0o700); err != nil {
		t.Fatal(err)
	}
	s = serving(t, "serve", "--dir", dir, "--backups", row)
	_, page = s.get("storage")
	contains(t, "the page", page, "The last backup is old", "Not whole", "lastbolt-20250101T000000Z.part")
	out, _ = must(t, "backup", "list", row)
	contains(t, "the list", out, "not whole", "cut short while it was made")
}

// noise is a second of sound.
func noise() []byte {
	const bytesASecond = 16000
	head := "RIFF\xa4\x3e\x00\x00WAVEfmt \x10\x00\x00\x00\x01\x00\x01\x00\x40\x1f\x00\x00\x80\x3e\x00\x00\x02\x00\x10\x00data\x80\x3e\x00\x00"
	return append([]byte(head), bytes.Repeat([]byte("ab"), bytesASecond/2)...)
}

func TestASoundClipIsKeptPlayedExportedAndBackedUp(t *testing.T) {
	dir := t.TempDir()
	id := demoFolder(t, dir)
	s := serving(t, "serve", "--dir", dir)
	code, page := s.upload("jobs/"+id+"/sound", "sound", "noise.wav", noise(), "when", "before", "note", "cold start")
	if code != http.StatusOK {
		t.Fatalf("status %d: %.300s", code, page)
	}
	contains(t, "the job's page", page, "Before the repair, 1 s: cold start", "<audio controls")
	_, after, _ := strings.Cut(page, `src="/clips/`)
	name, _, _ := strings.Cut(after, `"`)
	r, err := http.NewRequestWithContext(t.Context(), "GET", s.url+"clips/"+name, nil)
	if err != nil {
		t.Fatal(err)
	}
	r.Header.Set("Range", "bytes=44-47")
	got, err := http.DefaultClient.Do(r)
	if err != nil {
		t.Fatal(err)
	}
	defer got.Body.Close()
	piece, err := io.ReadAll(got.Body)
	if err != nil || got.StatusCode != http.StatusPartialContent || string(piece) != "abab" || got.Header.Get("Content-Type") != "audio/wav" {
		t.Errorf("a piece of it: status %d, %q of type %q, %v", got.StatusCode, piece, got.Header.Get("Content-Type"), err)
	}
	for what, row := range map[string]struct {
		content []byte
		code    int
		says    string
	}{
		"a text":       {[]byte("not a sound at all"), http.StatusUnprocessableEntity, "not a sound clip"},
		"a photo":      {picture(t, 64, 48), http.StatusUnprocessableEntity, "not a sound clip"},
		"far too much": {make([]byte, 18<<20), http.StatusRequestEntityTooLarge, "larger than 16 MB"},
	} {
		code, page := s.upload("jobs/"+id+"/sound", "sound", "x.wav", row.content)
		if code != row.code {
			t.Errorf("%s: status %d, want %d", what, code, row.code)
		}
		contains(t, what, page, row.says)
	}
	if code, _ := s.get("photos/" + name + "?size=full"); code != http.StatusNotFound {
		t.Errorf("as a photo it has status %d", code)
	}
	s.stop()
	before, _ := must(t, "export", "--dir", dir)
	contains(t, "the export", before, `"kind":"clip"`, `"media":"audio/wav"`)
	copied, fresh := filepath.Join(t.TempDir(), "copy"), filepath.Join(t.TempDir(), "fresh")
	must(t, "backup", "--dir", dir, copied)
	must(t, "backup", "restore", copied, fresh)
	if after, _ := must(t, "export", "--dir", fresh); after != before {
		t.Error("what was brought back exports differently")
	}
	file, taken := filepath.Join(t.TempDir(), "export.json"), filepath.Join(t.TempDir(), "taken")
	must(t, "export", "--dir", dir, "-o", file)
	must(t, "import", "--dir", taken, file)
	if after, _ := must(t, "export", "--dir", taken); after != before {
		t.Error("taken in elsewhere it exports differently")
	}
}
