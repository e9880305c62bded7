package browsertest

import (
	"bufio"
	"bytes"
	"context"
	"io"
	"net/http"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	_ "lastbolt/cli" // what the program is made of, so that a change to it is never answered from the test cache
	"lastbolt/demo"
	"lastbolt/garage"
	"lastbolt/internal/browser"
	"lastbolt/store/sqlite"
)

func TestMain(m *testing.M) {
	forgetAuthority := trustAuthority()
	browser.Main(m, func() {
		if binary.dir != "" {
			_ = os.RemoveAll(binary.dir)
		}
		forgetAuthority()
	})
}

// binary is the program under test, built once.
var binary struct {
	once sync.Once
	dir  string
	path string
	err  error
}

// build makes the program as `make build` does, apart from its version.
func build(t *testing.T) string {
	t.Helper()
	binary.once.Do(func() {
		if binary.dir, binary.err = os.MkdirTemp("", "lastbolt-walk-"); binary.err != nil {
			return
		}
		binary.path = filepath.Join(binary.dir, "lastbolt")
		cmd := exec.Command("go", "build", "-o", binary.path, "lastbolt/cmd/lastbolt")
		cmd.Env = append(os.Environ(), "CGO_ENABLED=0")
		var out []byte
		if out, binary.err = cmd.CombinedOutput(); binary.err != nil {
			binary.path = string(out)
		}
	})
	if binary.err != nil {
		t.Fatalf("the program could not be built: %v\n%s", binary.err, binary.path)
	}
	return binary.path
}

// server is one running program on a folder of its own.
type server struct {
	t    *testing.T
	dir  string
	url  string   // "http://127.0.0.1:PORT", the same after a restart
	args []string // beside the folder and the address
	cmd  *exec.Cmd
	errs *lockedBuffer
}

type lockedBuffer struct {
	mu  sync.Mutex
	buf bytes.Buffer
}

func (b *lockedBuffer) Write(p []byte) (int, error) {
	b.mu.Lock()
	defer b.mu.Unlock()
	return b.buf.Write(p)
}

func (b *lockedBuffer) String() string {
	b.mu.Lock()
	defer b.mu.Unlock()
	return b.buf.String()
}

// emptyShop starts the program on an empty folder.
func emptyShop(t *testing.T) *server {
	t.Helper()
	browser.Start(t) // skips before anything is built where there is no browser
	s := &server{t: t, dir: filepath.Join(t.TempDir(), "shop")}
	s.start("127.0.0.1:0")
	return s
}

// shop starts the program on a folder with the demo's vehicle, map and shelf,
// and no jobs.
func shop(t *testing.T) *server {
	t.Helper()
	browser.Start(t)
	s := &server{t: t, dir: filepath.Join(t.TempDir(), "shop")}
	s.fill(func(ctx context.Context, st *sqlite.Store) error { return furnish(ctx, st) })
	s.start("127.0.0.1:0")
	return s
}

// furnish puts the demo's vehicle, map and shelf in place.
func furnish(ctx context.Context, st garage.Documents) error {
	edit := garage.Edit{At: time.Now(), Note: "for the test"}
	m, _, err := garage.NewMaps(st).Save(ctx, "tern.yaml", demo.MapYAML, edit)
	if err != nil {
		return err
	}
	if _, err := garage.SaveShelf(ctx, st, demo.Shelf(), edit); err != nil {
		return err
	}
	_, err = garage.Vehicles{Documents: st}.Save(ctx, garage.Vehicle{ID: "tern-1", Name: vehicle, Maps: []string{m.ID}, Invented: true}, edit)
	return err
}

// demoShop starts the program on the demo's three jobs.
func demoShop(t *testing.T) *server {
	t.Helper()
	browser.Start(t)
	s := &server{t: t, dir: filepath.Join(t.TempDir(), "shop")}
	s.fill(func(ctx context.Context, st *sqlite.Store) error { return demo.Fill(ctx, st, time.Now()) })
	s.start("127.0.0.1:0")
	return s
}

// vehicle is the demo's vehicle as a mechanic names it.
const vehicle = "Tern van 1.4"

