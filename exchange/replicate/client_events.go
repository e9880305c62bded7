package replicate

import (
	"context"
	"errors"
	"maps"
	"net/url"
	"slices"
	"strconv"

	"lastbolt/fault"
	"lastbolt/job"
	"lastbolt/keep"
	"lastbolt/pattern"
)

// exchange does everything until nothing is left, the small and urgent first:
// between two photos it looks whether something was recorded meanwhile.
func (c *Client) exchange(ctx context.Context) error {
	anew := false
	c.pushed = 0 // an exchange that was cut off may have brought nothing
	for {
		err := c.events(ctx)
		if errors.Is(err, errAnew) && !anew { // once: a server that says so again is broken
			anew, c.pushed = true, 0
			err = c.note(ctx, func(l *ledger) {
				*l = ledger{You: l.You, Wanted: l.Wanted, At: l.At, Failing: l.Failing, Trouble: l.Trouble, Why: l.Why}
			})
			if err == nil {
				continue
			}
		}
		if err == nil {
			err = c.documents(ctx)
		}
		var more bool
		if err == nil {
			more, err = c.photo(ctx)
		}
		if err != nil || !more {
			return err
		}
	}
}

// events sends and takes in until both logs hold the same.
func (c *Client) events(ctx context.Context) error {
	for {
		if err := c.push(ctx); err != nil {
			return err
		}
		more, err := c.pull(ctx)
		if err != nil {
			return err
		}
		if more {
			continue
		}
		l, err := c.look(ctx)
		if err != nil || l.You.ReadOnly {
			return err
		}
		rest, _, err := c.Store.Changed(ctx, max(l.Sent, c.pushed), 1)
		if err != nil || len(rest) == 0 && !l.Retry {
			return err
		}
	}
}

// push sends the own events that were not sent yet, in batches, and what was
// held once the names have changed. Before the server has said whom it takes
// the phone for, nothing is sent.
func (c *Client) push(ctx context.Context) error {
	for {
		l, err := c.look(ctx)
		if err != nil || l.You == nil || l.You.ReadOnly {
			return err
		}
		if l.Retry {
			if err := c.retry(ctx, l); err != nil {
				return err
			}
			continue
		}
		from := max(l.Sent, c.pushed)
		events, next, err := c.Store.Changed(ctx, from, perBatch)
		if err != nil || len(events) == 0 {
			return err
		}
		if fit := fitting(events); len(fit) < len(events) {
			if events, next, err = c.Store.Changed(ctx, from, len(fit)); err != nil {
				return err
			}
		}
		incoming := set(l.Incoming)
		own := slices.DeleteFunc(events, func(e job.Event) bool { return incoming[e.ID] })
		if err := c.pushBatch(ctx, own, *l.You); err != nil {
			return err
		}
		c.pushed = next
	}
}

// pushBatch sends events that may be sent, and notes as held those that may not
// or are not taken. One that was held stays so until it has come back.
func (c *Client) pushBatch(ctx context.Context, events []job.Event, me You) error {
	held := map[string]heldEvent{}
	jobs := map[string]string{}
	events = slices.DeleteFunc(events, func(e job.Event) bool {
		jobs[e.ID] = e.Job
		if !me.may(e.By) {
			held[e.ID] = heldEvent{e.Job, notIn(e.By)}
			return true
		}
		return false
	})
	if len(events) > 0 {
		var got taken
		if _, err := c.ask(ctx, "POST", "events", nil, eventsPush{events}, &got); err != nil {
			return err
		}
		for _, r := range got.Refused {
			held[r.ID] = heldEvent{jobs[r.ID], r.Why}
		}
	}
	if len(held) == 0 {
		return nil
	}
	return c.note(ctx, func(l *ledger) {
		l.Held = cloned(l.Held)
		maps.Copy(l.Held, held)
	})
}

// retry sends what was held once more.
func (c *Client) retry(ctx context.Context, l ledger) error {
	jobs := map[string]bool{}
	for _, h := range l.Held {
		jobs[h.Job] = true
	}
	for id := range jobs {
		events, err := c.Store.Events(ctx, id)
		if err != nil {
			return err
		}
		events = slices.DeleteFunc(events, func(e job.Event) bool { _, was := l.Held[e.ID]; return !was })
		for len(events) > 0 {
			batch := fitting(events)
			events = events[len(batch):]
			if err := c.pushBatch(ctx, slices.Clone(batch), *l.You); err != nil {
				return err
			}
		}
	}
	return c.note(ctx, func(l *ledger) { l.Retry = false })
}

func cloned[V any](m map[string]V) map[string]V {
	if m == nil {
		return map[string]V{}
	}
	return maps.Clone(m)
}

