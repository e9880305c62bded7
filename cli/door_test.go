package cli_test

import (
	"bytes"
	"context"
	"crypto/tls"
	"crypto/x509"
	"fmt"
	"io"
	"net"
	"net/http"
	"net/http/cookiejar"
	"net/url"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"time"

	"lastbolt/cli"
	"lastbolt/web"
)

// A door is a running server that lets phones in, and where they come in.
type door struct {
	*server
	lan  string // host and port
	root []byte // the certificate to trust, DER
}

func serveDoor(t *testing.T, dir string) *door {
	t.Helper()
	d := &door{server: serving(t, "serve", "--dir", dir, "--lan", "--lan-listen", "127.0.0.1:0")}
	m := regexp.MustCompile(`Phones: https on (\S+)\. Pair`).FindStringSubmatch(d.err.String())
	if m == nil {
		t.Fatalf("no address for phones is said: %s", d.err.String())
	}
	d.lan = m[1]
	code, root := answer(t)(http.Get("http://" + d.lan + "/trust/lastbolt.crt"))
	if code != http.StatusOK {
		t.Fatalf("the certificate: status %d", code)
	}
	d.root = []byte(root)
	return d
}

// phone is a browser of its own that trusts the certificate, paired or not yet.
func (d *door) phone() *http.Client {
	d.t.Helper()
	root, err := x509.ParseCertificate(d.root)
	if err != nil {
		d.t.Fatal(err)
	}
	pool := x509.NewCertPool()
	pool.AddCert(root)
	jar, err := cookiejar.New(nil)
	if err != nil {
		d.t.Fatal(err)
	}
	transport := &http.Transport{TLSClientConfig: &tls.Config{RootCAs: pool}, ForceAttemptHTTP2: true}
	d.t.Cleanup(transport.CloseIdleConnections)
	return &http.Client{Transport: transport, Jar: jar, CheckRedirect: func(*http.Request, []*http.Request) error { return http.ErrUseLastResponse }}
}

// code is the pairing code that the owner's page shows.
func (d *door) code() string {
	d.t.Helper()
	_, page := d.get("phones/pair")
	m := regexp.MustCompile(`code-word">(\w+) (\w+)<`).FindStringSubmatch(page)
	if m == nil {
		d.t.Fatalf("the page shows no code: %s", page)
	}
	return m[1] + m[2]
}

func (d *door) paired(name string) *http.Client {
	d.t.Helper()
	phone := d.phone()
	status, page := answer(d.t)(phone.PostForm("https://"+d.lan+"/pair", url.Values{"code": {d.code()}, "name": {name}}))
	if status != http.StatusSeeOther {
		d.t.Fatalf("pairing: status %d: %s", status, page)
	}
	return phone
}

// token is what a paired phone keeps.
func (d *door) token(phone *http.Client) string {
	for _, c := range phone.Jar.Cookies(&url.URL{Scheme: "https", Host: d.lan, Path: "/"}) {
		if strings.HasPrefix(c.Name, "__Host-") {
			return c.Value
		}
	}
	d.t.Fatal("the phone keeps no cookie")
	return ""
}

func TestNobodyIsLetInUnasked(t *testing.T) {
	for _, test := range []struct {
		name string
		args []string
		says string
	}{
		{"every network", []string{"serve", "--listen", "0.0.0.0:0"}, "everyone in the network could read and change everything here. Use --lan to let only paired phones in, or say --let-everyone-in"},
		{"every network, short", []string{"serve", "--listen", ":0"}, "--let-everyone-in"},
		{"every network, IPv6", []string{"serve", "--listen", "[::]:0"}, "--let-everyone-in"},
		{"one of its addresses", []string{"serve", "--listen", "192.0.2.7:0"}, "--let-everyone-in"},
		{"the demo", []string{"demo", "--listen", "0.0.0.0:0"}, "--let-everyone-in"},
		{"beside the phones' door", []string{"serve", "--lan", "--listen", "0.0.0.0:0"}, "would let everyone in without pairing. Leave --listen out"},
		{"beside the phones' door, though asked for", []string{"serve", "--lan", "--let-everyone-in", "--listen", "0.0.0.0:0"}, "would let everyone in without pairing"},
	} {
		t.Run(test.name, func(t *testing.T) {
			dir := filepath.Join(t.TempDir(), "data")
			var out, errs safeBuffer
			ctx, cancel := context.WithTimeout(t.Context(), 20*time.Second)
			defer cancel()
			env := cli.Env{Out: &out, Err: &errs, Now: time.Now, Cache: t.TempDir(), Started: func(url string) {
				t.Errorf("it serves %s", url)
				cancel()
			}}
			if code := cli.Run(ctx, append(test.args, "--dir", dir), env); code != 1 {
				t.Errorf("exit status %d", code)
			}
			contains(t, "standard error", errs.String(), test.says)
			if _, err := os.Stat(dir); err == nil {
				t.Error("a folder was made for nothing")
			}
		})
	}
}

