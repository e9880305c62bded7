package browser

import (
	"fmt"
	"html"
	"net/http"
	"net/http/httptest"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"testing"
	"time"
)

func TestMain(m *testing.M) { Main(m) }

// serve answers "/" with the given body in a page fit for phones, "/next" with
// another page after a moment, and shows what a form at "/sent" sent.
func serve(t *testing.T, body string) string {
	t.Helper()
	mux := http.NewServeMux()
	write := func(w http.ResponseWriter, body string) {
		w.Header().Set("Content-Type", "text/html; charset=utf-8")
		fmt.Fprintf(w, `<!doctype html><html lang="en"><head><title>A page</title>
			<meta name="viewport" content="width=device-width, initial-scale=1"></head><body><main>%s</main></body></html>`, body)
	}
	mux.HandleFunc("GET /{$}", func(w http.ResponseWriter, r *http.Request) { write(w, body) })
	mux.HandleFunc("GET /next", func(w http.ResponseWriter, r *http.Request) {
		time.Sleep(300 * time.Millisecond)
		write(w, `<h1>The next page</h1><a href="/">First page</a>`)
	})
	mux.HandleFunc("POST /sent", func(w http.ResponseWriter, r *http.Request) {
		if err := r.ParseForm(); err != nil {
			http.Error(w, err.Error(), http.StatusBadRequest)
			return
		}
		write(w, "Sent "+html.EscapeString(r.PostForm.Encode()))
	})
	server := httptest.NewServer(mux)
	t.Cleanup(server.Close)
	return server.URL
}

// fakeT stands in for a test that is expected to fail.
type fakeT struct {
	failure string
	errors  []string
	skipped string
}

func (f *fakeT) Helper()      {}
func (f *fakeT) Name() string { return "fake" }
func (f *fakeT) Errorf(format string, args ...any) {
	f.errors = append(f.errors, fmt.Sprintf(format, args...))
}
func (f *fakeT) Fatalf(format string, args ...any) {
	f.failure = fmt.Sprintf(format, args...)
	runtime.Goexit()
}
func (f *fakeT) Skip(args ...any) {
	f.skipped = fmt.Sprint(args...)
	runtime.Goexit()
}

// failing runs use with a test in place of the tab's own, and returns how that
// test ended.
func failing(b *Tab, use func()) *fakeT {
	fake := &fakeT{}
	own := b.t
	b.t = fake
	done := make(chan struct{})
	go func() {
		defer close(done)
		use()
	}()
	<-done
	b.t = own
	return fake
}

func TestTapFindsBySelectorAndByWords(t *testing.T) {
	address := serve(t, `
		<button onclick="out.textContent='mark ' + event.pointerType">Mark</button>
		<button id="all" onclick="out.textContent='all'">Mark all <b>bolts</b></button>
		<button aria-label="Close" onclick="out.textContent='close'">×</button>
		<button hidden onclick="out.textContent='hidden'">Undo</button>
		<button onclick="out.textContent='undo'">Undo the last</button>
		<p id="out">nothing</p>`)
	for _, device := range []struct {
		name, pointer string
		open          func(testing.TB) *Tab
	}{{"phone", "touch", Phone}, {"desktop", "mouse", Desktop}} {
		t.Run(device.name, func(t *testing.T) {
			b := device.open(t)
			b.Open(address)
			for _, test := range []struct{ what, want string }{
				{"#all", "all"},
				{"Mark", "mark " + device.pointer}, // the whole words, though another begins so
				{"Mark all bolts", "all"},
				{"Close", "close"},
				{"Undo", "undo"}, // what is hidden is not there
			} {
				b.Tap(test.what)
				if got := b.Text("#out"); got != test.want {
					t.Errorf("after tapping %q the page says %q, want %q", test.what, got, test.want)
				}
			}
		})
	}
}

func TestTapWaitsForTheNextPage(t *testing.T) {
	b := Phone(t)
	b.Open(serve(t, `<a href="/next">Go on</a>`))
	b.Tap("Go on")
	if !b.Reads("The next page") {
		t.Errorf("after the tap the address is %s, want the next page loaded", b.URL())
	}
	b.Back()
	b.WaitText("Go on")
}

