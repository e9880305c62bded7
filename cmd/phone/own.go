//go:build js && wasm

package main

import (
	"bytes"
	"context"
	"fmt"
	"net/http"
	"strconv"
	"strings"
	"sync/atomic"
	"time"

	"lastbolt/exchange"
	"lastbolt/fault"
	"lastbolt/job"
	"lastbolt/store/indexed"
	"lastbolt/web"
	"lastbolt/web/parts"
	"lastbolt/web/phone"
	"lastbolt/web/ui"
)

// An owner is what this phone has beside the server's pages: the page about
// the phone itself, its copies, and the cookie of the colours, because a
// worker is shown no cookies.
type owner struct {
	st      *indexed.Store
	book    *job.Book
	device  string       // how this phone is named in disputes
	partner *partner     // nil where there is no server
	newer   atomic.Int64 // one more than the position that something is known to have come after; 0 for none
}

// The names of the notes kept in the database. They are read for every page: around
// an update two programs may run on one phone, and each is to show what the other
// has kept.
const (
	noteTheme = "theme"
	noteCopy  = "last copy" // when everything was last written into a file, and how far the log went then
)

const copyAge = 7 * 24 * time.Hour // how old the last copy may be before the person is reminded

const formRoom = 1 << 16 // bytes of a form around its file

// holdsHeader tells the worker that it may give an answer again while nothing is
// written, and until when: in milliseconds since 1970, 0 for good. The worker
// takes it off.
const holdsHeader = "Lastbolt-Holds"

// aheadHeader has a page made only for the worker to keep it.
const aheadHeader = "Lastbolt-Ahead"

func holdsText(until time.Time) string {
	if until.IsZero() {
		return "0"
	}
	return strconv.FormatInt(until.UnixMilli(), 10) // cut, so it ends early rather than late
}

func (o *owner) handler(pages http.Handler) http.Handler {
	mux := http.NewServeMux()
	mux.HandleFunc("GET /phone", func(w http.ResponseWriter, r *http.Request) { o.page(w, r, http.StatusOK, "") })
	mux.HandleFunc("GET /phone/copy", o.save)
	mux.HandleFunc("POST /phone/copy", o.takeIn)
	mux.Handle("/", pages)
	if o.partner != nil {
		o.partner.handle(mux)
	}
	guarded := http.NewCrossOriginProtection().Handler(mux)
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if strings.HasPrefix(r.URL.Path, ui.Prefix) { // the same for everybody: nothing is read for it
			pages.ServeHTTP(w, r)
			return
		}
		ctx, hold := web.WithHold(r.Context())
		if r.Header.Get(aheadHeader) != "" {
			hold.MakeAhead()
		}
		failed := o.st.Failures()
		r = r.WithContext(ctx)
		if theme, err := o.st.Note(r.Context(), noteTheme); err == nil && theme != "" {
			r.Header.Set("Cookie", theme)
		}
		if o.partner != nil {
			r = o.partner.acting(r)
		}
		ctx = parts.WithNotice(r.Context(), o.notice(r.Context()))
		guarded.ServeHTTP(w, r.WithContext(ctx))
		o.keepCookie(r.Context(), w.Header())
		if until, may := hold.Kept(); may && r.Method == http.MethodGet && o.st.Failures() == failed {
			w.Header().Set(holdsHeader, holdsText(until))
			tellNotice(ctx, w.Header())
		}
	})
}

func (o *owner) keepCookie(ctx context.Context, h http.Header) {
	for _, line := range h["Set-Cookie"] {
		c, err := http.ParseSetCookie(line)
		if err != nil {
			continue
		}
		kept := c.Name + "=" + c.Value
		if c.MaxAge < 0 {
			kept = ""
		}
		if err := o.st.SetNote(ctx, noteTheme, kept); err != nil {
			fmt.Println("the colours could not be kept:", err)
		}
	}
	h.Del("Set-Cookie")
}

// copied is when the last copy was made and how far the log went then.
func (o *owner) copied(ctx context.Context) (at time.Time, position int64) {
	note, err := o.st.Note(ctx, noteCopy)
	if err != nil {
		return at, 0
	}
	when, where, _ := strings.Cut(note, " ")
	at, _ = time.Parse(time.RFC3339, when)        // none yet: the zero time
	position, _ = strconv.ParseInt(where, 10, 64) // none yet: 0
	return at, position
}

func (o *owner) notice(ctx context.Context) parts.Notice {
	if o.partner != nil {
		return o.partner.notice(ctx)
	}
	n := parts.Notice{Text: "Only on this phone.", Link: parts.Link{Label: "Copies", Href: "/phone"}, Manifest: "/lastbolt.webmanifest", Script: "/phone.js"}
	at, position := o.copied(ctx)
	if old := at.Add(copyAge); time.Now().Before(old) {
		web.HoldOf(ctx).Until(old)
		return n
	}
	if o.changedSince(ctx, position) {
		n.Urgent, n.Text = true, "Only on this phone, and the last copy is old."
		if at.IsZero() {
			n.Text = "Only on this phone, and there is no copy yet."
		}
	}
	return n
}