func TestWhoAsksForItLetsEveryoneIn(t *testing.T) {
	ctx, cancel := context.WithCancel(t.Context())
	started, done := make(chan string, 1), make(chan int, 1)
	var out, errs safeBuffer
	env := cli.Env{Out: &out, Err: &errs, Now: time.Now, DataDir: t.TempDir(), Started: func(url string) { started <- url }}
	go func() { done <- cli.Run(ctx, []string{"serve", "--let-everyone-in", "--listen", "0.0.0.0:0"}, env) }()
	at := <-started
	r, err := http.NewRequest("GET", at+"jobs", nil)
	if err != nil {
		t.Fatal(err)
	}
	r.Host = "shop.local" // as a phone calls it
	code, page := answer(t)(http.DefaultClient.Do(r))
	if code != http.StatusOK || !strings.Contains(page, "No job in hand") {
		t.Errorf("status %d: %.300s", code, page)
	}
	contains(t, "standard error", errs.String(), "Everyone in this network can read and change everything here.")
	cancel()
	<-done
}

// The codes on papers lead a phone to an address that it can open: by which it
// came, or that of the phones' door where the computer itself prints.
func TestPapersLeadPhonesToTheAddressInUse(t *testing.T) {
	dir := t.TempDir()
	id := demoFolder(t, dir)
	noon := time.Now().Truncate(time.Hour)
	at := func(args ...string) []byte {
		t.Helper()
		var errs bytes.Buffer
		file := filepath.Join(t.TempDir(), "paper.pdf")
		env := cli.Env{Out: io.Discard, Err: &errs, Now: func() time.Time { return noon }, DataDir: dir}
		if code := cli.Run(t.Context(), append([]string{"paper", "labels", id, "--units", "imperial", "-o", file}, args...), env); code != 0 {
			t.Fatalf("exit status %d: %s", code, errs.String())
		}
		pdf, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		return pdf
	}
	clock = func() time.Time { return noon }
	defer func() { clock = time.Now }()
	d := serveDoor(t, dir)
	want := at("--base", "https://"+d.lan)
	if bytes.Equal(want, at("--base", "http://"+d.lan)) {
		t.Fatal("papers with other codes are the same, so nothing is compared here")
	}
	status, pdf := answer(t)(d.paired("blue").Get("https://" + d.lan + "/jobs/" + id + "/paper/labels"))
	if status != http.StatusOK || pdf != string(want) {
		t.Errorf("printed from a phone: status %d, and the codes are not those of https://%s", status, d.lan)
	}
	status, pdf = d.get("jobs/" + id + "/paper/labels")
	if status != http.StatusOK || pdf != string(want) {
		t.Errorf("printed from the computer: status %d, and the codes are not those of https://%s", status, d.lan)
	}
}

// clock is the one that servers of these tests go by.
var clock = time.Now

var wild = regexp.MustCompile(`\{[^}]*\}`)

// everyRoute is every method and address that the program mounts, with real
// ids where they are known.
func everyRoute(known map[string]string) [][2]string {
	var all [][2]string
	for _, pattern := range (&web.Host{}).Routes().Patterns() {
		method, path, found := strings.Cut(pattern, " ")
		if !found {
			method, path = "GET", pattern
		}
		for name, value := range known {
			path = strings.ReplaceAll(path, "{"+name+"}", value)
		}
		path = strings.ReplaceAll(path, "{$}", "")
		all = append(all, [2]string{method, wild.ReplaceAllString(path, "x")})
	}
	return all
}

