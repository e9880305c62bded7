package lan

import (
	"crypto/tls"
	"crypto/x509"
	"io"
	"net"
	"net/http"
	"net/http/httptest"
	"net/url"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"

	"lastbolt/job"
	"lastbolt/web"
)

const secret = "Tern van 1.4 behind the door"

type clock struct{ at time.Time }

func (c *clock) now() time.Time { return c.at }

func opened(t *testing.T) (*Door, *clock, string) {
	t.Helper()
	c := &clock{time.Now()}
	dir := filepath.Join(t.TempDir(), "lan")
	d, err := Open(dir, c.now)
	if err != nil {
		t.Fatal(err)
	}
	d.rounds = 10 // the strength of the hash is not what is tried here
	return d, c, dir
}

func behind(saw *job.Person) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		*saw = job.PersonOf(r.Context())
		_, _ = io.WriteString(w, secret)
	})
}

func ask(h http.Handler, method, path, token string, form url.Values) *httptest.ResponseRecorder {
	r := httptest.NewRequest(method, "https://192.168.7.5:8443"+path, strings.NewReader(form.Encode()))
	r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
	if token != "" {
		r.AddCookie(&http.Cookie{Name: cookieName, Value: token})
	}
	w := httptest.NewRecorder()
	h.ServeHTTP(w, r)
	return w
}

// routes is every route of the program: the pages' and the door's own.
func routes(d *Door) (pages, own, hand []string) {
	return (&web.Host{}).Routes().Patterns(), d.ownRoutes().Patterns(), d.handRoutes().Patterns()
}

var wild = regexp.MustCompile(`\{[^}]*\}`)

// asked is a method and an address that a pattern of a mux takes.
func asked(pattern string) (method, path string) {
	method, path, found := strings.Cut(pattern, " ")
	if !found {
		method, path = "GET", pattern
	}
	return method, wild.ReplaceAllString(path, "x")
}

// What is mounted is asked of the mux, so that a new page is tried without
// anybody thinking of it.
func TestAStrangerSeesNothingOnAnyRoute(t *testing.T) {
	d, c, _ := opened(t)
	var saw job.Person
	called := false
	h := d.Network(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) { called = true; behind(&saw).ServeHTTP(w, r) }))
	pages, own, hand := routes(d)
	if len(pages) < 100 || len(own) < 8 || len(hand) < 4 {
		t.Fatalf("only %d, %d and %d routes are mounted, so little was tried", len(pages), len(own), len(hand))
	}
	for _, pattern := range slices.Concat(pages, own, hand) {
		method, path := asked(pattern)
		for _, method := range []string{method, "GET", "POST", "PUT", "DELETE", "HEAD"} {
			c.at = c.at.Add(time.Second) // within the request rate
			w := ask(h, method, path, "wrong token", nil)
			open := isOpen(path) && (w.Code == http.StatusSeeOther || w.Code == http.StatusNotFound || w.Code == http.StatusMethodNotAllowed)
			if called || w.Code != http.StatusForbidden && !open || strings.Contains(w.Body.String(), secret) {
				t.Errorf("%s %s: status %d, reached the page: %v", method, path, w.Code, called)
			}
			called = false
		}
	}
	for _, path := range []string{"/", "/jobs", "/static/..%2fjobs", "/static/../jobs", "/pair/", "/trust/../jobs", "//jobs", "/phones", "/phones/pair", "/who"} {
		c.at = c.at.Add(time.Second)
		r := httptest.NewRequest("GET", "https://192.168.7.5:8443/", nil)
		u, err := url.Parse("https://192.168.7.5:8443" + path)
		if err != nil {
			t.Fatal(err)
		}
		r.URL = u
		w := httptest.NewRecorder()
		h.ServeHTTP(w, r)
		if called || w.Code < 400 {
			t.Errorf("%s: status %d, reached the page: %v", path, w.Code, called)
		}
	}
}

func TestACodeIsGoodOnceAndForMinutes(t *testing.T) {
	d, c, dir := opened(t)
	var saw job.Person
	h := d.Network(behind(&saw))
	code, _ := d.Code()
	w := ask(h, "POST", "/pair", "", url.Values{"code": {strings.ToLower(code[:5]) + " " + code[5:]}, "name": {"blue"}})
	if w.Code != http.StatusSeeOther || len(w.Result().Cookies()) != 1 {
		t.Fatalf("pairing: status %d", w.Code)
	}
	k := w.Result().Cookies()[0]
	if !k.Secure || !k.HttpOnly || k.SameSite != http.SameSiteLaxMode || k.Path != "/" {
		t.Errorf("the cookie is not kept close: %v", k)
	}
	if w := ask(h, "GET", "/jobs", k.Value, nil); w.Body.String() != secret {
		t.Errorf("a paired phone got %d", w.Code)
	}
	if w := ask(h, "POST", "/pair", "", url.Values{"code": {code}}); w.Code != http.StatusUnprocessableEntity {
		t.Errorf("the same code again: %d", w.Code)
	}
	late, _ := d.Code()
	c.at = c.at.Add(codeTime)
	if w := ask(h, "POST", "/pair", "", url.Values{"code": {late}}); w.Code != http.StatusUnprocessableEntity {
		t.Errorf("a late code: %d", w.Code)
	}
	kept, err := os.ReadFile(filepath.Join(dir, "door.json"))
	if err != nil || strings.Contains(string(kept), k.Value) {
		t.Errorf("the token is kept as it is: %v", err)
	}
	again, err := Open(dir, c.now)
	if err != nil {
		t.Fatal(err)
	}
	if w := ask(again.Network(behind(&saw)), "GET", "/jobs", k.Value, nil); w.Body.String() != secret {
		t.Errorf("after a restart: %d", w.Code)
	}
	if err := again.Remove(again.Devices()[0].ID); err != nil {
		t.Fatal(err)
	}
	if w := ask(again.Network(behind(&saw)), "GET", "/jobs", k.Value, nil); w.Code != http.StatusForbidden {
		t.Errorf("a phone that was put out got %d", w.Code)
	}
}

