package lan

import (
	"net"
	"net/http"
	"strings"
	"time"

	"lastbolt/fault"
	"lastbolt/job"
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
	open := d.openMux()
	own := d.ownMux()
	return hardened(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
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
			d.stranger(w, r, http.StatusForbidden, "")
			return
		}
		if r.URL.Path == "/who" {
			d.whoPage(w, r, device)
			return
		}
		person, known := d.who(device)
		switch {
		case !known:
			d.askWho(w, r, http.StatusForbidden, "")
			return
		case strings.HasPrefix(r.URL.Path, "/phones"):
			if person.Role != Owner {
				d.refuse(w, r, http.StatusForbidden, "Phones and people are the owner's to manage.")
				return
			}
			own.ServeHTTP(w, r)
			return
		case person.Role == ReadOnly && r.Method != http.MethodGet && r.Method != http.MethodHead && r.URL.Path != "/theme":
			d.refuse(w, r, http.StatusForbidden, "You may look at everything here but record nothing. Ask the owner for another role.")
			return
		}
		next.ServeHTTP(w, r.WithContext(job.WithPerson(r.Context(), recorded(person))))
	}))
}

// isOpen is the whole list of what strangers may ask for. A path with dots in
// it is none of these, whatever it would be cleaned to.
func isOpen(path string) bool {
	if strings.Contains(path, "..") {
		return false
	}
	return strings.HasPrefix(path, ui.Prefix) || path == "/pair" || path == "/trust" || path == "/trust/lastbolt.crt"
}

// Local is what this machine itself sees: everything, without ceremony, and
// the pages that manage phones. While there are people, what is recorded here
// is said to be by the computer, as nobody was asked.
func (d *Door) Local(next http.Handler) http.Handler {
	own := d.ownMux()
	return OnlyHere(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if strings.HasPrefix(r.URL.Path, "/phones") {
			hardened(own).ServeHTTP(w, r)
			return
		}
		var p job.Person
		if len(d.People()) > 0 {
			p.Name = "at the computer"
		}
		next.ServeHTTP(w, r.WithContext(job.WithPerson(r.Context(), p)))
	}))
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
	open := d.openMux()
	return hardened(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
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

// hardened puts the headers of every page on what this package answers, and
// refuses forms from other sites.
func hardened(next http.Handler) http.Handler {
	guard := http.NewCrossOriginProtection().Handler(next)
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		h := w.Header()
		h.Set("Content-Security-Policy", ui.Policy)
		h.Set("X-Content-Type-Options", "nosniff")
		h.Set("Referrer-Policy", "same-origin")
		h.Set("Cross-Origin-Opener-Policy", "same-origin")
		h.Set("Cross-Origin-Resource-Policy", "same-origin")
		guard.ServeHTTP(w, r)
	})
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
