package browsertest

import (
	"bytes"
	"context"
	"encoding/base64"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"lastbolt/exchange"
	"lastbolt/internal/browser"
	"lastbolt/keep"
	"lastbolt/store/memory"
)

// fetchedBy gives what the page's own fetch of a path brings.
func fetchedBy(tab *browser.Tab, path string) []byte {
	content, err := base64.StdEncoding.DecodeString(browser.Eval[string](tab, `fetch(`+quote(path)+`).then(async (answer) => {
		if (!answer.ok) throw new Error("status " + answer.status);
		let text = "";
		for (const byte of new Uint8Array(await answer.arrayBuffer())) text += String.fromCharCode(byte);
		return btoa(text);
	})`))
	if err != nil {
		return nil
	}
	return content
}

// copyOf writes what a store holds into a file to be taken in.
func copyOf(t *testing.T, fill func(context.Context, keep.Backend) error) string {
	t.Helper()
	st := memory.New()
	var copied bytes.Buffer
	err := fill(t.Context(), st)
	if err == nil {
		_, err = exchange.Export(t.Context(), &copied, st, exchange.ExportOptions{})
	}
	if err != nil {
		t.Fatal(err)
	}
	file := filepath.Join(t.TempDir(), "copy.json")
	writeFile(t, file, copied.Bytes())
	return file
}

// takeIn takes a file in by the page about the phone.
func takeIn(tab *browser.Tab, site, file string) {
	tab.Open(site + "/phone")
	tab.Upload("#file", file)
	tab.Tap("Take it in")
	tab.WaitText("Taken in:")
}

// installed opens the site on a phone that has nothing yet.
func installed(t *testing.T, site string) *browser.Tab {
	t.Helper()
	tab := browser.Phone(t)
	tab.Open(site + "/")
	tab.WaitText("No job in hand")
	return tab
}

// A phone that has only the static folder carries a whole job, from complaint
// to released record, without network and with its program killed on the way;
// another takes the file in and shows the same.
func TestAPhoneAloneDoesAWholeJobAndAnotherTakesItIn(t *testing.T) {
	browser.Start(t)
	site := phoneSite(t)
	tab := installed(t, site.URL)
	takeIn(tab, site.URL, copyOf(t, func(ctx context.Context, st keep.Backend) error { return furnish(ctx, st) }))
	h := &hand{t: t, s: &server{t: t, url: site.URL}, tab: tab}

	tab.Offline(true)
	h.complaint()
	h.targets()
	h.ready()
	h.open("/photo")
	photo := filepath.Join(t.TempDir(), "bolt.jpg")
	writeFile(t, photo, picture(t))
	tab.Upload("input[type=file]", photo)
	tab.Tap("Keep the photo")
	tab.WaitText("Undo: Photo") // the page makes it smaller before it is sent
	h.apart()
	h.bottom()
	h.back()
	h.proved()
	h.released()
	h.papers(map[string]string{"sheet": "Oil cooler", "labels": "Belt shield", "record": "A. Mechanic"})
	tab.Reload()
	tab.WaitText("The record")
	record := tab.Text("main")
	tab.WaitText("Only on this phone")
	tab.ScreenshotScreen("phone-alone-record")

	file := filepath.Join(t.TempDir(), "copy.json")
	writeFile(t, file, fetchedBy(tab, "/phone/copy"))
	other := installed(t, site.URL)
	takeIn(other, site.URL, file)
	other.Offline(true)
	other.Open(tab.URL())
	if got := other.Text("main"); got != record {
		t.Errorf("the other phone shows another record:\n%s\nwant\n%s", got, record)
	}
	other.Open(h.job)
	other.WaitFor("the photo, on the other phone", `[...document.querySelectorAll("main .photos img")].some((i) => i.complete && i.naturalWidth > 0)`)
	other.ScreenshotScreen("phone-other-record")
	takeIn(other, site.URL, file)
	other.WaitText("Taken in: 0 events")
}

// When the last copy is a week old and something was recorded since, every page
// says so, until a copy is saved; also where another program on the same phone, as
// around an update, is the one that keeps the note of it.
func TestAPhoneAloneRemindsOfAnOldCopy(t *testing.T) {
	browser.Start(t)
	site := phoneSite(t)
	tab := installed(t, site.URL)
	takeIn(tab, site.URL, copyOf(t, func(ctx context.Context, st keep.Backend) error { return furnish(ctx, st) }))
	fetchedBy(tab, "/phone/copy")
	h := &hand{t: t, s: &server{t: t, url: site.URL}, tab: tab}
	h.complaint()
	tab.Open(site.URL + "/jobs")
	if tab.Reads("the last copy is old") {
		t.Error("a copy of today is called old")
	}
	made := "2020-01-01T12:00:00Z"
	tab.Do(`const db = await new Promise((done) => { const r = indexedDB.open("lastbolt"); r.onsuccess = () => done(r.result); });
		const writing = db.transaction(["notes", "mark"], "readwrite"), store = writing.objectStore("notes");
		writing.objectStore("mark").put({ id: "mark", mark: "of the test" }); // as everything that writes
		const note = await new Promise((done) => { store.get("klast copy").onsuccess = (e) => done(e.target.result); });
		const text = ` + quote(made) + ` + " " + note.line.split(" ")[1];
		note.line = text.length + ":" + text;
		await new Promise((done) => { store.put(note).onsuccess = done; });
		db.close();`)
	tab.Reload()
	tab.WaitText("the last copy is old")
	tab.Screenshot("phone-alone-old-copy")
	tab.Tap("Copies")
	tab.WaitText("The last copy was made on 1 Jan 2020")
	fetchedBy(tab, "/phone/copy")
	tab.Open(site.URL + "/jobs")
	tab.WaitText("Only on this phone")
	if tab.Reads("the last copy is old") {
		t.Error("the copy just saved is called old")
	}
}

// The browser is asked to promise that it keeps what is recorded, at the first
// tap, and the page about the phone says what it answered.
func TestAPhoneAloneAsksForPersistentStorage(t *testing.T) {
	browser.Start(t)
	site := phoneSite(t)
	tab := installed(t, site.URL)
	tab.Open(site.URL + "/phone")
	tab.Do(`window.asked = 0; const real = navigator.storage.persist.bind(navigator.storage);
		navigator.storage.persist = () => { window.asked++; return real(); };`)
	tab.Tap("h1")
	tab.WaitFor("the browser to be asked", `window.asked === 1`)
	kept := browser.Eval[bool](tab, `navigator.storage.persisted()`)
	want := "has not promised"
	if kept {
		want = "has promised to keep them"
	}
	if said := tab.Text("[data-phone-storage]"); !strings.Contains(said, want) || !strings.Contains(said, "in use") {
		t.Errorf("the browser's answer is %v, the page says %q", kept, said)
	}
	if os.Getenv("LASTBOLT_SHOTS") != "" {
		tab.Screenshot("phone-alone-storage")
	}
}
