package cli_test

import (
	"bytes"
	"compress/zlib"
	"encoding/binary"
	"hash/crc32"
	"html"
	"io"
	"net"
	"net/http"
	"net/url"
	"regexp"
	"strings"
	"testing"
	"time"

	"lastbolt/web/ui"
)

// inline is what the policy forbids: script or style in the page itself.
var inline = regexp.MustCompile(`(?i)<script(?:\s[^>]*)?>[^<]|<script(?:\s+(?:defer|async|type="[^"]*"))*\s*>|<style|\sstyle=|\son[a-z]+="|javascript:`)

// Every page that is mounted, asked of the running server with real ids, comes
// with the headers that keep a browser from being talked into anything, names
// its kind, and has nothing inline.
func TestEveryPageComesGuarded(t *testing.T) {
	dir := t.TempDir()
	id := demoFolder(t, dir)
	s := serving(t, "serve", "--dir", dir)
	pages := 0
	for _, route := range everyRoute(map[string]string{"job": id, "kind": "sheet"}) {
		if route[0] != "GET" || strings.HasSuffix(route[1], "/live") {
			continue
		}
		r, err := http.NewRequestWithContext(t.Context(), "GET", strings.TrimSuffix(s.url, "/")+route[1], nil)
		if err != nil {
			t.Fatal(err)
		}
		got, body := asked(t, http.DefaultClient, r)
		if got.StatusCode >= 500 {
			t.Errorf("%s: status %d: %.200s", route[1], got.StatusCode, body)
		}
		for name, want := range map[string]string{
			"Content-Security-Policy": ui.Policy, "X-Content-Type-Options": "nosniff", "Referrer-Policy": "same-origin",
			"Cross-Origin-Resource-Policy": "same-origin", "Cross-Origin-Opener-Policy": "same-origin", "Access-Control-Allow-Origin": "", "Server": "",
		} {
			if value := got.Header.Get(name); value != want {
				t.Errorf("%s: header %s is %q, want %q", route[1], name, value, want)
			}
		}
		kind := got.Header.Get("Content-Type")
		if len(body) > 0 && kind == "" || strings.HasPrefix(kind, "text/") && !strings.Contains(kind, "charset=utf-8") {
			t.Errorf("%s: its kind is said to be %q", route[1], kind)
		}
		if strings.HasPrefix(kind, "text/html") {
			pages++
			if found := inline.FindString(body); found != "" {
				t.Errorf("%s: inline: %q", route[1], found)
			}
			if got.Header.Get("Cache-Control") != "no-store" {
				t.Errorf("%s: the page may be kept by the browser", route[1])
			}
		}
	}
	if pages < 60 {
		t.Errorf("only %d pages were looked at", pages)
	}
	if inline.FindString(`<p onclick="x">`) == "" || inline.FindString(`<script>x</script>`) == "" || inline.FindString(`<i style="x">`) == "" || inline.FindString(`<script defer src="/a.js"></script>`) != "" {
		t.Error("what is inline is not recognised, so nothing was looked at")
	}
}