func TestTapRefusesWhatAThumbCouldNotTap(t *testing.T) {
	b := Phone(t)
	b.wait = time.Second
	b.Open(serve(t, `<div style="position:fixed;inset:0" id="sheet">In front</div><button>Behind</button>`))
	fake := failing(b, func() { b.Tap("Behind") })
	for _, want := range []string{`"Behind"`, "covered by", "sheet", b.URL(), "In front"} {
		if !strings.Contains(fake.failure, want) {
			t.Errorf("the failure does not name %q:\n%s", want, fake.failure)
		}
	}
}

func TestFillTakesEveryKindOfField(t *testing.T) {
	b := Phone(t)
	b.Open(serve(t, `<form method="post" action="/sent">
		<label>Torque <input name="torque" type="number" step="any" value="5"></label>
		<label for="n">Notes</label><textarea id="n" name="notes">old</textarea>
		<label>Day <input name="day" type="date"></label>
		<label>Unit <select name="unit"><option value="1">Nm</option><option value="2">lbf ft</option></select></label>
		<label><input name="cold" type="checkbox"> Engine cold</label>
		<label>Gone <input name="gone" value="x"></label>
		<button>Keep</button></form>`))
	b.Fill("Torque", "25.5")
	b.Fill("Notes", "a b")
	b.Fill("[name=day]", "2026-11-25")
	b.Fill("Unit", "lbf ft")
	b.Fill("Engine cold", "on")
	b.Fill("Gone", "")
	b.Tap("Keep")
	want := "Sent cold=on&day=2026-11-25&gone=&notes=a+b&torque=25.5&unit=2"
	if got := b.Text("main"); got != want {
		t.Errorf("the form sent %q, want %q", got, want)
	}
}

func TestHoldForKeepsPressing(t *testing.T) {
	const script = `<button style="min-height:60px;touch-action:none" onpointerdown="t0=performance.now()"
		onpointerup="out.textContent=Math.round(performance.now()-t0)">Hold</button><p id="out">0</p>`
	for name, openTab := range map[string]func(testing.TB) *Tab{"phone": Phone, "desktop": Desktop} {
		t.Run(name, func(t *testing.T) {
			b := openTab(t)
			b.Open(serve(t, script))
			b.HoldFor("Hold", 500*time.Millisecond)
			if got := Eval[int](b, "Number(out.textContent)"); got < 480 {
				t.Errorf("the page saw a press of %d ms, want 500 or more", got)
			}
		})
	}
}

func TestPhoneLooksLikeAPhone(t *testing.T) {
	b := Phone(t)
	b.Open(serve(t, "x"))
	type screen struct{ Width, Height, Scale, Touch int }
	got := Eval[screen](b, "({Width: innerWidth, Height: innerHeight, Scale: devicePixelRatio, Touch: navigator.maxTouchPoints})")
	if got.Touch < 1 || got.Width != 390 || got.Height != 844 || got.Scale != 3 {
		t.Errorf("got %+v, want 390 by 844 at 3 with touch", got)
	}
}

func TestTabsAreSeparateDevices(t *testing.T) {
	address := serve(t, "x")
	one, two := Phone(t), Phone(t)
	one.Open(address)
	one.Do("document.cookie = 'a=1'; localStorage.a = '1'")
	two.Open(address)
	if got := Eval[string](two, "document.cookie + (localStorage.a ?? '')"); got != "" {
		t.Errorf("the second tab sees %q of the first", got)
	}
}

func TestInsecureIsNotASecureContext(t *testing.T) {
	address := serve(t, "x")
	b := Phone(t)
	for _, test := range []struct {
		address string
		want    bool
	}{{address, true}, {Insecure(address), false}} {
		b.Open(test.address)
		if got := Eval[bool](b, "isSecureContext"); got != test.want {
			t.Errorf("isSecureContext at %s is %v, want %v", test.address, got, test.want)
		}
	}
}

func TestOfflineCutsTheNetworkAndJoinsItAgain(t *testing.T) {
	b := Phone(t)
	b.Open(serve(t, `<script>
		addEventListener("offline", () => document.body.append("went off"));
		addEventListener("online", () => document.body.append("came back"));</script>`))
	reached := "fetch('/next').then(() => true, () => false)"
	b.Offline(true)
	b.WaitText("went off")
	if Eval[bool](b, reached) || Eval[bool](b, "navigator.onLine") {
		t.Error("the page still has the network")
	}
	b.Offline(false)
	b.WaitText("came back")
	if !Eval[bool](b, reached) || !Eval[bool](b, "navigator.onLine") {
		t.Error("the page did not get the network back")
	}
}

