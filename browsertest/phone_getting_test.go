package browsertest

import (
	"net/http"
	"net/http/httptest"
	"net/http/httputil"
	"net/url"
	"strings"
	"sync/atomic"
	"testing"

	"lastbolt/internal/browser"
)

// A host that keeps no validators breaks the program off three times. The page
// says so once it has tried that often, comes through at a tap, and the whole
// program has gone over the network once.
func TestAProgramThatBreaksOffIsSaidSoAndComesAtTheNextTap(t *testing.T) {
	tab := browser.Phone(t)
	host, err := url.Parse(phoneSite(t).URL)
	if err != nil {
		t.Fatal(err)
	}
	files := httputil.NewSingleHostReverseProxy(host)
	files.ModifyResponse = func(r *http.Response) error {
		r.Header.Set("Cache-Control", "no-store")
		r.Header.Del("Last-Modified")
		return nil
	}
	var asked atomic.Int32
	s := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if strings.Contains(r.URL.Path, ".wasm.") && asked.Add(1) <= 3 {
			w.Header().Set("Content-Length", "1000000")
			_, _ = w.Write(make([]byte, 400_000))
			panic(http.ErrAbortHandler) // as a network that went away
		}
		files.ServeHTTP(w, r)
	}))
	t.Cleanup(s.Close)

	tab.Open(s.URL + "/")
	tab.WaitText("broke off after")
	if said := tab.Text("#say"); !strings.Contains(said, "broke off after") || !strings.Contains(said, "network") || strings.Contains(said, "room") {
		t.Errorf("of a download that broke off it says: %s", said)
	}
	if n := asked.Load(); n != 3 {
		t.Errorf("it asked %d times by itself, want 3", n)
	}
	tab.Tap("Try again")
	tab.WaitText("No job in hand")
	if n := asked.Load(); n != 4 {
		t.Errorf("the program was asked for %d times, want 3 that broke off and 1 that came", n)
	}
}
