package web_test

import (
	"context"
	"html"
	"log/slog"
	"net/http"
	"net/http/httptest"
	"net/url"
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"

	"lastbolt/demo"
	"lastbolt/job"
	"lastbolt/keep"
	"lastbolt/store/memory"
	"lastbolt/web"
)

// demoKept is everything in the demo, to begin anew from.
func demoKept(t testing.TB) (keep.Batch, []job.Summary) {
	t.Helper()
	ctx := context.Background()
	st := memory.New()
	if err := demo.Fill(ctx, st, noon); err != nil {
		t.Fatal(err)
	}
	var b keep.Batch
	var err error
	if b.Events, _, err = st.Changed(ctx, 0, 10_000); err != nil {
		t.Fatal(err)
	}
	kinds, err := st.Kinds(ctx)
	if err != nil {
		t.Fatal(err)
	}
	for _, kind := range kinds {
		list, err := st.All(ctx, kind)
		if err != nil {
			t.Fatal(err)
		}
		b.Documents = append(b.Documents, list...)
	}
	list, err := st.Summaries(ctx, job.Query{Closed: true})
	if err != nil {
		t.Fatal(err)
	}
	return b, list
}

// demoHost is the pages on what is kept, as a new store.
func demoHost(t testing.TB, kept keep.Batch, list []job.Summary) (*web.Host, *memory.Store) {
	t.Helper()
	ctx := context.Background()
	st := memory.New()
	if _, err := st.Merge(ctx, kept); err != nil {
		t.Fatal(err)
	}
	for _, s := range list {
		if err := st.SetSummary(ctx, s); err != nil {
			t.Fatal(err)
		}
	}
	ids := job.NewIDs(func() time.Time { return noon }, strings.NewReader(""))
	return &web.Host{
		Book:      job.NewBook(st, &job.Recorder{Now: func() time.Time { return noon }, NewID: ids.New}),
		Documents: st, Files: st, Now: func() time.Time { return noon }, Log: slog.New(slog.DiscardHandler),
	}, st
}

var (
	aForm  = regexp.MustCompile(`(?s)<form([^>]*)>(.*?)</form>`)
	aField = regexp.MustCompile(`<(?:input|select|textarea|button)[^>]*>`)
	attr   = regexp.MustCompile(`\b(action|method|name|value)="([^"]*)"`)
)

func attrs(tag string) map[string]string {
	out := map[string]string{}
	for _, m := range attr.FindAllStringSubmatch(tag, -1) {
		out[m[1]] = html.UnescapeString(m[2])
	}
	return out
}

// formsOf are the forms of a page that send something, with what is in them.
func formsOf(page, at string) (out [][2]string) {
	for _, m := range aForm.FindAllStringSubmatch(page, -1) {
		form := attrs(m[1])
		if !strings.EqualFold(form["method"], "post") {
			continue
		}
		action := form["action"]
		if action == "" {
			action = at
		}
		values := url.Values{}
		for _, tag := range aField.FindAllString(m[2], -1) {
			if f := attrs(tag); f["name"] != "" {
				values.Set(f["name"], f["value"])
			}
		}
		out = append(out, [2]string{action, values.Encode()})
	}
	return out
}

// FuzzForms sends anything to any address that takes something, beginning with
// the forms of the demo's pages. No answer may be that of a broken program, and
// every job must still read and show afterwards.
func FuzzForms(f *testing.F) {
	kept, list := demoKept(f)
	host, _ := demoHost(f, kept, list)
	pages := host.Handler()
	seen := map[string]bool{}
	for queue := []string{"/jobs", "/jobs?show=released", "/garage", "/shelf", "/vehicles", "/maps", "/calc"}; len(queue) > 0 && len(seen) < 400; queue = queue[1:] {
		at := queue[0]
		if seen[at] {
			continue
		}
		seen[at] = true
		w := httptest.NewRecorder()
		pages.ServeHTTP(w, httptest.NewRequest(http.MethodGet, at, nil))
		for _, m := range href.FindAllStringSubmatch(w.Body.String(), -1) {
			queue = append(queue, strings.Split(html.UnescapeString(m[1]), "#")[0])
		}
		for _, form := range formsOf(w.Body.String(), at) {
			if key := form[0] + keys(form[1]); !seen[key] {
				seen[key] = true
				f.Add(form[0], form[1])
			}
		}
	}
	f.Fuzz(func(t *testing.T, path, body string) {
		if u, err := url.ParseRequestURI(path); err != nil || !strings.HasPrefix(path, "/") || u.Host != "" || strings.ContainsAny(path, " \t\r\n") || len(body) > 1<<16 {
			return
		}
		host, st := demoHost(t, kept, list)
		pages := host.Handler()
		send := func(method, path, body string) int {
			r := httptest.NewRequest(method, path, strings.NewReader(body))
			r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
			w := httptest.NewRecorder()
			pages.ServeHTTP(w, r)
			if w.Code == http.StatusInternalServerError {
				t.Fatalf("%s %s: the program is broken: %.300s", method, path, w.Body.String())
			}
			return w.Code
		}
		send(http.MethodPost, path, body)
		send(http.MethodGet, path+"?"+strings.NewReplacer("#", "", " ", "+", "\r", "", "\n", "", "\t", "").Replace(url.PathEscape(body)), "")
		jobs, err := st.Jobs(t.Context())
		if err != nil {
			t.Fatal(err)
		}
		for _, id := range jobs {
			if code := send(http.MethodGet, "/jobs/"+id, ""); code != http.StatusOK {
				t.Fatalf("after it the job %s answers %d", id, code)
			}
		}
	})
}

// keys are the names of the fields in a body.
func keys(body string) string {
	values, _ := url.ParseQuery(body)
	var names []string
	for k := range values {
		names = append(names, k)
	}
	slices.Sort(names)
	return strings.Join(names, " ")
}