// asked sends a request and waits where the server says that it is too much at
// once.
func asked(t *testing.T, c *http.Client, r *http.Request) (*http.Response, string) {
	t.Helper()
	for range 20 {
		answer, err := c.Do(r)
		if err != nil {
			t.Fatalf("%s %s: %v", r.Method, r.URL, err)
		}
		body, err := io.ReadAll(answer.Body)
		_ = answer.Body.Close()
		if err != nil {
			t.Fatalf("%s %s: %v", r.Method, r.URL, err)
		}
		if answer.StatusCode != http.StatusTooManyRequests {
			return answer, string(body)
		}
		time.Sleep(500 * time.Millisecond)
	}
	t.Fatalf("%s %s: too much at once for ten seconds", r.Method, r.URL)
	return nil, ""
}

// names are what a stranger must not read: of vehicles, jobs, phones, people
// and folders.
func names(t *testing.T, s *server, dir string) []string {
	t.Helper()
	_, vehicles := s.get("vehicles")
	contains(t, "the vehicles", vehicles, "Tern")
	return []string{"Tern", "Harrow", "Oil cooler", "Alternator", "Zephyr", "Ann", dir}
}

func TestAnUnpairedPhoneReadsNoNameOnAnyRouteOfTheServer(t *testing.T) {
	dir := t.TempDir()
	id := demoFolder(t, dir)
	d := serveDoor(t, dir)
	d.paired("Zephyr")
	if code, page := d.post("phones/add-person", url.Values{"name": {"Ann"}, "role": {"owner"}, "pin": {"482915"}}); code != http.StatusOK {
		t.Fatalf("status %d: %s", code, page)
	}
	hidden := names(t, d.server, dir)
	known := map[string]string{"job": id, "name": strings.Repeat("a", 64)}
	routes := everyRoute(known)
	if len(routes) < 100 {
		t.Fatalf("only %d routes are mounted", len(routes))
	}
	for _, path := range []string{"/phones", "/phones/pair", "/phones/live", "/who", "/who/pin", "/exchange/x", "/replicate/x", "/worker.js", "/nothing", "/static/", "/pair", "/trust"} {
		routes = append(routes, [2]string{"GET", path}, [2]string{"POST", path})
	}
	stranger := d.phone()
	for _, origin := range []string{"https://" + d.lan, "http://" + d.lan} {
		seen := map[string]bool{}
		for _, route := range routes {
			r, err := http.NewRequestWithContext(t.Context(), route[0], origin+route[1], nil)
			if err != nil {
				t.Fatal(err)
			}
			r.Header.Set("Accept", "text/event-stream, text/html")
			answer, body := asked(t, stranger, r)
			whole := body + fmt.Sprint(answer.Header)
			for _, name := range hidden {
				if strings.Contains(whole, name) {
					t.Errorf("%s %s: a stranger reads %q (status %d)", route[0], r.URL, name, answer.StatusCode)
				}
			}
			open := strings.HasPrefix(route[1], "/static/") || route[1] == "/pair" || route[1] == "/trust" || route[1] == "/theme"
			if !open && strings.HasPrefix(origin, "https") {
				if answer.StatusCode != http.StatusForbidden {
					t.Errorf("%s %s: status %d tells what is there", route[0], r.URL, answer.StatusCode)
				}
				seen[body] = true
			}
			if !open && strings.HasPrefix(origin, "http:") && answer.Header.Get("Location") != "/trust" {
				t.Errorf("%s %s: status %d, want to be led to /trust", route[0], r.URL, answer.StatusCode)
			}
		}
		if len(seen) > 1 {
			t.Errorf("%d different pages tell a stranger's addresses apart, want one", len(seen))
		}
	}
}

