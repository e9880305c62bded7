package replicate_test

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"log/slog"
	"net/http"
	"net/http/httptest"
	"slices"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"

	"lastbolt/exchange/replicate"
	"lastbolt/fault"
	"lastbolt/garage"
	"lastbolt/job"
	"lastbolt/keep"
	"lastbolt/store/memory"
)

// A side is one device: its store and what records in it.
type side struct {
	st   *memory.Store
	book *job.Book
	name string
}

// world is a server and its phones, with one clock and ids that tell who made
// them.
type world struct {
	t      testing.TB
	now    time.Time
	serial int
	server *side
	handle http.Handler
	phones []*phone
}

type phone struct {
	*side
	w      *world
	client *replicate.Client
	notes  map[string]string
	person job.Person
	device replicate.Device
	// cut is asked before each request: whether it does not arrive, and
	// whether its answer does not.
	cut   func() (request, answer bool)
	asked []string
}

func newWorld(t testing.TB, phones int) *world {
	w := &world{t: t, now: time.Date(2026, 11, 25, 9, 0, 0, 0, time.UTC)}
	w.server = w.side("server")
	w.open()
	for i := range phones {
		p := &phone{side: w.side(fmt.Sprintf("phone %d", i)), w: w, notes: map[string]string{}}
		p.start()
		w.phones = append(w.phones, p)
	}
	return w
}

func (w *world) side(name string) *side {
	st := memory.New()
	s := &side{st: st, name: name}
	s.book = job.NewBook(st, &job.Recorder{Now: w.clock, NewID: func() string { return w.id(name) }})
	return s
}

func (w *world) clock() time.Time { w.now = w.now.Add(time.Second); return w.now }

func (w *world) id(name string) string {
	w.serial++
	return fmt.Sprintf("%08d %s", w.serial, name)
}

// open serves what the server keeps now.
func (w *world) open() {
	fit := func(content []byte) (string, error) {
		if bytes.HasPrefix(content, []byte("place")) {
			return "", fault.New(fault.Bad, "The photo says where it was taken.")
		}
		return "image/jpeg", nil
	}
	w.handle = (&replicate.Server{Store: w.server.st, Book: w.server.book, Fit: fit, Log: slog.New(slog.DiscardHandler)}).Handler()
}

// start starts the phone's program, which knows only what is in its database.
func (p *phone) start() {
	p.client = &replicate.Client{Store: p.st, Book: p.book, Notes: p, Now: p.w.clock, Send: p.send}
}

func (p *phone) Note(_ context.Context, name string) (string, error) { return p.notes[name], nil }
func (p *phone) SetNote(_ context.Context, name, text string) error {
	p.notes[name] = text
	return nil
}

func (p *phone) send(ctx context.Context, a replicate.Ask) (replicate.Answer, error) {
	p.asked = append(p.asked, a.Method+" "+a.Path)
	request, answer := false, false
	if p.cut != nil {
		request, answer = p.cut()
	}
	if request {
		return replicate.Answer{}, errors.New("no network")
	}
	ctx = replicate.WithDevice(job.WithPerson(ctx, p.person), p.device)
	r := httptest.NewRequestWithContext(ctx, a.Method, a.Path, bytes.NewReader(a.Body))
	for k, v := range a.Header {
		r.Header.Set(k, v)
	}
	out := httptest.NewRecorder()
	p.w.handle.ServeHTTP(out, r)
	if answer {
		return replicate.Answer{}, errors.New("cut off")
	}
	return replicate.Answer{Status: out.Code, Header: out.Header().Get, Body: out.Body.Bytes()}, nil
}

func (p *phone) exchange() replicate.Status {
	p.w.t.Helper()
	s, err := p.client.Exchange(p.w.t.Context())
	if err != nil {
		p.w.t.Fatalf("%s: %v", p.name, err)
	}
	return s
}

func (p *phone) status() replicate.Status {
	p.w.t.Helper()
	p.client.Touched()
	s, err := p.client.Status(p.w.t.Context())
	if err != nil {
		p.w.t.Fatalf("%s: %v", p.name, err)
	}
	return s
}

