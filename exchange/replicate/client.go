package replicate

import (
	"cmp"
	"context"
	"encoding/json"
	"errors"
	"net/url"
	"strconv"
	"sync"
	"time"

	"lastbolt/job"
	"lastbolt/keep"
)

// An Ask is one request to the server. Path begins with [Prefix]. Err is only
// for a server that did not answer at all.
type Ask struct {
	Method, Path string
	Header       map[string]string
	Body         []byte
}

// An Answer is what came back. Header is asked by canonical name and gives
// empty for what is not there.
type Answer struct {
	Status int
	Header func(name string) string
	Body   []byte
}

// Notes keeps one text of the client's own, durably. Empty is none yet.
type Notes interface {
	Note(ctx context.Context, name string) (string, error)
	SetNote(ctx context.Context, name, text string) error
}

// A Client is the phone's side. All fields must be set before it is used; its
// methods are safe for many goroutines.
type Client struct {
	Store keep.Backend
	Book  *job.Book // on Store
	Notes Notes
	Send  func(ctx context.Context, a Ask) (Answer, error)
	Now   func() time.Time

	turn    sync.Mutex // one exchange at a time
	mu      sync.Mutex // guards what follows
	loaded  bool
	ledger  ledger
	aside   int // documents and photos that wait, as last counted
	stale   bool
	digests digester
	taken   int // events taken in since the start, for showing that it moves

	pushed int64 // of the own log, sent up to here but not come back yet in this exchange; under turn
}

// A ledger is what the phone remembers of its server, kept after every step.
//
// What was sent counts as sent once it has come back: only then is it known to
// stand in the server's log before Position, whose proof the server checks.
type ledger struct {
	Position int64    `json:"position"`           // of the server's log, seen up to here
	Proof    proof    `json:"proof,omitzero"`     // of the log before it
	Coming   proof    `json:"coming,omitzero"`    // the proof that will follow
	Sent     int64    `json:"sent"`               // of the own log: up to here the server has all, or it is held
	Incoming []string `json:"incoming,omitempty"` // what came from the server and stands behind Sent

	Held      map[string]heldEvent `json:"held,omitempty"`      // events not taken, by id
	Retry     bool                 `json:"retry,omitempty"`     // they are to be sent once more
	HeldDocs  map[string]string    `json:"heldDocs,omitempty"`  // why, by kind and id
	HeldFiles map[string]string    `json:"heldFiles,omitempty"` // why, by name

	Agreed map[string]string `json:"agreed,omitempty"` // digests of documents that are the same there
	Files  map[string]bool   `json:"files,omitempty"`  // photos that are there too
	Wanted []string          `json:"wanted,omitempty"` // photos to fetch

	You     *You      `json:"you,omitempty"`
	At      time.Time `json:"at,omitzero"`      // of the last whole exchange
	Failing time.Time `json:"failing,omitzero"` // since when it fails; zero while it does not
	Trouble Trouble   `json:"trouble,omitempty"`
	Why     string    `json:"why,omitempty"` // what the server said
}

// A heldEvent is one that stays here, and why.
type heldEvent struct {
	Job string `json:"job"`
	Why string `json:"why"`
}

// Trouble is why an exchange was not done.
type Trouble string

// The troubles. Away passes by itself; for the others somebody must do
// something: pair the phone anew, sign in, load the program anew. Refusing is
// the server's own trouble, which Status.Why tells.
const (
	Away     Trouble = "away"
	NotLetIn Trouble = "not let in"
	NoPerson Trouble = "no person"
	OtherAge Trouble = "other age"
	Refusing Trouble = "refusing"
)

// Status is what a page shows of the exchange.
type Status struct {
	Waiting  int       // records, documents and photos to send
	Held     []string  // why some are not sent: one sentence each, each once
	At       time.Time // of the last whole exchange; zero before the first
	Trouble  Trouble   // empty while all is well
	Why      string
	Since    time.Time // since when there is trouble
	Position int64     // of the own log: it changes when anything comes in
	Seen     int64     // of the server's log
	Taken    int       // events taken in since the program started
	You      You       // who this phone is taken for
	Known    bool      // whether the server has ever answered
}

const noteName = "exchange"

func (c *Client) load(ctx context.Context) error {
	if c.loaded {
		return nil
	}
	text, err := c.Notes.Note(ctx, noteName)
	if err != nil {
		return err
	}
	var l ledger
	if text != "" && json.Unmarshal([]byte(text), &l) != nil {
		l = ledger{} // everything is sent and asked once more, which does no harm
	}
	c.ledger, c.loaded, c.stale = l, true, true
	return nil
}

// note changes the ledger and keeps it.
func (c *Client) note(ctx context.Context, change func(*ledger)) error {
	c.mu.Lock()
	defer c.mu.Unlock()
	if err := c.load(ctx); err != nil {
		return err
	}
	next := c.ledger
	change(&next)
	text, err := json.Marshal(next)
	if err != nil {
		return err
	}
	if err := c.Notes.SetNote(ctx, noteName, string(text)); err != nil {
		return err
	}
	c.ledger = next
	return nil
}

func (c *Client) look(ctx context.Context) (ledger, error) {
	c.mu.Lock()
	defer c.mu.Unlock()
	err := c.load(ctx)
	return c.ledger, err
}

// Touched says that something may have been recorded here beside events.
func (c *Client) Touched() {
	c.mu.Lock()
	c.stale = true
	c.mu.Unlock()
}

// Person is who has the phone in hand, as the server last said.
func (c *Client) Person(ctx context.Context) job.Person {
	l, err := c.look(ctx)
	if err != nil || l.You == nil {
		return job.Person{}
	}
	return job.Person{Name: l.You.Name, ReadOnly: l.You.ReadOnly}
}

