package phone

import (
	"bytes"
	"compress/gzip"
	"io"
	"net/http"
	"net/http/httptest"
	"strings"
	"testing"

	"github.com/andybalholm/brotli"
)

// The program comes as brotli to browsers that open it, as gzip to all others,
// and is the same program.
func TestTheProgramComesAsSmallAsTheBrowserCanOpenIt(t *testing.T) {
	wasm := []byte("\x00asm" + strings.Repeat("a program ", 1000))
	var packed bytes.Buffer
	w := brotli.NewWriter(&packed)
	if _, err := w.Write(wasm); err != nil {
		t.Fatal(err)
	}
	if err := w.Close(); err != nil {
		t.Fatal(err)
	}
	opened := 0
	p := Program{Brotli: packed.Bytes(), Glue: []byte("glue"), Open: func(b []byte) ([]byte, error) {
		opened++
		return io.ReadAll(brotli.NewReader(bytes.NewReader(b)))
	}}
	pages, err := Handler(p, http.NotFoundHandler(), nil)
	if err != nil {
		t.Fatal(err)
	}
	for accepted, coding := range map[string]string{
		"gzip, deflate, br, zstd": "br", "br;q=0.5": "br", "gzip": "", "": "", "gzip, br;q=0": "", "brotli": "",
	} {
		r := httptest.NewRequest("GET", "/"+programName(p), nil)
		r.Header.Set("Accept-Encoding", accepted)
		answer := httptest.NewRecorder()
		pages.ServeHTTP(answer, r)
		if got := answer.Header().Get("Content-Encoding"); answer.Code != http.StatusOK || got != coding || answer.Header().Get("Vary") != "Accept-Encoding" {
			t.Fatalf("%q: status %d, coded as %q, want %q", accepted, answer.Code, got, coding)
		}
		var body io.Reader = answer.Body
		if coding == "br" {
			body = brotli.NewReader(body)
		} else if body, err = gzip.NewReader(body); err != nil {
			t.Fatal(err)
		}
		if got, err := io.ReadAll(body); err != nil || !bytes.Equal(got, wasm) {
			t.Errorf("%q: another program of %d bytes arrives: %v", accepted, len(got), err)
		}
	}
	if opened != 1 {
		t.Errorf("the program was compressed anew %d times", opened)
	}
}

func TestTheFolderHoldsTheProgramAsGzip(t *testing.T) {
	p, err := Pack([]byte("\x00asm"), []byte("glue"))
	if err != nil {
		t.Fatal(err)
	}
	site, err := Site(p)
	if err != nil {
		t.Fatal(err)
	}
	z, err := gzip.NewReader(bytes.NewReader(site[programName(p)]))
	if err != nil {
		t.Fatal(err)
	}
	if got, err := io.ReadAll(z); err != nil || string(got) != "\x00asm" {
		t.Errorf("%q, %v", got, err)
	}
}

// A host for files is asked for the smallest there is, and for what opens it.
func TestTheFolderHoldsTheProgramAsBrotliWithWhatOpensIt(t *testing.T) {
	p := Program{Brotli: []byte("packed"), Glue: []byte("glue")}
	site, err := Site(p)
	if err != nil {
		t.Fatal(err)
	}
	name := "lastbolt-" + sum(p.Brotli) + ".wasm.br"
	if got := site[name]; string(got) != "packed" {
		t.Errorf("%s holds %q", name, got)
	}
	if len(site["brotli.js"]) == 0 {
		t.Error("what opens the program is missing")
	}
	for _, asks := range []string{"start.js", "worker.js"} {
		if !strings.Contains(string(site[asks]), "'/"+name+"'") {
			t.Errorf("%s does not ask for %s", asks, name)
		}
	}
	if strings.Contains(string(site["worker.js"]), "'/brotli.js',") {
		t.Error("what opens the program is fetched a second time to be kept")
	}
	if site, err = Site(Program{Wasm: []byte("packed")}); err != nil || site["brotli.js"] != nil {
		t.Errorf("a folder with gzip brings what opens brotli: %v", err)
	}
}
