package browsertest

import (
	"context"
	"path/filepath"
	"testing"

	"lastbolt/internal/browser"
	"lastbolt/keep"
)

// leftOver puts a photo that nothing refers to on a phone, as an upload that
// was broken off leaves it: one kept long ago, one just now.
const leftOver = `new Promise((resolve, reject) => {
	const request = indexedDB.open('lastbolt');
	request.onerror = () => reject(request.error);
	request.onsuccess = () => {
		const db = request.result, t = db.transaction(['files', 'kept'], 'readwrite');
		const packed = (...fields) => fields.map((f) => f.length + ':' + f).join('');
		for (const [name, at] of [['a'.repeat(64), '2026-01-02T03:04:05Z'], ['b'.repeat(64), new Date().toISOString()]]) {
			t.objectStore('files').put({ id: name, media: 'kimage/jpeg', content: new Uint8Array(2000000) });
			t.objectStore('kept').put({ id: name, line: packed(name, 'image/jpeg', '2000000', at) });
		}
		t.oncomplete = () => { db.close(); resolve(true); };
		t.onabort = () => reject(t.error);
	};
})`

// A phone alone says what takes room on it and what the browser grants, and
// takes away what was left over; the photos of jobs stay.
func TestAPhoneAloneSaysWhatTakesRoomAndTidiesUp(t *testing.T) {
	browser.Start(t)
	site := phoneSite(t)
	tab := installed(t, site.URL)
	takeIn(tab, site.URL, copyOf(t, func(ctx context.Context, st keep.Backend) error { return furnish(ctx, st) }))
	h := &hand{t: t, s: &server{t: t, url: site.URL}, tab: tab}
	h.complaint()
	tab.Open(h.job + "/photo")
	photo := filepath.Join(t.TempDir(), "bolt.jpg")
	writeFile(t, photo, picture(t))
	tab.Upload("input[type=file]", photo)
	tab.Tap("Keep the photo")
	tab.WaitText("Undo: Photo")
	browser.Eval[bool](tab, leftOver)

	tab.Open(site.URL + "/phone")
	tab.Tap("What takes room")
	tab.WaitText("Only on this phone")
	tab.WaitText("The browser grants")
	tab.WaitText("3 photos")
	tab.WaitText("2 files that nothing refers to, 4 MB")
	if wide := tab.Overflow(); len(wide) > 0 {
		t.Errorf("the page is wider than the phone: %v", wide)
	}
	if small := tab.SmallTargets(); len(small) > 0 {
		t.Errorf("too small to tap: %v", small)
	}
	tab.Screenshot("phone-alone-storage")
	tab.Tap("Ask the browser to promise it")
	tab.WaitFor("what the browser says to that", `/romised/.test(document.querySelector('[data-phone-asked]').textContent)`)
	tab.Tap("Take the old ones away")
	tab.WaitText("Taken away: 1 file, 2 MB.")
	tab.WaitText("2 photos")
	tab.Open(h.job)
	tab.WaitFor("the photo of the job", `[...document.querySelectorAll("main .photos img")].some((i) => i.complete && i.naturalWidth > 0)`)
}
