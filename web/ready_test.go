package web_test

import (
	"net/http"
	"net/url"
	"regexp"
	"strings"
	"testing"
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
