package web_test

import (
	"net/http"
	"strings"
	"testing"
)

// A page that is not there leads to the nearest one that is.
func TestWhatIsNotHereLeadsToWhatIs(t *testing.T) {
	h, ids, _ := demoPages(t)
	at := "/jobs/" + ids["Alternator"]
	for path, want := range map[string]string{
		at + "/paper/belt":      "Back to the job", // this host has no printer
		"/jobs/none":            "Jobs in hand",
		"/jobs/none/paper/belt": "Jobs in hand",
		"/maps/none":            "Maps",
		"/vehicles/none":        "Vehicles",
	} {
		w := get(t, h, path)
		_, main, _ := strings.Cut(w.Body.String(), "<main")
		if w.Code != http.StatusNotFound || !strings.Contains(main, "Not here") || !strings.Contains(main, ">"+want+"<") {
			t.Errorf("%s: status %d, it does not lead to %q", path, w.Code, want)
		}
	}
}
