package browsertest

import (
	"bytes"
	"fmt"
	"net/http"
	"net/http/httptest"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"testing"

	"github.com/andybalholm/brotli"

	"lastbolt/internal/browser"
	"lastbolt/internal/buildflags"
)

// forPhone compiles something for the phone's browser.
func forPhone(t *testing.T, args ...string) {
	t.Helper()
	cmd := exec.Command("go", args...)
	cmd.Env = append(os.Environ(), "GOOS=js", "GOARCH=wasm", "CGO_ENABLED=0")
	if out, err := cmd.CombinedOutput(); err != nil {
		t.Fatalf("go %s: %v\n%s", strings.Join(args, " "), err, out)
	}
}

// phoneProgram compiles the phone's program as make does.
func phoneProgram(t *testing.T, to string) {
	t.Helper()
	flags, err := buildflags.Read(filepath.Join("..", "web", "phone", "program.flags"))
	if err != nil {
		t.Fatal(err)
	}
	forPhone(t, slices.Concat([]string{"build"}, flags, []string{"-o", to, "lastbolt/cmd/phone"})...)
}

func glue(t *testing.T) string {
	t.Helper()
	root, err := exec.Command("go", "env", "GOROOT").Output()
	if err != nil {
		t.Fatal(err)
	}
	return filepath.Join(strings.TrimSpace(string(root)), "lib", "wasm", "wasm_exec.js")
}

const suitePage = `<!DOCTYPE html><title>Suite</title><pre id="out"></pre><script src="/glue.js"></script><script>
const out = document.getElementById('out'), decoder = new TextDecoder();
globalThis.fs.writeSync = (fd, buf) => { out.textContent += decoder.decode(buf); return buf.length; };
globalThis.fs.write = (fd, buf, offset, length, position, callback) => callback(null, globalThis.fs.writeSync(fd, buf));
const go = new Go();
go.argv = ['suite.test', '-test.v', '-test.timeout=5m', '-test.run=^Test', '-rapid.checks=20', '-rapid.nofailfile'];
go.exit = (code) => { globalThis.ended = code; };
WebAssembly.instantiateStreaming(fetch('/suite.wasm'), go.importObject).then(({ instance }) => go.run(instance))
  .then(() => { globalThis.over = true; }, (error) => { out.textContent += error; globalThis.over = true; });
</script>`

// The store in a browser's own database shows the behaviour that every store
// must show, in a real browser.
func TestTheBrowsersDatabaseBehavesAsAStore(t *testing.T) {
	tab := browser.Phone(t)
	suite := filepath.Join(t.TempDir(), "suite.wasm")
	forPhone(t, "test", "-c", "-o", suite, "lastbolt/store/indexed")
	mux := http.NewServeMux()
	mux.HandleFunc("/", func(w http.ResponseWriter, r *http.Request) { fmt.Fprint(w, suitePage) })
	mux.HandleFunc("/glue.js", func(w http.ResponseWriter, r *http.Request) { http.ServeFile(w, r, glue(t)) })
	mux.HandleFunc("/suite.wasm", func(w http.ResponseWriter, r *http.Request) {
		w.Header().Set("Content-Type", "application/wasm")
		http.ServeFile(w, r, suite)
	})
	s := httptest.NewServer(mux)
	defer s.Close()
	tab.Open(s.URL)
	for range 10 { // one wait is not long enough for the whole suite
		if browser.Eval[bool](tab, `new Promise((done) => { const began = Date.now(); const look = () => globalThis.over || Date.now() - began > 10000 ? done(!!globalThis.over) : setTimeout(look, 100); look(); })`) {
			break
		}
	}
	said := tab.Text("#out")
	if browser.Eval[string](tab, `String(globalThis.ended)`) != "0" || strings.Count(said, "--- PASS: TestTheBrowsersDatabaseBehavesAsAStore/") < 25 {
		t.Errorf("the suite did not pass in the browser:\n%s", said)
	}
	for _, part := range []string{"/a_sweep_takes_what_is_old_and_mentioned_nowhere", "/a_file_kept_while_a_sweep_runs_is_there_afterwards", "TestADatabaseOfVersionOneIsTakenOver", "TestEveryWriteRaisesTheMark"} {
		if !strings.Contains(said, part+" (") || strings.Contains(said, "SKIP: TestTheBrowsersDatabaseBehavesAsAStore"+part) {
			t.Errorf("%s was not run in the browser", part)
		}
	}
}