func TestGuessingACodeIsStopped(t *testing.T) {
	d, _, _ := opened(t)
	code, _ := d.Code()
	for range 5 {
		_, _ = d.Pair("2222222222", "", "192.168.7.9")
	}
	if _, err := d.Pair(code, "", "192.168.7.9"); statusOf(err) != http.StatusTooManyRequests {
		t.Errorf("the sixth try: got %v", err)
	}
}

func TestTheCertificateIsGoodForPrivateNetworksAlone(t *testing.T) {
	d, c, dir := opened(t)
	leaf, err := d.Authority.current()
	if err != nil {
		t.Fatal(err)
	}
	if days := leaf.Leaf.NotAfter.Sub(leaf.Leaf.NotBefore).Hours() / 24; days > 397 {
		t.Errorf("the leaf is good for %.0f days", days)
	}
	pool := x509.NewCertPool()
	pool.AddCert(d.Authority.root)
	if _, err := leaf.Leaf.Verify(x509.VerifyOptions{Roots: pool, DNSName: "localhost", CurrentTime: c.at}); err != nil {
		t.Error(err)
	}
	for _, evil := range []struct {
		dns []string
		ips []net.IP
	}{{dns: []string{"bank.example"}}, {dns: []string{"a.local"}, ips: []net.IP{net.IPv4(93, 184, 216, 34)}}} {
		forged, err := d.Authority.sign(evil.dns, evil.ips)
		if err != nil {
			t.Fatal(err)
		}
		if _, err := forged.Leaf.Verify(x509.VerifyOptions{Roots: pool, CurrentTime: c.at}); err == nil {
			t.Errorf("a certificate for %v %v is taken", evil.dns, evil.ips)
		}
	}
	first, _ := d.Authority.current()
	c.at = c.at.Add((leafDays - renewDays) * 24 * time.Hour)
	if second, _ := d.Authority.current(); second == first {
		t.Error("the leaf was not renewed in time")
	}
	for _, name := range []string{"authority.pem", "leaf.pem"} {
		info, err := os.Stat(filepath.Join(dir, name))
		if err != nil || info.Mode().Perm() != 0o600 {
			t.Errorf("%s: %v, %v", name, info.Mode(), err)
		}
	}
	if err := os.Chmod(filepath.Join(dir, "authority.pem"), 0o644); err != nil {
		t.Fatal(err)
	}
	if _, err := Open(dir, c.now); err == nil {
		t.Error("a key that others can read was used")
	}
}

// One port answers both: TLS to whom trusts, advice to who does not yet.
func TestOnePortAnswersTLSAndAdvice(t *testing.T) {
	d, _, _ := opened(t)
	var saw job.Person
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = l.Close() })
	go func() {
		_ = d.Serve(l, &http.Server{Handler: d.Network(behind(&saw))}, &http.Server{Handler: d.Plain()})
	}()
	pool := x509.NewCertPool()
	pool.AddCert(d.Authority.root)
	client := &http.Client{Transport: &http.Transport{TLSClientConfig: &tls.Config{RootCAs: pool}}}
	for url, want := range map[string]string{"https://" + l.Addr().String() + "/jobs": "Pair this phone", "http://" + l.Addr().String() + "/jobs": "Get the certificate"} {
		answer, err := client.Get(url)
		if err != nil {
			t.Fatal(err)
		}
		body, _ := io.ReadAll(answer.Body)
		_ = answer.Body.Close()
		if !strings.Contains(string(body), want) || strings.Contains(string(body), secret) {
			t.Errorf("%s: status %d, without %q", url, answer.StatusCode, want)
		}
	}
}

func TestTheMachineItselfNeedsNoCeremonyButAnswersToItsOwnNameAlone(t *testing.T) {
	d, _, _ := opened(t)
	var saw job.Person
	for host, want := range map[string]int{"127.0.0.1:8420": 200, "localhost:8420": 200, "[::1]:8420": 200, "pointed-here.example": 421} {
		r := httptest.NewRequest("GET", "http://"+host+"/jobs", nil)
		w := httptest.NewRecorder()
		d.Local(behind(&saw)).ServeHTTP(w, r)
		if w.Code != want {
			t.Errorf("%s: got %d, want %d", host, w.Code, want)
		}
	}
}
