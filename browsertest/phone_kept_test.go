package browsertest

import (
	"context"
	"fmt"
	"net/http"
	"net/http/httptest"
	"os"
	"strings"
	"sync/atomic"
	"testing"
	"time"

	"lastbolt/demo"
	"lastbolt/internal/browser"
	"lastbolt/keep"
)

// wasKept tells whether the page that is shown was one that the worker had kept.
func wasKept(tab *browser.Tab) bool {
	return browser.Eval[bool](tab, `performance.getEntriesByType("navigation")[0].serverTiming.some((part) => part.name === "kept")`)
}

// source is the page as it came, by a request that is never answered from what is
// kept: the program makes it anew.
func source(tab *browser.Tab) string {
	return browser.Eval[string](tab, `fetch(location.href, { cache: 'no-store' }).then(async (answer) => {
		if (/kept/.test(answer.headers.get('Server-Timing'))) throw new Error('the program was not asked');
		return answer.text();
	})`)
}

// keptPage opens a page until it is kept, and gives what came.
func keptPage(t *testing.T, tab *browser.Tab, address string) {
	t.Helper()
	for range 10 {
		tab.Open(address)
		if wasKept(tab) {
			return
		}
		time.Sleep(300 * time.Millisecond) // it is kept behind the answer
	}
	t.Fatalf("%s is not kept", address)
}

// asleep stops the worker, as the browser does with one that is asked nothing.
func asleep(tab *browser.Tab, site string) {
	tab.Open(site + "/icon.svg") // a page would wake it
	tab.StopWorkers()
	time.Sleep(500 * time.Millisecond)
}

func withDemo(t *testing.T, site string) *browser.Tab {
	t.Helper()
	tab := installed(t, site)
	takeIn(tab, site, copyOf(t, func(ctx context.Context, st keep.Backend) error { return demo.Fill(ctx, st, time.Now()) }))
	return tab
}

// A page that was seen and has not changed comes from what the worker kept, also
// when the worker was stopped and the program is not running, and is to the letter
// what the program makes.
func TestAPageSeenBeforeComesWithoutTheProgram(t *testing.T) {
	browser.Start(t)
	site := phoneSite(t)
	tab := withDemo(t, site.URL)
	tab.Open(site.URL + "/jobs")
	tab.Tap(halfApart)
	job, _, _ := strings.Cut(tab.URL(), "?")
	for _, address := range []string{site.URL + "/jobs", job, job + "/steps", site.URL + "/work-out/torque-advice"} {
		keptPage(t, tab, address)
		asleep(tab, site.URL)
		// The page itself is read as it comes: the document that is shown was changed
		// by its script.
		tab.Open(address)
		if !wasKept(tab) {
			t.Errorf("%s was not answered from what is kept", address)
		}
		if browser.Eval[bool](tab, `performance.getEntriesByType("navigation")[0].serverTiming.some((part) => part.name === "compile")`) {
			t.Errorf("%s waited for the program", address)
		}
		kept := browser.Eval[string](tab, keptBody)
		if made := source(tab); kept != made || !strings.Contains(made, "</html>") {
			t.Errorf("%s: kept are %d bytes, the program makes %d others", address, len(kept), len(made))
		}
	}
}

// keptBody reads what the worker has kept of the page that is shown.
const keptBody = `new Promise((resolve, reject) => {
	const request = indexedDB.open('lastbolt');
	request.onerror = () => reject(request.error);
	request.onsuccess = () => {
		const db = request.result;
		const page = db.transaction('pages').objectStore('pages').get(location.href);
		page.onsuccess = () => { db.close(); resolve(page.result ? page.result.body : ''); };
	};
})`

