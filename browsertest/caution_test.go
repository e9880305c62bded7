package browsertest

import (
	"strings"
	"testing"

	"lastbolt/internal/browser"
)

// A caution must not push what it is about off a phone's first screen, and what
// it folds away must open without scripts.
func TestADangerLeavesTheNumberAndTheActionInSight(t *testing.T) {
	s := demoShop(t)
	tab := browser.Phone(t)
	step := s.url + "/jobs/" + s.jobID("Alternator") + "/step?id=down%2Fraised"
	tab.Open(step)
	if hold := tab.Text("[data-main]"); !strings.Contains(hold, "hold: It stands on stands") {
		t.Errorf("the main action says %q, without its check", hold)
	}
	tab.Open(strings.Replace(step, "raised", "wheel-right", 1))
	tab.ScreenshotScreen("danger-number")
	if !tab.Has(".caution.is-danger, .caution.is-warning") || !tab.Has(".number") {
		t.Fatal("the step has no grave caution or no number, so it shows nothing")
	}
	type box struct{ Caution, Number, Action, Screen float64 }
	b := browser.Eval[box](tab, `({
		caution: document.querySelector(".caution").getBoundingClientRect().top,
		number: document.querySelector(".number").getBoundingClientRect().bottom,
		action: document.querySelector(".thumb").getBoundingClientRect().top,
		screen: document.querySelector("[data-main]").getBoundingClientRect().bottom - innerHeight,
	})`)
	if b.Caution < 0 || b.Number > b.Action || b.Screen > 0 {
		t.Errorf("the caution begins at %.0f, the number ends at %.0f, the action begins at %.0f and ends %.0f below the screen", b.Caution, b.Number, b.Action, b.Screen)
	}
	plain := browser.Phone(t)
	plain.WithoutScripts()
	plain.Open(step)
	if plain.Reads("A jack lifts, it does not hold") {
		t.Error("the caution is not folded")
	}
	plain.Tap("More, and when to stop")
	plain.WaitText("A jack lifts, it does not hold")
	plain.WaitText("Stop if: ")
}
