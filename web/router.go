package web

import (
	"net/http"
	"slices"
)

// A Router is a mux that can say what is mounted on it, so that a test of every
// page needs no list of its own that somebody forgets to keep.
type Router struct {
	http.ServeMux
	patterns []string
}

// Handle mounts a handler, as the mux does.
func (m *Router) Handle(pattern string, h http.Handler) {
	m.patterns = append(m.patterns, pattern)
	m.ServeMux.Handle(pattern, h)
}

// HandleFunc mounts a function, as the mux does.
func (m *Router) HandleFunc(pattern string, h func(http.ResponseWriter, *http.Request)) {
	m.Handle(pattern, http.HandlerFunc(h))
}

// Patterns are what was mounted, in its order: "GET /jobs/{job}/step".
func (m *Router) Patterns() []string { return slices.Clone(m.patterns) }