// changeKept changes the records of what is kept.
func changeKept(tab *browser.Tab, change string) {
	browser.Eval[bool](tab, `new Promise((resolve, reject) => {
		const request = indexedDB.open('lastbolt');
		request.onerror = () => reject(request.error);
		request.onsuccess = () => {
			const db = request.result;
			const t = db.transaction('pages', 'readwrite');
			const pages = t.objectStore('pages');
			const all = pages.getAll();
			all.onsuccess = () => all.result.forEach((page) => { (`+change+`)(page); pages.put(page); });
			t.oncomplete = () => { db.close(); resolve(true); };
		};
	})`)
}

// After anything was written, by whatever page, what was kept before is not shown
// again.
func TestAKeptPageIsNotShownAfterAnythingWasWritten(t *testing.T) {
	browser.Start(t)
	site := phoneSite(t)
	tab := withDemo(t, site.URL)
	other, err := os.ReadFile(copyOf(t, func(ctx context.Context, st keep.Backend) error {
		return demo.Fill(ctx, st, time.Now().Add(-time.Hour))
	}))
	if err != nil {
		t.Fatal(err)
	}
	tab.Open(site.URL + "/jobs")
	tab.Tap(halfApart)
	job, _, _ := strings.Cut(tab.URL(), "?")
	sent := func(path, body string) string {
		return `fetch(` + quote(path) + `, { method: 'POST', body: ` + body + ` }).then((answer) => answer.ok)`
	}
	for what, write := range map[string]string{
		"a note in the job":     sent(strings.TrimPrefix(job, site.URL)+"/note", `new URLSearchParams({ text: 'rust on the second bolt', note: 'rust on the second bolt' })`),
		"other colours":         sent("/theme", `new URLSearchParams({ theme: 'dark' })`),
		"a vehicle":             sent("/new/vehicle", `new URLSearchParams({ name: 'Plover 4x4' })`),
		"a copy that came in":   sent("/phone/copy", `(() => { const form = new FormData(); form.append('file', new File([`+quote(string(other))+`], 'copy.json')); return form; })()`),
		"a copy that was saved": `fetch('/phone/copy').then((answer) => answer.ok)`,
	} {
		keptPage(t, tab, job)
		before := browser.Eval[string](tab, keptBody)
		if !browser.Eval[bool](tab, write) {
			t.Errorf("%s was not taken", what)
		}
		asleep(tab, site.URL)
		tab.Open(job)
		if wasKept(tab) {
			t.Errorf("after %s the page is the one that was kept before", what)
		}
		keptPage(t, tab, job)
		if kept := browser.Eval[string](tab, keptBody); kept != source(tab) {
			t.Errorf("after %s something else is kept than the program makes", what)
		} else if what == "other colours" && kept == before {
			t.Errorf("the colours did not change the page, so nothing was tried")
		}
	}
}

// What holds until some time, for some hours of the day or from one program only
// is not shown after that.
func TestAKeptPageIsNotShownWhenItsTimeIsOver(t *testing.T) {
	browser.Start(t)
	site := phoneSite(t)
	tab := withDemo(t, site.URL)
	address := site.URL + "/jobs"
	if until := func() float64 {
		keptPage(t, tab, address)
		return browser.Eval[float64](tab, strings.Replace(keptBody, "page.result.body", "page.result.until", 1))
	}(); until < float64(time.Now().UnixMilli()) || until > float64(time.Now().Add(25*time.Hour).UnixMilli()) {
		t.Errorf("the list of jobs shows what is due today, and is kept until %v", time.UnixMilli(int64(until)))
	}
	for what, change := range map[string]string{
		"its time is over":                    `(page) => { page.until = Date.now() - 1; }`,
		"the clock was put back":              `(page) => { page.from = Date.now() + 60000; }`,
		"the program is another one":          `(page) => { if (page.by) page.by = 'another' + page.by.slice(page.by.indexOf(' ')); }`,
		"the phone's hours are others":        `(page) => { if (page.by) page.by += '1'; }`,
		"the browser asks with other headers": `(page) => { page.asking = '[]'; }`,
	} {
		keptPage(t, tab, address)
		changeKept(tab, change)
		asleep(tab, site.URL)
		tab.Open(address)
		if wasKept(tab) {
			t.Errorf("the page kept before is shown though %s", what)
		}
	}
}

