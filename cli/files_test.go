package cli_test

import (
	"bytes"
	"net/http"
	"net/http/httptest"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/johannesboyne/gofakes3"
	"github.com/johannesboyne/gofakes3/backend/s3mem"

	"lastbolt/cli"
)

// fileKey is a key that may be in no output.
const fileKey = "not-for-any-log-1234567890"

// bucket starts a file store in this process and gives an address in it; stop
// takes it away.
func bucket(t *testing.T) (address string, stop func()) {
	t.Helper()
	t.Setenv("AWS_ACCESS_KEY_ID", "photokeeper")
	t.Setenv("AWS_SECRET_ACCESS_KEY", fileKey)
	t.Setenv("AWS_REGION", "us-east-1")
	backend := s3mem.New()
	if err := backend.CreateBucket("garage"); err != nil {
		t.Fatal(err)
	}
	server := httptest.NewServer(gofakes3.New(backend).Server())
	t.Cleanup(server.Close)
	return "s3://garage/shop?endpoint=" + server.URL, server.Close
}

// run runs a command and gives its exit status and what it said.
func run(t *testing.T, args ...string) (code int, out, said string) {
	t.Helper()
	var o, e bytes.Buffer
	code = cli.Run(t.Context(), args, cli.Env{In: strings.NewReader(""), Out: &o, Err: &e, Now: time.Now, Cache: t.TempDir()})
	if strings.Contains(o.String()+e.String(), fileKey) {
		t.Errorf("lastbolt %s gave the key away", strings.Join(args, " "))
	}
	return code, o.String(), e.String()
}

func must(t *testing.T, args ...string) (out, said string) {
	t.Helper()
	code, out, said := run(t, args...)
	if code != 0 {
		t.Fatalf("lastbolt %s: exit status %d: %s", strings.Join(args, " "), code, said)
	}
	return out, said
}

func TestPhotosInAFileStoreAreShownExportedBackedUpAndBroughtBack(t *testing.T) {
	address, stop := bucket(t)
	dir := t.TempDir()
	id := demoFolder(t, dir)
	s := serving(t, "serve", "--dir", dir, "--files", address)
	if code, page := s.photo(id, "bolt.jpg", picture(t, 640, 480)); code != http.StatusOK {
		t.Fatalf("status %d: %.300s", code, page)
	}
	s.stop()
	if left, _ := filepath.Glob(filepath.Join(dir, "files", "*", "*")); len(left) > 0 {
		t.Errorf("photos are in the folder too: %v", left)
	}
	before, _ := must(t, "export", "--dir", dir, "--files", address)
	contains(t, "the export", before, `"media":"image/jpeg"`)
	copied := filepath.Join(t.TempDir(), "copy")
	_, said := must(t, "backup", "--dir", dir, "--files", address, copied)
	contains(t, "the backup", said, "backed up and checked: 2 files")

	other := strings.Replace(address, "/shop", "/other", 1)
	fresh := filepath.Join(t.TempDir(), "fresh")
	must(t, "backup", "restore", "--files", other, copied, fresh)
	if after, _ := must(t, "export", "--dir", fresh, "--files", other); after != before {
		t.Error("what was brought back into another prefix exports differently")
	}
	inFolder := filepath.Join(t.TempDir(), "folder")
	must(t, "backup", "restore", copied, inFolder)
	if after, _ := must(t, "export", "--dir", inFolder); after != before {
		t.Error("what was brought back into a folder exports differently")
	}
	if _, err := os.Stat(filepath.Join(fresh, "files")); err == nil {
		t.Error("what was brought back into a file store has its photos in the folder as well")
	}

	// Without the store the job goes on; only the photos wait.
	stop()
	s = serving(t, "serve", "--dir", dir, "--files", address)
	contains(t, "the start", s.err.String(), "does not answer")
	if code, _ := s.get("jobs/" + id); code != http.StatusOK {
		t.Errorf("the job's page has status %d", code)
	}
	code, page := s.photo(id, "bolt.jpg", picture(t, 641, 480))
	if code != http.StatusServiceUnavailable {
		t.Errorf("a photo gets status %d", code)
	}
	contains(t, "the page", page, "does not answer")
}

func TestAFileStoresAddressIsRefusedInASentence(t *testing.T) {
	address, _ := bucket(t)
	dir := t.TempDir()
	demoFolder(t, dir)
	for name, row := range map[string]struct {
		address, says string
		code          int
	}{
		"a key in it":  {"s3://photokeeper:" + fileKey + "@garage", "has a key in it", 2},
		"no bucket":    {strings.Replace(address, "garage", "other", 1), "There is no bucket other", 1},
		"not s3":       {"ftp://garage", "cannot be read", 2},
		"in the open":  {"s3://garage?endpoint=http://store.example", "in the open", 2},
		"unknown word": {address + "&colour=red", `"colour"`, 2},
	} {
		t.Run(name, func(t *testing.T) {
			code, _, said := run(t, "jobs", "--dir", dir, "--files", row.address)
			if code != row.code {
				t.Errorf("exit status %d, want %d", code, row.code)
			}
			contains(t, "the refusal", said, row.says)
		})
	}
}