// Whatever another site's page sends, nothing is recorded; nor by methods that
// no page of ours uses.
func TestNoRouteTakesWhatAnotherSiteSends(t *testing.T) {
	dir := t.TempDir()
	id := demoFolder(t, dir)
	before := events(t, dir, id)
	s := serving(t, "serve", "--dir", dir)
	here := strings.TrimSuffix(s.url, "/")
	posts := 0
	for _, route := range everyRoute(map[string]string{"job": id}) {
		if route[0] == "POST" {
			posts++
			for name, header := range map[string]http.Header{
				"by its Origin":    {"Origin": {"https://elsewhere.example"}},
				"by Sec-Fetch":     {"Sec-Fetch-Site": {"cross-site"}},
				"hidden":           {"Origin": {"null"}},
				"a sister site":    {"Sec-Fetch-Site": {"same-site"}},
				"plain text for a": {"Origin": {"http://localhost:1"}, "Content-Type": {"text/plain"}},
			} {
				r, err := http.NewRequestWithContext(t.Context(), "POST", here+route[1], strings.NewReader("text=foreign&what=foreign"))
				if err != nil {
					t.Fatal(err)
				}
				r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
				for k, v := range header {
					r.Header[k] = v
				}
				got, body := asked(t, http.DefaultClient, r)
				if got.StatusCode != http.StatusForbidden || !strings.Contains(body, "came from another site, so nothing was recorded") {
					t.Errorf("%s, %s: status %d", route[1], name, got.StatusCode)
				}
			}
		}
		for _, method := range []string{"PUT", "DELETE", "PATCH", "TRACE", "CONNECTED"} {
			r, err := http.NewRequestWithContext(t.Context(), method, here+route[1], nil)
			if err != nil {
				t.Fatal(err)
			}
			if got, _ := asked(t, http.DefaultClient, r); got.StatusCode < 400 || got.StatusCode > 499 {
				t.Errorf("%s %s: status %d", method, route[1], got.StatusCode)
			}
		}
	}
	if posts < 50 {
		t.Errorf("only %d routes that record were tried", posts)
	}
	s.stop()
	if got := events(t, dir, id); got != before {
		t.Errorf("%d events were recorded by another site", got-before)
	}
}

// No form reads more than it may, whichever it is and whatever it says of its
// size.
func TestEveryFormHasALimit(t *testing.T) {
	dir := t.TempDir()
	id := demoFolder(t, dir)
	before := events(t, dir, id)
	s := serving(t, "serve", "--dir", dir)
	here := strings.TrimSuffix(s.url, "/")
	for _, route := range everyRoute(map[string]string{"job": id}) {
		if route[0] != "POST" {
			continue
		}
		for name, head := range map[string][2]string{
			"a form":  {"application/x-www-form-urlencoded", "text="},
			"a file":  {"multipart/form-data; boundary=x", "--x\r\nContent-Disposition: form-data; name=\"photo\"; filename=\"a.jpg\"\r\n\r\n"},
			"a field": {"multipart/form-data; boundary=x", "--x\r\nContent-Disposition: form-data; name=\"text\"\r\n\r\n"},
		} {
			body := &zeros{}
			r, err := http.NewRequestWithContext(t.Context(), "POST", here+route[1], io.LimitReader(io.MultiReader(strings.NewReader(head[1]), body), gigabyte))
			if err != nil {
				t.Fatal(err)
			}
			r.ContentLength = gigabyte
			r.Header.Set("Content-Type", head[0])
			r.Header.Set("Origin", here)
			got, err := http.DefaultTransport.RoundTrip(r)
			if err == nil { // else the server has hung up, which is an answer too
				page, _ := io.ReadAll(got.Body)
				_ = got.Body.Close()
				if got.StatusCode >= 500 && got.StatusCode != http.StatusServiceUnavailable || got.StatusCode == http.StatusOK || strings.Contains(string(page), "Something went wrong inside") {
					t.Errorf("%s, %s: status %d: %.200s", route[1], name, got.StatusCode, page)
				}
			}
			if read := body.read.Load(); read > mostSent {
				t.Errorf("%s, %s: %d MB were read", route[1], name, read>>20)
			}
		}
	}
	s.stop()
	if got := events(t, dir, id); got != before {
		t.Errorf("%d events were recorded from what was refused", got-before)
	}
}