// A new program drops what the one before it had kept.
func TestANewProgramDropsWhatWasKept(t *testing.T) {
	browser.Start(t)
	files := phoneSite(t).Config.Handler
	var newer atomic.Bool
	site := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if r.URL.Path != "/worker.js" || !newer.Load() {
			files.ServeHTTP(w, r)
			return
		}
		made := httptest.NewRecorder()
		r.Header.Del("If-Modified-Since")
		files.ServeHTTP(made, r)
		w.Header().Set("Content-Type", "text/javascript")
		fmt.Fprint(w, strings.Replace(made.Body.String(), "const version = '", "const version = 'newer", 1))
	}))
	defer site.Close()
	tab := withDemo(t, site.URL)
	keptPage(t, tab, site.URL+"/jobs")
	newer.Store(true)
	tab.Do(`navigator.serviceWorker.getRegistration().then((registration) => registration.update())`)
	for _, gone := range []string{
		`caches.keys().then((names) => names.some((name) => name.startsWith('lastbolt newer')) && !names.some((name) => /^lastbolt [0-9a-f]{16}$/.test(name)))`,
		strings.ReplaceAll(keptBody, "resolve(page.result ? page.result.body : '')", "resolve(!page.result)"),
	} {
		if !browser.Eval[bool](tab, `(async () => { for (let n = 0; n < 100; n++) { if (await (`+gone+`)) return true; await new Promise((next) => setTimeout(next, 100)); } return false; })()`) {
			t.Errorf("it did not come to this: %s", gone)
		}
	}
	tab.Open(site.URL + "/jobs")
	if wasKept(tab) {
		t.Error("the page that an older program made is shown")
	}
}

// A phone with a server writes down every exchange. Its kept pages go on to hold
// through that, with the notice of now, and no longer once something has come in.
func TestAPhoneWithAServerShowsKeptPagesWithTheNoticeOfNow(t *testing.T) {
	s := exchangeShop(t)
	tab := browser.Phone(t)
	keeping(tab, s.url)
	job := s.onJob(halfApart, tab).job
	tab.Open(job)
	tab.WaitText("Sent, ")
	keptPage(t, tab, job)
	tab.WaitText("Sent, ")

	s.cut()
	tab.Open(s.url + "/phone") // another page, which exchanges in vain
	tab.WaitText("No server in reach since ")
	time.Sleep(500 * time.Millisecond) // the line is laid by behind the answer
	asleep(tab, s.url)
	tab.WithoutScripts() // so that the page stays as it came
	tab.Open(job)
	if !wasKept(tab) {
		t.Error("a page is not kept through an exchange that brought nothing")
	}
	if footer := tab.Text("footer"); !strings.Contains(footer, "No server in reach since ") || strings.Contains(footer, "Sent, ") {
		t.Errorf("the kept page says %q of the server", footer)
	}
	if shown, made := browser.Eval[string](tab, `document.querySelector('footer').outerHTML`), source(tab); !strings.Contains(made, shown) {
		t.Errorf("the notice is %s on the kept page, and another one on the program's", shown)
	}

	s.back()
	other := browser.Desktop(t)
	other.Open(job + "/note")
	other.Fill("main textarea", "the long screw sits at the back")
	other.Tap("Keep the note")
	other.WaitText("Undo: Note")
	if !browser.Eval[bool](tab, `fetch('/phone/exchange', { method: 'POST', headers: { Accept: 'application/json' } }).then(async (answer) => !(await answer.json()).trouble)`) {
		t.Error("the phone did not exchange with the server")
	}
	asleep(tab, s.url)
	tab.Open(job)
	if wasKept(tab) {
		t.Error("the page kept before something came in is shown afterwards")
	}
}
