package replicate

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"log/slog"
	"net/http"
	"slices"
	"strconv"
	"time"

	"lastbolt/fault"
	"lastbolt/job"
	"lastbolt/keep"
)

// A Device is the phone that asks, as the door in front of the server knows it.
type Device struct {
	// People is whether the server keeps people at all. While it does not, one
	// owner works alone and any name goes.
	People bool
	// Names are those who have signed in on the device, now or before: what they
	// recorded may come when somebody else has it in hand.
	Names []string
}

type deviceKey struct{}

// WithDevice says which device asks in ctx. Where nobody says it is the machine
// itself, or one owner's.
func WithDevice(ctx context.Context, d Device) context.Context {
	return context.WithValue(ctx, deviceKey{}, d)
}

func you(ctx context.Context) You {
	p := job.PersonOf(ctx)
	d, _ := ctx.Value(deviceKey{}).(Device)
	return You{Name: p.Name, ReadOnly: p.ReadOnly, Anybody: !d.People, Names: d.Names}
}

// A Server answers phones. The host lets in who may and says who it is by
// [WithDevice] and [job.WithPerson]; who may only look gets everything and is
// refused whatever he sends.
type Server struct {
	Store keep.Backend
	Book  *job.Book
	// Fit looks whether a photo or clip may be kept as it is and gives its media
	// type, or says in a sentence why not.
	Fit func(content []byte) (media string, err error)
	Log *slog.Logger // what is the program's own mistake goes here in full

	digests digester
}

// Handler answers everything below [Prefix].
func (s *Server) Handler() http.Handler {
	mux := http.NewServeMux()
	route := func(pattern string, limit int64, answer func(w http.ResponseWriter, r *http.Request) (any, error)) {
		mux.HandleFunc(pattern, func(w http.ResponseWriter, r *http.Request) {
			r.Body = http.MaxBytesReader(w, r.Body, limit)
			w.Header().Set("Cache-Control", "no-store")
			value, err := answer(w, r)
			if fault.CodeOf(err) == fault.Internal && !errors.Is(err, errAnew) {
				s.Log.Error("exchange failed", "path", r.URL.Path, "error", err)
			}
			if err != nil {
				say(w, err)
			} else if value != nil {
				send(w, http.StatusOK, value)
			}
		})
	}
	route("GET "+Prefix+"events", 0, s.events)
	route("POST "+Prefix+"events", pushBytes, s.take)
	route("GET "+Prefix+"documents", 0, s.documents)
	route("GET "+Prefix+"histories", 0, s.histories)
	route("POST "+Prefix+"histories", histLimit, s.takeHistories)
	route("GET "+Prefix+"missing", 0, s.missing)
	route("GET "+Prefix+"files/{name}", 0, s.file)
	route("PUT "+Prefix+"files/{name}", keep.MaxFile, s.takeFile)
	route("GET "+Prefix+"live", 0, s.live)
	guard := http.NewCrossOriginProtection()
	return guard.Handler(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		w.Header().Set(versionHeader, Version)
		w.Header().Set("X-Content-Type-Options", "nosniff")
		w.Header().Set("Content-Security-Policy", "default-src 'none'; sandbox")
		switch {
		case r.Header.Get(versionHeader) != Version && r.URL.Path != Prefix+"live": // a browser's event source sends no headers of ours
			send(w, http.StatusUpgradeRequired, problem{Say: "This phone's program is of another age than the computer's. Close Lastbolt on the phone and open it again.", Older: true})
		case r.Method != http.MethodGet && job.PersonOf(r.Context()).ReadOnly:
			send(w, http.StatusForbidden, problem{Say: job.OnlyLooks})
		default:
			mux.ServeHTTP(w, r)
		}
	}))
}

func send(w http.ResponseWriter, status int, value any) {
	w.Header().Set("Content-Type", "application/json")
	w.WriteHeader(status)
	_ = json.NewEncoder(w).Encode(value) // who went away asks again
}

// errAnew says that the phone speaks of another log than this one.
var errAnew = errors.New("replicate: another log")

func say(w http.ResponseWriter, err error) {
	if errors.Is(err, errAnew) {
		send(w, http.StatusConflict, problem{Say: "The computer's log is another one than before.", Anew: true})
		return
	}
	if _, large := errors.AsType[*http.MaxBytesError](err); large {
		err = fault.Wrap(err, fault.TooLarge, "That is more than is taken at once.")
	}
	status := http.StatusInternalServerError
	switch fault.CodeOf(err) {
	case fault.Bad:
		status = http.StatusUnprocessableEntity
	case fault.NotFound:
		status = http.StatusNotFound
	case fault.TooLarge:
		status = http.StatusRequestEntityTooLarge
	case fault.Full:
		status = http.StatusInsufficientStorage
	case fault.ReadOnly, fault.Damaged, fault.NewVersion, fault.Busy, fault.Cancelled:
		status = http.StatusServiceUnavailable
	}
	send(w, status, problem{Say: fault.Say(err)})
}