// Exchange sends and takes in everything there is, and gives the status then.
// It returns an error only where the phone's own store fails; a server that
// does not answer is in the status.
func (c *Client) Exchange(ctx context.Context) (Status, error) {
	// What comes from the server is not recorded by who has the phone in hand.
	ctx = job.WithPerson(ctx, job.Person{})
	c.turn.Lock()
	err := c.exchange(ctx)
	c.turn.Unlock()
	c.Touched()
	var t *troubled
	now := c.Now().UTC()
	switch {
	case errors.As(err, &t):
		err = c.note(ctx, func(l *ledger) {
			if l.Failing.IsZero() || l.Trouble != t.what {
				l.Failing = now
			}
			l.Trouble, l.Why = t.what, t.why
		})
	case err == nil:
		err = c.note(ctx, func(l *ledger) { l.At, l.Failing, l.Trouble, l.Why = now, time.Time{}, "", "" })
	}
	if err != nil {
		return Status{}, err
	}
	return c.Status(ctx)
}

// Status counts what waits.
func (c *Client) Status(ctx context.Context) (Status, error) {
	l, err := c.look(ctx)
	if err != nil {
		return Status{}, err
	}
	s := Status{At: l.At, Trouble: l.Trouble, Why: l.Why, Since: l.Failing, Seen: l.Position, Known: l.You != nil}
	if l.You != nil {
		s.You = *l.You
	}
	s.Held = sentences(l)
	s.Waiting, s.Position, err = c.waitingEvents(ctx, l)
	if err != nil {
		return s, err
	}
	aside, err := c.waitingAside(ctx, l)
	s.Waiting += aside
	c.mu.Lock()
	s.Taken = c.taken
	c.mu.Unlock()
	return s, err
}

// waitingEvents counts the own events behind what was sent.
func (c *Client) waitingEvents(ctx context.Context, l ledger) (n int, position int64, err error) {
	incoming := set(l.Incoming)
	for position = l.Sent; ; {
		events, next, err := c.Store.Changed(ctx, position, perBatch)
		if err != nil || len(events) == 0 {
			return n, position, err
		}
		for _, e := range events {
			if _, held := l.Held[e.ID]; !held && !incoming[e.ID] {
				n++
			}
		}
		position = next
	}
}

// waitingAside counts documents and photos, anew only when there may be others.
func (c *Client) waitingAside(ctx context.Context, l ledger) (int, error) {
	c.mu.Lock()
	stale, aside := c.stale, c.aside
	c.stale = false
	c.mu.Unlock()
	if !stale {
		return aside, nil
	}
	list, err := c.digests.all(ctx, c.Store)
	if err != nil {
		return 0, err
	}
	n := 0
	for _, d := range list {
		if l.Agreed[d.key()] != d.Digest && l.HeldDocs[d.key()] == "" {
			n++
		}
	}
	files, err := c.unsentFiles(ctx, l)
	if err != nil {
		return 0, err
	}
	c.mu.Lock()
	c.aside = n + len(files)
	c.mu.Unlock()
	return n + len(files), nil
}

func set(list []string) map[string]bool {
	out := make(map[string]bool, len(list))
	for _, s := range list {
		out[s] = true
	}
	return out
}

// A troubled is an exchange that the server did not do.
type troubled struct {
	what Trouble
	why  string
}

func (t *troubled) Error() string { return cmp.Or(t.why, string(t.what)) }

// ask sends one request and reads the answer as JSON, or raw where to is nil.
func (c *Client) ask(ctx context.Context, method, path string, query url.Values, body, to any) (Answer, error) {
	a := Ask{Method: method, Path: Prefix + path, Header: map[string]string{versionHeader: Version}}
	if len(query) > 0 {
		a.Path += "?" + query.Encode()
	}
	switch b := body.(type) {
	case nil:
	case []byte:
		a.Body = b
	default:
		text, err := json.Marshal(b)
		if err != nil {
			return Answer{}, err
		}
		a.Body, a.Header["Content-Type"] = text, "application/json"
	}
	got, err := c.Send(ctx, a)
	if err != nil {
		return got, &troubled{what: Away}
	}
	if got.Status == 200 && got.Header(versionHeader) == Version {
		if to != nil && json.Unmarshal(got.Body, to) != nil {
			return got, &troubled{what: Away} // cut off on the way
		}
		return got, nil
	}
	return got, refusal(got)
}

// refusal reads an answer that is none of what was asked for.
func refusal(got Answer) error {
	switch {
	case got.Header(DoorHeader) == Unsigned:
		return &troubled{what: NoPerson}
	case got.Header(DoorHeader) == Stranger:
		return &troubled{what: NotLetIn}
	case got.Header(versionHeader) == "":
		return &troubled{what: Away} // somebody else answers here: a hotel's page, a router
	}
	var p problem
	_ = json.Unmarshal(got.Body, &p) // without words it is still a refusal
	switch {
	case p.Anew:
		return errAnew
	case p.Older:
		return &troubled{OtherAge, p.Say}
	}
	return &refusedAnswer{status: got.Status, troubled: troubled{Refusing, cmp.Or(p.Say, "The computer answers with status "+strconv.Itoa(got.Status)+".")}}
}

// A refusedAnswer is a refusal of one request; its status tells whether it is
// that one thing or the server that is at fault.
type refusedAnswer struct {
	troubled
	status int
}

func (r *refusedAnswer) Unwrap() error { return &r.troubled }

// thing tells whether the server will never take what was sent.
func (r *refusedAnswer) thing() bool { return r.status == 422 || r.status == 413 }
