package web_test

import (
	"net/http"
	"net/http/httptest"
	"strings"
	"testing"

	"lastbolt/fault"
	"lastbolt/job"
	"lastbolt/web"
)

func TestWhoMayOnlyLookIsOfferedNoPageThatOnlyChanges(t *testing.T) {
	h, ids, _ := demoPages(t)
	at, proven := "/jobs/"+ids["Oil cooler reseal and belt"], "/jobs/"+ids["Front left pads and drop link"]
	look := func(path string, readOnly bool) string {
		t.Helper()
		r := httptest.NewRequest("GET", path, nil)
		r = r.WithContext(job.WithPerson(r.Context(), job.Person{Name: "Cy", ReadOnly: readOnly}))
		w := httptest.NewRecorder()
		h.ServeHTTP(w, r)
		if w.Code != http.StatusOK {
			t.Fatalf("GET %s: status %d", path, w.Code)
		}
		return w.Body.String()
	}
	for _, test := range []struct{ page, offers, keeps string }{
		{"/jobs", `href="/jobs/new"`, `href="/jobs?show=released"`},
		{"/vehicles", `href="/new/vehicle"`, `href="/vehicles/tern-1"`},
		{"/vehicles/tern-1", `href="/vehicles/tern-1/edit"`, `href="` + at},
		{at, `href="` + at + `/note"`, `href="` + at + `/steps"`},
		{at, `href="` + at + `/photo"`, `href="` + at + `/record"`},
		{demoMap, `href="` + demoMap + `/add-item"`, `href="` + demoMap + `/learned"`},
		{proven + "/prove", `href="` + proven + `/test?test=`, `Wheel nuts tight`}, // a row whose page is a form
	} {
		mechanic, reader := look(test.page, false), look(test.page, true)
		if !strings.Contains(mechanic, test.offers) || strings.Contains(mechanic, job.OnlyLooks) || strings.Contains(mechanic, "data-looks-only") {
			t.Errorf("%s does not offer a mechanic %s", test.page, test.offers)
		}
		if strings.Contains(reader, test.offers) {
			t.Errorf("%s offers %s to who may only look", test.page, test.offers)
		}
		if !strings.Contains(reader, "data-looks-only") || strings.Count(reader, job.OnlyLooks) != 1 {
			t.Errorf("%s does not say once why nothing can be changed", test.page)
		}
		if !strings.Contains(reader, test.keeps) {
			t.Errorf("%s keeps %s from who may look", test.page, test.keeps)
		}
	}
}

func TestABusyPageOffersTheSameAddressAgainAndNoOther(t *testing.T) {
	h := &web.Host{}
	fail := func(method, target string) string {
		w := httptest.NewRecorder()
		h.Fail(w, httptest.NewRequest(method, target, nil), fault.New(fault.Busy, "Too much at once."))
		if w.Code != http.StatusServiceUnavailable {
			t.Errorf("%s %s: status %d", method, target, w.Code)
		}
		return w.Body.String()
	}
	for target, want := range map[string]string{
		"/jobs?q=tern&show=released": `href="/jobs?q=tern&amp;show=released">Try again`,
		"//elsewhere.example/jobs":   `href="/elsewhere.example/jobs">Try again`,
	} {
		if page := fail("GET", target); !strings.Contains(page, want) {
			t.Errorf("GET %s does not offer %s", target, want)
		}
	}
	if page := fail("POST", "/jobs/1/note"); strings.Contains(page, "Try again") {
		t.Error("what was sent is offered again as a page to look at")
	}
}
