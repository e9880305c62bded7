package browsertest

import (
	"io"
	"net/http"
	"net/url"
	"regexp"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/chromedp/chromedp/kb"

	"lastbolt/internal/browser"
)

// jobID finds a job by its title in the list of jobs, released ones too.
func (s *server) jobID(title string) string {
	s.t.Helper()
	_, body := s.get("/jobs?q=" + url.QueryEscape(title))
	m := regexp.MustCompile(`/jobs/([0-9a-f-]{36})"`).FindSubmatch(body)
	if m == nil {
		s.t.Fatalf("there is no job %q", title)
	}
	return string(m[1])
}

// onJob is a hand on a job of the demo.
func (s *server) onJob(title string, tab *browser.Tab) *hand {
	return &hand{t: s.t, s: s, tab: tab, job: s.url + "/jobs/" + s.jobID(title)}
}

const halfApart = "Oil cooler reseal and belt"

// Two devices at the same step: the second is told, a different count is kept
// and settled by the mechanic, and a page left open follows by itself.
func TestTwoTabsActingAtOnce(t *testing.T) {
	s := demoShop(t)
	one, two := s.onJob(halfApart, browser.Phone(t)), s.onJob(halfApart, browser.Desktop(t))
	two.tab.WithoutScripts() // so that its page stays as it was
	one.open("")
	one.tab.Tap("Go on") // it was left for a day
	one.passResume()
	step := one.heading()
	two.tab.Open(one.tab.URL())
	counted := `!!document.querySelector("main input[name^='count:']")`
	for !browser.Eval[bool](one.tab, counted) {
		step = one.act()
		two.tab.Open(one.tab.URL())
	}
	one.act()
	two.tab.Tap("Count, tray, size")
	count := "main input[name^='count:']"
	n := browser.Eval[int](two.tab, `Number(document.querySelector("`+count+`").value)`)
	two.tab.Fill(count, itoa(n+1))
	two.tab.Tap("Done, with these counts")
	two.tab.WaitText("was recorded already")
	two.tab.WaitText("both are kept")
	two.tab.Screenshot("two-tabs-differ")

	one.open("")
	one.tab.WaitText("In dispute")
	one.tab.Screenshot("two-tabs-dispute")
	one.tab.Tap(itoa(n) + " ")
	one.tab.WaitGone("In dispute")

	// A page that is only looked at follows what the other device records.
	follow := s.onJob(halfApart, browser.Desktop(t))
	follow.open("/steps")
	before := follow.tab.Text("main header")
	one.open("")
	one.tab.Tap("[data-main]")
	if one.heading() == step {
		t.Fatalf("the step %q is still the next one", step)
	}
	one.act()
	follow.tab.WaitFor("the steps page to follow", `document.querySelector("main header").innerText.trim() !== `+quote(before))
}

// passResume looks at the last steps again where the page asks for it.
func (h *hand) passResume() {
	h.t.Helper()
	if !strings.Contains(h.tab.URL(), "/resume") {
		return
	}
	for h.tab.Has("main label:has(input[type=checkbox]:not(:checked))") {
		h.tab.Tap("main label:has(input[type=checkbox]:not(:checked))")
	}
	h.tab.Tap("[data-main]")
}

func quote(text string) string {
	return "`" + strings.NewReplacer("\\", "\\\\", "`", "\\`", "$", "\\$").Replace(text) + "`"
}

// Eight devices press the same button in the same moment: one record.
func TestTheSameTapFromEightDevicesIsRecordedOnce(t *testing.T) {
	s := demoShop(t)
	job := s.url + "/jobs/" + s.jobID(halfApart)
	s.goOn(job) // it was left for a day
	_, page := s.get(job)
	m := regexp.MustCompile(`data-main href="([^"]+/step\?id=[^"]+)"`).FindSubmatch(page)
	if m == nil {
		t.Fatalf("the job's page leads to no step:\n%s", page)
	}
	form := s.hidden(s.url + strings.ReplaceAll(string(m[1]), "&amp;", "&"))
	form.Set("confirmed", "yes")
	var group sync.WaitGroup
	var mu sync.Mutex
	answers := map[int]int{}
	client := &http.Client{CheckRedirect: func(*http.Request, []*http.Request) error { return http.ErrUseLastResponse }}
	for range 8 {
		group.Go(func() {
			answer, err := client.PostForm(job+"/done", form)
			if err != nil {
				t.Errorf("a device got no answer: %v", err)
				return
			}
			_, _ = io.Copy(io.Discard, answer.Body)
			_ = answer.Body.Close()
			mu.Lock()
			answers[answer.StatusCode]++
			mu.Unlock()
		})
	}
	group.Wait()
	if answers[http.StatusSeeOther] != 1 || answers[http.StatusConflict] != 7 {
		t.Errorf("of eight devices one should record and seven be told it is done already; the answers were %v", answers)
	}
}

// hidden are the hidden fields of a page, the first of each name; not those of
// its undo line.
func (s *server) hidden(page string) url.Values {
	s.t.Helper()
	_, body := s.get(page)
	form := url.Values{}
	for _, f := range regexp.MustCompile(`<input type="hidden" name="([^"]+)" value="([^"]*)"`).FindAllSubmatch(body, -1) {
		if name := string(f[1]); name != "event" && (name == "step" || !form.Has(name)) {
			form.Add(name, string(f[2]))
		}
	}
	return form
}

