package lan

import (
	"crypto/tls"
	"crypto/x509"
	"go/parser"
	"go/token"
	"net"
	"net/http"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"lastbolt/job"
)

func TestOldVersionsOfTLSAreRefused(t *testing.T) {
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
	for _, test := range []struct {
		name       string
		most, want uint16 // 0 for none
	}{
		{"the newest first", tls.VersionTLS13, tls.VersionTLS13},
		{"1.2 where the phone has no newer", tls.VersionTLS12, tls.VersionTLS12},
		{"1.1", tls.VersionTLS11, 0},
		{"1.0", tls.VersionTLS10, 0},
	} {
		c, err := tls.Dial("tcp", l.Addr().String(), &tls.Config{RootCAs: pool, MinVersion: tls.VersionTLS10, MaxVersion: test.most})
		if (err == nil) != (test.want != 0) {
			t.Errorf("%s: %v", test.name, err)
		}
		if err == nil {
			if got := c.ConnectionState(); got.Version != test.want || slices.ContainsFunc(tls.InsecureCipherSuites(), func(s *tls.CipherSuite) bool { return s.ID == got.CipherSuite }) {
				t.Errorf("%s: version %x with %s", test.name, got.Version, tls.CipherSuiteName(got.CipherSuite))
			}
			_ = c.Close()
		}
	}
}

// Secrets are never made of chance that can be foretold, nor kept by a hash that
// is broken.
func TestOnlySoundHashesAndChanceAreUsed(t *testing.T) {
	files, err := filepath.Glob("*.go")
	if err != nil || len(files) < 10 {
		t.Fatalf("%d files, %v", len(files), err)
	}
	bad := []string{"crypto/md5", "crypto/sha1", "crypto/des", "crypto/rc4", "math/rand", "math/rand/v2", "unsafe"}
	random := 0
	for _, name := range files {
		if strings.HasSuffix(name, "_test.go") {
			continue
		}
		file, err := parser.ParseFile(token.NewFileSet(), name, nil, parser.ImportsOnly)
		if err != nil {
			t.Fatal(err)
		}
		for _, i := range file.Imports {
			path, _ := strconv.Unquote(i.Path.Value)
			if slices.Contains(bad, path) {
				t.Errorf("%s uses %s", name, path)
			}
			if path == "crypto/rand" {
				random++
			}
		}
	}
	if random == 0 {
		t.Error("nothing uses crypto/rand, so the names of packages are read wrongly")
	}
}

// levelOne are the requirements of OWASP ASVS 5.0.0 at level 1, all of them.
var levelOne = strings.Fields(`
	1.2.1 1.2.2 1.2.3 1.2.4 1.2.5 1.3.1 1.3.2 1.5.1
	2.1.1 2.2.1 2.2.2 2.3.1
	3.2.1 3.2.2 3.3.1 3.4.1 3.4.2 3.5.1 3.5.2 3.5.3
	4.1.1 4.4.1
	5.2.1 5.2.2 5.3.1 5.3.2
	6.2.1 6.2.2 6.2.3 6.2.4 6.2.5 6.2.6 6.2.7 6.2.8 6.3.1 6.3.2 6.4.1 6.4.2
	7.2.1 7.2.2 7.2.3 7.2.4 7.4.1 7.4.2
	8.1.1 8.2.1 8.2.2 8.3.1
	9.1.1 9.1.2 9.1.3 9.2.1
	10.4.1 10.4.2 10.4.3 10.4.4 10.4.5
	11.3.1 11.3.2 11.4.1
	12.1.1 12.2.1 12.2.2
	13.4.1 14.2.1 14.3.1 15.1.1 15.2.1 15.3.1`)

// Every requirement has its row in docs/security.md, which says how it stands,
// and every test that the page names is there to be run.
func TestThePageOnSecurityNamesWhatIsThere(t *testing.T) {
	page, err := os.ReadFile(filepath.Join("..", "docs", "security.md"))
	if err != nil {
		t.Fatal(err)
	}
	rows := map[string]int{}
	for _, line := range strings.Split(string(page), "\n") {
		cells := strings.Split(line, "|")
		if len(cells) < 5 || !regexp.MustCompile(`^ \d+\.\d+\.\d+`).MatchString(cells[1]) {
			continue
		}
		for _, number := range strings.Fields(strings.ReplaceAll(cells[1], ",", " ")) {
			rows[number]++
		}
		state, shown := strings.TrimSpace(cells[3]), strings.TrimSpace(cells[4])
		if met := strings.HasPrefix(state, "met") || strings.HasPrefix(state, "in part"); met && !strings.Contains(shown, "Test") && !strings.HasPrefix(shown, "no test: ") {
			t.Errorf("%s: said to be met, with neither a test nor why there is none: %q", cells[1], shown)
		}
		if !regexp.MustCompile(`^(met|in part|not met|nothing of the kind)`).MatchString(state) {
			t.Errorf("%s: how it stands is not said: %q", cells[1], state)
		}
	}
	for _, number := range levelOne {
		if rows[number] != 1 {
			t.Errorf("requirement %s has %d rows", number, rows[number])
		}
		delete(rows, number)
	}
	for number := range rows {
		t.Errorf("%s is no requirement of level 1", number)
	}

	there := map[string]bool{}
	err = filepath.WalkDir("..", func(path string, e os.DirEntry, err error) error {
		if err != nil || e.IsDir() || !strings.HasSuffix(path, "_test.go") {
			return err
		}
		text, err := os.ReadFile(path)
		for _, m := range regexp.MustCompile(`(?m)^func (Test\w+)\(`).FindAllSubmatch(text, -1) {
			there[string(m[1])] = true
		}
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	named := regexp.MustCompile(`Test[A-Z]\w+`).FindAllString(string(page), -1)
	if len(named) < 30 {
		t.Errorf("the page names only %d tests", len(named))
	}
	for _, name := range named {
		if !there[name] {
			t.Errorf("there is no test %s", name)
		}
	}
}
