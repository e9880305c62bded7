package browsertest

import (
	"strings"
	"testing"

	"lastbolt/internal/browser"
)

// A partial drain, a new mixture for a colder night, and air that is trapped:
// the book of the coolant works them out on the way.
func TestAPartialDrainANewMixtureAndTrappedAir(t *testing.T) {
	s := demoShop(t)
	h := &hand{t: t, s: s, tab: browser.Phone(t)}
	tab := h.tab
	h.start(map[string]string{"Vehicle": vehicle, "What is wrong, what is wanted?": "Slow to warm up",
		"Access map": "Tern van 1.4, front end and engine bay", "Title": "Thermostat"})
	tab.Fill("q", "thermostat")
	tab.Tap("Find")
	tab.Fill("[name='do:thermostat']", "replace")
	tab.Tap("Plan it")
	tab.WaitText("Point of no return")
	h.open("/fluid?name=coolant")
	tab.WaitText("Nothing measured yet")
	tab.WaitText("poisonous")
	tab.Screenshot("fluid-empty")

	tab.Tap("[data-main]")
	h.form("Write it down", map[string]string{"Caught": "3.2 L", "How it looks": "clear"})
	tab.WaitText("Write what the whole system holds")
	tab.Tap("Change")
	h.form("[data-main]", map[string]string{"The whole system holds": "6.5 L", "Coldest night to be safe in": "-25 °C",
		"Strength of the old": "35", "select[name=product]": "concentrate"})
	tab.WaitText("Antifreeze to fill")
	tab.WaitText("Stays in the system")
	if stays := tab.Text("main"); !strings.Contains(stays, "3.30 L") {
		t.Errorf("of 6.5 L with 3.2 L out 3.3 L stay in; the page says:\n%s", stays)
	}
	tab.Screenshot("fluid-mixture")

	tab.Tap("[data-main]")
	h.form("Write it down", map[string]string{"Filled": "2.1 L", "What": "new mixture"})
	tab.WaitText("Did it all go in?")
	tab.WaitText("Still to go in")
	tab.WaitText("air")
	tab.Screenshot("fluid-trapped-air")
	tab.Tap("More went in")
	h.form("Write it down", map[string]string{"Filled": "5 L"})
	tab.WaitText("more than the whole system holds")
	h.open("/fluid?name=coolant")
	tab.Tap("More went in")
	h.form("Write it down", map[string]string{"Filled": "1.1 L"})
	tab.Tap("[data-main]")
	tab.Tap("at the mark")
	tab.Tap("Write it down")
	tab.WaitText("Level after filling")
	tab.Screenshot("fluid-full")
	tab.Axe() // last: it skips where the checker is not installed
}
