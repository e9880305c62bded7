package browsertest

import (
	"testing"

	"lastbolt/internal/browser"
)

// A ring of the wrong rubber is caught before the joint is closed on it, and
// the right one is measured in its groove.
func TestAWrongRingIsCaughtBeforeTheJointIsClosed(t *testing.T) {
	s := emptyShop(t)
	h := &hand{t: t, s: s, tab: browser.Phone(t)}
	tab := h.tab
	h.start(map[string]string{"Vehicle": "Old tractor", "What is wrong, what is wanted?": "Drips at the water pipe", "Title": "Water pipe"})
	h.off("Drips at the water pipe", map[string]string{"What is it?": "Water pipe", "How many fasteners came out?": "2", "Does it open something?": "coolant"})
	tab.Tap("What seals each joint")
	tab.WaitText("not named yet")
	tab.Screenshot("seals-unnamed")
	tab.Tap("Water pipe: coolant")
	tab.Tap("[data-main]")
	h.form("Keep", map[string]string{"select[name=kind]": "o-ring", "Size": "large"})
	tab.WaitText("is no ring size")
	if got := browser.Eval[string](tab, `document.querySelector("[name=size]").value`); got != "large" {
		t.Errorf("the refused form came back with the size %q", got)
	}
	h.form("Keep", map[string]string{"select[name=kind]": "o-ring", "Size": "214", "select[name=material]": "NBR"})
	tab.WaitText("Will not do")
	tab.WaitText("110 °C is too hot for NBR")
	tab.Screenshot("seal-wrong")
	tab.Axe()

	h.open("")
	tab.Tap("Put it back now")
	h.form("Plan the way back", map[string]string{"Why does it turn round here?": "New ring"})
	tab.WaitText("Water pipe")
	tab.Tap("[data-main]")
	tab.WaitText("Take EPDM")
	tab.Screenshot("seal-refused")

	h.open("/seals")
	tab.Tap("Water pipe: coolant")
	tab.Tap("Take another seal")
	h.form("Keep", map[string]string{"select[name=material]": "EPDM"})
	tab.WaitText("EPDM suits coolant")
	for _, words := range []string{"clean coolant", "mineral grease"} {
		tab.WaitText(words)
	}
	tab.Tap("Measure it")
	h.form("Keep and judge", map[string]string{"select[name=seat]": "piston", "Diameter of the groove's floor": "25.6 mm", "Diameter of the bore": "31.35 mm", "Groove's width": "4.95 mm"})
	tab.WaitText("lies in the usual")
	tab.WaitText("squeeze 17 %") // in the drawing
	tab.Screenshot("seal-measured")
	if wide := tab.Overflow(); len(wide) > 0 {
		t.Errorf("wider than the phone: %q", wide)
	}
	if small := tab.SmallTargets(); len(small) > 0 {
		t.Errorf("too small to tap: %q", small)
	}
	tab.Axe()
	tab.Tap("Back to the step")
	tab.WaitText("wet, with clean coolant")
	tab.Screenshot("seal-step-up")
	h.act()
	h.open("/prove")
	tab.WaitText("Water pipe: coolant")
}
