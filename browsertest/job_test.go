package browsertest

import (
	"slices"
	"strings"
	"testing"

	"lastbolt/internal/browser"
)

// The whole of a job on a phone: complaint, plan, ready, apart with trouble
// and a killed program, back with a bolt short, proved, released, on paper.
func TestAJobFromComplaintToReleasedRecord(t *testing.T) {
	s := shop(t)
	h := &hand{t: t, s: s, tab: browser.Phone(t)}
	tab := h.tab

	h.complaint()
	h.targets()
	h.ready()
	h.apart()
	h.bottom()
	h.back()
	h.proved()
	h.released()

	h.papers(map[string]string{"sheet": "Oil cooler", "labels": "Belt shield", "record": "A. Mechanic"})
	tab.Open(s.url + "/jobs")
	tab.WaitText("No job in hand")
	tab.Tap("Released jobs")
	tab.WaitText("Oil cooler and belt")
}

// papers checks that each paper of the job opens and says some words.
func (h *hand) papers(words map[string]string) {
	h.t.Helper()
	for kind, want := range words {
		if text := h.paper(h.path("/paper/" + kind)); text != "" && !strings.Contains(text, want) {
			h.t.Errorf("the paper %q does not say %q:\n%.1500s", kind, want, text)
		}
	}
}

func (h *hand) complaint() {
	h.tab.Open(h.s.url + "/")
	h.tab.WaitText("No job in hand")
	h.tab.Tap("Start a job")
	h.start(map[string]string{
		"Vehicle": vehicle, "What is wrong, what is wanted?": "Oil on the front of the engine, belt squeals when it is wet",
		"Access map": "Tern van 1.4, front end and engine bay", "Title": "Oil cooler and belt", "Odometer": "84,210 km",
	})
}

// targets looks for two things one after the other: the first stays chosen.
func (h *hand) targets() {
	h.t.Helper()
	tab := h.tab
	tab.WaitText("What is to be done?")
	tab.Fill("q", "oil cooler")
	tab.Tap("Find")
	tab.Fill("[name='do:oil-cooler']", "reseal")
	tab.Fill("q", "drive belt")
	tab.Tap("Find")
	tab.Fill("[name='do:belt']", "replace")
	tab.Tap("Plan it")
	tab.WaitText("shortest order proven")
	tab.WaitText("Point of no return")
	for _, target := range []string{"Oil cooler", "Drive belt"} {
		if !slices.ContainsFunc(tab.Texts(".list-plain"), func(line string) bool { return strings.HasPrefix(line, target) }) {
			h.t.Errorf("the plan does not name %s: %q", target, tab.Texts(".list-plain"))
		}
	}
	tab.Screenshot("walk-plan")
}

// ready marks everything that is missing as had.
func (h *hand) ready() {
	h.t.Helper()
	h.open("/ready")
	h.tab.WaitText("missing")
	missing := len(h.tab.Texts("main .tag.is-now"))
	if missing == 0 {
		h.t.Fatal("the demo shelf lacks a few things, but none is shown as missing")
	}
	h.tab.Screenshot("walk-ready")
	h.papers(map[string]string{"ready": "Undertray", "tag": vehicle})
	for n := 0; h.tab.Has("Have it"); n++ {
		if n > 60 {
			h.t.Fatal("marking things as had has no end")
		}
		h.tab.Tap("Have it")
	}
	if left := h.tab.Texts("main .tag.is-now"); len(left) > 0 {
		h.t.Errorf("after all was marked as had, still missing: %q", left)
	}
}

// apart steps down in the order of the plan, with all that can come between.
func (h *hand) apart() {
	h.t.Helper()
	tab := h.tab
	plan := h.listed("Take apart")
	if len(plan) < 8 {
		h.t.Fatalf("the way down has %d steps: %q", len(plan), plan)
	}
	h.open("/ready")
	tab.Tap("Start: " + plan[0])
	held := false
	for i, want := range plan {
		if got := h.heading(); got != want {
			h.t.Fatalf("step %d down is %q, the plan has %q", i+1, got, want)
		}
		switch i {
		case 3: // undo the step before, and do it again
			tab.Tap("Undo: ")
			if got := h.heading(); got != plan[2] {
				h.t.Fatalf("after the undo the next step is %q, want %q", got, plan[2])
			}
			h.act()
		case 1:
			h.waitIsOver()
		case 4:
			h.brokenClip(want)
		case 5:
			h.kill(plan[:5], want)
		case 6:
			h.unplanned(want)
		}
		if tab.Has("[data-hold]") {
			held = true
			h.lettingGoEarlyDoesNothing(want)
		}
		tab.ScreenshotScreen("walk-down-" + slug(want))
		h.act()
	}
	if !held {
		h.t.Error("no step of the way down had to be held, though the vehicle is raised")
	}
}

// waitIsOver ends a wait by hand: the van stood overnight and is cold.
func (h *hand) waitIsOver() {
	h.t.Helper()
	if !h.tab.Has("[data-until]") {
		h.t.Fatal("the first step lets the engine cool, but no timer runs")
	}
	h.tab.Tap("It is over")
	if h.tab.Has("[data-until]") {
		h.t.Error("the wait was said to be over and still runs")
	}
}

func (h *hand) lettingGoEarlyDoesNothing(step string) {
	h.t.Helper()
	h.tab.HoldFor("[data-hold]", holdTime/6)
	if got := h.heading(); got != step {
		h.t.Fatalf("a short press finished the DANGER step %q, the page is now %q", step, got)
	}
}

