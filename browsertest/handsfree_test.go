package browsertest

import (
	"regexp"
	"slices"
	"strings"
	"testing"

	"lastbolt/internal/browser"
)

const awakeState = `document.querySelector("[data-awake-state]").textContent`

// The screen stays on while a step is open, again after the page was out of
// sight, and the page says so; where the browser cannot, it says that.
func TestTheScreenStaysOnDuringAStep(t *testing.T) {
	s := demoShop(t)
	h := s.onJob(halfApart, browser.Phone(t))
	tab := h.tab
	h.open("")
	if got := browser.Eval[string](tab, awakeState); got != "" {
		t.Errorf("on the job's page, which may go dark, it says %q", got)
	}
	tab.Tap("[data-main]")
	h.passResume()
	tab.WaitFor("the screen to stay on", awakeState+` === "The screen stays on."`)
	tab.Tap("Menu")
	tab.WaitText("The screen stays on.")
	tab.ScreenshotScreen("awake")

	// The browser lets go of it when the page is out of sight.
	tab.Do(`globalThis.locks = [];
		const ask = navigator.wakeLock.request.bind(navigator.wakeLock);
		navigator.wakeLock.request = async (kind) => { const lock = await ask(kind); locks.push(lock); return lock; };
		document.dispatchEvent(new Event("visibilitychange"));`)
	tab.WaitFor("the page to ask again", `locks.length === 1 && !locks[0].released && locks[0].type === "screen"`)
	tab.Do(`await locks[0].release()`)
	tab.WaitFor("the page to say so", awakeState+` === "The screen may go dark."`)

	s.cmd.Process.Kill()
	_ = s.cmd.Wait()
	s.args = []string{"--let-everyone-in"}
	s.start("0.0.0.0:0")
	tab.Open(browser.Insecure(s.url) + strings.TrimPrefix(h.job, browser.Eval[string](tab, "location.origin")) + "/steps")
	tab.Open(browser.Insecure(s.url) + "/jobs/" + s.jobID(halfApart))
	tab.Tap("[data-main]")
	h.passResume()
	if browser.Eval[bool](tab, "isSecureContext") {
		t.Fatalf("%s is a secure context, so nothing is tried here", tab.URL())
	}
	tab.WaitFor("the page to say that it cannot", awakeState+` === "This browser cannot keep the screen on: set it in the phone."`)
}

// unspoken is what a voice makes nonsense of.
var unspoken = regexp.MustCompile(`N·m|lbf| · |×|°|→|\bmm\b|\bml\b|\d[x,]\d|\n`)

// A step is read aloud in whole words: its name, the number with its unit, the
// facts, the caution and when to stop; a second tap is quiet.
func TestAStepIsReadAloudInWords(t *testing.T) {
	s := demoShop(t)
	h := s.onJob(halfApart, browser.Phone(t))
	tab := h.tab
	tab.Open(h.job + "/steps")
	steps := browser.Eval[[]string](tab, `[...new Set([...document.querySelectorAll("main a[href*='/step?id=']")].map((a) => location.origin + a.getAttribute("href")))]`)
	if len(steps) < 10 {
		t.Fatalf("only %d steps are listed", len(steps))
	}
	torque, caution := false, false
	for _, step := range steps {
		tab.Open(step)
		if !tab.Has("[data-speak]") {
			continue
		}
		tab.Do(`globalThis.said = []; globalThis.quiet = 0; globalThis.speaking = false;
			Object.defineProperty(speechSynthesis, "speaking", {get: () => speaking, configurable: true});
			speechSynthesis.speak = (u) => { said.push(u.text); speaking = true; };
			speechSynthesis.cancel = () => { quiet++; speaking = false; };`)
		tab.Tap("Read aloud")
		said := browser.Eval[[]string](tab, "said")
		all := strings.Join(said, " | ")
		if !slices.Contains(said, h.heading()) {
			t.Errorf("%s: its name %q is not said: %s", step, h.heading(), all)
		}
		if sign := unspoken.FindString(all); sign != "" {
			t.Errorf("%s: %q is left to the voice: %s", step, sign, all)
		}
		if number := browser.Eval[string](tab, `document.querySelector("[data-read] .number-value")?.textContent.trim() ?? ""`); number != "" && !strings.Contains(all, strings.Fields(number)[0]) && number != "not known" {
			t.Errorf("%s: the number %q is not said: %s", step, number, all)
		}
		torque = torque || strings.Contains(all, "newton metres")
		if stop := browser.Eval[string](tab, `document.querySelector("[data-read] .caution-more")?.dataset.say ?? ""`); stop != "" {
			caution = true
			if !strings.Contains(all, stop) {
				t.Errorf("%s: the part of the caution that folds away is not said: %s", step, all)
			}
		}
		tab.Tap("Read aloud")
		if again := browser.Eval[int](tab, "said.length"); again != len(said) || browser.Eval[int](tab, "quiet") != 1 {
			t.Errorf("%s: a second tap is not quiet", step)
		}
		if torque && caution {
			return
		}
	}
	t.Errorf("of %d steps one had a torque to say: %v, one a caution: %v", len(steps), torque, caution)
}

// The browser would put the program on the phone's first screen, from the
// computer's own pages and from a paired phone's, and says so of no page that it
// does not trust.
func TestTheProgramCanBePutOnTheFirstScreen(t *testing.T) {
	s := lanShop(t, true)
	tab := browser.Phone(t)
	tab.Open(s.url + "/jobs")
	if why := tab.NotInstallable(); len(why) > 0 {
		t.Errorf("%s: %q", tab.URL(), why)
	}
	owner := browser.Desktop(t)
	owner.Open(s.url + "/phones/pair")
	phone := pairPhone(t, owner, "blue phone")
	if why := phone.NotInstallable(); len(why) > 0 {
		t.Errorf("%s: %q", phone.URL(), why)
	}
	for _, icon := range browser.Eval[[]int](phone, `fetch(document.querySelector("link[rel=manifest]").href).then((a) => a.json())
		.then((m) => Promise.all(m.icons.map((i) => fetch(i.src).then((a) => a.status))))`) {
		if icon != 200 {
			t.Errorf("an icon of the manifest: status %d", icon)
		}
	}
	host := browser.Insecure(strings.Replace(browser.Eval[string](phone, "location.origin"), "https:", "http:", 1))
	tab.Open(host + "/trust")
	if why := tab.NotInstallable(); len(why) == 0 {
		t.Errorf("%s: the browser would install it from plain http, so nothing is tried above", tab.URL())
	}
}
