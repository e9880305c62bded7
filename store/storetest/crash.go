package storetest

import (
	"bufio"
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"strconv"
	"strings"
	"testing"
	"time"

	"lastbolt/garage"
	"lastbolt/job"
	"lastbolt/keep"
)

// Load works on a store without end, from many goroutines at once: it appends
// and merges events, edits documents, keeps photos, sets summaries and reads.
// What was acknowledged is written to w, a line each, for [Acknowledged.Read];
// the names begin with prefix. With resend it sends what was not acknowledged
// once more, as a phone does, until it is; else an error ends it.
func Load(ctx context.Context, b keep.Backend, w io.Writer, prefix string, resend bool) error {
	l := &load{ctx: ctx, b: b, w: w, resend: resend}
	failed := make(chan error)
	work := map[string]func(id string) error{
		"a": l.append, "b": l.append, "c": l.append, "m": l.merge, "d": l.edit, "f": l.keep,
	}
	for name, f := range work {
		go func() { failed <- f(prefix + name) }()
	}
	return <-failed
}

type load struct {
	ctx    context.Context
	b      keep.Backend
	w      io.Writer
	resend bool
}

// try does something until it is acknowledged, or gives up.
func (l *load) try(do func() error) error {
	for {
		err := do()
		if err == nil || !l.resend {
			return err
		}
		select {
		case <-l.ctx.Done():
			return err
		case <-time.After(10 * time.Millisecond):
		}
	}
}

func (l *load) acknowledge(what, id string, n int) { fmt.Fprintln(l.w, what, id, n) }

// nextBatch is where the batch ends that begins at event n: one to four further.
// It goes by n alone, so that whoever reads the log knows where batches end.
func nextBatch(n int) int { return n + 1 + n*7%4 }

func batch(id string, from int) []job.Event { return Events(id, nextBatch(from))[from:] }

func (l *load) append(id string) error {
	for n := 0; ; n = nextBatch(n) {
		err := l.try(func() error { _, err := l.b.Append(l.ctx, batch(id, n)...); return err })
		if err != nil {
			return err
		}
		l.acknowledge("events", id, nextBatch(n))
		if n%3 == 0 {
			err = l.try(func() error {
				return l.b.SetSummary(l.ctx, job.Summary{ID: id, Title: "squeal", Done: n, Touched: At})
			})
		}
		if _, readErr := l.b.Events(l.ctx, id); err == nil && !l.resend {
			err = readErr
		}
		if err != nil {
			return err
		}
	}
}

// merge takes in events and whole histories of a document, as an exchange does.
func (l *load) merge(id string) error {
	var history []garage.Document
	for n := 0; ; n = nextBatch(n) {
		d := Document(id, len(history))
		d.Version = len(history) + 1
		history = append(history, d)
		err := l.try(func() error {
			_, err := l.b.Merge(l.ctx, keep.Batch{Events: batch(id, n), Documents: history})
			return err
		})
		if err != nil {
			return err
		}
		l.acknowledge("events", id, nextBatch(n))
		l.acknowledge("versions", id, len(history))
	}
}

// edit saves version after version. One that was stored though the answer got
// lost is found to be there already.
func (l *load) edit(id string) error {
	for n := 0; ; n++ {
		d := Document(id, n)
		err := l.try(func() error {
			_, err := l.b.Put(l.ctx, d, n)
			if errors.Is(err, garage.ErrStale) {
				have, readErr := l.b.Latest(l.ctx, d.Kind, d.ID)
				if readErr == nil && have.Version == n+1 && have.Note == d.Note {
					return nil
				}
			}
			return err
		})
		if err != nil {
			return err
		}
		l.acknowledge("versions", id, n+1)
	}
}

func (l *load) keep(id string) error {
	for n := 0; ; n++ {
		content := fmt.Appendf(nil, "%s %d %s", id, n, strings.Repeat("x", n*911%50_000))
		err := l.try(func() error { _, err := l.b.Keep(l.ctx, content, "image/jpeg"); return err })
		if err != nil {
			return err
		}
		l.acknowledge("file", keep.Hash(content), len(content))
	}
}

// Acknowledged is an account of what stores have acknowledged.
type Acknowledged struct {
	events, versions, files account
	// Unsaid counts the jobs and documents in which more was stored than was
	// acknowledged: the end came between the two.
	Unsaid int
}

// An account has, by name, how many are acknowledged; those to be looked at next
// apart.
type account struct{ old, fresh map[string]int }