// pull takes in one batch of what the server has, and tells whether there was
// any. It learns whom the server takes the phone for.
func (c *Client) pull(ctx context.Context) (more bool, err error) {
	l, err := c.look(ctx)
	if err != nil {
		return false, err
	}
	query := url.Values{
		"after": {strconv.FormatInt(l.Position, 10)}, "from": {strconv.FormatInt(l.Proof.From, 10)}, "proof": {l.Proof.Sum},
	}
	var page eventsPage
	if _, err := c.ask(ctx, "GET", "events", query, nil, &page); err != nil {
		return false, err
	}
	if err := c.meet(ctx, page.You); err != nil || len(page.Events) == 0 {
		return false, err
	}
	if page.Position <= l.Position {
		return false, &troubled{Refusing, "The computer's log goes backwards."}
	}
	if _, err := keep.Events(page.Events); err != nil {
		return false, &troubled{Refusing, fault.Say(err)}
	}
	// First it is noted what comes, then it is recorded: whenever this is cut off,
	// nothing that came is counted as waiting to be sent.
	var ids []string
	for _, e := range page.Events {
		ids = append(ids, e.ID)
	}
	if err := c.note(ctx, func(l *ledger) { l.Incoming = append(slices.Clone(l.Incoming), ids...) }); err != nil {
		return false, err
	}
	photos, err := c.record(ctx, page.Events)
	if err != nil {
		return false, err
	}
	return true, c.arrived(ctx, page, ids, photos)
}

// arrived moves on behind a batch that is recorded.
func (c *Client) arrived(ctx context.Context, page eventsPage, ids, photos []string) error {
	l, err := c.look(ctx)
	if err != nil {
		return err
	}
	held := cloned(l.Held)
	for _, id := range ids {
		delete(held, id)
	}
	sent, left, err := c.passed(ctx, l.Sent, set(l.Incoming), held)
	if err != nil {
		return err
	}
	return c.note(ctx, func(l *ledger) {
		l.Proof, l.Coming = follow(l.Proof, l.Coming, l.Position, ids)
		l.Position, l.Sent, l.Held = page.Position, sent, held
		if !left {
			l.Incoming = nil
		}
		l.Wanted = append(slices.Clone(l.Wanted), photos...)
	})
}

// passed moves Sent on over what the server has and what is held, up to the
// first event that it has still to get. Left tells whether there is any.
func (c *Client) passed(ctx context.Context, sent int64, incoming map[string]bool, held map[string]heldEvent) (to int64, left bool, err error) {
	for {
		events, next, err := c.Store.Changed(ctx, sent, perBatch)
		if err != nil || len(events) == 0 {
			return sent, false, err
		}
		own := slices.IndexFunc(events, func(e job.Event) bool { _, h := held[e.ID]; return !h && !incoming[e.ID] })
		if own < 0 {
			sent = next
			continue
		}
		if own > 0 {
			if _, sent, err = c.Store.Changed(ctx, sent, own); err != nil {
				return sent, true, err
			}
		}
		return sent, true, nil
	}
}

// meet notes whom the server takes the phone for. With other names than before
// what was held is tried again.
func (c *Client) meet(ctx context.Context, me You) error {
	l, err := c.look(ctx)
	if err != nil || l.You != nil && same(*l.You, me) {
		return err
	}
	return c.note(ctx, func(l *ledger) {
		l.You, l.Retry, l.HeldDocs = &me, len(l.Held) > 0, nil
	})
}

func same(a, b You) bool {
	return a.Name == b.Name && a.ReadOnly == b.ReadOnly && a.Anybody == b.Anybody && slices.Equal(a.Names, b.Names)
}

var fileName = pattern.Of(`"([0-9a-f]{64})"`)

// record takes in events from the server and gives the photos they name that
// are not here, but for jobs that are over: theirs are fetched when looked at.
func (c *Client) record(ctx context.Context, events []job.Event) (photos []string, err error) {
	names, err := c.Store.Names(ctx)
	if err != nil {
		return nil, err
	}
	here := set(names)
	for _, events := range byJob(events) {
		lacking, _, err := split(ctx, c.Store, events)
		if err != nil {
			return nil, err
		}
		if len(lacking) == 0 {
			continue
		}
		s, err := c.Book.Record(ctx, lacking...)
		if err != nil {
			return nil, err
		}
		c.mu.Lock()
		c.taken += len(lacking)
		c.mu.Unlock()
		if s.IsReleased() {
			continue
		}
		for _, e := range lacking {
			for _, m := range fileName().FindAllSubmatch(e.Data, -1) {
				if name := string(m[1]); !here[name] {
					here[name] = true
					photos = append(photos, name)
				}
			}
		}
	}
	return photos, nil
}
