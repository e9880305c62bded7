package lan

import (
	"context"
	"net"
	"net/http"
	"strings"
	"time"

	"lastbolt/exchange/replicate"
	"lastbolt/fault"
	"lastbolt/job"
	"lastbolt/web/parts"
	"lastbolt/web/ui"
)

// cookieName begins with __Host-, by which browsers refuse it unless it is
// Secure, for this host alone and for every path.
const cookieName = "__Host-lastbolt"

const cookieDays = 400 // the most that browsers keep one (from memory)

// formLimit is more than any form here sends.
const formLimit = 16 << 10

// Network is what the network sees: the pages behind it for paired phones,
// and for anybody else the look of the pages (/static/), pairing (/pair) and
// how to trust the certificate (/trust). Every other address gives a stranger
// one and the same answer, without asking what is behind.
func (d *Door) Network(next http.Handler) http.Handler {
	open, own, hand := d.openRoutes(), d.ownRoutes(), d.handRoutes()
	return Guarded(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if !d.requests.take(addressOf(r), d.now()) {
			w.Header().Set("Retry-After", "5")
			d.refuse(w, r, http.StatusTooManyRequests, "Too much at once from this phone. Wait a few seconds.")
			return
		}
		if isOpen(r.URL.Path) {
			open.ServeHTTP(w, r)
			return
		}
		device, ok := d.deviceOf(r)
		if !ok {
			w.Header().Set(replicate.DoorHeader, replicate.Stranger)
			d.stranger(w, r, http.StatusForbidden, "")
			return
		}
		person, known := d.who(device)
		links := []parts.Link{}
		if person.Role == Owner {
			links = append(links, phonesLink)
		}
		if person.Name != "" {
			links = append(links, parts.Link{Label: person.Name + ": hand the phone on", Href: "/who"})
		}
		ctx := withBase(parts.WithLinks(job.WithPerson(r.Context(), recorded(person)), links...), "https://"+r.Host)
		ctx = replicate.WithDevice(ctx, replicate.Device{People: len(d.People()) > 0, Names: device.Names})
		if person.Role != Owner {
			ctx = parts.WithBarred(ctx, func(href string) bool { return ownersOnly(href) != "" })
		}
		r = r.WithContext(ctx)
		switch {
		case r.URL.Path == "/who" || strings.HasPrefix(r.URL.Path, "/who/"):
			r.Body = http.MaxBytesReader(w, r.Body, formLimit)
			hand.ServeHTTP(w, r)
			return
		case !known:
			w.Header().Set(replicate.DoorHeader, replicate.Unsigned)
			d.askWho(w, r, http.StatusForbidden, "")
			return
		case person.Role != Owner && ownersOnly(r.URL.Path) != "":
			d.refuse(w, r, http.StatusForbidden, ownersOnly(r.URL.Path))
			return
		case strings.HasPrefix(r.URL.Path, "/phones"):
			own.ServeHTTP(w, r)
			return
		case person.Role == ReadOnly && r.Method != http.MethodGet && r.Method != http.MethodHead:
			d.refuse(w, r, http.StatusForbidden, job.OnlyLooks)
			return
		}
		next.ServeHTTP(w, r)
	}))
}

// ownersOnly is why a page is not for who is no owner; empty for every other page.
func ownersOnly(path string) string {
	switch {
	case strings.HasPrefix(path, "/phones"):
		return "Phones and people are the owner's to manage."
	case strings.HasPrefix(path, "/storage"):
		return "Storage and backups are the owner's to look after."
	}
	return ""
}

var phonesLink = parts.Link{Label: "Phones and people", Href: "/phones"}

type baseKey struct{}

func withBase(ctx context.Context, base string) context.Context {
	return context.WithValue(ctx, baseKey{}, base)
}

// Base is the address of the pages as it goes into codes on paper, without a
// slash at its end: while phones are let in, one that a phone can open; else
// the one that was asked.
func Base(r *http.Request) string {
	if base, ok := r.Context().Value(baseKey{}).(string); ok {
		return base
	}
	return "http://" + r.Host
}

// isOpen is the whole list of what strangers may ask for. A path with dots in
// it is none of these, whatever it would be cleaned to.
func isOpen(path string) bool {
	if strings.Contains(path, "..") {
		return false
	}
	return strings.HasPrefix(path, ui.Prefix) || path == "/theme" || path == "/pair" || path == "/trust" || path == "/trust/lastbolt.crt"
}

