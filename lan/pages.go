package lan

import (
	"context"
	"fmt"
	"html"
	"io"
	"net"
	"net/http"
	"strings"

	"github.com/a-h/templ"
	"github.com/boombuler/barcode/qr"

	"lastbolt/fault"
	"lastbolt/web/parts"
	"lastbolt/web/ui"
)

func (d *Door) openMux() *http.ServeMux {
	mux := http.NewServeMux()
	mux.Handle("GET "+ui.Prefix, ui.Handler())
	mux.HandleFunc("GET /pair", func(w http.ResponseWriter, r *http.Request) { d.stranger(w, r, http.StatusOK, "") })
	mux.HandleFunc("POST /pair", d.pair)
	mux.HandleFunc("GET /trust", d.trust)
	mux.HandleFunc("GET /trust/lastbolt.crt", func(w http.ResponseWriter, r *http.Request) {
		w.Header().Set("Content-Type", "application/x-x509-ca-cert")
		w.Header().Set("Content-Disposition", `attachment; filename="lastbolt.crt"`)
		_, _ = w.Write(d.Authority.Root()) // a phone that went away asks again
	})
	return mux
}

func (d *Door) ownMux() *http.ServeMux {
	mux := http.NewServeMux()
	mux.HandleFunc("GET /phones", func(w http.ResponseWriter, r *http.Request) { d.phones(w, r, http.StatusOK, "") })
	mux.HandleFunc("GET /phones/pair", d.showCode)
	act := func(path string, do func(r *http.Request) error) {
		mux.HandleFunc("POST /phones/"+path, func(w http.ResponseWriter, r *http.Request) {
			r.Body = http.MaxBytesReader(w, r.Body, formLimit)
			if err := do(r); err != nil {
				d.phones(w, r, statusOf(err), fault.Say(err))
				return
			}
			http.Redirect(w, r, "/phones", http.StatusSeeOther)
		})
	}
	act("rename", func(r *http.Request) error { return d.Rename(r.PostFormValue("id"), r.PostFormValue("name")) })
	act("remove", func(r *http.Request) error { return d.Remove(r.PostFormValue("id")) })
	act("add-person", func(r *http.Request) error {
		return d.AddPerson(r.PostFormValue("name"), Role(r.PostFormValue("role")), r.PostFormValue("pin"))
	})
	act("remove-person", func(r *http.Request) error { return d.RemovePerson(r.PostFormValue("id")) })
	return mux
}

// words is a piece of page: a format of ours, filled with values that are
// escaped.
func words(format string, values ...any) templ.Component {
	for i, v := range values {
		if s, ok := v.(string); ok {
			values[i] = html.EscapeString(s)
		}
	}
	return templ.ComponentFunc(func(_ context.Context, w io.Writer) error {
		_, err := fmt.Fprintf(w, format, values...)
		return err
	})
}

func (d *Door) show(w http.ResponseWriter, r *http.Request, status int, title, problem string, body ...templ.Component) {
	all := []templ.Component{words("<h1>%s</h1>", title)}
	if problem != "" {
		all = append(all, parts.ErrorBox(parts.ErrorInfo{What: problem}))
	}
	w.Header().Set("Content-Type", "text/html; charset=utf-8")
	w.Header().Set("Cache-Control", "no-store")
	w.WriteHeader(status)
	page := parts.Page(parts.PageInfo{Title: title, Theme: ui.Theme(r), Reading: true})
	_ = page.Render(templ.WithChildren(r.Context(), templ.Join(append(all, body...)...)), w) // who went away sees nothing
}

func (d *Door) refuse(w http.ResponseWriter, r *http.Request, status int, say string) {
	d.show(w, r, status, "Not done", say)
}

