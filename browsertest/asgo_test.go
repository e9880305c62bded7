package browsertest

import (
	"slices"
	"strings"
	"testing"

	"lastbolt/internal/browser"
)

// A job without a map, written down as things come off, ends as a map.
func TestRecordAsYouGoWithoutAMapAndKeepTheMap(t *testing.T) {
	s := emptyShop(t)
	h := &hand{t: t, s: s, tab: browser.Phone(t)}
	tab := h.tab
	h.start(map[string]string{"Vehicle": "Old tractor", "What is wrong, what is wanted?": "Water in the fuel bowl", "Title": "Fuel bowl"})
	tab.WaitText("Something comes off")
	tab.Screenshot("asgo-begun")

	h.off("Water in the fuel bowl", map[string]string{"What is it?": "Side panel", "How many fasteners came out?": "4", "What are they?": "M6 bolts, 10 mm head"})
	h.off("Side panel", map[string]string{"What is it?": "Tool box", "How many fasteners came out?": "2"})
	h.off("Water in the fuel bowl", map[string]string{"What is it?": "Fuel line", "How many fasteners came out?": "1", "Does it open something?": "fuel"})
	tab.Screenshot("asgo-open")
	for _, words := range []string{"Side panel", "Tool box", "Fuel line", "4 m6 bolts"} {
		if !strings.Contains(strings.ToLower(tab.Text("main")), strings.ToLower(words)) {
			t.Errorf("the job's first page does not say %q", words)
		}
	}

	tab.Tap("Put it back now")
	h.form("Plan the way back", map[string]string{"Why does it turn round here?": "Bowl cleaned"})
	back := []string{h.heading()}
	for len(back) < 10 && tab.Has("form [data-main]") {
		tab.ScreenshotScreen("asgo-back-" + slug(h.heading()))
		back = append(back, h.act())
	}
	for _, name := range []string{"Side panel", "Tool box", "Fuel line"} {
		if !slices.ContainsFunc(back, func(b string) bool { return strings.Contains(b, name) }) {
			t.Errorf("%s was not put back: %q", name, back)
		}
	}
	if panel, box := slices.Index(back, "Side panel"), slices.Index(back, "Tool box"); panel > box {
		t.Errorf("the tool box was in the way of the side panel, so it goes on after it; the way back was %q", back)
	}
	if n := h.prove(); n == 0 {
		t.Error("the fuel line was opened and no test came of it")
	}
	tab.Tap("Count them")
	h.form("Counted", map[string]string{"How many tools came back?": "3"})
	h.open("/release")
	h.form("Release the vehicle", map[string]string{"Who releases it?": "A. Mechanic"})
	tab.WaitText("The record")
	tab.Tap("Keep as a map")
	if !strings.Contains(tab.URL(), "/maps/") {
		t.Fatalf("keeping the map led to %s", tab.URL())
	}
	for _, words := range []string{"Side panel", "Tool box", "Fuel line"} {
		tab.WaitText(words)
	}
	tab.Screenshot("asgo-map")
	tab.Open(s.url + "/jobs/new")
	if !tab.Has("select[name=map] option:nth-child(2)") && browser.Eval[int](tab, `document.querySelector("select[name=map]").options.length`) < 2 {
		t.Error("the kept map cannot be chosen for the next job")
	}
}

// off writes down one thing that came off, and what it was in the way of.
func (h *hand) off(wayOf string, fields map[string]string) {
	h.t.Helper()
	h.open("")
	h.tab.Tap("Something comes off")
	h.tab.Tap(wayOf)
	h.form("It is off", fields)
	h.tab.WaitText(fields["What is it?"])
}
