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
	"strings"
	"testing"
	"time"

	"lastbolt/job"
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

// Every pattern that the program mounts is read out of its source, so that a
// new page is tried without anybody thinking of it.
func TestAStrangerSeesNothingOnAnyRoute(t *testing.T) {
	d, c, _ := opened(t)
	var saw job.Person
	called := false
	h := d.Network(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) { called = true; behind(&saw).ServeHTTP(w, r) }))
	pattern := regexp.MustCompile(`"(GET|POST) (/[^"]*)"`)
	tried := 0
	files, err := filepath.Glob("../web/*.go")
	if err != nil {
		t.Fatal(err)
	}
	for _, file := range files {
		text, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		for _, m := range pattern.FindAllStringSubmatch(string(text), -1) {
			path := regexp.MustCompile(`\{[^}]*\}`).ReplaceAllString(m[2], "x")
			c.at = c.at.Add(time.Second) // within the request rate
			w := ask(h, m[1], path, "wrong token", nil)
			tried++
			if called || w.Code != http.StatusForbidden || strings.Contains(w.Body.String(), secret) {
				t.Errorf("%s %s: status %d, reached the page: %v", m[1], path, w.Code, called)
			}
			called = false
		}
	}
	if tried < 40 {
		t.Fatalf("only %d routes were found in the source, so little was tried", tried)
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

func TestRolesAndPINs(t *testing.T) {
	d, c, _ := opened(t)
	code, _ := d.Code()
	token, err := d.Pair(code, "shared", "a")
	if err != nil {
		t.Fatal(err)
	}
	if d.AddPerson("Bo", Mechanic, "482915") == nil || d.AddPerson("Ann", Owner, "123456") == nil {
		t.Error("a mechanic before any owner, or an easy PIN, was taken")
	}
	for name, role := range map[string]Role{"Ann": Owner} {
		if err := d.AddPerson(name, role, "482915"); err != nil {
			t.Fatal(err)
		}
	}
	if err := d.AddPerson("Bo", ReadOnly, "771924"); err != nil {
		t.Fatal(err)
	}
	var saw job.Person
	h := d.Network(behind(&saw))
	if w := ask(h, "GET", "/jobs", token, nil); w.Code != http.StatusForbidden {
		t.Errorf("before anybody signed in: %d", w.Code)
	}
	bo := d.People()[1].ID
	if w := ask(h, "POST", "/who", token, url.Values{"person": {bo}, "pin": {"771924"}}); w.Code != http.StatusSeeOther {
		t.Fatalf("signing in: %d", w.Code)
	}
	if w := ask(h, "GET", "/jobs", token, nil); w.Code != 200 || saw != (job.Person{Name: "Bo", ReadOnly: true}) {
		t.Errorf("got %d as %+v", w.Code, saw)
	}
	for _, path := range []string{"/phones", "/phones/pair"} {
		if w := ask(h, "GET", path, token, nil); w.Code != http.StatusForbidden {
			t.Errorf("%s for one who only reads: %d", path, w.Code)
		}
	}
	if w := ask(h, "POST", "/jobs/new", token, nil); w.Code != http.StatusForbidden {
		t.Errorf("recording by one who only reads: %d", w.Code)
	}
	c.at = c.at.Add(personTime)
	if w := ask(h, "GET", "/jobs", token, nil); w.Code != http.StatusForbidden {
		t.Errorf("the next day: %d", w.Code)
	}
	for range 5 {
		ask(h, "POST", "/who", token, url.Values{"person": {bo}, "pin": {"999999"}})
	}
	if w := ask(h, "POST", "/who", token, url.Values{"person": {bo}, "pin": {"771924"}}); w.Code != http.StatusTooManyRequests {
		t.Errorf("after five wrong PINs: %d", w.Code)
	}
	if d.RemovePerson(d.People()[0].ID) == nil {
		t.Error("the last owner was taken off")
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
