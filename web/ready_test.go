package web_test

import (
	"io"
	"net/http"
	"net/http/httptest"
	"net/url"
	"regexp"
	"strings"
	"testing"
	"time"

	"lastbolt/garage"
	"lastbolt/job"
)

// A tap far down a long list must not lead back to its top.
func TestHavingAThingLeadsBackToItsPlace(t *testing.T) {
	h, ids, _ := demoPages(t)
	at := "/jobs/" + ids["Alternator"]
	page := get(t, h, at+"/ready").Body.String()
	form := regexp.MustCompile(`name="key" value="([^"]+)"[^§]*?name="at" value="(at-[^"]+)"`).FindStringSubmatch(page)
	if form == nil {
		t.Fatal("nothing is missing on the ready page, or it has no place")
	}
	if !strings.Contains(page, `id="`+form[2]+`"`) {
		t.Errorf("no line has the place %q", form[2])
	}
	w := post(t, h, at+"/got", url.Values{"key": {form[1]}, "how": {"have"}, "from": {"ready"}, "at": {form[2]}})
	if to := w.Header().Get("Location"); w.Code != http.StatusSeeOther || to != at+"/ready#"+form[2] {
		t.Errorf("it leads to %q (%d), want the place %q", to, w.Code, form[2])
	}
	w = post(t, h, at+"/got", url.Values{"key": {form[1]}, "how": {"ordered"}, "from": {"ready"}, "at": {"//elsewhere"}})
	if to := w.Header().Get("Location"); to != at+"/ready" {
		t.Errorf("a made-up place leads to %q", to)
	}
}

func TestTheReadyPageOfAFinishedJobAsksForNothing(t *testing.T) {
	h, ids, _ := demoPages(t)
	page := get(t, h, "/jobs/"+ids["Front left pads and drop link"]+"/ready").Body.String()
	if !strings.Contains(page, "Every step is done") || strings.Contains(page, "None needed by the map") {
		t.Error("it still lists what is needed")
	}
}

// Behind the point of no return no page speaks of it as still to come, and once
// everything is back not as passed.
func TestThePointOfNoReturnIsSpokenOfAsItStands(t *testing.T) {
	h, ids, _ := demoPages(t)
	const ahead, passed = "after &#34;", "Past the point of no return"
	for _, row := range []struct{ title, page, says, not string }{
		{"Alternator", "/ready", ahead, passed},
		{"Oil cooler reseal and belt", "/ready", passed, ahead},
		{"Oil cooler reseal and belt", "/plan", passed, "Have everything before it"},
		{"Front left pads and drop link", "/plan", "Have everything before it", passed},
	} {
		page := get(t, h, "/jobs/"+ids[row.title]+row.page).Body.String()
		if !strings.Contains(page, row.says) || strings.Contains(page, row.not) {
			t.Errorf("%s%s: it does not say %q, or it says %q", row.title, row.page, row.says, row.not)
		}
	}
}

// An address without a step leads to the one to do now; one of a step that is
// gone leads back to its job.
func TestAnAddressWithoutItsStepLeadsOn(t *testing.T) {
	h, ids, _ := demoPages(t)
	at := "/jobs/" + ids["Alternator"]
	if w := get(t, h, at+"/step"); w.Code != http.StatusSeeOther || !strings.HasPrefix(w.Header().Get("Location"), at+"/step?id=") {
		t.Errorf("%d to %q, want the step to do now", w.Code, w.Header().Get("Location"))
	}
	for _, gone := range []string{"/step?id=down/gone", "/item?item=gone"} {
		if w := get(t, h, at+gone); w.Code != http.StatusNotFound || !strings.Contains(w.Body.String(), `href="`+at+`"`) {
			t.Errorf("%s: %d, or no way back to the job", gone, w.Code)
		}
	}
}

func TestAJobOnAKeptVehicleKnowsIt(t *testing.T) {
	h, _, st := demoPages(t)
	started := func(form url.Values) *job.State {
		t.Helper()
		form.Set("complaint", "Squeal")
		w := post(t, h, "/jobs/new", form)
		id := strings.Split(w.Header().Get("Location"), "/")
		if w.Code != http.StatusSeeOther || len(id) < 3 {
			t.Fatalf("not started: %d %s", w.Code, w.Body)
		}
		s, err := job.NewBook(st, nil).Load(t.Context(), id[2])
		if err != nil {
			t.Fatal(err)
		}
		return s
	}
	if s := started(url.Values{"vehicle": {"tern  Van 1.4"}}); s.VehicleID != "tern-1" {
		t.Errorf("by its name the vehicle is %q, want tern-1", s.VehicleID)
	}
	if s := started(url.Values{"vehicle": {"Another van"}}); s.VehicleID != "" {
		t.Errorf("an unknown vehicle is %q", s.VehicleID)
	}
}

func TestAFileTooLargeIsRefusedBeforeItIsRead(t *testing.T) {
	h, ids, _ := demoPages(t)
	r := httptest.NewRequest("POST", "/jobs/"+ids["Alternator"]+"/photo", unread{t})
	r.Header.Set("Content-Type", "multipart/form-data; boundary=x")
	r.ContentLength = 1 << 30
	w := httptest.NewRecorder()
	h.ServeHTTP(w, r)
	if w.Code != http.StatusRequestEntityTooLarge || !strings.Contains(w.Body.String(), "larger than 40 MB") {
		t.Errorf("%d: %s", w.Code, w.Body)
	}
}

type unread struct{ t *testing.T }

func (u unread) Read([]byte) (int, error) {
	u.t.Error("the file was read")
	return 0, io.EOF
}

// Minutes that nobody timed are told as guesses where they are added up.
func TestAPlanOfGuessesSaysSo(t *testing.T) {
	h, ids, st := demoPages(t)
	if page := get(t, h, "/jobs/"+ids["Alternator"]+"/plan").Body.String(); strings.Contains(page, "are guesses") {
		t.Error("the demo's map was timed, and its plan speaks of guesses")
	}
	text := "format: lastbolt access map 1\nid: pump\nname: Pump\nitems:\n  - id: fan\n    name: Fan\n    ways: [{id: \"off\", guess: true, minutes: {off: 5, on: 5}}]\n"
	if _, _, err := garage.NewMaps(st).Save(t.Context(), "pump.yaml", []byte(text), garage.Edit{At: time.Now(), Note: "for the test"}); err != nil {
		t.Fatal(err)
	}
	w := post(t, h, "/jobs/new", url.Values{"vehicle": {"Old tractor"}, "complaint": {"Fan rattles"}, "map": {"pump"}})
	at := strings.TrimSuffix(w.Header().Get("Location"), "/targets")
	post(t, h, at+"/targets", url.Values{"do:fan": {"access only"}})
	if page := get(t, h, at+"/plan").Body.String(); !strings.Contains(page, "the minutes of 2 steps are guesses") {
		t.Errorf("the minutes are guesses, and the plan does not say so: %.1500s", page)
	}
}
