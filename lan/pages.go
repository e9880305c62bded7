package lan

import (
	"context"
	"fmt"
	"io"
	"net"
	"net/http"
	"slices"
	"strings"
	"time"

	"github.com/a-h/templ"
	"github.com/boombuler/barcode/qr"

	"lastbolt/fault"
	"lastbolt/web"
	"lastbolt/web/parts"
	"lastbolt/web/ui"
)

// openRoutes are what anybody in the network may ask for; see also [isOpen].
func (d *Door) openRoutes() *web.Router {
	mux := &web.Router{}
	mux.Handle("GET "+ui.Prefix, ui.Handler())
	mux.HandleFunc("POST /theme", ui.SetTheme)
	mux.HandleFunc("GET /pair", func(w http.ResponseWriter, r *http.Request) { d.stranger(w, r, http.StatusOK, "") })
	mux.HandleFunc("POST /pair", d.pair)
	mux.HandleFunc("GET /trust", d.trust)
	mux.HandleFunc("GET /trust/lastbolt.crt", func(w http.ResponseWriter, r *http.Request) {
		w.Header().Set("Content-Type", "application/x-x509-ca-cert")
		_, _ = w.Write(d.Authority.Root()) // a phone that went away asks again
	})
	return mux
}

func (d *Door) show(w http.ResponseWriter, r *http.Request, status int, page templ.Component) {
	showPage(w, r, status, page)
}

func showPage(w http.ResponseWriter, r *http.Request, status int, page templ.Component) {
	w.Header().Set("Content-Type", "text/html; charset=utf-8")
	w.Header().Set("Cache-Control", "no-store")
	w.WriteHeader(status)
	_ = page.Render(r.Context(), w) // who went away sees nothing
}

func info(r *http.Request, title string) parts.PageInfo {
	return parts.PageInfo{Title: title, Theme: ui.Theme(r), Reading: true}
}

// bare is a page for who may not go anywhere yet.
func bare(r *http.Request, title string) parts.PageInfo {
	p := info(r, title)
	p.Bare = true
	return p
}

func (d *Door) refuse(w http.ResponseWriter, r *http.Request, status int, say string) {
	d.show(w, r, status, refusedPage(info(r, "Not done"), say, []parts.Link{{Label: "Jobs in hand", Href: "/jobs"}}))
}

// stranger answers who is not paired, at any address.
func (d *Door) stranger(w http.ResponseWriter, r *http.Request, status int, problem string) {
	code, name := "", ""
	if r.URL.Path == "/pair" {
		code, name = r.FormValue("code"), r.FormValue("name")
	}
	d.show(w, r, status, strangerPage(bare(r, "Pair this phone"), problem, code, name))
}

func (d *Door) pair(w http.ResponseWriter, r *http.Request) {
	r.Body = http.MaxBytesReader(w, r.Body, formLimit)
	token, err := d.Pair(r.PostFormValue("code"), r.PostFormValue("name"), addressOf(r))
	if err != nil {
		d.stranger(w, r, statusOf(err), fault.Say(err))
		return
	}
	setCookie(w, token)
	http.Redirect(w, r, "/", http.StatusSeeOther)
}

func (d *Door) trust(w http.ResponseWriter, r *http.Request) {
	d.show(w, r, http.StatusOK, trustPage(bare(r, "Let this phone trust the computer"), trustView{d.Authority.Name(), r.Host, d.fingerprint()}))
}

// fingerprint is the certificate's in groups that can be compared by eye.
func (d *Door) fingerprint() (groups []string) {
	pairs := strings.Fields(d.Authority.Fingerprint())
	for i := 0; i < len(pairs); i += 4 {
		groups = append(groups, strings.Join(pairs[i:min(i+4, len(pairs))], " "))
	}
	return groups
}

// addresses are where the network reaches the door, the usual one first.
func (d *Door) addresses() []string {
	d.mu.Lock()
	at, _ := d.at.(*net.TCPAddr)
	d.mu.Unlock()
	port := "8443"
	if at != nil {
		_, port, _ = net.SplitHostPort(at.String())
		if !at.IP.IsUnspecified() {
			return []string{at.String()}
		}
	}
	var out []string
	for _, ip := range Addresses() {
		out = append(out, net.JoinHostPort(ip.String(), port))
	}
	if len(out) == 0 {
		out = append(out, net.JoinHostPort("127.0.0.1", port))
	}
	return out
}

// justNow is how long the page with the codes names the phone paired last.
const justNow = time.Minute

func (d *Door) showCode(w http.ResponseWriter, r *http.Request) {
	code, until := d.Code()
	at := d.addresses()
	if i := slices.Index(at, r.FormValue("at")); i > 0 { // one that was chosen on this page
		at[0], at[i] = at[i], at[0]
	}
	v := pairView{
		Trust: "http://" + at[0] + "/trust", Pair: "https://" + at[0] + "/pair",
		Code: code[:5] + " " + code[5:], Until: until.Local().Format("15:04"), Fingerprint: d.fingerprint(), Others: at[1:],
	}
	if host, _, err := net.SplitHostPort(at[0]); err == nil {
		v.Unreached = net.ParseIP(host).IsLoopback()
	}
	v.TrustCode, v.PairCode = square(v.Trust), square(v.Pair+"?code="+code)
	if list := d.Devices(); len(list) > 0 {
		if last := list[len(list)-1]; d.now().Sub(last.Paired) < justNow {
			v.Just = last.Name
		}
	}
	p := info(r, "Pair a phone")
	p.Reading, p.Live = false, "/phones/live"
	d.show(w, r, http.StatusOK, pairPage(p, v))
}

// live tells the page with the codes that a phone was paired, or that its code
// is not good any more, as server-sent events.
func (d *Door) live(w http.ResponseWriter, r *http.Request) {
	w.Header().Set("Content-Type", "text/event-stream")
	w.Header().Set("Cache-Control", "no-store")
	out := http.NewResponseController(w)
	say := func(text string) bool {
		_, err := io.WriteString(w, text)
		return err == nil && out.Flush() == nil
	}
	news := d.changed() // before anything is said: no change may fall in between
	for ok := say(": here\n\n"); ok; {
		timer := time.NewTimer(max(d.codeEnds().Sub(d.now()), time.Second))
		select {
		case <-r.Context().Done():
			ok = false
		case <-news:
			news = d.changed()
			ok = say("event: change\ndata: phones\n\n")
		case <-timer.C:
			ok = say("event: change\ndata: code\n\n")
		}
		timer.Stop()
	}
}

// square is a QR code with its quiet zone of four modules (ISO/IEC 18004).
func square(text string) templ.Component {
	img, err := qr.Encode(text, qr.M, qr.Auto)
	if err != nil {
		return templ.NopComponent // longer than any code holds: the text stands beside it
	}
	n := img.Bounds().Dx()
	var path strings.Builder
	for y := range n {
		for x := range n {
			if r, _, _, _ := img.At(x, y).RGBA(); r < 0x8000 {
				fmt.Fprintf(&path, "M%d %dh1v1h-1z", x+4, y+4)
			}
		}
	}
	return templ.ComponentFunc(func(_ context.Context, w io.Writer) error {
		_, err := fmt.Fprintf(w, `<svg role="img" aria-label="Code to scan" data-code width="260" height="260" viewBox="0 0 %d %d" shape-rendering="crispEdges"><rect width="100%%" height="100%%" fill="#fff"/><path fill="#000" d="%s"/></svg>`, n+8, n+8, path.String())
		return err
	})
}