func (s *server) fill(with func(context.Context, *sqlite.Store) error) {
	s.t.Helper()
	st, err := sqlite.Open(s.dir, sqlite.Options{})
	if err != nil {
		s.t.Fatalf("the folder could not be made: %v", err)
	}
	if err := with(context.Background(), st); err != nil {
		s.t.Fatalf("the folder could not be filled: %v", err)
	}
	if err := st.Close(); err != nil {
		s.t.Fatalf("the folder could not be closed: %v", err)
	}
}

// start runs `lastbolt serve` and reads the address that it prints.
func (s *server) start(listen string) {
	s.t.Helper()
	s.errs = &lockedBuffer{}
	s.cmd = exec.Command(build(s.t), append([]string{"serve", "--dir", s.dir, "--listen", listen}, s.args...)...)
	s.cmd.Stderr = s.errs
	out, err := s.cmd.StdoutPipe()
	if err == nil {
		err = s.cmd.Start()
	}
	if err != nil {
		s.t.Fatalf("the program did not start: %v", err)
	}
	line, err := bufio.NewReader(out).ReadString('\n')
	if err != nil {
		_ = s.cmd.Wait()
		s.t.Fatalf("the program printed no address: %v\n%s", err, s.errs)
	}
	s.url = strings.TrimSuffix(strings.TrimSpace(line), "/")
	running := s.cmd
	s.t.Cleanup(func() {
		if running.ProcessState == nil {
			_ = running.Process.Kill()
			_ = running.Wait()
		}
		if s.t.Failed() {
			s.t.Logf("what the program said:\n%s", s.errs)
		}
	})
}

// killAndStartAgain ends the program as a dead battery does, and starts it
// again on the same folder and address.
func (s *server) killAndStartAgain() {
	s.t.Helper()
	if err := s.cmd.Process.Kill(); err != nil {
		s.t.Fatalf("the program could not be killed: %v", err)
	}
	if err := s.cmd.Wait(); err == nil {
		s.t.Fatal("the program ended by itself")
	}
	s.start(strings.TrimPrefix(s.url, "http://"))
}

// get fetches an address of the program without a browser.
func (s *server) get(path string) (*http.Response, []byte) {
	s.t.Helper()
	answer, err := http.Get(s.at(path))
	if err != nil {
		s.t.Fatalf("%s did not answer: %v", path, err)
	}
	defer answer.Body.Close()
	body, err := io.ReadAll(answer.Body)
	if err != nil {
		s.t.Fatalf("%s did not come whole: %v", path, err)
	}
	return answer, body
}

// at is the full address of a path; full addresses stay.
func (s *server) at(path string) string {
	if strings.HasPrefix(path, "http://") {
		return path
	}
	return s.url + path
}

// paper checks that a paper of the job comes as PDF and returns its words.
func (s *server) paper(path string) string {
	s.t.Helper()
	answer, body := s.get(path)
	if got := answer.Header.Get("Content-Type"); answer.StatusCode != http.StatusOK || got != "application/pdf" {
		s.t.Errorf("%s: status %d, type %q, want 200 and application/pdf\n%.300s", path, answer.StatusCode, got, body)
		return ""
	}
	return wordsOf(s.t, path, body)
}

// wordsOf reads the words of a PDF back, which must open without complaint; ""
// where the reader is missing.
func wordsOf(t *testing.T, path string, body []byte) string {
	t.Helper()
	reader, err := exec.LookPath("pdftotext")
	if err != nil {
		if !bytes.HasPrefix(body, []byte("%PDF-")) {
			t.Errorf("%s does not begin as a PDF does", path)
		}
		t.Logf("%s was not read back: pdftotext is missing (apt-get install -y poppler-utils)", path)
		return ""
	}
	cmd := exec.Command(reader, "-layout", "-", "-")
	cmd.Stdin = bytes.NewReader(body)
	var words, complaints bytes.Buffer
	cmd.Stdout, cmd.Stderr = &words, &complaints
	if err := cmd.Run(); err != nil || complaints.Len() > 0 {
		t.Errorf("%s does not open: %v %s", path, err, complaints.String())
	}
	return words.String()
}
