package cli_test

import (
	"bytes"
	"context"
	"io"
	"net"
	"net/http"
	"net/url"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"lastbolt/cli"
	"lastbolt/job"
	"lastbolt/store/sqlite"
)

// A server is a running command that serves pages.
type server struct {
	t        *testing.T
	url      string // with the slash at its end
	cancel   context.CancelFunc
	done     chan int // gets the exit status once
	out, err safeBuffer
}

// safeBuffer may be read while a command writes to it.
type safeBuffer struct {
	mu sync.Mutex
	b  bytes.Buffer
}

func (s *safeBuffer) Write(p []byte) (int, error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.b.Write(p)
}

func (s *safeBuffer) String() string {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.b.String()
}

// serving starts a command that serves and waits until it answers; the test's
// end stops it.
func serving(t *testing.T, args ...string) *server {
	t.Helper()
	ctx, cancel := context.WithCancel(t.Context())
	s := &server{t: t, cancel: cancel, done: make(chan int, 1)}
	started := make(chan string, 1)
	env := cli.Env{In: strings.NewReader(""), Out: &s.out, Err: &s.err, Now: func() time.Time { return clock() }, Cache: t.TempDir(), Started: func(url string) { started <- url }}
	go func() { s.done <- cli.Run(ctx, append(args, "--listen", "127.0.0.1:0"), env) }()
	t.Cleanup(func() {
		cancel()
		select {
		case <-s.done:
		case <-time.After(20 * time.Second):
			t.Error("the server does not stop")
		}
	})
	select {
	case s.url = <-started:
	case code := <-s.done:
		s.done <- code
		t.Fatalf("exit status %d before it served: %s", code, s.err.String())
	case <-time.After(20 * time.Second):
		t.Fatal("the server does not start")
	}
	return s
}

// stop asks the command to end and returns its exit status.
func (s *server) stop() int {
	s.cancel()
	code := <-s.done
	s.done <- code
	return code
}

func (s *server) get(path string) (int, string) {
	s.t.Helper()
	return answer(s.t)(http.Get(s.url + path))
}

// post sends a form as a page of the server does.
func (s *server) post(path string, form url.Values) (int, string) {
	s.t.Helper()
	r, err := http.NewRequestWithContext(s.t.Context(), "POST", s.url+path, strings.NewReader(form.Encode()))
	if err != nil {
		s.t.Fatal(err)
	}
	r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
	r.Header.Set("Origin", strings.TrimSuffix(s.url, "/"))
	return answer(s.t)(http.DefaultClient.Do(r))
}

func answer(t *testing.T) func(*http.Response, error) (int, string) {
	return func(r *http.Response, err error) (int, string) {
		t.Helper()
		if err != nil {
			t.Fatal(err)
		}
		defer r.Body.Close()
		body, err := io.ReadAll(r.Body)
		if err != nil {
			t.Fatal(err)
		}
		return r.StatusCode, string(body)
	}
}

// demoFolder is a data folder with the demo's jobs, and the id of the one half
// apart.
func demoFolder(t *testing.T, dir string) string {
	t.Helper()
	if err := fillDemo(dir); err != nil {
		t.Fatal(err)
	}
	st, err := sqlite.Open(dir, sqlite.Options{})
	if err != nil {
		t.Fatal(err)
	}
	defer st.Close()
	list, err := st.Summaries(t.Context(), job.Query{Text: "Oil cooler reseal"})
	if err != nil || len(list) != 1 {
		t.Fatalf("%d jobs, %v", len(list), err)
	}
	return list[0].ID
}

func events(t *testing.T, dir, id string) int {
	t.Helper()
	st, err := sqlite.Open(dir, sqlite.Options{})
	if err != nil {
		t.Fatal(err)
	}
	defer st.Close()
	list, err := st.Events(t.Context(), id)
	if err != nil {
		t.Fatal(err)
	}
	return len(list)
}

func contains(t *testing.T, what, text string, wants ...string) {
	t.Helper()
	for _, want := range wants {
		if !strings.Contains(text, want) {
			t.Errorf("%s: got %.600q, want %q in it", what, text, want)
		}
	}
}

func TestTheDemoServesItsJobsAndStopsWell(t *testing.T) {
	began := time.Now()
	s := serving(t, "demo")
	t.Logf("served after %v", time.Since(began))
	code, page := s.get("jobs")
	if code != http.StatusOK {
		t.Errorf("GET /jobs: status %d", code)
	}
	contains(t, "the jobs page", page, "Alternator", "Oil cooler reseal and belt")
	if got := s.out.String(); got != s.url+"\n" {
		t.Errorf("standard output is %q, want the address alone", got)
	}
	contains(t, "standard error", s.err.String(), "Invented demo data in ")
	if code := s.stop(); code != 0 {
		t.Errorf("exit status %d after being asked to stop: %s", code, s.err.String())
	}
}

func TestServeMakesTheFolderAndKeepsWhatWasTapped(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "new", "folder")
	s := serving(t, "serve", "--dir", dir)
	if code, page := s.get("jobs"); code != http.StatusOK {
		t.Fatalf("status %d: %s", code, page)
	}
	code, page := s.post("jobs/new", url.Values{"vehicle": {"Tern 🚐"}, "complaint": {"Rattles"}, "title": {"Rattle"}})
	if code != http.StatusOK {
		t.Fatalf("status %d: %s", code, page)
	}
	if code := s.stop(); code != 0 {
		t.Fatalf("exit status %d", code)
	}
	again := serving(t, "serve", "--dir", dir)
	_, page = again.get("jobs")
	contains(t, "the jobs page", page, "Tern 🚐")
}

