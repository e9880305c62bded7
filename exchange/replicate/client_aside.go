package replicate

import (
	"context"
	"errors"
	"maps"
	"net/url"
	"slices"

	"lastbolt/fault"
	"lastbolt/garage"
	"lastbolt/keep"
)

// documents brings both sides' histories together: what differs is fetched and
// merged here, then sent as it is then.
func (c *Client) documents(ctx context.Context) error {
	own, err := c.digests.all(ctx, c.Store)
	if err != nil {
		return err
	}
	var theirs documentList
	if _, err := c.ask(ctx, "GET", "documents", url.Values{"digest": {together(own)}}, nil, &theirs); err != nil {
		return err
	}
	if theirs.Same {
		return c.agree(ctx, own)
	}
	there := map[string]string{}
	here := map[string]string{}
	for _, d := range own {
		here[d.key()] = d.Digest
	}
	var fetch []documentDigest
	for _, d := range theirs.Documents {
		there[d.key()] = d.Digest
		if here[d.key()] != d.Digest {
			fetch = append(fetch, d)
		}
	}
	if err := c.fetch(ctx, fetch); err != nil {
		return err
	}
	if own, err = c.digests.all(ctx, c.Store); err != nil {
		return err
	}
	return c.offer(ctx, own, there)
}

// fetch takes whole histories in.
func (c *Client) fetch(ctx context.Context, list []documentDigest) error {
	for len(list) > 0 {
		query := url.Values{}
		for _, d := range list[:min(perAsk, len(list))] {
			query.Add("kind", d.Kind)
			query.Add("id", d.ID)
		}
		var got histories
		if _, err := c.ask(ctx, "GET", "histories", query, nil, &got); err != nil {
			return err
		}
		if _, err := (keep.Batch{Documents: got.Documents}).Check(); err != nil {
			return &troubled{Refusing, fault.Say(err)}
		}
		if _, err := c.Store.Merge(ctx, keep.Batch{Documents: got.Documents}); err != nil {
			return err
		}
		came := map[string]bool{}
		for _, d := range got.Documents {
			came[documentDigest{Kind: d.Kind, ID: d.ID}.key()] = true
		}
		before := len(list)
		list = slices.DeleteFunc(list, func(d documentDigest) bool { return came[d.key()] })
		if len(list) == before {
			return nil // what the computer no longer gives is asked for next time
		}
	}
	return nil
}

// offer sends the histories that differ from the server's.
func (c *Client) offer(ctx context.Context, own []documentDigest, there map[string]string) error {
	l, err := c.look(ctx)
	if err != nil {
		return err
	}
	agreed, held := map[string]string{}, cloned(l.HeldDocs)
	for _, d := range own {
		key := d.key()
		if there[key] == d.Digest {
			agreed[key] = d.Digest
			delete(held, key)
			continue
		}
		if held[key] != "" && l.Agreed[key] == d.Digest {
			agreed[key] = d.Digest
			continue // refused before, and not changed since
		}
		if l.You.ReadOnly {
			continue
		}
		list, err := history(ctx, c.Store, d.Kind, d.ID)
		if err != nil {
			return err
		}
		delete(held, key)
		why, err := c.offerOne(ctx, list)
		if err != nil {
			return err
		}
		agreed[key] = d.Digest
		if why != "" {
			held[key] = why
		}
	}
	return c.note(ctx, func(l *ledger) { l.Agreed, l.HeldDocs = agreed, held })
}

// offerOne sends one history and gives why it was not taken, if it was not.
func (c *Client) offerOne(ctx context.Context, list []garage.Document) (why string, err error) {
	var got taken
	_, err = c.ask(ctx, "POST", "histories", nil, histories{list}, &got)
	if r, ok := errors.AsType[*refusedAnswer](err); ok && r.thing() {
		return r.why, nil
	}
	if err == nil && len(got.Refused) > 0 {
		why = got.Refused[0].Why
	}
	return why, err
}