func (a *account) note(name string, n int) {
	if a.fresh == nil {
		a.fresh = map[string]int{}
	}
	a.fresh[name] = max(a.fresh[name], n)
}

// settle gives what is to be looked at: what is new, or everything.
func (a *account) settle(everything bool) map[string]int {
	look := a.fresh
	if a.old == nil {
		a.old = map[string]int{}
	}
	for name, n := range a.fresh {
		a.old[name] = n
	}
	a.fresh = nil
	if everything {
		return a.old
	}
	return look
}

// Len is how many jobs, documents and files there are in the account.
func (a *Acknowledged) Len() int {
	n := 0
	for _, c := range []account{a.events, a.versions, a.files} {
		n += len(c.old) + len(c.fresh)
	}
	return n
}

// Read reads what [Load] wrote until it ends, and calls each after every line.
// A last line cut short says less than was acknowledged, or nothing.
func (a *Acknowledged) Read(r io.Reader, each func()) error {
	lines := bufio.NewScanner(r)
	for lines.Scan() {
		words := strings.Fields(lines.Text())
		if len(words) > 0 && words[0] == "error" {
			return errors.New(lines.Text())
		}
		if len(words) == 3 {
			accounts := map[string]*account{"events": &a.events, "versions": &a.versions, "file": &a.files}
			if n, err := strconv.Atoi(words[2]); err == nil && accounts[words[0]] != nil {
				accounts[words[0]].note(words[1], n)
			}
		}
		each()
	}
	if err := lines.Err(); err != nil && !errors.Is(err, os.ErrClosed) {
		return err
	}
	return nil
}

// Check looks that all of it is there, whole, and nothing twice: what is new
// since the last Check, or everything.
func (a *Acknowledged) Check(t *testing.T, b keep.Backend, everything bool) {
	t.Helper()
	for id, want := range a.events.settle(everything) {
		a.checkEvents(t, id, events(t, b, id), want)
	}
	for id, want := range a.versions.settle(everything) {
		a.checkVersions(t, b, id, want)
	}
	for name := range a.files.settle(everything) {
		if _, _, err := b.Open(t.Context(), name); err != nil {
			t.Fatalf("a photo that was acknowledged: %v", err)
		}
	}
}

func (a *Acknowledged) checkEvents(t *testing.T, id string, got []job.Event, want int) {
	t.Helper()
	if len(got) < want {
		t.Fatalf("job %s has %d events, %d were acknowledged", id, len(got), want)
	}
	for i, e := range got { // ordered by id: each is there once, and whole
		if !keep.Same(e, Event(id, i)) {
			t.Fatalf("event %d of %s is %+v", i, id, e)
		}
	}
	n := 0
	for n < len(got) {
		n = nextBatch(n)
	}
	if n != len(got) {
		t.Fatalf("job %s ends at event %d, within a batch that ends at %d", id, len(got), n)
	}
	if len(got) > want {
		a.Unsaid++
	}
}

func (a *Acknowledged) checkVersions(t *testing.T, b keep.Backend, id string, want int) {
	t.Helper()
	list := must[[]garage.Document](t)(b.History(t.Context(), garage.KindVehicle, id))
	if len(list) < want {
		t.Fatalf("document %s has %d versions, %d were acknowledged", id, len(list), want)
	}
	for i, d := range list { // newest first
		n := len(list) - 1 - i
		if d.Version != n+1 || d.Note != Document(id, n).Note {
			t.Fatalf("version %d of %s is %+v", n+1, id, d)
		}
	}
	if len(list) > want {
		a.Unsaid++
	}
}

// CheckPositions looks that following the log by position gives every event of
// every job once.
func CheckPositions(t *testing.T, b keep.Backend) (count int) {
	t.Helper()
	seen := map[string]bool{}
	for position := int64(0); ; {
		list, next, err := b.Changed(t.Context(), position, 0)
		if err != nil {
			t.Fatal(err)
		}
		if len(list) == 0 {
			break
		}
		if next <= position {
			t.Fatalf("the position %d follows %d", next, position)
		}
		for _, e := range list {
			if seen[e.ID] {
				t.Fatalf("the event %s is there twice", e.ID)
			}
			seen[e.ID] = true
		}
		position = next
	}
	for _, id := range must[[]string](t)(b.Jobs(t.Context())) {
		for _, e := range events(t, b, id) {
			if !seen[e.ID] {
				t.Fatalf("the event %s of %s is in no position", e.ID, id)
			}
			count++
		}
	}
	if count != len(seen) {
		t.Fatalf("%d events by position, %d by job", len(seen), count)
	}
	return count
}
