package browsertest

import (
	"context"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"lastbolt/demo"
	"lastbolt/internal/browser"
	"lastbolt/keep"
)

// Somebody began on a phone alone, and later has a computer in the house with
// people on its list: the phone's copy is taken in under the computer's address,
// and goes on to the computer with its photo, once.
func TestWhatBeganOnAPhoneAloneMovesToAComputer(t *testing.T) {
	s := lanShop(t, true, withPhones(t)...)
	site := phoneSite(t)
	tab := installed(t, site.URL)
	takeIn(tab, site.URL, copyOf(t, func(ctx context.Context, st keep.Backend) error { return furnish(ctx, st) }))
	h := &hand{t: t, s: &server{t: t, url: site.URL}, tab: tab}
	h.complaint()
	h.open("/photo")
	photo := filepath.Join(t.TempDir(), "bolt.jpg")
	writeFile(t, photo, picture(t))
	tab.Upload("input[type=file]", photo)
	tab.Tap("Keep the photo")
	tab.WaitText("Undo: Photo")
	file := filepath.Join(t.TempDir(), "copy.json")
	writeFile(t, file, fetchedBy(tab, "/phone/copy"))

	owner := browser.Desktop(t)
	owner.Open(s.url + "/phones/pair")
	address, code := pairingCode(t, owner)
	tab.Open(address + "?code=" + code)
	tab.Fill("Name of this phone", "the phone")
	tab.Tap("Pair this phone")
	tab.WaitText("Jobs in hand")
	owner.WaitText("the phone is paired.")
	s.addPerson(owner, "Ann", "everything (owner)", "482915")
	tab.Reload()
	signIn(tab, "Ann", "482915")
	origin := strings.TrimSuffix(address, "/pair")
	keeping(tab, origin)
	takeIn(tab, origin, file)
	tab.WaitFor("everything to be sent", `/^Sent, /.test(document.querySelector('[data-phone-line]').textContent)`)
	tab.ScreenshotScreen("phone-moved")
	if tab.Reads("Stays on this phone") {
		t.Errorf("something is held back:\n%s", tab.Text("main"))
	}
	takeIn(tab, origin, file)
	tab.WaitText("Taken in: 0 events")

	owner.Open(s.url + h.path(""))
	owner.WaitFor("the photo, on the computer", `[...document.querySelectorAll("main .photos img")].some((i) => i.complete && i.naturalWidth > 0)`)
	tab.Open(origin + h.path(""))
	if phone, computer := tab.Text("h1"), owner.Text("h1"); phone != computer {
		t.Errorf("the phone shows %q, the computer %q", phone, computer)
	}
}

// A worker stopped in the middle of a tap leaves the page waiting; the page says
// so, and where to look.
func TestAPageLeftWithoutAnAnswerSaysSo(t *testing.T) {
	browser.Start(t)
	site := phoneSite(t)
	tab := installed(t, site.URL)
	takeIn(tab, site.URL, copyOf(t, func(ctx context.Context, st keep.Backend) error { return demo.Fill(ctx, st, time.Now()) }))
	tab.Open(site.URL + "/jobs")
	tab.Tap(halfApart)
	job, _, _ := strings.Cut(tab.URL(), "?")
	// Nothing can be asked of a page that waits, so it notes itself what it says,
	// and taps on the link that it shows.
	const follow = `localStorage.removeItem('said'); new MutationObserver(() => {
		const box = document.querySelector('[data-unanswered]');
		if (!box || localStorage.getItem('said')) return;
		localStorage.setItem('said', box.textContent);
		box.querySelector('a').click();
	}).observe(document.querySelector('main'), { childList: true });`
	said := ""
	for try := 0; said == "" && try < 4; try++ { // the answer may be quicker than the stop
		tab.Open(job + "/note")
		tab.Do(follow)
		tab.Fill("main textarea", "a note with no answer")
		tab.StopWorkers() // it starts anew for the tap, which takes it a while
		tab.Do(`setTimeout(() => document.querySelector("main form").requestSubmit())`)
		time.Sleep(200 * time.Millisecond)
		tab.StopWorkers()
		time.Sleep(15 * time.Second) // longer than the page's own patience
		tab.WaitFor("the job", `location.pathname === `+quote(strings.TrimPrefix(job, site.URL)))
		said = browser.Eval[string](tab, `localStorage.getItem('said') || ''`)
	}
	for _, words := range []string{"Still no answer.", "recorded once or not at all", "Look whether it counted"} {
		if !strings.Contains(said, words) {
			t.Errorf("the page does not say %q but %q", words, said)
		}
	}
}

// A file that would not fit into the memory of the program on a phone is not
// read, and the page says what to do with it.
func TestAPhoneSaysWhatToDoWithACopyThatIsTooLarge(t *testing.T) {
	browser.Start(t)
	site := phoneSite(t)
	tab := installed(t, site.URL)
	file := filepath.Join(t.TempDir(), "large.json")
	writeFile(t, file, nil)
	if err := os.Truncate(file, 300_000_000); err != nil {
		t.Fatal(err)
	}
	tab.Open(site.URL + "/phone")
	tab.Upload("#file", file)
	tab.Tap("Take it in")
	tab.WaitText("The file has 300 MB. This phone takes in at most 256 MB at once")
	tab.WaitText("lastbolt import FILE")
}
