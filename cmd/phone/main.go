//go:build js && wasm

package main

import (
	"context"
	"crypto/rand"
	"fmt"
	"log/slog"
	"net/http"
	"os"
	"syscall/js"
	"time"

	"lastbolt/garage"
	"lastbolt/job"
	"lastbolt/keep"
	"lastbolt/paper"
	"lastbolt/photo"
	"lastbolt/quantity"
	"lastbolt/store/indexed"
	"lastbolt/web"
)

func main() {
	ready := js.Global().Get("lastboltReady")
	handler, err := open()
	if err != nil {
		ready.Invoke(js.Null(), err.Error())
		return
	}
	ready.Invoke(js.FuncOf(func(_ js.Value, args []js.Value) any {
		// A request waits for the database, and nothing may wait in here.
		go answer(handler, args[0].String(), args[1].String(), args[2], args[3], args[4])
		return nil
	}))
	select {}
}

func open() (http.Handler, error) {
	st, err := indexed.Open(context.Background(), "lastbolt")
	if err != nil {
		return nil, err
	}
	device, err := deviceName(st)
	if err != nil {
		return nil, err
	}
	host := pages(st, device)
	own := &owner{st: st, device: device, book: host.Book}
	host.Room = room(st)
	if hasServer() {
		own.partner = newPartner(st, host.Book)
		host.Files = files{st, own.partner.client}
	}
	return own.handler(host.Handler()), nil
}

// jobsRemembered is of how many jobs what their events say stays decoded: a job
// of a hundred events takes about 1 MB so.
const jobsRemembered = 4

// pages are the server's pages on what this phone keeps.
func pages(st keep.Backend, device string) *web.Host {
	ids := job.NewIDs(time.Now, rand.Reader)
	book := job.NewBook(st, &job.Recorder{Now: time.Now, NewID: ids.New, Device: device})
	book.Remember(jobsRemembered)
	return &web.Host{
		Book:      book,
		Documents: st, Files: st, Now: time.Now, Zone: time.Local,
		Log: slog.New(slog.NewTextHandler(os.Stderr, &slog.HandlerOptions{Level: slog.LevelWarn})),
		Paper: func(kind string, s *job.State, r *http.Request) ([]byte, error) {
			shelf, _, err := garage.LoadShelf(r.Context(), st)
			if err != nil {
				return nil, err
			}
			return paper.Print(kind, r.FormValue("item"), s, shelf, printing(st, s, r))
		},
	}
}

func printing(st keep.Backend, s *job.State, r *http.Request) paper.Options {
	base := fmt.Sprintf("%s://%s/jobs/%s", r.URL.Scheme, r.Host, s.ID)
	return paper.Options{
		Units: quantity.Imperial(), Now: time.Now(), Zone: time.Local,
		JobURL: base, ItemURL: func(item string) string { return base + "/item?item=" + item },
		Photo: func(hash string) ([]byte, error) {
			content, _, err := st.Open(r.Context(), hash)
			if err != nil {
				return nil, err
			}
			return photo.Screen(content)
		},
	}
}
