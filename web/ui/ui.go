// Package ui holds what the browser is given beside the pages: the style
// sheet, the script and the fonts, bundled and embedded.
//
// Start at [URL], which names a file for a page, and [Handler], which serves
// it. [Theme] and [SetTheme] read and keep the reader's choice of colours;
// [Policy] is the content security policy that all of it works under.
//
// The script only adds to plain links and forms; package parts writes these
// attributes for it:
//
//	data-main            the page's main action; a remote control presses it
//	data-back=URL        on main: where a remote control's back key goes
//	data-undo            what the key u presses
//	data-hold=MS         the button must be held so long; then its form is sent
//	data-hold-check      the tick box that stands in for holding without scripts
//	data-sent=TEXT       what a button says once its form is sent
//	data-free            on a form: may be sent more than once
//	data-return          a link back to the form that was sent, as it was filled in
//	data-read            the part of the page that is read aloud
//	data-say=TEXT        said instead of the element's own text
//	data-speak           a button that reads aloud
//	data-looks-only      on the body: nothing can be changed here
//	data-share=TEXT      a button that shares or copies; data-share-title
//	data-bolt-tap=ID     on a drawing: a tap fills x and y of that form, in widths of
//	                     data-bolt-width units, and sends it
//	data-until=INSTANT   counts down to it (RFC 3339)
//	data-photo           around a file input: photos are reduced before sending
//	data-photo-state     inside it: how far that has got
//	data-sound=SECONDS   around what records a sound clip of so many at most:
//	                     data-sound-record, -state, -play, -file, -input, -seconds
//	data-toast           a line that goes away by itself
//	data-live=URL        on body: an event stream; each message, or event named
//	                     "change", fetches the page again and replaces main
//	data-idle-url=URL    on body: where to go when left alone for
//	data-idle-minutes=N
//	data-answer-form     on a form: worked out as it is filled in, into data-answer;
//	data-tap-form        on a form: taps on its data-tap-picture fill the fields of
//	                     each data-tap; data-tap-say, data-tap-marks, data-tap-again
//	data-rows, data-row, data-add-row  a table of fields and the button for one more
//	data-awake           on body: keep the screen on; data-awake-state says whether
//
// Once the script runs, html has the class live: .needs-script is hidden before,
// .without-script after. When main was replaced the document gets the event
// lastbolt:replaced.
//
// The sources are css, src (TypeScript) and fonts; the command in bundle turns
// them into dist. Nothing here makes pages: that is package parts and web.
package ui

import (
	"embed"
	"encoding/json"
	"net/http"
	"strings"
	"sync"
)

// Prefix is the path under which [Handler] expects to be mounted.
const Prefix = "/static/"

// Policy is the Content-Security-Policy for every page: nothing inline,
// nothing from another host. Photos and recordings are previewed
// from blob: addresses.
const Policy = "default-src 'none'; script-src 'self'; style-src 'self'; " +
	"img-src 'self' blob: data:; font-src 'self'; connect-src 'self'; " +
	"media-src 'self' blob:; manifest-src 'self'; worker-src 'self'; " +
	"form-action 'self'; base-uri 'none'; frame-ancestors 'none'"

//go:embed dist
var dist embed.FS

type manifest struct {
	Sources string            `json:"sources"` // checksum of css, fonts and src
	Files   map[string]string `json:"files"`   // plain name to name with checksum
}

var files = sync.OnceValue(func() manifest {
	var m manifest
	text, err := dist.ReadFile("dist/manifest.json")
	if err == nil {
		err = json.Unmarshal(text, &m)
	}
	if err != nil {
		panic("ui: the embedded manifest cannot be read: " + err.Error())
	}
	return m
})

// URL returns the address of a bundled file by its plain name ("app.css",
// "app.js", "latin-400.woff2"). The address changes whenever the content does.
// It panics for a name that was not bundled: that is a mistake in the program.
func URL(name string) string {
	hashed, ok := files().Files[name]
	if !ok {
		panic("ui: no bundled file " + name)
	}
	return Prefix + hashed
}

// File is the content of a bundled file by its plain name. Like [URL] it panics
// for one that was not bundled.
func File(name string) []byte {
	content, err := dist.ReadFile("dist/" + strings.TrimPrefix(URL(name), Prefix))
	if err != nil {
		panic("ui: " + err.Error())
	}
	return content
}

// ManifestURL is the address of the web app manifest, by which a browser offers
// to put the program on the phone's first screen. It names nothing but the
// program, so that anybody may read it.
const ManifestURL = Prefix + "app.webmanifest"

// appManifest is the manifest; its terms are those of the W3C's Web Application
// Manifest.
func appManifest() []byte {
	type image struct {
		Src     string `json:"src"`
		Sizes   string `json:"sizes"`
		Type    string `json:"type"`
		Purpose string `json:"purpose,omitempty"`
	}
	text, err := json.Marshal(map[string]any{
		"name": "Lastbolt", "short_name": "Lastbolt", "description": "Goes through a repair with a mechanic who works alone.",
		"id": "/", "start_url": "/jobs", "scope": "/", "display": "standalone", "background_color": "#ffffff", "theme_color": "#14181b",
		"icons": []image{
			{URL("mark.svg"), "any", "image/svg+xml", ""}, {URL("icon-192.png"), "192x192", "image/png", ""},
			{URL("icon-512.png"), "512x512", "image/png", "any"}, {URL("icon-mask-512.png"), "512x512", "image/png", "maskable"},
		},
	})
	if err != nil {
		panic("ui: " + err.Error())
	}
	return text
}

// Handler serves the bundled files below [Prefix]. A name with a checksum may
// be kept by the browser for a year without asking again.
func Handler() http.Handler {
	known := map[string]bool{"OFL.txt": false}
	for _, hashed := range files().Files {
		known[hashed] = true
	}
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		name := strings.TrimPrefix(r.URL.Path, Prefix)
		if r.URL.Path == ManifestURL {
			w.Header().Set("Content-Type", "application/manifest+json; charset=utf-8")
			_, _ = w.Write(appManifest()) // a browser that went away asks again
			return
		}
		immutable, ok := known[name]
		if !ok {
			http.NotFound(w, r)
			return
		}
		if immutable {
			w.Header().Set("Cache-Control", "public, max-age=31536000, immutable")
		}
		if strings.HasSuffix(name, ".woff2") {
			w.Header().Set("Content-Type", "font/woff2")
		}
		w.Header().Set("X-Content-Type-Options", "nosniff")
		http.ServeFileFS(w, r, dist, "dist/"+name)
	})
}