// Local is what this machine itself sees: everything, without ceremony, and
// the pages that manage phones. While there are people, what is recorded here
// is said to be by the computer, as nobody was asked.
func (d *Door) Local(next http.Handler) http.Handler {
	own := d.ownRoutes()
	return OnlyHere(Guarded(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		r = r.WithContext(withBase(parts.WithLinks(r.Context(), phonesLink), "https://"+d.addresses()[0]))
		if strings.HasPrefix(r.URL.Path, "/phones") {
			own.ServeHTTP(w, r)
			return
		}
		var p job.Person
		people := len(d.People()) > 0
		if people {
			p.Name = "at the computer"
		}
		ctx := replicate.WithDevice(job.WithPerson(r.Context(), p), replicate.Device{People: people})
		next.ServeHTTP(w, r.WithContext(ctx))
	})))
}

// OnlyHere refuses requests that did not come straight from this machine's
// own browser: asked for by another name, they may be a foreign page whose name
// was pointed here, and passed on by another server they may be anybody's.
func OnlyHere(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		host, _, err := net.SplitHostPort(r.Host)
		if err != nil {
			host = r.Host
		}
		forwarded := r.Header.Get("X-Forwarded-For") != "" || r.Header.Get("Forwarded") != ""
		if name := strings.Trim(host, "[]"); forwarded || name != "localhost" && net.ParseIP(name) == nil {
			http.Error(w, "Lastbolt answers here only to its own address: open http://localhost with the port it printed.", http.StatusMisdirectedRequest)
			return
		}
		next.ServeHTTP(w, r)
	})
}

// Plain is what the network gets on plain HTTP: how to trust the certificate,
// and nothing else.
func (d *Door) Plain() http.Handler {
	open := d.openRoutes()
	return Guarded(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		switch {
		case !d.requests.take(addressOf(r), d.now()):
			http.Error(w, "Too much at once.", http.StatusTooManyRequests)
		case isOpen(r.URL.Path) && r.URL.Path != "/pair":
			open.ServeHTTP(w, r)
		default:
			http.Redirect(w, r, "/trust", http.StatusSeeOther)
		}
	}))
}

func (d *Door) deviceOf(r *http.Request) (Device, bool) {
	c, err := r.Cookie(cookieName)
	if err != nil {
		return Device{}, false
	}
	return d.device(c.Value)
}

func setCookie(w http.ResponseWriter, token string) {
	http.SetCookie(w, &http.Cookie{Name: cookieName, Value: token, Path: "/", MaxAge: cookieDays * 86400,
		Secure: true, HttpOnly: true, SameSite: http.SameSiteLaxMode})
}

func addressOf(r *http.Request) string {
	host, _, err := net.SplitHostPort(r.RemoteAddr)
	if err != nil {
		return r.RemoteAddr
	}
	return host
}

// Guarded puts the headers of every page on whatever next answers, and refuses
// what another site's page sends: its forms could record here in the name of
// whoever has that page open.
func Guarded(next http.Handler) http.Handler {
	guard := http.NewCrossOriginProtection()
	guard.SetDenyHandler(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		showPage(w, r, http.StatusForbidden, refusedPage(bare(r, "Not done"), "This came from another site, so nothing was recorded. Open the page here and try again.", nil))
	}))
	guarded := guard.Handler(next)
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		h := w.Header()
		h.Set("Content-Security-Policy", ui.Policy)
		h.Set("X-Content-Type-Options", "nosniff")
		h.Set("Referrer-Policy", "same-origin")
		h.Set("Cross-Origin-Resource-Policy", "same-origin")
		if r.TLS != nil || isHere(r.Host) { // elsewhere it means nothing, and browsers say so
			h.Set("Cross-Origin-Opener-Policy", "same-origin")
		}
		guarded.ServeHTTP(w, r)
	})
}

// isHere tells whether a request's host is this machine's own name.
func isHere(host string) bool {
	if name, _, err := net.SplitHostPort(host); err == nil {
		host = name
	}
	host = strings.Trim(host, "[]")
	ip := net.ParseIP(host)
	return host == "localhost" || ip != nil && ip.IsLoopback()
}

// statusOf maps what a door says to a status.
func statusOf(err error) int {
	switch fault.CodeOf(err) {
	case fault.Bad:
		return http.StatusUnprocessableEntity
	case fault.Busy:
		return http.StatusTooManyRequests
	case fault.ReadOnly, fault.Full:
		return http.StatusServiceUnavailable
	}
	return http.StatusInternalServerError
}

const dayAndTime = "2 Jan 2006 15:04"

func (d *Door) local(t time.Time) string { return t.Local().Format(dayAndTime) }