func TestAPortThatIsTakenIsSaidBeforeAnythingIsMade(t *testing.T) {
	holder, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	defer holder.Close()
	for _, command := range []string{"serve", "demo"} {
		var out, errs bytes.Buffer
		dir, cache := filepath.Join(t.TempDir(), "data"), t.TempDir()
		env := cli.Env{Out: &out, Err: &errs, Now: time.Now, Cache: cache}
		code := cli.Run(t.Context(), []string{command, "--dir", dir, "--listen", holder.Addr().String()}, env)
		if code != 1 || out.Len() > 0 {
			t.Errorf("%s: exit status %d, standard output %q", command, code, out.String())
		}
		contains(t, command, errs.String(), "Another program holds "+holder.Addr().String()+" already", "--listen 127.0.0.1:8421")
		left, err := os.ReadDir(cache)
		if _, made := os.Stat(dir); made == nil || err != nil || len(left) > 0 {
			t.Errorf("%s: made a folder for nothing: %v %v", command, left, err)
		}
	}
}

func TestAnAddressThatIsNoneIsRefused(t *testing.T) {
	var errs bytes.Buffer
	env := cli.Env{Out: io.Discard, Err: &errs, Now: time.Now, DataDir: t.TempDir()}
	if code := cli.Run(t.Context(), []string{"serve", "--listen", "nowhere"}, env); code != 1 {
		t.Errorf("exit status %d, want 1", code)
	}
	contains(t, "nowhere", errs.String(), "Nothing can listen on nowhere. Choose an address of this machine and a port")
}

func TestTwoServersOnOneFolderSaySoAndLoseNothing(t *testing.T) {
	dir := t.TempDir()
	id := demoFolder(t, dir)
	before := events(t, dir, id)
	first := serving(t, "serve", "--dir", dir)
	second := serving(t, "serve", "--dir", dir)
	contains(t, "the second one", second.err.String(), "Another Lastbolt", "has the folder "+dir+" open too. Nothing gets lost that way")
	if first.err.String() != "" {
		t.Errorf("the first one says %q", first.err.String())
	}
	const taps = 10
	var wait sync.WaitGroup
	for _, s := range []*server{first, second} {
		wait.Go(func() {
			for range taps {
				if code, page := s.post("jobs/"+id+"/note", url.Values{"text": {"seen"}}); code != http.StatusOK {
					t.Errorf("status %d: %.300s", code, page)
				}
			}
		})
	}
	wait.Wait()
	first.stop()
	second.stop()
	if got := events(t, dir, id) - before; got != 2*taps {
		t.Errorf("%d events were added, want %d", got, 2*taps)
	}
}

// An answer that is under way is not cut off by the stop, and a live page, which
// never ends by itself, does not hold it up.
func TestAStopEndsLivePagesButNoAnswerUnderWay(t *testing.T) {
	dir := t.TempDir()
	id := demoFolder(t, dir)
	before := events(t, dir, id)
	s := serving(t, "serve", "--dir", dir)
	live, err := http.NewRequestWithContext(t.Context(), "GET", s.url+"jobs/"+id+"/live", nil)
	if err != nil {
		t.Fatal(err)
	}
	live.Header.Set("Accept", "text/event-stream")
	stream, err := http.DefaultClient.Do(live)
	if err != nil {
		t.Fatal(err)
	}
	defer stream.Body.Close()

	body, slow := io.Pipe()
	tap, err := http.NewRequestWithContext(t.Context(), "POST", s.url+"jobs/"+id+"/note", body)
	if err != nil {
		t.Fatal(err)
	}
	tap.Header.Set("Content-Type", "application/x-www-form-urlencoded")
	noRedirect := &http.Client{CheckRedirect: func(*http.Request, []*http.Request) error { return http.ErrUseLastResponse }}
	status := make(chan int, 1)
	go func() {
		r, err := noRedirect.Do(tap)
		if err != nil {
			t.Error(err)
			status <- 0
			return
		}
		r.Body.Close()
		status <- r.StatusCode
	}()
	if _, err := io.WriteString(slow, "text=before+the"); err != nil {
		t.Fatal(err)
	}
	time.Sleep(100 * time.Millisecond) // the server has it and waits for the rest
	began := time.Now()
	s.cancel()
	time.Sleep(100 * time.Millisecond) // the server is stopping
	if _, err := io.WriteString(slow, "+stop"); err != nil {
		t.Fatal(err)
	}
	slow.Close()
	if got := <-status; got != http.StatusSeeOther {
		t.Errorf("the answer under way ends with status %d", got)
	}
	if code := <-s.done; code != 0 {
		t.Errorf("exit status %d: %s", code, s.err.String())
	}
	s.done <- 0
	if took := time.Since(began); took > 4*time.Second {
		t.Errorf("the stop took %v: the live page held it up", took)
	}
	if got := events(t, dir, id) - before; got != 1 {
		t.Errorf("%d events were added, want the one under way", got)
	}
}

// The demo keeps its things in a folder of its own; nobody has to have another.
func TestTheDemoShowsAllPagesOfItsMenu(t *testing.T) {
	t.Setenv("LASTBOLT_DIR", filepath.Join(t.TempDir(), "not", "there"))
	s := serving(t, "demo")
	for _, page := range []string{"/", "/vehicles", "/shelf", "/maps", "/work-out", "/storage"} {
		answer, err := http.Get(s.url + page)
		if err != nil {
			t.Fatal(err)
		}
		answer.Body.Close()
		if answer.StatusCode != http.StatusOK {
			t.Errorf("%s answers with status %d", page, answer.StatusCode)
		}
	}
}