func (w *world) begin(s *side, title string) string {
	w.t.Helper()
	state, err := s.book.Start(w.t.Context(), job.Started{Title: title})
	if err != nil {
		w.t.Fatal(err)
	}
	return state.ID
}

// write records a note in a job, in the name of a person.
func (w *world) write(s *side, id, by, text string) {
	w.t.Helper()
	ctx := job.WithPerson(w.t.Context(), job.Person{Name: by})
	if _, err := s.book.Do(ctx, id, job.WriteNote("", text)); err != nil {
		w.t.Fatal(err)
	}
}

func (w *world) edit(s *side, id, by, body string) {
	w.t.Helper()
	ctx := w.t.Context()
	base := 0
	d := garage.Document{Kind: "vehicle", ID: id, At: w.clock(), By: by, Body: []byte(body)}
	if old, err := s.st.Latest(ctx, "vehicle", id); err == nil {
		base = old.Version
		d = keep.Behind(d, old)
	}
	if _, err := s.st.Put(ctx, d, base); err != nil {
		w.t.Fatal(err)
	}
}

// holds is everything a store holds, as text: events, newest documents and how
// many different versions they have, names of files.
func holds(t testing.TB, st *memory.Store) string {
	t.Helper()
	ctx := t.Context()
	var lines []string
	events, _, err := st.Changed(ctx, 0, 1e6)
	if err != nil {
		t.Fatal(err)
	}
	for _, e := range events {
		lines = append(lines, fmt.Sprintf("event %s %s %s %s", e.ID, e.Job, e.By, e.Data))
	}
	docs, err := st.All(ctx, "vehicle")
	if err != nil {
		t.Fatal(err)
	}
	for _, d := range docs {
		versions := map[string]bool{}
		for v := 1; v <= d.Version; v++ {
			old, err := st.Version(ctx, d.Kind, d.ID, v)
			if err != nil {
				t.Fatal(err)
			}
			versions[fmt.Sprintf("%s %s %s", old.At, old.By, old.Body)] = true
		}
		lines = append(lines, fmt.Sprintf("document %s %s newest %s, %d versions", d.Kind, d.ID, d.Body, len(versions)))
	}
	names, err := st.Names(ctx)
	if err != nil {
		t.Fatal(err)
	}
	for _, n := range names { // a restored server may have a photo that no record names any more
		if strings.Contains(strings.Join(lines, "\n"), n) {
			lines = append(lines, "file "+n)
		}
	}
	slices.Sort(lines)
	return strings.Join(lines, "\n")
}

func (w *world) mustAgree() {
	w.t.Helper()
	want := holds(w.t, w.server.st)
	for _, p := range w.phones {
		if got := holds(w.t, p.st); got != want {
			w.t.Errorf("%s holds\n%s\nthe server\n%s", p.name, got, want)
		}
		if s := p.status(); s.Waiting != 0 || s.Trouble != "" || len(s.Held) > 0 {
			w.t.Errorf("%s: %d wait, trouble %q %s, held %q", p.name, s.Waiting, s.Trouble, s.Why, s.Held)
		}
	}
}

func TestWhatOnePhoneRecordedReachesTheOther(t *testing.T) {
	w := newWorld(t, 2)
	a, b := w.phones[0], w.phones[1]
	id := w.begin(a.side, "Belt")
	photo, err := a.st.Keep(t.Context(), []byte("a photo"), "image/jpeg")
	if err != nil {
		t.Fatal(err)
	}
	if _, err := a.book.Do(t.Context(), id, job.AddPhoto(job.PhotoTaken{File: photo, Media: "image/jpeg"})); err != nil {
		t.Fatal(err)
	}
	w.edit(a.side, "tern-1", "", "Tern van")
	if s := a.status(); s.Waiting != 4 { // the job, its photo's event, the photo, the vehicle
		t.Errorf("before the exchange %d wait, want 4", s.Waiting)
	}
	if s := a.exchange(); s.Waiting != 0 || s.At.IsZero() || s.Trouble != "" {
		t.Errorf("after the exchange: %+v", s)
	}
	before := b.status().Position
	if s := b.exchange(); s.Position == before || s.Taken == 0 {
		t.Error("the other phone's page would not see that something came")
	}
	w.mustAgree()
	if _, err := b.book.Load(t.Context(), id); err != nil {
		t.Errorf("the job did not reach the other phone: %v", err)
	}
	sums, err := w.server.st.Summaries(t.Context(), job.Query{})
	if err != nil || len(sums) != 1 || sums[0].Title != "Belt" {
		t.Errorf("the server's list of jobs: %v %v", sums, err)
	}
	b.asked = nil
	b.exchange()
	if len(b.asked) > 3 {
		t.Errorf("with nothing new it asks %d times: %q", len(b.asked), b.asked)
	}
}