func (c *Client) agree(ctx context.Context, own []documentDigest) error {
	agreed := map[string]string{}
	for _, d := range own {
		agreed[d.key()] = d.Digest
	}
	l, err := c.look(ctx)
	if err != nil || len(l.HeldDocs) == 0 && maps.Equal(l.Agreed, agreed) {
		return err
	}
	return c.note(ctx, func(l *ledger) { l.Agreed, l.HeldDocs = agreed, nil })
}

// unsentFiles are the photos and clips that the server is not known to have.
func (c *Client) unsentFiles(ctx context.Context, l ledger) ([]string, error) {
	names, err := c.Store.Names(ctx)
	if err != nil {
		return nil, err
	}
	return slices.DeleteFunc(names, func(n string) bool { return l.Files[n] || l.HeldFiles[n] != "" }), nil
}

// photo sends one photo and fetches one, and tells whether there may be more.
func (c *Client) photo(ctx context.Context) (more bool, err error) {
	sent, err := c.sendPhoto(ctx)
	if err != nil {
		return false, err
	}
	got, err := c.fetchPhoto(ctx)
	return sent || got, err
}

func (c *Client) sendPhoto(ctx context.Context) (more bool, err error) {
	l, err := c.look(ctx)
	if err != nil || l.You.ReadOnly {
		return false, err
	}
	unsent, err := c.unsentFiles(ctx, l)
	if err != nil || len(unsent) == 0 {
		return false, err
	}
	asked := unsent[:min(perAsk, len(unsent))]
	var there missingNames
	if _, err := c.ask(ctx, "GET", "missing", url.Values{"name": asked}, nil, &there); err != nil {
		return false, err
	}
	files, held := cloned(l.Files), cloned(l.HeldFiles)
	missing := set(there.Missing)
	for _, n := range asked {
		if !missing[n] {
			files[n] = true
		}
	}
	if len(there.Missing) > 0 {
		name := there.Missing[0]
		content, _, err := c.Store.Open(ctx, name)
		if err != nil {
			return false, err
		}
		_, err = c.ask(ctx, "PUT", "files/"+name, nil, content, nil)
		if r, ok := errors.AsType[*refusedAnswer](err); ok && r.thing() {
			held[name] = r.why
		} else if err != nil {
			return false, err
		} else {
			files[name] = true
		}
	}
	return true, c.note(ctx, func(l *ledger) { l.Files, l.HeldFiles = files, held })
}

func (c *Client) fetchPhoto(ctx context.Context) (more bool, err error) {
	l, err := c.look(ctx)
	if err != nil {
		return false, err
	}
	for i, name := range l.Wanted {
		_, _, err := c.Fetch(ctx, name)
		switch {
		case fault.CodeOf(err) == fault.NotFound:
			continue // another phone has still to send it
		case err != nil:
			return false, err
		}
		return true, c.note(ctx, func(l *ledger) { l.Wanted = slices.Delete(slices.Clone(l.Wanted), i, i+1) })
	}
	return false, nil
}

// Fetch gets a photo from the server and keeps it. A NotFound fault says that
// the server does not have it.
func (c *Client) Fetch(ctx context.Context, name string) (content []byte, media string, err error) {
	if !keep.IsHash(name) {
		return nil, "", keep.NoFile(name)
	}
	got, err := c.ask(ctx, "GET", "files/"+name, nil, nil, nil)
	if r, ok := errors.AsType[*refusedAnswer](err); ok && r.status == 404 {
		return nil, "", keep.NoFile(name)
	}
	if err != nil {
		return nil, "", err
	}
	if keep.Hash(got.Body) != name {
		return nil, "", &troubled{what: Away} // cut off on the way
	}
	media = got.Header(mediaHeader)
	if _, err := c.Store.Keep(ctx, got.Body, media); err != nil {
		return nil, "", err
	}
	return got.Body, media, c.note(ctx, func(l *ledger) {
		l.Files = cloned(l.Files)
		l.Files[name] = true
	})
}

// sentences are why things are held, each once.
func sentences(l ledger) []string {
	all := map[string]bool{}
	for _, h := range l.Held {
		all[h.Why] = true
	}
	for _, m := range []map[string]string{l.HeldDocs, l.HeldFiles} {
		for _, why := range m {
			all[why] = true
		}
	}
	return slices.Sorted(maps.Keys(all))
}
