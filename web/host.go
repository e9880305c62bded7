// Package web is the pages: plain handlers over the job's log and the
// garage's documents. The host hands in storage, clock and ids, so the same
// pages run in the server and inside a phone's browser.
//
// Start at [Host] and [Host.Handler]. Every page works without scripts; a form
// that is refused comes back with one sentence and everything that was typed.
// The package opens no files or sockets and has no clock of its own.
package web

import (
	"errors"
	"log/slog"
	"net/http"
	"net/url"
	"strings"
	"time"

	"github.com/a-h/templ"

	"lastbolt/fault"
	"lastbolt/garage"
	"lastbolt/job"
	"lastbolt/web/parts"
	"lastbolt/web/ui"
)

// A Host is what the pages run on. All fields but Zone and Log must be set.
type Host struct {
	Book      *job.Book
	Documents garage.Documents
	Files     garage.Files
	Now       func() time.Time
	// Paper prints: a kind of page ("sheet", "ready", "labels", "tag",
	// "record") of a job as PDF; nil where the host cannot.
	Paper func(kind string, s *job.State, r *http.Request) ([]byte, error)
	// Room is what takes room and is kept safe; nil where the host cannot say.
	Room *Room
	Zone *time.Location // the mechanic's clock; nil for UTC
	Log  *slog.Logger

	atlas    atlas
	clock    clock
	pictures pictures
}

func (h *Host) zone() *time.Location {
	if h.Zone == nil {
		return time.UTC
	}
	return h.Zone
}

// Handler is every page of the program.
func (h *Host) Handler() http.Handler {
	h.Documents = signed(h.Documents)
	h.Now = h.clock.watched(h.Now)
	guard := http.NewCrossOriginProtection()
	guard.SetDenyHandler(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		h.fail(w, r, fault.New(fault.Bad, "This came from another site, so nothing was recorded. Open the page here and try again."))
	}))
	pages := h.Routes()
	return headers(h.recovered(guard.Handler(readers(pages.Patterns(), h.holding(pages)))))
}

// Routes are the pages without what guards them: Handler serves them.
func (h *Host) Routes() *Router {
	mux := &Router{}
	mux.Handle("GET "+ui.Prefix, ui.Handler())
	mux.HandleFunc("POST /theme", ui.SetTheme)
	mux.HandleFunc("GET /{$}", func(w http.ResponseWriter, r *http.Request) {
		http.Redirect(w, r, "/jobs", http.StatusSeeOther)
	})
	h.jobRoutes(mux)
	h.garageRoutes(mux)
	h.calcRoutes(mux)
	h.beltRoutes(mux)
	h.sealRoutes(mux)
	h.fluidRoutes(mux)
	h.roomRoutes(mux)
	mux.HandleFunc("/", func(w http.ResponseWriter, r *http.Request) {
		h.fail(w, r, fault.New(fault.NotFound, "There is no page at this address. Go back to the jobs."))
	})
	return mux
}

// headers puts on every answer what keeps a browser from being talked into
// anything.
func headers(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		w.Header().Set("Content-Security-Policy", ui.Policy)
		w.Header().Set("X-Content-Type-Options", "nosniff")
		w.Header().Set("Referrer-Policy", "same-origin")
		next.ServeHTTP(w, r)
	})
}

// recovered keeps one broken page from taking the server down.
func (h *Host) recovered(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		defer func() {
			if p := recover(); p != nil {
				if p == http.ErrAbortHandler {
					panic(p)
				}
				h.logger().Error("page failed", "path", r.URL.Path, "panic", p)
				h.fail(w, r, errors.New("page failed"))
			}
		}()
		next.ServeHTTP(w, r)
	})
}

func (h *Host) logger() *slog.Logger {
	if h.Log == nil {
		return slog.Default()
	}
	return h.Log
}

// show writes a page.
func (h *Host) show(w http.ResponseWriter, r *http.Request, status int, page templ.Component) {
	w.Header().Set("Content-Type", "text/html; charset=utf-8")
	w.Header().Set("Cache-Control", "no-store")
	w.WriteHeader(status)
	if err := page.Render(r.Context(), w); err != nil {
		h.logger().Warn("page not sent whole", "path", r.URL.Path, "error", err)
	}
}

