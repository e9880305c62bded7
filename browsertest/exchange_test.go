package browsertest

import (
	"compress/gzip"
	"context"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"lastbolt/demo"
	"lastbolt/internal/browser"
	"lastbolt/store/sqlite"
)

var phoneFile struct {
	once sync.Once
	path string
}

// withPhones are the arguments by which a server hands out the phone's program,
// which is built once.
func withPhones(t *testing.T) []string {
	t.Helper()
	build(t)
	phoneFile.once.Do(func() {
		wasm := filepath.Join(binary.dir, "phone.wasm")
		phoneProgram(t, wasm)
		content, err := os.ReadFile(wasm)
		if err != nil {
			t.Fatal(err)
		}
		out, err := os.Create(wasm + ".gz")
		if err != nil {
			t.Fatal(err)
		}
		z, _ := gzip.NewWriterLevel(out, gzip.BestSpeed)
		if _, err := z.Write(content); err != nil || z.Close() != nil || out.Close() != nil {
			t.Fatal("the phone's program could not be packed")
		}
		phoneFile.path = wasm + ".gz"
	})
	if phoneFile.path == "" {
		t.Fatal("the phone's program could not be built")
	}
	return []string{"--program", phoneFile.path, "--glue", glue(t)}
}

// exchangeShop starts the program on the demo's jobs, with the phone's program
// to hand out.
func exchangeShop(t *testing.T) *server {
	t.Helper()
	browser.Start(t)
	s := &server{t: t, dir: filepath.Join(t.TempDir(), "shop"), args: withPhones(t)}
	s.fill(func(ctx context.Context, st *sqlite.Store) error { return demo.Fill(ctx, st, time.Now()) })
	s.start("127.0.0.1:0")
	return s
}

// keeping has a phone keep the program and everything that the server has.
func keeping(tab *browser.Tab, origin string) {
	tab.Open(origin + "/jobs")
	tab.Tap("Keep working without network")
	tab.WaitText("Keep it on this phone")
	tab.WaitText("of them in hand, in a database of ")
	tab.ScreenshotScreen("exchange-offer")
	tab.Tap("Keep it on this phone")
	tab.WaitText("Jobs in hand")
	tab.WaitText("Sent, ")
}

// cut ends the server as a dead battery does; back starts it again.
func (s *server) cut() {
	s.t.Helper()
	if err := s.cmd.Process.Kill(); err != nil {
		s.t.Fatalf("the program could not be killed: %v", err)
	}
	_ = s.cmd.Wait() // killed, as it was told
}

func (s *server) back() { s.start(strings.TrimPrefix(s.url, "http://")) }

// Two phones keep everything themselves. Both record on one job while there is
// no server, one of them with its worker stopped in the middle of a tap. When
// the server is back, both show the same, and on what they differ a person
// chooses.
func TestTwoPhonesWithoutNetworkShowTheSameOnceItIsBack(t *testing.T) {
	s := exchangeShop(t)
	one, two := s.onJob(halfApart, browser.Phone(t)), s.onJob(halfApart, browser.Phone(t))
	keeping(one.tab, s.url)
	one.tab.ScreenshotScreen("exchange-jobs")
	keeping(two.tab, s.url)
	one.open("")
	one.tab.Tap("Go on") // it was left for a day
	one.passResume()
	counted := `!!document.querySelector("main input[name^='count:']")`
	for !browser.Eval[bool](one.tab, counted) {
		one.act()
	}
	one.tab.WaitText("Sent, ")
	step := one.tab.URL()
	for range 20 { // it asks to look again at the last steps until the other's taps have come
		if two.tab.Open(step); !strings.Contains(two.tab.URL(), "/resume") {
			break
		}
		time.Sleep(200 * time.Millisecond)
	}
	two.tab.WaitFor("the other phone's taps to come", counted)
	two.tab.WaitText("Sent, ")

	s.cut()
	one.act()
	one.tab.WaitText("No server in reach since ")
	one.tab.WaitText("Waiting to send: ")
	one.tab.Screenshot("exchange-away")
	one.tab.Reload()
	one.tab.WaitText("Waiting to send: ")
	two.tab.Tap("Count, tray, size")
	count := "main input[name^='count:']"
	n := browser.Eval[int](two.tab, `Number(document.querySelector("`+count+`").value)`)
	two.tab.Fill(count, itoa(n+1))
	if check := "main label:has(input[name=confirmed])"; two.tab.Has(check) {
		two.tab.Tap(check)
	}
	two.tab.Tap("Done, with these counts")
	two.tab.WaitText("Waiting to send: ")
	one.noteWithTheWorkerStopped("the long screw sits at the back")

	s.back()
	for _, h := range []*hand{one, two} {
		h.open("") // a phone out of sight would learn of it at its next page
		h.tab.WaitText("Sent, ")
	}
	one.open("") // two has sent since
	for _, h := range []*hand{one, two} {
		h.tab.WaitText("In dispute")
		h.tab.WaitText(itoa(n + 1))
	}
	one.tab.Screenshot("exchange-dispute")
	if a, b := one.told("/record"), two.told("/record"); a != b {
		t.Errorf("the two phones show different records:\n%s\nand\n%s", a, b)
	}
	one.open("")
	one.tab.Tap(itoa(n) + " ")
	two.tab.WaitGone("In dispute") // nobody touched it: the server told it
	two.tab.Screenshot("exchange-settled")
	two.tab.Open(s.url + "/phone")
	two.tab.WaitText("the same on the computer that it is paired with")
	two.tab.Tap("Exchange now")
	two.tab.WaitText("Sent, ")
	two.tab.Screenshot("exchange-this-phone")
	if got := two.tab.Overflow(); len(got) > 0 {
		t.Errorf("cut off: %q", got)
	}
	if _, page := s.get(one.path("/record")); strings.Count(string(page), "the long screw sits at the back") != 1 {
		t.Error("the server's record does not have the note of the stopped worker once")
	}
}

// told are the words of a page of the job.
func (h *hand) told(rest string) string {
	h.t.Helper()
	h.open(rest)
	return h.tab.Text("main")
}

// noteWithTheWorkerStopped writes a note and stops the worker in the middle of
// sending it; where that got no answer the person writes it again, if it is not
// there.
func (h *hand) noteWithTheWorkerStopped(text string) {
	h.t.Helper()
	h.open("/note")
	h.tab.Fill("main textarea", text)
	h.tab.Do(`setTimeout(() => document.querySelector("main form").requestSubmit())`)
	h.tab.StopWorkers()
	time.Sleep(time.Second) // there may be no answer: Chromium may leave the page as it was, waiting
	if !strings.Contains(h.told("/record"), text) {
		h.open("/note")
		h.form("main form button:not([name])", map[string]string{"main textarea": text})
	}
}