// staticFolder is what `lastbolt site` wrote, once.
var staticFolder struct {
	once sync.Once
	path string
}

// brotlied compresses a file as `make build` does, but fast, and gives the name.
func brotlied(t *testing.T, name string) string {
	t.Helper()
	content, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	var out bytes.Buffer
	w := brotli.NewWriterLevel(&out, 4)
	if _, err := w.Write(content); err != nil {
		t.Fatal(err)
	}
	if err := w.Close(); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(name+".br", out.Bytes(), 0o644); err != nil {
		t.Fatal(err)
	}
	return name + ".br"
}

// phoneSite serves the static folder that `lastbolt site` writes, and nothing
// else: any file host would do.
func phoneSite(t *testing.T) *httptest.Server {
	t.Helper()
	build(t)
	staticFolder.once.Do(func() {
		wasm, to := filepath.Join(binary.dir, "alone.wasm"), filepath.Join(binary.dir, "site")
		phoneProgram(t, wasm)
		packed := brotlied(t, wasm)
		if out, err := exec.Command(build(t), "site", to, "--program", packed, "--glue", glue(t)).CombinedOutput(); err != nil {
			t.Fatalf("lastbolt site: %v\n%s", err, out)
		}
		staticFolder.path = to
	})
	if staticFolder.path == "" {
		t.Fatal("the static folder could not be written")
	}
	s := httptest.NewServer(http.FileServer(http.Dir(staticFolder.path)))
	t.Cleanup(s.Close)
	return s
}

// One phone has only the static folder: it starts a job, goes on when the host
// is gone for good, and hands everything to a computer.
func TestAPhoneAloneWorksFromStaticFiles(t *testing.T) {
	tab := browser.Phone(t)
	site := phoneSite(t)
	tab.Open(site.URL + "/")
	tab.WaitText("No job in hand")
	tab.WaitText("Only on this phone")

	site.CloseClientConnections()
	site.Close() // from here on there is no network and no host
	tab.Reload()
	tab.WaitText("No job in hand")
	tab.Tap("Start a job")
	tab.Fill("Vehicle", "Tern van")
	tab.Fill("What is wrong, what is wanted?", "Belt squeals when it is wet")
	tab.Fill("Vehicle", vehicle)
	tab.Fill("Title", "Belt of the Tern van")
	tab.Tap("Start the job")
	tab.WaitText("Belt of the Tern van")
	tab.Open(site.URL + "/jobs")
	tab.WaitText("Belt of the Tern van")
	tab.WaitText("there is no copy yet")
	tab.ScreenshotScreen("phone-alone-jobs")

	copied := browser.Eval[string](tab, `fetch('/phone/copy').then((answer) => answer.text())`)
	file := filepath.Join(t.TempDir(), "copy.json")
	if err := os.WriteFile(file, []byte(copied), 0o600); err != nil {
		t.Fatal(err)
	}
	dir := filepath.Join(t.TempDir(), "shop")
	if out, err := exec.Command(build(t), "import", "--dir", dir, file).CombinedOutput(); err != nil {
		t.Fatalf("lastbolt import: %v\n%s", err, out)
	}
	out, err := exec.Command(build(t), "jobs", "--dir", dir).CombinedOutput()
	if err != nil || !strings.Contains(string(out), "Belt of the Tern van") {
		t.Errorf("the job did not arrive: %v\n%s", err, out)
	}
	tab.Open(site.URL + "/phone")
	tab.WaitText("The last copy was made on")
	tab.ScreenshotScreen("phone-alone-copies")
}
