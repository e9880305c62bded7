package web_test

import (
	"bytes"
	"context"
	"fmt"
	"net/http"
	"net/http/httptest"
	"net/url"
	"regexp"
	"strings"
	"testing"
	"time"

	"lastbolt/demo"
	"lastbolt/job"
	"lastbolt/store/memory"
	"lastbolt/web"
)

var noon = time.Date(2026, 5, 20, 12, 0, 0, 0, time.UTC)

// hostOf answers from a store with the demo's jobs at noon of the demo's day.
func hostOf(st *memory.Store) *web.Host {
	n := 0
	now := func() time.Time { return noon }
	return &web.Host{
		Book: job.NewBook(st, &job.Recorder{Now: now, NewID: func() string {
			n++
			return fmt.Sprintf("ffffffff-0000-7000-8000-%012d", n)
		}}),
		Documents: st, Files: st, Now: now,
	}
}

// demoPages is the whole of the pages on the demo's jobs, with the ids of the
// jobs by title.
func demoPages(t *testing.T) (http.Handler, map[string]string, *memory.Store) {
	t.Helper()
	st := memory.New()
	if err := demo.Fill(context.Background(), st, noon); err != nil {
		t.Fatal(err)
	}
	host := hostOf(st)
	host.Book.Remember(4) // as on a phone
	list, err := st.Summaries(context.Background(), job.Query{Closed: true})
	if err != nil {
		t.Fatal(err)
	}
	ids := map[string]string{}
	for _, s := range list {
		ids[s.Title] = s.ID
	}
	return host.Handler(), ids, st
}

func get(t *testing.T, h http.Handler, path string) *httptest.ResponseRecorder {
	t.Helper()
	w := httptest.NewRecorder()
	h.ServeHTTP(w, httptest.NewRequest("GET", path, nil))
	return w
}

func post(t *testing.T, h http.Handler, path string, form url.Values) *httptest.ResponseRecorder {
	t.Helper()
	w := httptest.NewRecorder()
	r := httptest.NewRequest("POST", path, strings.NewReader(form.Encode()))
	r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
	h.ServeHTTP(w, r)
	return w
}

var href = regexp.MustCompile(`href="(/[^"]*)"`)

// Every page that a person can reach by tapping on links must open, and read the
// same where what events say is remembered as where it is not: no page may change
// that for the next one.
func TestEveryLinkOfThePagesOpens(t *testing.T) {
	h, _, st := demoPages(t)
	plain := hostOf(st).Handler()
	seen := map[string]bool{}
	queue := []string{"/jobs", "/jobs?show=released"}
	for len(queue) > 0 {
		at := queue[0]
		queue = queue[1:]
		if seen[at] {
			continue
		}
		seen[at] = true
		w := get(t, h, at)
		if p := get(t, plain, at); p.Code != w.Code || !bytes.Equal(p.Body.Bytes(), w.Body.Bytes()) {
			t.Errorf("GET %s: it reads differently where events are remembered", at)
		}
		switch {
		case w.Code == http.StatusSeeOther:
			queue = append(queue, w.Header().Get("Location"))
			continue
		case strings.Contains(at, "/paper/") && w.Code == http.StatusNotFound:
			continue // this host has no printer
		case w.Code != http.StatusOK:
			t.Errorf("GET %s: got status %d, want 200", at, w.Code)
			continue
		}
		if !strings.Contains(w.Header().Get("Content-Type"), "text/html") {
			continue
		}
		if csp := w.Header().Get("Content-Security-Policy"); !strings.Contains(csp, "default-src 'none'") {
			t.Errorf("GET %s: content security policy is %q", at, csp)
		}
		for _, m := range href.FindAllStringSubmatch(w.Body.String(), -1) {
			next := strings.ReplaceAll(m[1], "&amp;", "&")
			if !strings.HasPrefix(next, "/static/") {
				queue = append(queue, next)
			}
		}
	}
	if len(seen) < 60 {
		t.Errorf("only %d pages were reached, want many more: the walk does not see the links", len(seen))
	}
}

func TestAStepIsRecordedOnceAndTakenBack(t *testing.T) {
	h, ids, st := demoPages(t)
	id := ids["Oil cooler reseal and belt"]
	before, err := job.NewBook(st, nil).Load(context.Background(), id)
	if err != nil {
		t.Fatal(err)
	}
	next := before.Next
	form := url.Values{"id": {next.ID}, "tray": {"Q"}}
	for _, g := range next.Groups {
		form.Set("count:"+g.ID, fmt.Sprint(g.Want))
	}
	if w := post(t, h, "/jobs/"+id+"/done", form); w.Code != http.StatusSeeOther {
		t.Fatalf("finishing the step: got status %d, want 303: %s", w.Code, w.Body)
	}
	again := post(t, h, "/jobs/"+id+"/done", form)
	if again.Code != http.StatusConflict || !strings.Contains(again.Body.String(), next.Name) {
		t.Errorf("finishing it twice: got status %d, want 409 and a page that names the step", again.Code)
	}
	after, err := job.NewBook(st, nil).Load(context.Background(), id)
	if err != nil {
		t.Fatal(err)
	}
	done := after.StepByID(next.ID)
	if !done.IsDone() || done.Tray != "Q" || len(done.Records) != 1 {
		t.Fatalf("step %q: done %v, tray %q, %d records; want done, Q, 1", next.ID, done.IsDone(), done.Tray, len(done.Records))
	}
	if w := post(t, h, "/jobs/"+id+"/undo", url.Values{"event": {after.Undo.Event}}); w.Code != http.StatusSeeOther {
		t.Fatalf("undo: got status %d, want 303", w.Code)
	}
	undone, err := job.NewBook(st, nil).Load(context.Background(), id)
	if err != nil {
		t.Fatal(err)
	}
	if undone.StepByID(next.ID).IsDone() {
		t.Error("the step is still done after undo")
	}
}