// No address leads out of what is served.
func TestNoPathLeadsOut(t *testing.T) {
	dir := t.TempDir()
	demoFolder(t, dir)
	s := serving(t, "serve", "--dir", dir)
	at, err := url.Parse(s.url)
	if err != nil {
		t.Fatal(err)
	}
	tried := 0
	for _, start := range []string{"/photos/", "/static/", "/maps/", "/vehicles/", "/jobs/", "/work-out/", "/"} {
		for _, rest := range []string{"../../../../etc/passwd", "..%2f..%2f..%2f..%2fetc%2fpasswd", "%2e%2e/%2e%2e/%2e%2e/etc/passwd", "..%5c..%5cetc%5cpasswd", "%2fetc%2fpasswd", "....//....//etc/passwd", "x%00.jpg", "lastbolt.db", ".git/config", "../lastbolt.db", "..%2flastbolt.db", strings.Repeat("a", 4000)} {
			// Sent as it is: a client's library would clean it.
			c, err := net.Dial("tcp", at.Host)
			if err != nil {
				t.Fatal(err)
			}
			_ = c.SetDeadline(time.Now().Add(20 * time.Second))
			_, err = io.WriteString(c, "GET "+start+rest+" HTTP/1.1\r\nHost: "+at.Host+"\r\nConnection: close\r\n\r\n")
			if err != nil {
				t.Fatal(err)
			}
			got, err := io.ReadAll(c)
			_ = c.Close()
			if err != nil {
				t.Fatal(err)
			}
			tried++
			status, _, _ := strings.Cut(string(got), "\r\n")
			if !regexp.MustCompile(`^HTTP/1.1 (4\d\d|30[1378]) `).MatchString(status) || bytes.Contains(got, []byte("root:")) || bytes.Contains(got, []byte("SQLite format")) {
				t.Errorf("%s%.60s: %s", start, rest, status)
			}
		}
	}
	if tried < 70 {
		t.Errorf("only %d addresses were tried", tried)
	}
}

// A request that does not come to its end is cut off, and one with a mountain of
// headers is refused.
func TestWhoDawdlesIsCutOff(t *testing.T) {
	d := serveDoor(t, t.TempDir())
	at, err := url.Parse(d.url)
	if err != nil {
		t.Fatal(err)
	}
	type end struct {
		name string
		took time.Duration
	}
	ended := make(chan end, 8)
	slow := map[string][2]string{
		"half a request here":         {at.Host, "GET /jobs HTTP/1.1\r\nHost: "},
		"half a request of a phone":   {d.lan, "GET /jobs HTTP/1.1\r\nHost: "},
		"nothing from a phone":        {d.lan, ""},
		"half a handshake of a phone": {d.lan, "\x16\x03\x01\x02\x00\x01"},
	}
	for name, what := range slow {
		go func() {
			began := time.Now()
			c, err := net.Dial("tcp", what[0])
			if err != nil {
				t.Error(err)
				ended <- end{name, time.Hour}
				return
			}
			defer c.Close()
			_, _ = io.WriteString(c, what[1])
			_ = c.SetReadDeadline(began.Add(40 * time.Second))
			if _, err := io.Copy(io.Discard, c); err != nil && strings.Contains(err.Error(), "timeout") {
				began = began.Add(-time.Hour)
			}
			ended <- end{name, time.Since(began)}
		}()
	}
	r, err := http.NewRequestWithContext(t.Context(), "GET", d.url+"jobs", nil)
	if err != nil {
		t.Fatal(err)
	}
	r.Header.Set("X-Much", strings.Repeat("a", 1<<20))
	if got, _ := asked(t, http.DefaultClient, r); got.StatusCode != http.StatusRequestHeaderFieldsTooLarge {
		t.Errorf("a mountain of headers: status %d", got.StatusCode)
	}
	for range slow {
		if e := <-ended; e.took > 30*time.Second {
			t.Errorf("%s: still open after %v", e.name, e.took)
		}
	}
}

// One phone cannot keep the server from answering the others.
func TestTooMuchAtOnceIsRefused(t *testing.T) {
	d := serveDoor(t, t.TempDir())
	phone := d.phone()
	answers := map[int]int{}
	for range 700 {
		got, err := phone.Get("https://" + d.lan + "/trust")
		if err != nil {
			t.Fatal(err)
		}
		_, _ = io.Copy(io.Discard, got.Body)
		_ = got.Body.Close()
		answers[got.StatusCode]++
		if got.StatusCode == http.StatusTooManyRequests {
			if got.Header.Get("Retry-After") == "" {
				t.Error("it is not said when to come again")
			}
			break
		}
	}
	if answers[http.StatusTooManyRequests] == 0 {
		t.Errorf("the answers to a flood: %v", answers)
	}
	if code, _ := d.get("jobs"); code != http.StatusOK {
		t.Errorf("the computer itself is kept out by it: status %d", code)
	}
}