// changedSince tells whether anything was recorded after a position. What was
// once recorded stays, so a yes holds for good.
func (o *owner) changedSince(ctx context.Context, position int64) bool {
	if o.newer.Load() == position+1 {
		return true
	}
	events, _, err := o.st.Changed(ctx, position, 1)
	if err != nil || len(events) == 0 {
		return false
	}
	o.newer.Store(position + 1)
	return true
}

func (o *owner) page(w http.ResponseWriter, r *http.Request, status int, wrong string) {
	last := "No copy has been saved yet."
	if at, _ := o.copied(r.Context()); !at.IsZero() {
		last = "The last copy was made on " + at.In(time.Local).Format("2 Jan 2006, 15:04") + "."
	}
	if n := r.FormValue("taken"); n != "" {
		last = "Taken in: " + n + " events that were not here yet. " + last
	}
	w.Header().Set("Content-Type", "text/html; charset=utf-8")
	w.Header().Set("Content-Security-Policy", ui.Policy)
	w.WriteHeader(status)
	info := parts.PageInfo{Title: "This phone", Theme: ui.Theme(r), Reading: true}
	if err := phone.OwnPage(info, o.shown(r, last, wrong)).Render(r.Context(), w); err != nil {
		fmt.Println("page not sent whole:", err)
	}
}

func (o *owner) shown(r *http.Request, last, wrong string) phone.Own {
	own := phone.Own{Device: o.device, LastCopy: last, Error: wrong}
	if o.partner == nil {
		return own
	}
	s, err := o.partner.client.Status(r.Context())
	if err != nil {
		own.Error = fault.Say(err)
	}
	own.Server, own.Line, own.Held = true, phone.LineOf(s, time.Now(), time.Local), s.Held
	return own
}

// save writes everything into one file.
func (o *owner) save(w http.ResponseWriter, r *http.Request) {
	position, err := o.end(r.Context())
	var b bytes.Buffer
	if err == nil {
		_, err = exchange.Export(r.Context(), &b, o.st, exchange.ExportOptions{})
	}
	if err == nil {
		err = o.st.SetNote(r.Context(), noteCopy, time.Now().Format(time.RFC3339)+" "+strconv.FormatInt(position, 10))
	}
	if err != nil {
		o.page(w, r, http.StatusInternalServerError, fault.Say(err))
		return
	}
	w.Header().Set("Content-Type", "application/json")
	w.Header().Set("Content-Disposition", `attachment; filename="lastbolt-`+time.Now().Format("2006-01-02-1504")+`.json"`)
	_, _ = w.Write(b.Bytes()) // into memory
}

// end is the position behind the last event.
func (o *owner) end(ctx context.Context) (position int64, err error) {
	for {
		events, next, err := o.st.Changed(ctx, position, 0)
		if err != nil || len(events) == 0 {
			return position, err
		}
		position = next
	}
}

// takeIn merges a file that was saved here or elsewhere.
func (o *owner) takeIn(w http.ResponseWriter, r *http.Request) {
	got, err := o.merge(r)
	if err != nil {
		o.page(w, r, http.StatusUnprocessableEntity, fault.Say(err))
		return
	}
	http.Redirect(w, r, "/phone?taken="+strconv.Itoa(got.Events), http.StatusSeeOther)
}

func (o *owner) merge(r *http.Request) (exchange.Imported, error) {
	if r.ContentLength > phone.MaxCopy+formRoom {
		return exchange.Imported{}, fault.New(fault.TooLarge, "The file has %d MB. %s", r.ContentLength/1e6, phone.TooLarge)
	}
	if err := r.ParseMultipartForm(phone.MaxCopy + formRoom); err != nil { // nothing goes into files: there are none here
		return exchange.Imported{}, fault.Wrap(err, fault.Bad, "The file did not come whole. Choose it again")
	}
	f, _, err := r.FormFile("file")
	if err != nil {
		return exchange.Imported{}, fault.Wrap(err, fault.Bad, "Choose a file first: one that was saved as a copy")
	}
	got, err := exchange.Import(r.Context(), f, o.st, exchange.ImportOptions{})
	for _, id := range got.Jobs {
		if err != nil {
			break
		}
		var s *job.State
		if s, err = o.book.Load(r.Context(), id); err == nil {
			err = o.st.SetSummary(r.Context(), job.Summarise(s))
		}
	}
	return got, err
}
