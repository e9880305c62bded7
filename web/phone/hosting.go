package phone

import (
	"context"
	"fmt"
	"net/http"
	"path"
	"strings"
	"sync"

	"github.com/a-h/templ"

	"lastbolt/web/parts"
	"lastbolt/web/ui"
)

// workerPolicy lets the worker start the program, exchange, and nothing else.
const workerPolicy = "default-src 'none'; script-src 'self' 'wasm-unsafe-eval'; connect-src 'self'"

// Handler serves the pages, and to a phone that wants to keep them the program:
// its worker then answers the same addresses on the phone itself. Every page
// offers that; none needs it. Who may ask is decided in front of it. Holds says
// what such a phone takes in at once; it may be nil.
func Handler(p Program, pages http.Handler, holds func(context.Context) (Holding, error)) (http.Handler, error) {
	files, err := site(p, true)
	if err != nil {
		return nil, err
	}
	mux := http.NewServeMux()
	for name, content := range files {
		mux.HandleFunc("GET /"+name, func(w http.ResponseWriter, r *http.Request) { serveFile(w, r, name, content) })
	}
	mux.HandleFunc("GET /"+programName(p), p.serve())
	offer := parts.Notice{Text: "Needs the computer in reach.", Link: parts.Link{Label: "Keep working without network", Href: "/install"}}
	mux.HandleFunc("GET /install", func(w http.ResponseWriter, r *http.Request) {
		ctx := parts.WithNotice(r.Context(), parts.Notice{Script: "/install.js"})
		coming := ""
		if holds != nil {
			if all, err := holds(r.Context()); err == nil { // what cannot be counted is taken in all the same
				coming = all.text()
			}
		}
		show(ctx, w, r, InstallPage(parts.PageInfo{Title: "Keep working without network", Theme: ui.Theme(r), Reading: true}, megabytes(p.known()), coming))
	})
	mux.HandleFunc("/", func(w http.ResponseWriter, r *http.Request) {
		pages.ServeHTTP(w, r.WithContext(parts.WithNotice(r.Context(), offer)))
	})
	return mux, nil
}

func show(ctx context.Context, w http.ResponseWriter, _ *http.Request, page templ.Component) {
	w.Header().Set("Content-Type", "text/html; charset=utf-8")
	w.Header().Set("Cache-Control", "no-store")
	w.Header().Set("Content-Security-Policy", ui.Policy)
	w.Header().Set("X-Content-Type-Options", "nosniff")
	w.Header().Set("Referrer-Policy", "same-origin")
	_ = page.Render(ctx, w) // who went away sees nothing
}

// serve sends the program as small as the browser can open it. Its name changes
// with its content, so it may be kept for ever.
func (p Program) serve() http.HandlerFunc {
	gzipped := sync.OnceValues(p.Gzipped) // takes seconds, and hardly a browser needs it
	return func(w http.ResponseWriter, r *http.Request) {
		h := w.Header()
		h.Set("X-Content-Type-Options", "nosniff")
		h.Set("Content-Security-Policy", "default-src 'none'")
		h.Set("Cache-Control", "private, max-age=31536000, immutable")
		h.Set("Vary", "Accept-Encoding")
		content := p.Brotli
		if content != nil && takesBrotli(r.Header.Get("Accept-Encoding")) {
			h.Set("Content-Type", "application/wasm")
			h.Set("Content-Encoding", "br")
		} else {
			whole, err := gzipped()
			if err != nil {
				http.Error(w, "The program in this lastbolt is damaged: build it again with make build.", http.StatusInternalServerError)
				return
			}
			content = whole.Wasm
			h.Set("Content-Type", "application/gzip")
		}
		h.Set("Content-Length", fmt.Sprint(len(content)))
		if r.Method != http.MethodHead {
			_, _ = w.Write(content) // who went away asks again
		}
	}
}

// takesBrotli reads the header of RFC 9110, section 12.5.3.
func takesBrotli(accepted string) bool {
	for coding := range strings.SplitSeq(accepted, ",") {
		name, weight, _ := strings.Cut(coding, ";")
		weight = strings.ReplaceAll(weight, " ", "")
		if strings.TrimSpace(name) == "br" && weight != "q=0" && weight != "q=0.0" {
			return true
		}
	}
	return false
}

var mediaTypes = map[string]string{
	".js": "text/javascript; charset=utf-8", ".css": "text/css; charset=utf-8", ".svg": "image/svg+xml",
	".png": "image/png", ".webmanifest": "application/manifest+json",
}

// serveFile serves one file, to be asked for anew each time.
func serveFile(w http.ResponseWriter, r *http.Request, name string, content []byte) {
	h := w.Header()
	h.Set("Content-Type", mediaTypes[path.Ext(name)])
	h.Set("X-Content-Type-Options", "nosniff")
	h.Set("Content-Security-Policy", "default-src 'none'")
	h.Set("Content-Length", fmt.Sprint(len(content)))
	h.Set("Cache-Control", "no-cache")
	if name == "worker.js" {
		h.Set("Content-Security-Policy", workerPolicy)
	}
	if r.Method != http.MethodHead {
		_, _ = w.Write(content) // who went away asks again
	}
}