// A thing that never came off cannot go back: the page says so before the tap
// that would be refused.
func TestAStepOfPuttingBackIsNotOfferedWhileTheThingIsOn(t *testing.T) {
	h, ids, _ := demoPages(t)
	at := "/jobs/" + ids["Oil cooler reseal and belt"] + "/step?id="
	page := get(t, h, at+"up/belt").Body.String()
	if strings.Contains(page, "It is back") || !strings.Contains(page, "Drive belt is still on") {
		t.Error("the belt is on, and its page offers to say that it is back")
	}
	if page = get(t, h, at+"up/wheel-right").Body.String(); !strings.Contains(page, "All 5 back") {
		t.Error("the wheel is off, and its page does not offer to say that it is back")
	}
	if page = get(t, h, at+"down/belt").Body.String(); !strings.Contains(page, "Arch liner, right, Belt shield") {
		t.Error("the belt's page does not say what comes first")
	}
}

// Without a map nothing is planned and nobody chose an action: the pages do not
// speak as if.
func TestAJobWithoutAMapSpeaksOfNoPlan(t *testing.T) {
	h, _, st := demoPages(t)
	w := post(t, h, "/jobs/new", url.Values{"vehicle": {"Old tractor"}, "complaint": {"Water pump drips"}})
	at := strings.TrimSuffix(w.Header().Get("Location"), "/targets")
	post(t, h, at+"/off", url.Values{"name": {"Fan"}, "count": {"4"}, "pieces": {"M8 bolts"}})
	s, err := job.NewBook(st, nil).Load(t.Context(), strings.TrimPrefix(at, "/jobs/"))
	if err != nil {
		t.Fatal(err)
	}
	for _, id := range []string{s.Steps[1].ID, s.Steps[2].ID} {
		page := get(t, h, at+"/step?id="+url.QueryEscape(id)).Body.String()
		for _, no := range []string{"not in the plan", "inspect: Water", "as shown"} {
			if strings.Contains(page, no) {
				t.Errorf("the step %s says %q", id, no)
			}
		}
	}
	if page := get(t, h, at+"/release").Body.String(); strings.Contains(page, "inspected") {
		t.Error("the release says that something was inspected")
	}
}

// A form that was refused can be mended: the page leads back to it, and never
// to another site.
func TestARefusalLeadsBackToTheForm(t *testing.T) {
	h, ids, _ := demoPages(t)
	job := "/jobs/" + ids["Oil cooler reseal and belt"]
	for from, want := range map[string]string{
		"http://example.com" + job + "/in-the-way?id=down%2Fbelt": `href="` + job + `/in-the-way?id=down%2Fbelt"`,
		"http://example.com//elsewhere.example/":                  `href="/elsewhere.example/"`,
		"http://elsewhere.example/":                               "",
		"":                                                        "",
	} {
		r := httptest.NewRequest(http.MethodPost, job+"/off", strings.NewReader("id=down%2Fbelt&name=Bracket&count=two"))
		r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
		r.Header.Set("Referer", from)
		w := httptest.NewRecorder()
		h.ServeHTTP(w, r)
		page := w.Body.String()
		if leads := strings.Contains(page, "Back to the form"); leads != (want != "") || !strings.Contains(page, want) {
			t.Errorf("from %q: leads back is %t, want %q in:\n%s", from, leads, want, page)
		}
	}
}

func TestATorqueIsAskedOfWhatTightensOnly(t *testing.T) {
	h, ids, _ := demoPages(t)
	page := get(t, h, "/jobs/"+ids["Oil cooler reseal and belt"]+"/step?id=up/liner-right").Body.String()
	if !strings.Contains(page, "6 liner screws, ST4.2") {
		t.Error("the torque of the screws is not named as not known")
	}
	if strings.Contains(page, "4 push clips") {
		t.Error("the clips are given a torque, as not known")
	}
}

func TestAReleaseWithOpenRingsIsRefusedAndSaysWhat(t *testing.T) {
	h, ids, _ := demoPages(t)
	w := post(t, h, "/jobs/"+ids["Oil cooler reseal and belt"]+"/release", url.Values{"who": {"demo"}})
	if w.Code != http.StatusConflict || !strings.Contains(w.Body.String(), "Not released") {
		t.Errorf("got status %d, want 409 with the reason", w.Code)
	}
}

func TestWhatComesFromAnotherSiteIsRefused(t *testing.T) {
	h, ids, _ := demoPages(t)
	r := httptest.NewRequest("POST", "/jobs/"+ids["Alternator"]+"/note", strings.NewReader("text=x"))
	r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
	r.Header.Set("Sec-Fetch-Site", "cross-site")
	w := httptest.NewRecorder()
	h.ServeHTTP(w, r)
	if w.Code != http.StatusUnprocessableEntity {
		t.Errorf("got status %d, want 422", w.Code)
	}
}

func TestTypedTextNeverBecomesCode(t *testing.T) {
	h, ids, _ := demoPages(t)
	id := ids["Alternator"]
	evil := `<script>alert(1)</script>"'><img src=x onerror=alert(1)>`
	if w := post(t, h, "/jobs/"+id+"/note", url.Values{"text": {evil}}); w.Code != http.StatusSeeOther {
		t.Fatalf("note: got status %d, want 303", w.Code)
	}
	body := get(t, h, "/jobs/"+id).Body.String()
	if strings.Contains(body, "<script>alert") || strings.Contains(body, "<img src=x") {
		t.Error("the note's markup came through")
	}
	if !strings.Contains(body, "alert(1)") {
		t.Error("the note is not on the page")
	}
}