// bomb is a PNG of a few kilobytes that says it is so many pixels.
func bomb(t *testing.T, wide, high uint32) []byte {
	t.Helper()
	var b bytes.Buffer
	b.WriteString("\x89PNG\r\n\x1a\n")
	chunk := func(kind string, content []byte) {
		_ = binary.Write(&b, binary.BigEndian, uint32(len(content)))
		sum := crc32.NewIEEE()
		for _, part := range [][]byte{[]byte(kind), content} {
			b.Write(part)
			_, _ = sum.Write(part)
		}
		_ = binary.Write(&b, binary.BigEndian, sum.Sum32())
	}
	head := binary.BigEndian.AppendUint32(nil, wide)
	head = binary.BigEndian.AppendUint32(head, high)
	chunk("IHDR", append(head, 8, 2, 0, 0, 0))
	var data bytes.Buffer
	z := zlib.NewWriter(&data)
	_, _ = z.Write(make([]byte, 1<<20))
	_ = z.Close()
	chunk("IDAT", data.Bytes())
	chunk("IEND", nil)
	return b.Bytes()
}

// A picture's size is looked at before it is unfolded in memory.
func TestAPictureThatUnfoldsToGigabytesIsRefused(t *testing.T) {
	dir := t.TempDir()
	id := demoFolder(t, dir)
	before := events(t, dir, id)
	s := serving(t, "serve", "--dir", dir)
	for _, size := range [][2]uint32{{60_000, 60_000}, {1 << 31, 1}, {1, 1 << 30}, {4_000_000_000, 4_000_000_000}} {
		began := time.Now()
		code, page := s.photo(id, "bomb.png", bomb(t, size[0], size[1]))
		if code < 400 || code > 499 || strings.Contains(page, "Something went wrong inside") {
			t.Errorf("%d × %d: status %d: %.300s", size[0], size[1], code, page)
		}
		t.Logf("%d × %d: refused after %v", size[0], size[1], time.Since(began))
	}
	s.stop()
	if got := events(t, dir, id); got != before {
		t.Errorf("%d of them were kept", got-before)
	}
}

// What looks like a piece of a query is text like any other, to keep and to look
// for.
func TestAQueryTakesTextAsText(t *testing.T) {
	dir := t.TempDir()
	id := demoFolder(t, dir)
	before := events(t, dir, id)
	s := serving(t, "serve", "--dir", dir)
	for _, text := range []string{`x'); DROP TABLE event; --`, `" OR 1=1 --`, `%' OR '1'='1`, `$1`, `?; DELETE FROM job`} {
		if code, page := s.post("jobs/new", url.Values{"vehicle": {"Tern"}, "complaint": {"Rattles"}, "title": {text}}); code != http.StatusOK {
			t.Fatalf("%q: status %d: %.300s", text, code, page)
		}
		_, found := s.get("jobs?q=" + url.QueryEscape(text))
		if n := strings.Count(found, `class="list-main"`); n != 1 || !strings.Contains(found, html.EscapeString(text)) {
			t.Errorf("looking for %q finds %d jobs, want the one of that title", text, n)
		}
		for _, path := range []string{"jobs/", "vehicles/", "maps/", "photos/"} {
			if code, page := s.get(path + url.PathEscape(text)); code != http.StatusNotFound && code != http.StatusUnprocessableEntity {
				t.Errorf("%s%s: status %d: %.200s", path, text, code, page)
			}
		}
	}
	s.stop()
	if got := events(t, dir, id); got != before {
		t.Errorf("a job had %d events and has %d", before, got)
	}
}
