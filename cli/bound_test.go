package cli

import (
	"bufio"
	"io"
	"net"
	"net/http"
	"net/http/httptest"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"time"
)

// held is a page that stays at work until it is let go, and counts.
type held struct {
	begun, atOnce, most atomic.Int64
	let                 chan struct{}
}

func (h *held) ServeHTTP(w http.ResponseWriter, r *http.Request) {
	h.begun.Add(1)
	n := h.atOnce.Add(1)
	defer h.atOnce.Add(-1)
	for {
		if most := h.most.Load(); n <= most || h.most.CompareAndSwap(most, n) {
			break
		}
	}
	<-h.let
	w.WriteHeader(http.StatusNoContent)
}

func full(w http.ResponseWriter, _ *http.Request) { w.WriteHeader(http.StatusServiceUnavailable) }

func call(h http.Handler, accept string) int {
	r := httptest.NewRequest("POST", "/jobs/1/note", nil)
	r.Header.Set("Accept", accept)
	w := httptest.NewRecorder()
	h.ServeHTTP(w, r)
	return w.Code
}

func eventually(t *testing.T, what string, so func() bool) {
	t.Helper()
	for range 2000 {
		if so() {
			return
		}
		time.Sleep(5 * time.Millisecond)
	}
	t.Fatal("not within ten seconds: " + what)
}

func TestWhatIsTooMuchIsNotBegunAndEverythingElseIsDone(t *testing.T) {
	page := &held{let: make(chan struct{})}
	b := newBound(page, http.HandlerFunc(full))
	const callers = 2000
	var done, refused atomic.Int64
	var group sync.WaitGroup
	for range callers {
		group.Go(func() {
			switch code := call(b, ""); code {
			case http.StatusNoContent:
				done.Add(1)
			case http.StatusServiceUnavailable:
				refused.Add(1)
			default:
				t.Error("status", code)
			}
		})
	}
	eventually(t, "all but those at work and waiting are refused while nothing gets on", func() bool {
		return refused.Load() == callers-mostAtWork-mostWaiting
	})
	if n := page.begun.Load(); n != mostAtWork {
		t.Errorf("%d were begun, want %d", n, mostAtWork)
	}
	close(page.let)
	group.Wait()
	if done.Load() != mostAtWork+mostWaiting || page.begun.Load() != done.Load() || page.most.Load() != mostAtWork {
		t.Errorf("%d done of %d begun, at most %d at once", done.Load(), page.begun.Load(), page.most.Load())
	}
	if code := call(b, ""); code != http.StatusNoContent {
		t.Errorf("afterwards: status %d", code)
	}
}

func TestNobodyWaitsForEver(t *testing.T) {
	page := &held{let: make(chan struct{})}
	b := newBound(page, http.HandlerFunc(full))
	b.patience = time.Millisecond
	var group sync.WaitGroup
	for range mostAtWork {
		group.Go(func() { call(b, "") })
	}
	eventually(t, "every place is taken", func() bool { return page.begun.Load() == mostAtWork })
	if code := call(b, ""); code != http.StatusServiceUnavailable || page.begun.Load() != mostAtWork || b.waiting.Load() != 0 {
		t.Errorf("status %d, %d begun, %d waiting", code, page.begun.Load(), b.waiting.Load())
	}
	group.Go(func() { b.ServeHTTP(httptest.NewRecorder(), httptest.NewRequest("GET", "/static/app.css", nil)) })
	eventually(t, "the look of the page that says so comes all the same", func() bool { return page.begun.Load() == mostAtWork+1 })
	close(page.let)
	group.Wait()
}

func TestOpenPagesThatWaitForNewsKeepNobodyFromRecording(t *testing.T) {
	page := &held{let: make(chan struct{})}
	b := newBound(page, http.HandlerFunc(full))
	var group sync.WaitGroup
	for range mostStreams {
		group.Go(func() { call(b, "text/event-stream") })
	}
	eventually(t, "every stream is open", func() bool { return page.begun.Load() == mostStreams })
	r := httptest.NewRequest("GET", "/jobs/1/live", nil)
	r.Header.Set("Accept", "text/event-stream")
	w := httptest.NewRecorder()
	b.ServeHTTP(w, r)
	if w.Code != http.StatusOK || w.Body.String() != "retry: 10000\n\n" || page.begun.Load() != mostStreams {
		t.Errorf("one stream more: status %d, %q", w.Code, w.Body)
	}
	group.Go(func() { call(b, "") })
	eventually(t, "a record is at work", func() bool { return page.begun.Load() == mostStreams+1 })
	close(page.let)
	group.Wait()
	if b.streams.Load() != 0 || len(b.work) != 0 {
		t.Errorf("%d streams and %d places are still counted", b.streams.Load(), len(b.work))
	}
}

func TestAConnectionTooManyIsToldSo(t *testing.T) {
	inner, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	l := newConnections(inner)
	l.most = 2
	s := &http.Server{Handler: l.letGo(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) { _, _ = io.WriteString(w, "here") }))}
	go func() { _ = s.Serve(l) }()
	defer s.Close()
	ask := func(keep bool) (net.Conn, *http.Response, string) {
		t.Helper()
		c, err := net.Dial("tcp", inner.Addr().String())
		if err != nil {
			t.Fatal(err)
		}
		_ = c.SetDeadline(time.Now().Add(10 * time.Second))
		if !keep {
			defer c.Close()
		}
		if _, err := io.WriteString(c, "GET / HTTP/1.1\r\nHost: localhost\r\n\r\n"); err != nil {
			t.Fatal(err)
		}
		a, err := http.ReadResponse(bufio.NewReader(c), nil)
		if err != nil {
			t.Fatal(err)
		}
		text, err := io.ReadAll(a.Body)
		if err != nil {
			t.Fatal(err)
		}
		return c, a, string(text)
	}
	first, a, _ := ask(true)
	if a.StatusCode != http.StatusOK || a.Close {
		t.Errorf("the first: status %d, closed %v", a.StatusCode, a.Close)
	}
	second, err := net.Dial("tcp", inner.Addr().String()) // says nothing
	if err != nil {
		t.Fatal(err)
	}
	eventually(t, "two are open", func() bool { return l.open.Load() == 2 })
	_, a, text := ask(false)
	if a.StatusCode != http.StatusServiceUnavailable || a.Header.Get("Retry-After") == "" || !strings.Contains(text, "Nothing was recorded") {
		t.Errorf("one too many: status %d, %q", a.StatusCode, text)
	}
	_ = first.Close()
	_ = second.Close()
	eventually(t, "their places are free", func() bool { return l.open.Load() == 0 })
	third, _, _ := ask(true)
	fourth, a, _ := ask(true)
	if a.StatusCode != http.StatusOK || !a.Close {
		t.Errorf("with many open: status %d, closed %v", a.StatusCode, a.Close)
	}
	_ = third.Close()
	_ = fourth.Close()
}
