// Command story serves one page for every piece that pages are made of, with
// made-up content, to look at them while changing the style sheet:
//
//	go run ./web/ui/story
//
// It stores nothing. Forms answer with a page that says what they sent.
package main

import (
	"flag"
	"fmt"
	"net/http"
	"os"
	"time"

	"lastbolt/web/draw"
	"lastbolt/web/parts"
	"lastbolt/web/ui"
)

func main() {
	addr := flag.String("addr", "127.0.0.1:7788", "where to listen")
	flag.Parse()
	fmt.Printf("http://%s/  http://%s/step  /danger  /tighten  /plan  /valleys\n", *addr, *addr)
	if err := http.ListenAndServe(*addr, mux()); err != nil {
		fmt.Fprintln(os.Stderr, "story:", err)
		os.Exit(1)
	}
}

func mux() http.Handler {
	m := http.NewServeMux()
	m.Handle("GET "+ui.Prefix, ui.Handler())
	m.HandleFunc("POST /theme", ui.SetTheme)
	page := func(path string, make func(parts.PageInfo, *http.Request) templComponent) {
		m.HandleFunc("GET "+path, func(w http.ResponseWriter, r *http.Request) {
			info := parts.PageInfo{Theme: ui.Theme(r), Toast: r.URL.Query().Get("toast")}
			if t := r.URL.Query().Get("theme"); t != "" {
				info.Theme = t
			}
			w.Header().Set("Content-Security-Policy", ui.Policy)
			w.Header().Set("Content-Type", "text/html; charset=utf-8")
			if err := make(info, r).Render(r.Context(), w); err != nil {
				fmt.Fprintln(os.Stderr, "story:", err)
			}
		})
	}
	page("/{$}", func(p parts.PageInfo, _ *http.Request) templComponent { return pieces(p, time.Now()) })
	page("/step", func(p parts.PageInfo, _ *http.Request) templComponent { return step(p) })
	page("/danger", func(p parts.PageInfo, _ *http.Request) templComponent { return danger(p) })
	page("/tighten", func(p parts.PageInfo, _ *http.Request) templComponent { return tighten(p) })
	page("/plan", func(p parts.PageInfo, _ *http.Request) templComponent { return planned(p) })
	page("/valleys", func(p parts.PageInfo, _ *http.Request) templComponent { return valleys(p) })
	m.HandleFunc("POST /sent", sent)
	return m
}

// sent shows what a form sent: the fields, and the size of each file.
func sent(w http.ResponseWriter, r *http.Request) {
	if err := r.ParseMultipartForm(32 << 20); err != nil && err != http.ErrNotMultipart {
		http.Error(w, err.Error(), http.StatusBadRequest)
		return
	}
	fmt.Fprintln(w, r.PostForm.Encode())
	if r.MultipartForm == nil {
		return
	}
	for name, files := range r.MultipartForm.File {
		for _, f := range files {
			fmt.Fprintln(w, name, f.Filename, f.Size, f.Header.Get("Content-Type"))
		}
	}
}

// job is a made-up job of n steps down and up again, with the step at `at` in
// hand.
func job(n, at int) draw.Valley {
	names := []string{"Wheels up on stands", "Undertray", "Wheel, front left", "Battery earth off", "Charge pipe", "Belt shield", "Coolant down", "Lower hose", "Engine mount, right", "Relay box aside", "Filter housing", "Heat shield"}
	minutes := []float64{6, 5, 4, 2, 9, 6, 12, 7, 22, 3, 8, 4}
	v := draw.Valley{NoReturn: min(3, n-1)}
	for i := range n {
		label := names[i%len(names)]
		if i >= len(names) {
			label = fmt.Sprintf("%s %d", label, i/len(names)+1)
		}
		k := draw.Knot{Label: label, Minutes: minutes[i%len(minutes)], Href: fmt.Sprintf("/step?n=%d", i)}
		up := k
		switch {
		case i < at && i == 2:
			k.State, up.State = draw.Aside, draw.Owed
		case i < at:
			k.State, up.State = draw.Done, draw.Owed
		case i == at:
			k.State = draw.Now
		}
		v.Down = append(v.Down, k)
		v.Up = append([]draw.Knot{up}, v.Up...)
	}
	v.Bottom = draw.Knot{Label: "New seal in", Minutes: 10, Href: "/step?n=bottom"}
	return v
}

func wide(v draw.Valley) draw.Valley {
	v.Wide = true
	return v
}
