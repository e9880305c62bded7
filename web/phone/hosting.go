package phone

import (
	"context"
	"fmt"
	"io"
	"net/http"
	"path"
	"strings"

	"github.com/a-h/templ"

	"lastbolt/web/parts"
	"lastbolt/web/ui"
)

// workerPolicy lets the worker start the program, exchange, and nothing else.
const workerPolicy = "default-src 'none'; script-src 'self' 'wasm-unsafe-eval'; connect-src 'self'"

// Handler serves the pages, and to a phone that wants to keep them the program:
// its worker then answers the same addresses on the phone itself. Every page
// offers that; none needs it. Who may ask is decided in front of it.
func Handler(p Program, pages http.Handler) (http.Handler, error) {
	files, err := site(p, true)
	if err != nil {
		return nil, err
	}
	mux := http.NewServeMux()
	for name, content := range files {
		mux.HandleFunc("GET /"+name, func(w http.ResponseWriter, r *http.Request) { serveFile(w, r, name, content) })
	}
	offer := parts.Notice{Text: "Needs the computer in reach.", Link: parts.Link{Label: "Keep working without network", Href: "/install"}}
	mux.HandleFunc("GET /install", func(w http.ResponseWriter, r *http.Request) {
		ctx := parts.WithNotice(r.Context(), parts.Notice{Script: "/install.js"})
		show(ctx, w, r, InstallPage(parts.PageInfo{Title: "Keep working without network", Theme: ui.Theme(r), Reading: true}, megabytes(p.Wasm)))
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

var mediaTypes = map[string]string{
	".js": "text/javascript; charset=utf-8", ".css": "text/css; charset=utf-8", ".svg": "image/svg+xml",
	".png": "image/png", ".webmanifest": "application/manifest+json", ".gz": "application/gzip",
}

// serveFile serves one file. The program's name changes with its content, so
// it may be kept for ever; the others are asked for anew.
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
	if strings.HasSuffix(name, ".gz") {
		h.Set("Cache-Control", "private, max-age=31536000, immutable")
	}
	if r.Method != http.MethodHead {
		_, _ = io.WriteString(w, string(content)) // who went away asks again
	}
}
