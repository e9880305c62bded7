//go:build js && wasm

package main

import (
	"context"
	"encoding/json"
	"fmt"
	"net/http"
	"strings"
	"sync"
	"syscall/js"
	"time"

	"lastbolt/exchange/replicate"
	"lastbolt/fault"
	"lastbolt/job"
	"lastbolt/store/indexed"
	"lastbolt/web"
	"lastbolt/web/parts"
	"lastbolt/web/phone"
)

// A partner is the server that this phone exchanges with: the one it got its
// program from, if that is one.
type partner struct {
	st     *indexed.Store
	client *replicate.Client

	mu   sync.Mutex
	next *round // asked for and not begun; whoever asks meanwhile shares it
	turn sync.Mutex
}

// A round is one exchange.
type round struct {
	ended  chan struct{}
	status replicate.Status
	err    error
}

// hasServer is told by the worker, which knows where its files came from.
func hasServer() bool { return js.Global().Get("lastboltServer").Truthy() }

func newPartner(st *indexed.Store, book *job.Book) *partner {
	return &partner{st: st, client: &replicate.Client{Store: st, Book: book, Notes: ledgerNotes{st}, Send: ask, Now: time.Now}}
}

// exchange runs a whole exchange that begins after it was asked for.
func (p *partner) exchange() (replicate.Status, error) {
	p.mu.Lock()
	r := p.next
	mine := r == nil
	if mine {
		r = &round{ended: make(chan struct{})}
		p.next = r
	}
	p.mu.Unlock()
	if mine {
		p.turn.Lock()
		p.mu.Lock()
		p.next = nil
		p.mu.Unlock()
		r.status, r.err = p.client.Exchange(context.Background())
		p.layBy(context.Background())
		p.turn.Unlock()
		close(r.ended)
	}
	<-r.ended
	return r.status, r.err
}

// handle answers the page's script, and the form of the page about the phone.
func (p *partner) handle(mux *http.ServeMux) {
	mux.HandleFunc("GET /phone/exchange", func(w http.ResponseWriter, r *http.Request) {
		s, err := p.client.Status(r.Context())
		tell(w, s, err)
	})
	mux.HandleFunc("POST /phone/exchange", func(w http.ResponseWriter, r *http.Request) {
		s, err := p.exchange()
		if strings.Contains(r.Header.Get("Accept"), "text/html") && err == nil {
			http.Redirect(w, r, "/phone", http.StatusSeeOther)
			return
		}
		tell(w, s, err)
	})
}

// told is the status as a page's script takes it.
type told struct {
	phone.Line
	Waiting  int    `json:"waiting"`
	Position int64  `json:"position"`
	Seen     int64  `json:"seen"`
	Taken    int    `json:"taken"`
	Trouble  string `json:"trouble"`
}

func tell(w http.ResponseWriter, s replicate.Status, err error) {
	w.Header().Set("Cache-Control", "no-store")
	if err != nil {
		http.Error(w, fault.Say(err), http.StatusInternalServerError)
		return
	}
	w.Header().Set("Content-Type", "application/json")
	_ = json.NewEncoder(w).Encode(told{phone.LineOf(s, time.Now(), time.Local), s.Waiting, s.Position, s.Seen, s.Taken, string(s.Trouble)}) // into memory
}

// acting says who has the phone in hand, as the server last said, and notes
// that something may be recorded.
func (p *partner) acting(r *http.Request) *http.Request {
	if r.Method != http.MethodGet && r.Method != http.MethodHead {
		p.client.Touched()
	}
	who := p.client.Person(r.Context())
	links := []parts.Link{{Label: "This phone", Href: "/phone"}}
	if who.Name != "" {
		links = append(links, parts.Link{Label: who.Name + ": hand the phone on", Href: "/who"})
	}
	return r.WithContext(parts.WithLinks(job.WithPerson(r.Context(), who), links...))
}

func (p *partner) notice(ctx context.Context) parts.Notice {
	s, err := p.client.Status(ctx)
	if err != nil {
		fmt.Println("what waits could not be counted:", err)
	}
	now := time.Now()
	web.HoldOf(ctx).Until(tomorrow(now))
	line := phone.LineOf(s, now, time.Local)
	return parts.Notice{Text: line.Text, Urgent: line.Urgent, Link: parts.Link{Label: line.Label, Href: line.Href},
		Mark: fmt.Sprint(s.Position), Manifest: "/lastbolt.webmanifest", Script: "/phone.js"}
}

// files are the phone's photos and clips, and the server's where this phone
// does not have one: it is fetched when it is looked at, and kept.
type files struct {
	*indexed.Store
	client *replicate.Client
}

func (f files) Open(ctx context.Context, name string) ([]byte, string, error) {
	content, media, err := f.Store.Open(ctx, name)
	if fault.CodeOf(err) != fault.NotFound {
		return content, media, err
	}
	if content, media, got := f.client.Fetch(ctx, name); got == nil {
		return content, media, nil
	}
	return nil, "", fault.Wrap(err, fault.NotFound, "This photo or clip is not on this phone, and the computer that has it is not in reach.")
}
