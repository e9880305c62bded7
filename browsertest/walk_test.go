package browsertest

import (
	"net/url"
	"strconv"
	"strings"
	"testing"
	"time"

	"lastbolt/internal/browser"
)

// hand is a mechanic's hand on one job: the tab and the job's address.
type hand struct {
	t   *testing.T
	s   *server
	tab *browser.Tab
	job string // "http://127.0.0.1:PORT/jobs/ID", "" until a job is started
}

// killed ends the program that answers: the server's, or the one on the phone.
func (h *hand) killed() {
	h.t.Helper()
	if h.s.cmd == nil {
		h.tab.StopWorkers()
		return
	}
	h.s.killAndStartAgain()
}

// paper gives the words of a paper, which a phone without a server fetches from
// itself.
func (h *hand) paper(path string) string {
	h.t.Helper()
	if h.s.cmd == nil {
		return wordsOf(h.t, path, fetchedBy(h.tab, path))
	}
	return h.s.paper(path)
}

func (h *hand) open(rest string) {
	h.t.Helper()
	h.tab.Open(h.job + rest)
}

// start fills in the form of a new job and keeps the job's address.
func (h *hand) start(fields map[string]string) {
	h.t.Helper()
	h.tab.Open(h.s.url + "/jobs/new")
	for label, value := range fields {
		h.tab.Fill(label, value)
	}
	h.tab.Tap("Start the job")
	address, err := url.Parse(h.tab.URL())
	if err != nil || !strings.HasPrefix(address.Path, "/jobs/") || strings.HasPrefix(address.Path, "/jobs/new") {
		h.t.Fatalf("the job was not started, the page is %s:\n%s", h.tab.URL(), h.tab.Text("main"))
	}
	id, _, _ := strings.Cut(strings.TrimPrefix(address.Path, "/jobs/"), "/")
	h.job = h.s.url + "/jobs/" + id
}

// heading is the step's name, or the page's title.
func (h *hand) heading() string {
	h.t.Helper()
	return h.tab.Text("h1")
}

// path is the path of the job, for papers.
func (h *hand) path(rest string) string { return strings.TrimPrefix(h.job, h.s.url) + rest }

// listed are the names in the card of the steps page that has this title.
func (h *hand) listed(card string) []string {
	h.t.Helper()
	h.open("/steps")
	names := browser.Eval[[]string](h.tab, `[...document.querySelectorAll("section.card")]
		.filter((c) => c.querySelector("h2")?.textContent === "`+card+`")
		.flatMap((c) => [...c.querySelectorAll("a .list-main")].map((l) => l.firstChild.textContent.trim()))`)
	return names
}

// holdTime is longer than a DANGER's button asks for.
const holdTime = 1800 * time.Millisecond

// act presses the page's main action, holds it where it must be held, and says
// that every single-use piece is new. It returns the next page's heading.
func (h *hand) act() string {
	h.t.Helper()
	for range browser.Eval[[]string](h.tab, `[...document.querySelectorAll("main input[type=checkbox][name^='new:']")].filter((c) => !c.checked).map((c) => c.name)`) {
		h.tab.Tap("main label:has(input[name^='new:']:not(:checked))")
	}
	before := h.tab.URL()
	if h.tab.Has("button[data-main][data-hold]") {
		h.tab.HoldFor("button[data-main]", holdTime)
	} else {
		h.tab.Tap("[data-main]")
	}
	if h.tab.Has(".error-box") {
		h.t.Fatalf("%s was refused: %s", before, h.tab.Text(".error-box"))
	}
	return h.heading()
}

// form fills in the fields of the page's form and sends it.
func (h *hand) form(send string, fields map[string]string) {
	h.t.Helper()
	for label, value := range fields {
		h.tab.Fill(label, value)
	}
	h.tab.Tap(send)
}

// beside opens a page beside the step and comes back after its form was sent.
func (h *hand) beside(link, send string, fields map[string]string) {
	h.t.Helper()
	h.tab.Tap(link)
	h.form(send, fields)
}

// prove gives every open test on the prove page a passing answer.
func (h *hand) prove() int {
	h.t.Helper()
	h.open("/prove")
	for n := 0; ; n++ {
		open := "a[href*='/test?']:has(.tag.is-open)"
		if !h.tab.Has(open) {
			return n
		}
		h.tab.Tap(open)
		name := h.heading()
		if n > 60 {
			h.t.Fatalf("there is no end to the tests; this one is asked again: %q", name)
		}
		if h.tab.Has("main input[type=radio]") {
			h.tab.Tap("main .choices label") // the first answer is the good one
		} else {
			h.tab.Fill("main input[name=value]", h.within())
		}
		h.tab.Tap("Write it down")
		if h.tab.Has(".error-box") {
			h.t.Fatalf("the answer to %q was refused: %s", name, h.tab.Text(".error-box"))
		}
		if got := h.heading(); got != "Prove" {
			h.t.Fatalf("after the answer to %q the page is %q", name, got)
		}
	}
}

// within is a figure inside the limits that the test's page names.
func (h *hand) within() string {
	h.t.Helper()
	return browser.Eval[string](h.tab, `(() => {
		const text = document.querySelector("main").innerText;
		const range = /From ([\d.]+) .*to ([\d.]+)/.exec(text);
		if (range) return String((Number(range[1]) + Number(range[2])) / 2);
		const low = /At least ([\d.]+)/.exec(text);
		if (low) return String(Number(low[1]) * 1.1);
		const high = /At most ([\d.]+)/.exec(text);
		if (high) return String(Number(high[1]) * 0.8);
		return "1";
	})()`)
}

func itoa(n int) string { return strconv.Itoa(n) }

// slug makes a file name of words.
func slug(words string) string {
	return strings.Map(func(r rune) rune {
		if r >= 'a' && r <= 'z' || r >= '0' && r <= '9' {
			return r
		}
		return '-'
	}, strings.ToLower(words))
}