// What a phone is shown beside its pages names nothing either.
func TestTheLookOfThePagesNamesNothing(t *testing.T) {
	dir := t.TempDir()
	demoFolder(t, dir)
	d := serveDoor(t, dir)
	stranger := d.phone()
	_, page := answer(t)(stranger.Get("https://" + d.lan + "/pair"))
	links := regexp.MustCompile(`(?:href|src)="(/static/[^"]+)"`).FindAllStringSubmatch(page, -1)
	if len(links) < 4 {
		t.Fatalf("the page loads only %d files", len(links))
	}
	for _, l := range links {
		status, body := answer(t)(stranger.Get("https://" + d.lan + l[1]))
		if status != http.StatusOK {
			t.Errorf("%s: status %d", l[1], status)
		}
		for _, name := range []string{"Tern", "Harrow", dir} {
			if strings.Contains(body, name) {
				t.Errorf("%s names %q", l[1], name)
			}
		}
	}
}

// secretsOf is what must be nowhere but in the folder lan.
func secretsOf(t *testing.T, dir string) []string {
	t.Helper()
	var out []string
	for _, name := range []string{"authority.pem", "leaf.pem"} {
		text, err := os.ReadFile(filepath.Join(dir, "lan", name))
		if err != nil {
			t.Fatal(err)
		}
		out = append(out, strings.Split(string(text), "\n")[1:3]...) // of the private key
	}
	kept, err := os.ReadFile(filepath.Join(dir, "lan", "door.json"))
	if err != nil {
		t.Fatal(err)
	}
	for _, m := range regexp.MustCompile(`"(?:token|fresh|pin)": "([^"]+)"`).FindAllStringSubmatch(string(kept), -1) {
		out = append(out, m[1])
	}
	return out
}

func TestSecretsAreInNoLogNoExportAndNoBackup(t *testing.T) {
	dir := t.TempDir()
	id := demoFolder(t, dir)
	d := serveDoor(t, dir)
	spent := d.code()
	phone := d.paired("blue phone")
	secrets := []string{spent, spent[:5] + " " + spent[5:], "482915", "771924", "640382", d.token(phone)}
	for _, p := range []url.Values{{"name": {"Ann"}, "role": {"owner"}, "pin": {"482915"}}, {"name": {"Bo"}, "role": {"mechanic"}, "pin": {"771924"}}, {"name": {"Cy"}, "role": {"mechanic"}, "pin": {"64038x"}}} {
		d.post("phones/add-person", p)
	}
	_, list := d.get("phones")
	ids := regexp.MustCompile(`person\?id=(\w+)`).FindAllStringSubmatch(list, -1)
	if len(ids) != 2 {
		t.Fatalf("%d people are listed: %s", len(ids), list)
	}
	form := func(path string, v url.Values) int {
		status, _ := answer(t)(phone.PostForm("https://"+d.lan+path, v))
		return status
	}
	if got := form("/who", url.Values{"person": {ids[1][1]}, "pin": {"640382"}}); got != http.StatusUnprocessableEntity {
		t.Errorf("a wrong PIN: status %d", got)
	}
	if got := form("/who", url.Values{"person": {ids[1][1]}, "pin": {"771924"}}); got != http.StatusSeeOther {
		t.Errorf("the right PIN: status %d", got)
	}
	secrets = append(secrets, d.token(phone))
	if got := form("/jobs/"+id+"/note", url.Values{"text": {"seen by Bo"}}); got != http.StatusSeeOther {
		t.Errorf("recording: status %d", got)
	}
	for _, path := range []string{"/jobs/none", "/photos/none", "/pair?code=" + spent, "/nothing"} {
		_, _ = answer(t)(phone.Get("https://" + d.lan + path))
	}
	_, _ = answer(t)(d.phone().PostForm("https://"+d.lan+"/pair", url.Values{"code": {spent}}))
	secrets = append(secrets, secretsOf(t, dir)...)
	if len(secrets) < 13 {
		t.Fatalf("only %d secrets are known", len(secrets))
	}
	d.stop()

	said := map[string]string{"standard output": d.out.String(), "standard error": d.err.String()}
	var export, errs bytes.Buffer
	env := cli.Env{Out: &export, Err: &errs, Now: time.Now, DataDir: dir}
	if code := cli.Run(t.Context(), []string{"export"}, env); code != 0 {
		t.Fatalf("export: %s", errs.String())
	}
	said["the export"] = export.String()
	contains(t, "the export", export.String(), "seen by Bo", `"by":"Bo"`)
	copied := filepath.Join(t.TempDir(), "copy")
	if code := cli.Run(t.Context(), []string{"backup", "make", copied}, env); code != 0 {
		t.Fatalf("backup: %s", errs.String())
	}
	for _, folder := range []string{copied, dir} {
		err := filepath.WalkDir(folder, func(path string, e os.DirEntry, err error) error {
			switch {
			case err != nil:
				return err
			case e.IsDir() && path == filepath.Join(dir, "lan"):
				return filepath.SkipDir
			case e.IsDir():
				return nil
			}
			content, err := os.ReadFile(path)
			said[path] = string(content)
			return err
		})
		if err != nil {
			t.Fatal(err)
		}
	}
	for where, text := range said {
		for i, secret := range secrets {
			if len(secret) > 6 && strings.Contains(text, secret) || len(secret) == 6 && wordIn(text, secret) {
				t.Errorf("secret %d is in %s", i, where)
			}
		}
	}
}

