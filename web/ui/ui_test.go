package ui

import (
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"net/http"
	"net/http/httptest"
	"net/url"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
)

// The sum is made as in bundle/sources.go, which lies in another module.
func TestTheBundleIsMadeFromTheseSources(t *testing.T) {
	h := sha256.New()
	for _, pattern := range []string{"css/*.css", "fonts/*", "img/*", "src/*.ts"} {
		names, err := filepath.Glob(pattern)
		if err != nil || len(names) == 0 {
			t.Fatalf("%s: %v, %d files", pattern, err, len(names))
		}
		for _, name := range names {
			content, err := os.ReadFile(name)
			if err != nil {
				t.Fatal(err)
			}
			fmt.Fprintf(h, "%s %d\n", filepath.Base(name), len(content))
			h.Write(content)
		}
	}
	if got, want := files().Sources, hex.EncodeToString(h.Sum(nil)); got != want {
		t.Errorf("dist is out of date: run `go run -C web/ui/bundle .`")
	}
}

func get(t *testing.T, path string) *http.Response {
	t.Helper()
	w := httptest.NewRecorder()
	Handler().ServeHTTP(w, httptest.NewRequest(http.MethodGet, path, nil))
	return w.Result()
}

func TestEveryBundledFileIsServedForAYear(t *testing.T) {
	types := map[string]string{".css": "text/css", ".js": "text/javascript", ".woff2": "font/woff2", ".svg": "image/svg+xml", ".png": "image/png"}
	for name := range files().Files {
		res := get(t, URL(name))
		if res.StatusCode != http.StatusOK {
			t.Errorf("%s: status %d", name, res.StatusCode)
		}
		if got := res.Header.Get("Cache-Control"); !strings.Contains(got, "immutable") {
			t.Errorf("%s: Cache-Control %q", name, got)
		}
		if got, want := res.Header.Get("Content-Type"), types[filepath.Ext(name)]; want == "" || !strings.HasPrefix(got, want) {
			t.Errorf("%s: Content-Type %q, want %q", name, got, want)
		}
	}
}

func TestOnlyBundledFilesAreServed(t *testing.T) {
	for _, path := range []string{"/static/", "/static/manifest.json", "/static/app.css", "/static/../ui.go", "/static/app-OLD.js"} {
		if got := get(t, path).StatusCode; got != http.StatusNotFound {
			t.Errorf("%s: status %d, want 404", path, got)
		}
	}
	if got := get(t, "/static/OFL.txt").StatusCode; got != http.StatusOK {
		t.Errorf("the fonts' licence: status %d", got)
	}
}

// What a page under Policy could not load must not be asked for.
func TestTheStyleSheetLoadsNothingFromElsewhere(t *testing.T) {
	css, err := dist.ReadFile("dist/" + files().Files["app.css"])
	if err != nil {
		t.Fatal(err)
	}
	urls := regexp.MustCompile(`url\(([^)]*)\)`).FindAllStringSubmatch(string(css), -1)
	if len(urls) == 0 {
		t.Fatal("the style sheet names no font")
	}
	for _, u := range urls {
		name := strings.TrimPrefix(strings.Trim(u[1], `"'`), "./")
		if get(t, Prefix+name).StatusCode != http.StatusOK {
			t.Errorf("%s is not among the bundled files", u[0])
		}
	}
}

func TestURLOfAnUnknownFilePanics(t *testing.T) {
	defer func() {
		if recover() == nil {
			t.Error("URL(\"none.css\") did not panic")
		}
	}()
	URL("none.css")
}

func TestThemeIsKeptAndTheReaderSentBack(t *testing.T) {
	tests := []struct {
		name, choice, referer string
		wantTheme, wantBack   string
	}{
		{"sun from a step", "sun", "http://shop.local/jobs/1?step=2", "sun", "/jobs/1?step=2"},
		{"auto forgets", "auto", "http://shop.local/shelf", "", "/shelf"},
		{"not a theme", "neon", "http://shop.local/shelf", "", "/shelf"},
		{"no page before", "dark", "", "dark", "/"},
		{"another host", "dark", "http://other.example/x", "dark", "/"},
		{"a path that looks like a host", "dark", "http://shop.local//other.example", "dark", "/"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			r := httptest.NewRequest(http.MethodPost, "http://shop.local/theme", strings.NewReader(url.Values{"theme": {tt.choice}}.Encode()))
			r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
			if tt.referer != "" {
				r.Header.Set("Referer", tt.referer)
			}
			w := httptest.NewRecorder()
			SetTheme(w, r)
			if got := w.Header().Get("Location"); w.Code != http.StatusSeeOther || got != tt.wantBack {
				t.Errorf("answer %d to %q, want 303 to %q", w.Code, got, tt.wantBack)
			}
			next := httptest.NewRequest(http.MethodGet, "/", nil)
			for _, c := range w.Result().Cookies() {
				next.AddCookie(c)
			}
			if got := Theme(next); got != tt.wantTheme {
				t.Errorf("theme %q afterwards, want %q", got, tt.wantTheme)
			}
		})
	}
}