// However the network is cut, whatever is recorded meanwhile, and though the
// phones' programs are stopped between any two requests: in the end everybody
// holds everything, once.
func TestInTheEndEverybodyHoldsTheSame(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		w := newWorld(t, 3)
		w.t = rapidT{t, r}
		jobs := []string{w.begin(w.server, "first")}
		w.edit(w.server, "v0", "", "begun")
		for _, p := range w.phones {
			p.exchange()
			p.cut = func() (bool, bool) {
				return rapid.IntRange(0, 3).Draw(r, "request cut") == 0, rapid.IntRange(0, 3).Draw(r, "answer cut") == 0
			}
		}
		for range rapid.IntRange(1, 25).Draw(r, "steps") {
			p := w.phones[rapid.IntRange(0, 2).Draw(r, "phone")]
			at := rapid.SampledFrom([]*side{p.side, w.server}).Draw(r, "at")
			switch rapid.SampledFrom([]string{"start", "note", "note", "edit", "photo", "exchange", "exchange", "stop", "restore"}).Draw(r, "do") {
			case "start":
				jobs = append(jobs, w.begin(at, "another"))
			case "note":
				id := rapid.SampledFrom(jobs).Draw(r, "job")
				if events, _ := at.st.Events(t.Context(), id); len(events) > 0 {
					w.write(at, id, "", "noted")
				}
			case "edit":
				w.edit(at, rapid.SampledFrom([]string{"v0", "v1"}).Draw(r, "vehicle"), "", fmt.Sprint("edit ", w.serial, w.now))
			case "photo":
				id := rapid.SampledFrom(jobs).Draw(r, "job")
				if events, _ := at.st.Events(t.Context(), id); len(events) > 0 {
					name, _ := at.st.Keep(t.Context(), []byte(fmt.Sprint("photo ", w.now)), "image/jpeg")
					if _, err := at.book.Do(t.Context(), id, job.AddPhoto(job.PhotoTaken{File: name})); err != nil {
						r.Fatal(err)
					}
				}
			case "exchange":
				p.exchange()
			case "stop":
				p.start()
			case "restore":
				w.restore(r)
			}
		}
		for range 2 { // the second time for what the phones after it brought
			for _, p := range w.phones {
				p.cut = nil
				if s := p.exchange(); s.Waiting != 0 {
					r.Fatalf("%s has %d waiting after a whole exchange", p.name, s.Waiting)
				}
			}
		}
		w.mustAgree()
	})
}

// restore puts the server back to what it held some time ago.
func (w *world) restore(r *rapid.T) {
	ctx := w.t.Context()
	events, _, _ := w.server.st.Changed(ctx, 0, 1e6)
	n := rapid.IntRange(1, len(events)).Draw(r, "backup")
	old := w.server.st
	w.server = w.side("server")
	if _, err := w.server.st.Append(ctx, events[:n]...); err != nil {
		r.Fatal(err)
	}
	names, _ := old.Names(ctx)
	for _, name := range names {
		content, media, _ := old.Open(ctx, name)
		_, _ = w.server.st.Keep(ctx, content, media)
	}
	w.open()
}

// rapidT fails the drawn case, not the whole test.
type rapidT struct {
	*testing.T
	r *rapid.T
}

func (t rapidT) Helper()                      {}
func (t rapidT) Errorf(f string, args ...any) { t.r.Errorf(f, args...) }
func (t rapidT) Fatalf(f string, args ...any) { t.r.Fatalf(f, args...) }
func (t rapidT) Fatal(args ...any)            { t.r.Fatal(args...) }
func (t rapidT) Error(args ...any)            { t.r.Error(args...) }