// A service worker has a network of its own, and goes on when the page has none.
func TestOfflineCutsTheNetworkOfAServiceWorkerToo(t *testing.T) {
	mux := http.NewServeMux()
	mux.HandleFunc("/worker.js", func(w http.ResponseWriter, r *http.Request) {
		w.Header().Set("Content-Type", "text/javascript")
		fmt.Fprint(w, `addEventListener("install", (e) => e.waitUntil(skipWaiting()));
			addEventListener("activate", (e) => e.waitUntil(clients.claim()));
			addEventListener("fetch", (e) => {
				if (!e.request.url.endsWith("/asks")) return;
				e.respondWith(fetch("/next").then(() => new Response("reached"), () => new Response("not reached")));
			});`)
	})
	mux.HandleFunc("/", func(w http.ResponseWriter, r *http.Request) {
		w.Header().Set("Content-Type", "text/html")
		fmt.Fprint(w, `<script>navigator.serviceWorker.register("/worker.js")</script>`)
	})
	s := httptest.NewServer(mux)
	t.Cleanup(s.Close)
	b, other := Phone(t), Phone(t)
	for _, tab := range []*Tab{b, other} {
		tab.Open(s.URL)
		tab.WaitFor("the worker", "navigator.serviceWorker.controller")
	}
	asks := "fetch('/asks').then((r) => r.text())"
	told := func(tab *Tab, when, want string) {
		t.Helper()
		if got := Eval[string](tab, asks); got != want {
			t.Errorf("%s the worker says %q, not %q", when, got, want)
		}
	}
	told(b, "at first", "reached")
	b.Offline(true)
	told(b, "cut off", "not reached")
	told(other, "on another phone", "reached")
	b.StopWorkers()
	told(b, "cut off and started anew", "not reached")
	b.Offline(true) // again does no harm
	b.Offline(false)
	told(b, "joined again", "reached")
	b.StopWorkers()
	told(b, "joined and started anew", "reached")
}

func TestWaitGoneAndTexts(t *testing.T) {
	b := Phone(t)
	b.Open(serve(t, `<ul><li>one</li><li hidden>two</li><li>three   words</li></ul><p id="p">wait</p>
		<script>setTimeout(() => p.remove(), 200)</script>`))
	b.WaitGone("wait")
	if b.Has("#p") {
		t.Error("the paragraph is still there")
	}
	if got := strings.Join(b.Texts("li"), "|"); got != "one|three words" {
		t.Errorf("got %q", got)
	}
}

func TestSmallTargetsAndOverflowFindWhatIsWrong(t *testing.T) {
	tests := []struct {
		name, body      string
		small, overflow string // words the only finding must have, "" for none
	}{
		{"nothing wrong", `<button style="width:100%;height:60px">Big</button>
			<p>Read <a href="/next">the page</a> first.</p>
			<label style="display:flex;min-height:48px;width:200px"><input type="checkbox"> Cold</label>
			<div style="overflow-x:auto"><div style="width:900px">wide on purpose</div></div>
			<a href="#x" style="position:absolute;left:0;top:-100px">Skip</a>`, "", ""},
		{"a small button", `<button style="width:60px;height:30px;padding:0">Tiny</button>`, `"Tiny" is 60 by 30`, ""},
		{"a lone link", `<a href="/next">Go</a>`, `"Go" is`, ""},
		{"words cut off", `<div style="width:60px;overflow:hidden;white-space:nowrap">Many words on a line</div>`, "", "cuts its words off"},
	}
	for _, test := range tests {
		t.Run(test.name, func(t *testing.T) {
			b := Phone(t)
			b.Open(serve(t, test.body))
			b.WaitFor("the page", "document.readyState === 'complete'")
			onlyFinding(t, "small targets", b.SmallTargets(), test.small)
			onlyFinding(t, "overflow", b.Overflow(), test.overflow)
		})
	}
}

func onlyFinding(t *testing.T, of string, found []string, want string) {
	t.Helper()
	switch {
	case want == "" && len(found) > 0:
		t.Errorf("%s: found %q, want nothing", of, found)
	case want != "" && (len(found) != 1 || !strings.Contains(found[0], want)):
		t.Errorf("%s: found %q, want one with %q", of, found, want)
	}
}

