package browsertest

import (
	"regexp"
	"slices"
	"strings"
	"testing"

	"lastbolt/internal/browser"
)

// A calculation answers while its form is filled in, and its answer is kept on
// the step it was asked for.
func TestACalculationAnswersAsItIsFilledInAndIsKept(t *testing.T) {
	s := demoShop(t)
	h := s.onJob("Alternator", browser.Phone(t))
	tab := h.tab
	h.open("/step?id=up%2Falternator")
	tab.Tap("Work out")
	tab.Fill("q", "torque preload short")
	tab.Tap("Find")
	tab.Tap("Torque for a preload, short form")
	tab.WaitText("The answer appears here")
	tab.Fill("Thread", "M8")
	tab.Fill("input[name=preload]", "15") // kN stands beside the field
	tab.WaitText("N·m")
	first := tab.Text("[data-answer]")
	tab.Fill("input[name=preload]", "16")
	tab.WaitFor("another answer", `document.querySelector("[data-answer]").innerText.trim() !== `+quote(first))
	tab.Screenshot("calc-live")
	tab.Fill("Thread", "M8x9")
	tab.WaitFor("a sentence about the thread", `document.querySelector("[data-answer] .error-box")`)
	tab.Fill("Thread", "M8")
	tab.WaitText("Keep this answer")
	tab.Tap("Keep this answer")
	tab.WaitText("See the working")
	if !strings.Contains(tab.Text("main"), "Torque for a preload") {
		t.Errorf("the answer is not on the step:\n%s", tab.Text("main"))
	}
	tab.Screenshot("calc-kept")
	tab.Tap("See the working")
	tab.WaitText("Keep this answer")
	if found := slices.Concat(tab.SmallTargets(), tab.Overflow()); len(found) > 0 {
		t.Errorf("on the calculation's page: %s", strings.Join(found, "; "))
	}
	tab.Axe() // last: it skips where the checker is not installed
}

var exampleLink = regexp.MustCompile(`href="(/work-out/[^"]+)">\s*Fill in an example`)

// Every calculation's example gives an answer on its page, on phone and desk,
// and nothing is wider than the screen.
func TestEveryCalculationsExampleIsAnsweredOnItsPage(t *testing.T) {
	s := demoShop(t)
	tab := browser.Phone(t)
	tab.Open(s.url + "/work-out")
	names := browser.Eval[[]string](tab, `[...document.querySelectorAll("main .list a")].map((a) => a.getAttribute("href"))`)
	if len(names) < 60 {
		t.Fatalf("%d calculations are listed, want 60 or more", len(names))
	}
	for _, name := range names {
		_, page := s.get(name)
		example := exampleLink.FindSubmatch(page)
		if example == nil {
			t.Errorf("%s offers no example", name)
			continue
		}
		tab.Open(s.url + strings.ReplaceAll(string(example[1]), "&amp;", "&"))
		if tab.Has("[data-answer] .error-box") {
			t.Errorf("%s: the example is refused: %s", name, tab.Text("[data-answer] .error-box"))
			continue
		}
		if !tab.Has("[data-answer] .calc-value") && !tab.Has("[data-answer] table") {
			t.Errorf("%s: the example has no answer", name)
		}
		if found := tab.Overflow(); len(found) > 0 {
			t.Errorf("%s: %s", name, strings.Join(found, "; "))
		}
		tab.Screenshot("calc-" + slug(name))
	}
}
