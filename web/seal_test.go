package web_test

import (
	"context"
	"html"
	"net/http"
	"net/url"
	"strings"
	"testing"

	"lastbolt/calc/seal"
	"lastbolt/job"
)

// sealShop is the demo's half-done job with one of its joints.
func sealShop(t *testing.T) (h http.Handler, base string, load func() *job.JointSeal, state func() *job.State) {
	t.Helper()
	h, ids, st := demoPages(t)
	id := ids["Oil cooler reseal and belt"]
	state = func() *job.State {
		s, err := job.NewBook(st, nil).Load(context.Background(), id)
		if err != nil {
			t.Fatal(err)
		}
		return s
	}
	joint := ""
	for _, j := range state().Seals {
		if j.Opens.Kind == "coolant" && strings.Contains(j.ID, "oil-cooler/") {
			joint = j.ID
		}
	}
	if joint == "" {
		t.Fatalf("the demo's job opens no coolant joint of the oil cooler: %+v", state().Seals)
	}
	return h, "/jobs/" + id + "/seal", func() *job.JointSeal { return state().Seal(joint) }, state
}

func TestASealThatIsRefusedComesBackAsTyped(t *testing.T) {
	h, base, load, _ := sealShop(t)
	w := post(t, h, base+"/what", url.Values{"joint": {load().ID}, "kind": {"o-ring"}, "size": {"as big as it was"}, "hot": {"95 °C"}})
	if w.Code != http.StatusUnprocessableEntity {
		t.Errorf("a size of no meaning: got status %d, want 422", w.Code)
	}
	page := html.UnescapeString(w.Body.String())
	for _, words := range []string{"is no ring size", "as big as it was", "95 °C"} {
		if !strings.Contains(page, words) {
			t.Errorf("the form that came back does not hold %q", words)
		}
	}
	if load().Named() {
		t.Error("something was recorded all the same")
	}
	for name, form := range map[string]url.Values{
		"hot as nothing": {"kind": {"o-ring"}, "hot": {"warm"}}, "no kind": {"size": {"214"}}, "an unknown material": {"kind": {"o-ring"}, "material": {"rubber"}},
	} {
		form.Set("joint", load().ID)
		if w := post(t, h, base+"/what", form); w.Code != http.StatusUnprocessableEntity {
			t.Errorf("%s: got status %d, want 422", name, w.Code)
		}
	}
	if w := post(t, h, base+"/measure", url.Values{"joint": {load().ID}, "depth": {"deep"}}); w.Code != http.StatusUnprocessableEntity {
		t.Errorf("a depth in words: got status %d, want 422", w.Code)
	}
	if w := post(t, h, base+"/what", url.Values{"joint": {"joint/nowhere/coolant"}, "kind": {"o-ring"}}); w.Code != http.StatusNotFound {
		t.Errorf("a joint that there is not: got status %d, want 404", w.Code)
	}
}

func TestASealFittedAllTheSameShowsItsReason(t *testing.T) {
	h, base, load, _ := sealShop(t)
	send := func(path string, form url.Values) {
		t.Helper()
		form.Set("joint", load().ID)
		if w := post(t, h, base+path, form); w.Code != http.StatusSeeOther {
			t.Fatalf("%s: got status %d, want 303: %s", path, w.Code, w.Body)
		}
	}
	send("/what", url.Values{"kind": {"o-ring"}, "size": {"38x3.5"}, "material": {"NBR"}, "fluid": {"coolant"}})
	page := base + "?" + url.Values{"joint": {load().ID}}.Encode()
	if body := get(t, h, page).Body.String(); !strings.Contains(body, "Will not do") || !strings.Contains(body, "Fit it all the same") {
		t.Error("the page of a wrong ring does not say so, or leaves no way out")
	}
	send("/anyway", url.Values{"anyway": {"for one mile to the lift"}})
	if body := get(t, h, page).Body.String(); !strings.Contains(body, "for one mile to the lift") {
		t.Error("the reason is not shown")
	}
	if load().Unfit() {
		t.Error("it is still in the way although the reason is said")
	}
	send("/what", url.Values{"kind": {"o-ring"}, "size": {"38x3.5"}, "material": {"EPDM"}, "fluid": {"coolant"}})
	send("/measure", url.Values{"size": {"38x3.5"}, "seat": {"face"}, "depth": {"2.65 mm"}, "width": {"4.8 mm"}, "error": {"0.05 mm"}})
	body := get(t, h, page).Body.String()
	if !strings.Contains(body, "<svg") || !strings.Contains(body, "squeeze 24 %") {
		t.Error("the ring in its groove is not drawn with its squeeze")
	}
	if how, ok := load().How(); !ok || how.With != seal.CleanCoolant {
		t.Errorf("it goes in %+v", how)
	}
}

func TestFreshSealantStartsItsWait(t *testing.T) {
	h, base, load, state := sealShop(t)
	send := func(path string, form url.Values) int {
		form.Set("joint", load().ID)
		return post(t, h, base+path, form).Code
	}
	if code := send("/what", url.Values{"kind": {"silicone sealant"}, "fluid": {"coolant"}}); code != http.StatusSeeOther {
		t.Fatalf("got status %d", code)
	}
	before := len(state().Waits)
	if code := send("/wait", url.Values{"temperature": {"20 °C"}, "humidity": {"0"}}); code != http.StatusUnprocessableEntity {
		t.Errorf("in dry air silicone never cures, and the wait is started: status %d", code)
	}
	if code := send("/wait", url.Values{"temperature": {"23 °C"}, "humidity": {"50"}}); code != http.StatusSeeOther {
		t.Fatalf("got status %d", code)
	}
	if code := send("/wait", url.Values{"label": {"90 min"}}); code != http.StatusSeeOther {
		t.Fatalf("got status %d", code)
	}
	waits := state().Waits[before:]
	if len(waits) != 2 || waits[0].Kind != "cure" {
		t.Fatalf("the waits are %+v", waits)
	}
	if hours := waits[0].Until.Sub(waits[0].Since).Hours(); hours < 47.9 || hours > 48.1 {
		t.Errorf("at 23 °C and 50 %% the longer end is 48 h, the wait is %.1f h", hours)
	}
	if label := waits[1].Until.Sub(waits[1].Since).Minutes(); label != 90 {
		t.Errorf("the tube says 90 min, the wait is %.0f min", label)
	}
}
