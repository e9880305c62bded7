package web

import (
	"net/http"
	"net/url"
	"strings"

	"lastbolt/job"
	"lastbolt/web/parts"
)

// readers lets the pages know when who looks at them may change nothing, so
// that nobody is refused only after typing. That the change itself is refused
// does not rest on it.
func readers(patterns []string, pages http.Handler) http.Handler {
	forms := formPages(patterns)
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if job.PersonOf(r.Context()).ReadOnly {
			r = r.WithContext(parts.WithReader(r.Context(), parts.Reader{Why: job.OnlyLooks, Forms: forms}))
		}
		pages.ServeHTTP(w, r)
	})
}

// alsoRead are the pages that post to their own address and say something to
// read all the same.
var alsoRead = map[string]bool{"/maps/{map}/learned": true}

// formPages tells of an address whether the page there is only a form: one that
// is sent to the address it was got from.
func formPages(patterns []string) func(href string) bool {
	sent := map[string]bool{}
	for _, p := range patterns {
		if path, ok := strings.CutPrefix(p, "POST "); ok {
			sent[path] = true
		}
	}
	all, only := &http.ServeMux{}, map[string]bool{}
	for _, p := range patterns {
		if path, ok := strings.CutPrefix(p, "GET "); ok {
			all.Handle(p, http.NotFoundHandler())
			only[p] = sent[path] && !alsoRead[path]
		}
	}
	return func(href string) bool {
		u, err := url.Parse(href)
		if err != nil || u.Host != "" || !strings.HasPrefix(u.Path, "/") {
			return false
		}
		_, pattern := all.Handler(&http.Request{Method: http.MethodGet, URL: &url.URL{Path: u.Path}})
		return only[pattern]
	}
}