func TestOverflowSeesWhatIsWiderThanTheScreen(t *testing.T) {
	for name, openTab := range map[string]func(testing.TB) *Tab{"phone": Phone, "desktop": Desktop} {
		t.Run(name, func(t *testing.T) {
			b := openTab(t)
			b.Open(serve(t, `<div style="width:2000px">Wide</div>`))
			found := strings.Join(b.Overflow(), "\n")
			for _, want := range []string{"scrolls sideways", `"Wide" reaches from`} {
				if !strings.Contains(found, want) {
					t.Errorf("found %q, want %q in it", found, want)
				}
			}
		})
	}
}

func TestViolationsFindsAPictureWithoutWords(t *testing.T) {
	b := Phone(t)
	b.Open(serve(t, `<h1>Bolts</h1><p>Fine.</p>`))
	if found := b.Violations(); len(found) != 0 {
		t.Errorf("a plain page has violations: %s", found)
	}
	b.Open(serve(t, `<h1>Bolts</h1><img src="data:image/gif;base64,R0lGODlhAQABAAAAACw=" width="9" height="9">`))
	if found := b.Violations(); len(found) != 1 || !strings.Contains(found[0], "image-alt (critical)") {
		t.Errorf("found %q, want one image-alt", found)
	}
	fake := failing(b, b.Axe)
	if len(fake.errors) != 1 || !strings.Contains(fake.errors[0], "image-alt") {
		t.Errorf("Axe reported %q, want the one violation", fake.errors)
	}
}

func TestExceptionsAndConsoleAreHeard(t *testing.T) {
	b := Phone(t)
	b.Open(serve(t, `<script>console.log("hello", 7); setTimeout(() => nothing.here(), 1)</script>`))
	err := b.poll(func() error {
		if len(b.Exceptions()) == 0 {
			return fmt.Errorf("none yet")
		}
		return nil
	})
	if err != nil || !strings.Contains(b.Exceptions()[0], "ReferenceError") {
		t.Errorf("exceptions heard: %q, want a ReferenceError", b.Exceptions())
	}
	if console := strings.Join(b.Console(), "\n"); !strings.Contains(console, `"hello" 7`) {
		t.Errorf("console heard: %q", console)
	}
	b.mu.Lock()
	b.exceptions = nil // it was wanted here; the end of the test would report it
	b.mu.Unlock()
}

func TestScreenshotGoesWhereItIsWanted(t *testing.T) {
	b := Phone(t)
	b.Open(serve(t, "x"))
	t.Setenv("LASTBOLT_SHOTS", "")
	b.Screenshot("none")
	folder := filepath.Join(t.TempDir(), "shots")
	t.Setenv("LASTBOLT_SHOTS", folder)
	b.Screenshot("page")
	b.ScreenshotScreen("screen")
	for _, name := range []string{"page.png", "screen.png"} {
		data, err := os.ReadFile(filepath.Join(folder, name))
		if err != nil || !strings.HasPrefix(string(data), "\x89PNG") {
			t.Errorf("%s is no picture: %v", name, err)
		}
	}
	if file := b.PDF(); !strings.HasPrefix(string(file), "%PDF-") {
		t.Error("the printed page is no PDF")
	}
}

func TestUploadChoosesFiles(t *testing.T) {
	name := filepath.Join(t.TempDir(), "photo.txt")
	if err := os.WriteFile(name, []byte("abc"), 0o644); err != nil {
		t.Fatal(err)
	}
	b := Phone(t)
	b.Open(serve(t, `<input type="file" id="f" onchange="out.textContent=f.files[0].name+' '+f.files[0].size"><p id="out"></p>`))
	b.Upload("#f", name)
	b.WaitText("photo.txt 3")
}

func TestScriptThatThrowsFailsTheTest(t *testing.T) {
	b := Phone(t)
	b.Open(serve(t, "Words here"))
	fake := failing(b, func() { b.Do("throw new Error('no oil')") })
	for _, want := range []string{"no oil", "Words here", b.URL()} {
		if !strings.Contains(fake.failure, want) {
			t.Errorf("the failure does not name %q:\n%s", want, fake.failure)
		}
	}
}