// form is a form of fields and one button.
func form(url, label string, hidden []parts.Pair, fields ...parts.FieldInfo) templ.Component {
	all := []templ.Component{words(`<form class="stack" method="post" action="%s">`, url)}
	for _, p := range hidden {
		all = append(all, words(`<input type="hidden" name="%s" value="%s"/>`, p.Name, p.Value))
	}
	for _, f := range fields {
		all = append(all, parts.Field(f))
	}
	return templ.Join(append(all, words(`<p><button class="small">%s</button></p></form>`, label))...)
}

// stranger is all that who is not paired ever sees, at any address.
func (d *Door) stranger(w http.ResponseWriter, r *http.Request, status int, problem string) {
	code := ""
	if r.URL.Path == "/pair" {
		code = r.FormValue("code")
	}
	d.show(w, r, status, "Pair this phone", problem,
		words("<p>This phone is not paired. On the computer open Lastbolt at the address <b>/phones/pair</b> and take the code it shows.</p>"),
		form("/pair", "Pair this phone", nil,
			parts.FieldInfo{Name: "code", Label: "Code", Value: code, Required: true, Complete: "off", Hint: "Ten letters and figures, good once and for five minutes."},
			parts.FieldInfo{Name: "name", Label: "Name of this phone", Placeholder: "blue phone", Complete: "off"}),
		words(`<p><a href="/trust">If the browser warns of the certificate</a></p>`))
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

func (d *Door) whoPage(w http.ResponseWriter, r *http.Request, device Device) {
	if r.Method != http.MethodPost {
		d.askWho(w, r, http.StatusOK, "")
		return
	}
	r.Body = http.MaxBytesReader(w, r.Body, formLimit)
	if err := d.SignIn(device.ID, r.PostFormValue("person"), r.PostFormValue("pin")); err != nil {
		d.askWho(w, r, statusOf(err), fault.Say(err))
		return
	}
	http.Redirect(w, r, "/", http.StatusSeeOther)
}

func (d *Door) askWho(w http.ResponseWriter, r *http.Request, status int, problem string) {
	var people []parts.Option
	for _, p := range d.People() {
		people = append(people, parts.Option{Value: p.ID, Label: p.Name})
	}
	d.show(w, r, status, "Who has this phone in hand?", problem, form("/who", "It is me", nil,
		parts.FieldInfo{Type: "select", Name: "person", Label: "Name", Options: people},
		parts.FieldInfo{Type: "password", Name: "pin", Label: "PIN", Mode: "numeric", Complete: "off", Required: true}))
}

func (d *Door) phones(w http.ResponseWriter, r *http.Request, status int, problem string) {
	body := []templ.Component{words(`<p><a class="main" href="/phones/pair"><span class="main-label">Pair a phone</span></a></p><section class="card"><h2>Paired phones</h2>`)}
	devices := d.Devices()
	if len(devices) == 0 {
		body = append(body, words("<p>None yet.</p>"))
	}
	for _, x := range devices {
		body = append(body, words("<h3>%s</h3><p>paired %s, last here %s</p>", x.Name, d.local(x.Paired), d.local(x.Seen)),
			form("/phones/rename", "Rename", parts.Pairs("id", x.ID), parts.FieldInfo{Name: "name", Label: "New name of " + x.Name, Required: true}),
			form("/phones/remove", "Put out "+x.Name, parts.Pairs("id", x.ID)))
	}
	body = append(body, words(`</section><section class="card"><h2>People</h2><p>While nobody stands here, one owner works alone. With people, every phone asks for a PIN and the record says who did what.</p>`))
	for _, p := range d.People() {
		body = append(body, words("<h3>%s</h3><p>%s</p>", p.Name, string(p.Role)), form("/phones/remove-person", "Take off "+p.Name, parts.Pairs("id", p.ID)))
	}
	body = append(body, form("/phones/add-person", "Add", nil,
		parts.FieldInfo{Name: "name", Label: "Name", Required: true, Complete: "off"},
		parts.FieldInfo{Type: "select", Name: "role", Label: "May", Options: parts.Options(string(Owner), "everything (owner)", string(Mechanic), "record, not manage (mechanic)", string(ReadOnly), "look only")},
		parts.FieldInfo{Type: "password", Name: "pin", Label: "PIN", Mode: "numeric", Required: true, Complete: "new-password", Hint: fmt.Sprintf("%d to %d digits.", leastPIN, mostPIN)}),
		words("</section>"))
	d.show(w, r, status, "Phones and people", problem, body...)
}

// addresses are where the network reaches the door, the usual one first.
func (d *Door) addresses() []string {
	port := d.port()
	var out []string
	for _, ip := range Addresses() {
		out = append(out, net.JoinHostPort(ip.String(), port))
	}
	if len(out) == 0 {
		out = append(out, net.JoinHostPort("127.0.0.1", port))
	}
	return out
}

func (d *Door) showCode(w http.ResponseWriter, r *http.Request) {
	code, until := d.Code()
	at := d.addresses()
	body := []templ.Component{
		words("<h2>1. Let the phone trust this computer, once</h2><p>Scan this, or type <b>http://%s/trust</b>. Compare the fingerprint there with this one: <code>%s</code></p>", at[0], d.Authority.Fingerprint()),
		square("http://" + at[0] + "/trust"),
		words("<h2>2. Pair it</h2><p>Scan this, or type <b>https://%s/pair</b> and the code <b>%s</b>. Good once, until %s.</p>", at[0], code[:5]+" "+code[5:], until.Local().Format("15:04")),
		square("https://" + at[0] + "/pair?code=" + code),
	}
	if len(at) > 1 {
		body = append(body, words("<p>This computer also answers at %s.</p>", strings.Join(at[1:], ", ")))
	}
	d.show(w, r, http.StatusOK, "Pair a phone", "", append(body, words(`<p><a class="small" href="/phones">Phones and people</a></p>`))...)
}

// square is a QR code with its quiet zone of four modules (ISO/IEC 18004).
func square(text string) templ.Component {
	img, err := qr.Encode(text, qr.M, qr.Auto)
	if err != nil {
		return words("") // longer than any code holds: the text stands beside it
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
	return words(`<svg role="img" aria-label="Code to scan" width="260" height="260" viewBox="0 0 %d %d" shape-rendering="crispEdges"><rect width="100%%" height="100%%" fill="#fff"/><path fill="#000" d="%s"/></svg>`, n+8, n+8, path.String())
}

func (d *Door) trust(w http.ResponseWriter, r *http.Request) {
	d.show(w, r, http.StatusOK, "Let this phone trust the computer", "",
		words(`<p>The phone needs the certificate of the computer in the shop, called <b>%s</b>. It is good for private networks only: nobody can use it to pose as another site.</p><p><a class="small" href="/trust/lastbolt.crt">Get the certificate</a></p><p>Fingerprint, SHA-256; the computer must show the same: <code>%s</code></p>`, d.Authority.Name(), d.Authority.Fingerprint()),
		words(`<h2>iPhone, iPad</h2><ol><li>Get the certificate with Safari and allow the profile.</li><li>Settings, General, VPN and Device Management: choose the profile and install it.</li><li>Settings, General, About, Certificate Trust Settings: switch it on. Without this it does nothing.</li></ol>`),
		words(`<h2>Android</h2><ol><li>Get the certificate; it lands in Downloads.</li><li>Settings: search for “CA certificate”, choose it, and “Install anyway”.</li><li>Choose lastbolt.crt in Downloads. A screen lock must be set.</li><li>Firefox has a list of its own: use Chrome or the phone's own browser.</li></ol>`),
		words(`<p class="soft">The names of menus are from memory and differ between versions.</p>`),
		words(`<h2>If the phone will not have it</h2><p>Open <b>https://%s/pair</b> and go on past the warning (“Advanced”). What still works: jobs, steps, recording, photos and sound by choosing a file, calculations, drawings, printing. What does not: pages without the network, sound live from the microphone, and perhaps keeping the screen on. The line is then scrambled, but the phone cannot tell this computer from another that poses as it.</p>`, r.Host))
}