// goOn confirms the last steps of a job, without a browser.
func (s *server) goOn(job string) {
	s.t.Helper()
	answer, err := http.PostForm(job+"/resume", s.hidden(job+"/resume"))
	if err != nil {
		s.t.Fatalf("the job does not go on: %v", err)
	}
	defer answer.Body.Close()
	if answer.StatusCode != http.StatusOK {
		s.t.Fatalf("the job does not go on: status %d", answer.StatusCode)
	}
}

// Space, page down and arrow right do the step, page up and arrow left look
// back, u takes back; a DANGER must be held on the keyboard too.
func TestKeyboardWalksAStep(t *testing.T) {
	s := shop(t)
	h := &hand{t: t, s: s, tab: browser.Desktop(t)}
	tab := h.tab
	h.complaint()
	h.targets()
	plan := h.listed("Take apart")
	h.open("/ready")
	tab.Press(" ")
	for i, key := range []string{kb.PageDown, kb.ArrowRight, " ", kb.PageDown, kb.PageDown, kb.PageDown, kb.PageDown, kb.PageDown, kb.PageDown, kb.PageDown} {
		if got := h.heading(); got != plan[i] {
			t.Fatalf("after %d keys the step is %q, the plan has %q", i, got, plan[i])
		}
		if i == 2 { // take back, and do it again
			tab.Press("u")
			tab.WaitText(plan[1])
			tab.Press(kb.PageDown)
			tab.Press(kb.PageUp)
			if got := h.heading(); got != plan[1] {
				t.Fatalf("page up shows %q, want the step before, %q", got, plan[1])
			}
			tab.Press(kb.ArrowRight) // it is done, so on to the next
		}
		if tab.Has("[data-hold]") {
			break
		}
		tab.Press(key)
	}
	danger := h.heading()
	if !tab.Has("[data-hold]") {
		t.Fatalf("no DANGER was met by step %q", danger)
	}
	tab.Press(kb.PageDown)
	if got := h.heading(); got != danger {
		t.Fatalf("one press of a key finished the DANGER step %q", danger)
	}
	tab.Do(`document.body.dispatchEvent(new KeyboardEvent("keydown", {key: "PageDown", bubbles: true, cancelable: true}))`)
	time.Sleep(holdTime)
	tab.WaitFor("the held key to finish the step", `document.querySelector("h1").innerText !== `+quote(danger))
}

// With scripts switched off a job is planned, stepped and taken back.
func TestWithoutScripts(t *testing.T) {
	s := shop(t)
	h := &hand{t: t, s: s, tab: browser.Phone(t)}
	tab := h.tab
	tab.WithoutScripts()
	h.complaint()
	h.targets()
	plan := h.listed("Take apart")
	h.open("/ready")
	tab.Tap("Start: " + plan[0])
	for i := range plan {
		if got := h.heading(); got != plan[i] {
			t.Fatalf("without scripts step %d is %q, the plan has %q", i+1, got, plan[i])
		}
		if tab.Has("main label:has(input[name=confirmed])") {
			tab.ScreenshotScreen("noscript-danger")
			tab.Tap("main label:has(input[name=confirmed])")
			tab.Tap("[data-main]")
			if got := h.heading(); got == plan[i] {
				t.Fatalf("the DANGER step %q cannot be finished by its tick box", plan[i])
			}
			tab.Tap("Undo: ")
			if got := h.heading(); got != plan[i] {
				t.Fatalf("undo led to %q, want %q", got, plan[i])
			}
			return
		}
		tab.Tap("[data-main]")
	}
	t.Error("no DANGER was met on the way down")
}

// A job left for a day asks for the last three steps before it goes on; so
// does one that was paused.
func TestAfterIdleAndPauseTheLastStepsAreConfirmed(t *testing.T) {
	s := demoShop(t)
	h := s.onJob(halfApart, browser.Phone(t))
	tab := h.tab
	h.open("")
	tab.Tap("[data-main]")
	h.passResume()
	step := h.heading()
	h.open("/pause")
	h.form("Pause the job", map[string]string{"Why?": "waiting for the seal", "Fitted but not tight": "Belt tensioner", "Must not be started or moved": "Do not start the engine"})
	tab.WaitText("Paused")
	tab.WaitText("Do not start the engine")
	tab.Screenshot("paused")
	h.papers(map[string]string{"tag": "Do not start the engine"})
	tab.Tap("Go on")
	if n := len(tab.Texts("main label:has(input[type=checkbox])")); n != 3 {
		t.Errorf("after the pause %d steps are to be confirmed, want 3: %q", n, tab.Texts("main label"))
	}
	tab.Screenshot("resume")
	tab.Tap("[data-main]")
	if !strings.Contains(tab.URL(), "/resume") {
		t.Errorf("the job went on without a step confirmed, to %s", tab.URL())
	}
	h.passResume()
	if got := h.heading(); got != step {
		t.Errorf("after the pause the step is %q, want %q", got, step)
	}
	// The phone was put away: its clock has moved on when it wakes.
	tab.Do(`const then = Date.now; Date.now = () => then() + 21 * 60000; document.dispatchEvent(new Event("visibilitychange"))`)
	tab.WaitFor("the page to ask for the last steps", `location.pathname.endsWith("/resume")`)
}
