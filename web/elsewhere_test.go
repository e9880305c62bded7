package web_test

import (
	"net/http"
	"net/http/httptest"
	"net/url"
	"regexp"
	"testing"
)

// Opening the next step begins its minutes, but a link or picture on another
// site, which a browser opens with everything that proves who asks, begins none.
func TestALinkOnAnotherSiteBeginsNoStep(t *testing.T) {
	h, ids, st := demoPages(t)
	id := ids["Oil cooler reseal and belt"]
	resume := get(t, h, "/jobs/"+id+"/resume").Body.String()
	form := url.Values{}
	for _, m := range regexp.MustCompile(`name="(step|since)" value="([^"]*)"`).FindAllStringSubmatch(resume, -1) {
		form.Add(m[1], m[2])
	}
	to := post(t, h, "/jobs/"+id+"/resume", form).Header().Get("Location")
	count := func() int {
		t.Helper()
		events, err := st.Events(t.Context(), id)
		if err != nil {
			t.Fatal(err)
		}
		return len(events)
	}
	before := count()
	for _, test := range []struct {
		site string
		more int
	}{{"cross-site", 0}, {"same-origin", 1}} {
		r := httptest.NewRequest("GET", to, nil)
		r.Header.Set("Sec-Fetch-Site", test.site)
		w := httptest.NewRecorder()
		h.ServeHTTP(w, r)
		if w.Code != http.StatusOK {
			t.Fatalf("%s: status %d, led to %q", to, w.Code, w.Header().Get("Location"))
		}
		if got := count() - before; got != test.more {
			t.Errorf("%s: %d events, want %d", test.site, got, test.more)
		}
	}
}