// wordIn tells whether six digits stand alone: in a database's bytes they may
// stand in a longer number by chance.
func wordIn(text, digits string) bool {
	return regexp.MustCompile(`(^|[^0-9A-Za-z])` + digits + `($|[^0-9A-Za-z])`).MatchString(text)
}

// A connection of the network that says nothing is closed, and one address
// cannot take all of them.
func TestOneAddressCannotTakeEveryConnection(t *testing.T) {
	d := serveDoor(t, t.TempDir())
	var open []net.Conn
	defer func() {
		for _, c := range open {
			_ = c.Close()
		}
	}()
	closed := 0
	for range 80 {
		c, err := net.Dial("tcp", d.lan)
		if err != nil {
			t.Fatal(err)
		}
		open = append(open, c)
	}
	for _, c := range open {
		_ = c.SetReadDeadline(time.Now().Add(30 * time.Millisecond))
		if _, err := c.Read(make([]byte, 1)); err != nil && !os.IsTimeout(err) {
			closed++
		}
	}
	if closed < 10 || closed > 20 {
		t.Errorf("of 80 connections from one address %d were closed, want some 16", closed)
	}
}

// Whoever has the phone in hand is named in a job's record and in the versions
// of vehicles and of the shelf.
func TestTheRecordNamesWhoDidWhat(t *testing.T) {
	dir := t.TempDir()
	id := demoFolder(t, dir)
	d := serveDoor(t, dir)
	phone := d.paired("blue phone")
	d.post("phones/add-person", url.Values{"name": {"Ann"}, "role": {"owner"}, "pin": {"482915"}})
	d.post("phones/add-person", url.Values{"name": {"Bo Harper"}, "role": {"mechanic"}, "pin": {"771924"}})
	_, list := d.get("phones")
	ids := regexp.MustCompile(`person\?id=(\w+)`).FindAllStringSubmatch(list, -1)
	if len(ids) != 2 {
		t.Fatalf("%d people are listed: %s", len(ids), list)
	}
	form := func(path string, v url.Values) {
		t.Helper()
		if status, page := answer(t)(phone.PostForm("https://"+d.lan+path, v)); status != http.StatusSeeOther {
			t.Fatalf("%s: status %d: %s", path, status, page)
		}
	}
	form("/who", url.Values{"person": {ids[1][1]}, "pin": {"771924"}})
	form("/jobs/"+id+"/note", url.Values{"text": {"seen"}})
	form("/new/vehicle", url.Values{"name": {"Red Tern van"}, "base": {"0"}})
	read := func(path string) string {
		t.Helper()
		_, page := answer(t)(phone.Get("https://" + d.lan + path))
		return page
	}
	contains(t, "the job's record", read("/jobs/"+id+"/record"), "Bo Harper")
	contains(t, "the vehicle", read("/vehicles/red-tern-van"), "Bo Harper")
	contains(t, "the page that releases", read("/jobs/"+id+"/release"), `value="Bo Harper"`)
	if code, page := d.post("jobs/"+id+"/note", url.Values{"text": {"seen too"}}); code != http.StatusOK {
		t.Fatalf("status %d: %s", code, page)
	}
	contains(t, "the job's record", read("/jobs/"+id+"/record"), "at the computer")
}