func (h *hand) brokenClip(step string) {
	h.t.Helper()
	h.tab.Tap("Trouble")
	h.tab.Tap("broken clip")
	h.form("Write it down", map[string]string{"What does it need?": "Pipe clip 22 mm", "How many, how much?": "2"})
	if got := h.heading(); got != step {
		h.t.Fatalf("after the trouble the page is %q, want the step %q", got, step)
	}
	h.tab.WaitText("Trouble: broken clip")
	h.open("")
	h.tab.WaitText("Pipe clip 22 mm")
	h.tab.Tap("Next: " + step)
}

// kill ends the program between two taps: all that was acknowledged is there.
func (h *hand) kill(done []string, next string) {
	h.t.Helper()
	h.killed()
	h.open("/steps")
	lines := h.tab.Texts("section.card li:has(.tag.is-done) .list-main")
	for _, name := range done {
		if !slices.ContainsFunc(lines, func(l string) bool { return strings.HasPrefix(l, name) }) {
			h.t.Errorf("%q was done before the program was killed and is not done any more: %q", name, lines)
		}
	}
	h.open("")
	h.tab.WaitText("Pipe clip 22 mm")
	h.tab.Tap("Next: " + next)
}

// unplanned puts something in front of a step, and takes it off.
func (h *hand) unplanned(step string) {
	h.t.Helper()
	h.beside("In the way", "It is off", map[string]string{
		"What is it?": "Added wiring bracket", "How many fasteners came out?": "2", "What are they?": "M6 bolts, 10 mm head",
	})
	if got := h.heading(); got != step {
		h.t.Fatalf("after the unplanned item the step is %q, want %q", got, step)
	}
	if names := h.listed("Take apart"); !slices.Contains(names, "Added wiring bracket") || slices.Index(names, "Added wiring bracket") > slices.Index(names, step) {
		h.t.Errorf("the unplanned item is not listed before %q: %q", step, names)
	}
	h.open("")
	h.tab.Tap("Next: " + step)
}

func (h *hand) bottom() {
	h.t.Helper()
	for _, work := range h.listed("The work") {
		h.open("")
		h.tab.Tap("[data-main]")
		if got := h.heading(); got != work {
			h.t.Fatalf("the work is %q, the plan has %q", got, work)
		}
		h.tab.ScreenshotScreen("walk-work-" + slug(work))
		h.act()
	}
}

// back puts everything back in the planner's order, one bolt short, and the
// release is refused until that is explained.
func (h *hand) back() {
	h.t.Helper()
	tab := h.tab
	down, up := h.listed("Take apart"), h.listed("Put back")
	if !slices.Contains(up, "Added wiring bracket") {
		h.t.Errorf("the unplanned item is not on the way back: %q", up)
	}
	slices.Reverse(down)
	if slices.Equal(down, up) {
		h.t.Error("the way back is the way down turned round, not a plan of its own")
	}
	short, waits := "", 0
	for i, want := range up {
		if i == 0 {
			h.open("")
			tab.Tap("[data-main]")
		}
		if got := h.heading(); got != want {
			h.t.Fatalf("step %d back is %q, the plan has %q", i+1, got, want)
		}
		waits += len(tab.Texts("[data-until]"))
		tab.ScreenshotScreen("walk-up-" + slug(want))
		if short == "" && want == "Belt shield" {
			short = want
			h.oneShort()
			continue
		}
		h.act()
	}
	if short == "" {
		h.t.Fatalf("the belt shield is not on the way back: %q", up)
	}
	if waits == 0 {
		h.t.Error("no wait was shown on the way back, though sealant cures and coolant fills")
	}
}

// oneShort counts one piece less back than came out.
func (h *hand) oneShort() {
	h.t.Helper()
	h.tab.Tap("Count, tray, size")
	count := "main input[name^='count:']"
	out := browser.Eval[int](h.tab, `Number(document.querySelector("`+count+`").value)`)
	if out < 2 {
		h.t.Fatalf("the belt shield has %d pieces out; the walk needs two", out)
	}
	h.tab.Fill(count, itoa(out-1))
	h.tab.Tap("Done, with these counts")
}

func (h *hand) proved() {
	h.t.Helper()
	tab := h.tab
	h.open("/release")
	tab.WaitText("must be closed first")
	tab.Screenshot("walk-release-refused")
	h.form("Release the vehicle", map[string]string{"Who releases it?": "A. Mechanic"})
	tab.WaitText("Not released:")

	h.open("")
	tab.WaitText("Counts that differ")
	tab.Tap("a[href*='/explain']")
	h.form("That is why", map[string]string{"Where is it, or why do the counts differ?": "Rolled into the drain, a new one is ordered"})
	tab.WaitText("explained")

	if n := h.prove(); n < 8 {
		h.t.Errorf("only %d tests came of what was opened", n)
	}
	tab.Screenshot("walk-proved")
	tab.Tap("Count them")
	h.form("Counted", map[string]string{"How many tools came back?": "9"})
	h.open("/found")
	tab.Tap("soon")
	h.form("Write it down", map[string]string{"What did you find?": "Track rod boot split, left", "What should be done?": "Renew the boot"})
	tab.WaitText("Track rod boot split, left")
}

func (h *hand) released() {
	h.t.Helper()
	tab := h.tab
	h.open("/release")
	h.form("Release the vehicle", map[string]string{"Who releases it?": "A. Mechanic", "Odometer now": "84,216 km"})
	tab.WaitText("The record")
	for _, words := range []string{"A. Mechanic", "84,216 km", "Track rod boot split, left", "Added wiring bracket", "Broken clip", "Rolled into the drain", "taken back"} {
		if !tab.Reads(words) {
			h.t.Errorf("the record does not say %q", words)
		}
	}
	tab.Screenshot("walk-record")
}