// Fail shows what went wrong on a page, for what stands before the pages.
func (h *Host) Fail(w http.ResponseWriter, r *http.Request, err error) { h.fail(w, r, err) }

// fail shows what went wrong as one sentence, with the status its code maps
// to; what is no fault or refusal goes to the log in full.
func (h *Host) fail(w http.ResponseWriter, r *http.Request, err error) {
	h.failWith(w, r, err, wayBack(r, err))
}

// wayBack leads to the nearest page that is certainly there: the job, unless that
// is what is missing, or the list that the page belongs to.
func wayBack(r *http.Request, err error) parts.Link {
	_, ofJob := errors.AsType[*job.Error](err)
	if id := r.PathValue("job"); id != "" && !(ofJob && statusOf(err) == http.StatusNotFound) {
		return backToJob(id)
	}
	first, _, _ := strings.Cut(strings.TrimPrefix(r.URL.Path, "/"), "/")
	if label := map[string]string{"maps": "Maps", "vehicles": "Vehicles", "shelf": "Shelf", "work-out": "Work out"}[first]; label != "" && r.URL.Path != "/"+first {
		return parts.Link{Label: label, Href: "/" + first}
	}
	return parts.Link{Label: "Jobs in hand", Href: "/jobs"}
}

func backToJob(id string) parts.Link {
	return parts.Link{Label: "Back to the job", Href: jobURL(id, "")}
}

// failWith is fail where the handler knows the way back.
func (h *Host) failWith(w http.ResponseWriter, r *http.Request, err error, back parts.Link) {
	status := statusOf(err)
	if status == http.StatusInternalServerError {
		h.logger().Error("request failed", "path", r.URL.Path, "error", err)
	}
	if fault.Is(err, fault.Busy) && r.Method == http.MethodGet {
		back = parts.Link{Label: "Try again", Href: "/" + strings.TrimLeft(r.URL.RequestURI(), "/")} // two slashes would lead elsewhere
	}
	title := "Not done"
	if status == http.StatusNotFound && r.Method == http.MethodGet {
		title = "Not here"
	}
	h.show(w, r, status, failPage(parts.PageInfo{Title: title, Theme: ui.Theme(r), Reading: true}, sentence(err), sentFrom(r), back))
}

// sentFrom is the page of ours that a form was sent from, empty for none.
func sentFrom(r *http.Request) string {
	from, err := url.Parse(r.Referer())
	if r.Method != http.MethodPost || err != nil || from.Host != r.Host {
		return ""
	}
	return (&url.URL{Path: "/" + strings.TrimLeft(from.Path, "/"), RawQuery: from.RawQuery}).String()
}

// sentence is what a person is told of an error.
func sentence(err error) string {
	if e, ok := errors.AsType[*job.Error](err); ok {
		return e.Text
	}
	return fault.Say(err)
}

// statusOf is the one place where codes become HTTP statuses.
func statusOf(err error) int {
	if e, ok := errors.AsType[*job.Error](err); ok {
		switch e.Code {
		case job.CodeUnknown:
			return http.StatusNotFound
		case job.CodeAlready, job.CodeNotYet, job.CodeRefused, job.CodeReleased:
			return http.StatusConflict
		}
		return http.StatusUnprocessableEntity
	}
	switch fault.CodeOf(err) {
	case fault.NotFound:
		return http.StatusNotFound
	case fault.Stale:
		return http.StatusConflict
	case fault.Bad:
		return http.StatusUnprocessableEntity
	case fault.TooLarge:
		return http.StatusRequestEntityTooLarge
	case fault.Full:
		return http.StatusInsufficientStorage
	case fault.ReadOnly, fault.Damaged, fault.NewVersion, fault.Busy, fault.Cancelled:
		return http.StatusServiceUnavailable
	}
	return http.StatusInternalServerError
}