// read reads a JSON body.
func read(r *http.Request, to any) error {
	body, err := io.ReadAll(r.Body)
	if err == nil {
		err = json.Unmarshal(body, to)
	}
	if _, large := errors.AsType[*http.MaxBytesError](err); err == nil || large {
		return err
	}
	return fault.Wrap(err, fault.Bad, "What the phone sent did not come whole. It will send it again.")
}

// events answers what came behind the position a phone has seen.
func (s *Server) events(_ http.ResponseWriter, r *http.Request) (any, error) {
	after, err := s.position(r)
	if err != nil {
		return nil, err
	}
	events, position, err := s.Store.Changed(r.Context(), after, perBatch)
	if err != nil {
		return nil, err
	}
	if fit := fitting(events); len(fit) < len(events) {
		if events, position, err = s.Store.Changed(r.Context(), after, len(fit)); err != nil {
			return nil, err
		}
	}
	return eventsPage{events, position, you(r.Context())}, nil
}

// position reads the position a phone has seen and holds its proof against the
// log.
func (s *Server) position(r *http.Request) (int64, error) {
	after, err := number(r, "after")
	if err != nil || after == 0 {
		return 0, err
	}
	from, err := number(r, "from")
	if err != nil {
		return 0, err
	}
	at := proof{From: from}
	for position := from; position < after; {
		events, next, err := s.Store.Changed(r.Context(), position, perBatch)
		if err != nil {
			return 0, err
		}
		if len(events) == 0 {
			return 0, errAnew // the log is shorter than it was
		}
		if next > after {
			if events, next, err = s.until(r.Context(), position, after, len(events)); err != nil {
				return 0, err
			}
		}
		for _, e := range events {
			at = at.with(e.ID)
		}
		position = next
	}
	if at.Sum != r.FormValue("proof") {
		return 0, errAnew
	}
	return after, nil
}

// until gives the events behind one position up to another, of which there are
// fewer than most. That none ends there means that the log is another one.
func (s *Server) until(ctx context.Context, position, after int64, most int) ([]job.Event, int64, error) {
	low, high := 1, most-1
	for low <= high {
		n := (low + high) / 2
		events, next, err := s.Store.Changed(ctx, position, n)
		switch {
		case err != nil || next == after:
			return events, next, err
		case next < after:
			low = n + 1
		default:
			high = n - 1
		}
	}
	return nil, 0, errAnew
}

func number(r *http.Request, name string) (int64, error) {
	n, err := strconv.ParseInt(r.FormValue(name), 10, 64)
	if err != nil || n < 0 {
		return 0, fault.New(fault.Bad, "%.20q is no position in a log.", r.FormValue(name))
	}
	return n, nil
}

// take takes events in. One that is here already is passed over, whoever sends
// it; a new one must bear a name that the phone may write in.
func (s *Server) take(_ http.ResponseWriter, r *http.Request) (any, error) {
	var push eventsPush
	if err := read(r, &push); err != nil {
		return nil, err
	}
	var out taken
	var good []job.Event
	for _, e := range push.Events {
		kept, err := keep.Event(e)
		if err != nil {
			out.Refused = append(out.Refused, refused{e.ID, fault.Say(err)})
			continue
		}
		good = append(good, kept)
	}
	me := you(r.Context())
	for _, events := range byJob(good) {
		lacking, other, err := split(r.Context(), s.Store, events)
		if err != nil {
			return nil, err
		}
		for _, e := range other {
			out.Refused = append(out.Refused, refused{e.ID, fault.Say(keep.Contradiction(e))})
		}
		lacking = slices.DeleteFunc(lacking, func(e job.Event) bool {
			if !me.may(e.By) {
				out.Refused = append(out.Refused, refused{e.ID, notIn(e.By)})
				return true
			}
			return false
		})
		if len(lacking) == 0 {
			continue
		}
		if _, err := s.Book.Record(r.Context(), lacking...); err != nil {
			return nil, err
		}
		out.Added += len(lacking)
	}
	return out, nil
}

func notIn(name string) string {
	return fmt.Sprintf("It is in the name of %s, who has not signed in on this phone.", name)
}

// live tells an open page that there is something new, as server-sent events.
// It looks every second, so that it works on every store and host.
func (s *Server) live(w http.ResponseWriter, r *http.Request) (any, error) {
	position, err := number(r, "after")
	if err != nil {
		return nil, err
	}
	w.Header().Set("Content-Type", "text/event-stream")
	out := http.NewResponseController(w)
	tick := time.NewTicker(liveEvery)
	defer tick.Stop()
	for quiet := 0; ; quiet++ {
		events, next, err := s.Store.Changed(r.Context(), position, 0)
		if err != nil {
			return nil, nil // the browser asks again by itself
		}
		text := ""
		switch position = next; {
		case len(events) > 0:
			text = fmt.Sprintf("event: change\ndata: %d\n\n", position)
		case quiet%20 == 0:
			text = ": here\n\n"
		}
		if text != "" {
			if _, err := io.WriteString(w, text); err != nil {
				return nil, nil
			}
			if err := out.Flush(); err != nil {
				return nil, nil
			}
		}
		select {
		case <-r.Context().Done():
			return nil, nil
		case <-tick.C:
		}
	}
}
