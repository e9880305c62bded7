//go:build js && wasm

package indexed

import (
	"cmp"
	"context"
	"encoding/json"
	"slices"
	"strings"
	"syscall/js"

	"lastbolt/job"
	"lastbolt/keep"
)

var _ keep.Backend = (*Store)(nil)

// Append implements job.Log.
func (s *Store) Append(ctx context.Context, events ...job.Event) (added int, err error) {
	checked, err := keep.Events(events)
	if err != nil {
		return 0, err
	}
	t, err := s.begin(ctx, readwrite, "events")
	if err != nil {
		return 0, err
	}
	added, err = t.add(checked, false)
	if err := t.done(err); err != nil {
		return 0, err
	}
	return added, nil
}

// add adds the events that are not there yet. Strict refuses one that is there
// and says something else.
func (t *tx) add(events []job.Event, strict bool) (added int, err error) {
	if len(events) == 0 {
		return 0, nil
	}
	store := t.store("events")
	ids := store.Call("index", "id")
	asked := make([]js.Value, len(events))
	for i, e := range events {
		if strict {
			asked[i] = ids.Call("get", key(e.ID))
		} else {
			asked[i] = ids.Call("getKey", key(e.ID))
		}
	}
	last := store.Call("index", "at").Call("openKeyCursor", js.Null(), "prev")
	cursor, err := wait(last) // the requests before it have ended too
	if err != nil {
		return 0, err
	}
	position := 0
	if cursor.Truthy() {
		position = cursor.Get("key").Int()
	}
	seen := map[string]bool{}
	for i, e := range events {
		if there := asked[i].Get("result"); there.Truthy() {
			if strict {
				have, err := unpackEvents(there.Get("line").String())
				if err != nil || len(have) != 1 {
					return 0, errRecord
				}
				if !keep.Same(have[0], e) {
					return 0, keep.Contradiction(e)
				}
			}
			continue
		}
		if seen[e.ID] {
			continue
		}
		seen[e.ID] = true
		added++
		store.Call("add", map[string]any{"job": key(e.Job), "id": key(e.ID), "at": position + added, "line": packEvent(e)})
	}
	return added, nil
}

// Events implements job.Log.
func (s *Store) Events(ctx context.Context, id string) ([]job.Event, error) {
	text, err := s.readLines(ctx, "events", within(key(id)))
	if err != nil {
		return nil, err
	}
	out, err := unpackEvents(text)
	slices.SortFunc(out, func(a, b job.Event) int { return cmp.Compare(a.ID, b.ID) }) // the browser sorts by halves of letters
	return out, err
}

// Changed implements job.Log.
func (s *Store) Changed(ctx context.Context, after int64, limit int) ([]job.Event, int64, error) {
	after = max(after, 0)
	records, err := s.read(ctx, "events", func(st js.Value) js.Value {
		from := js.Global().Get("IDBKeyRange").Call("lowerBound", float64(after), true)
		return st.Call("index", "at").Call("getAll", from, keep.Limit(limit, keep.DefaultChanged))
	})
	if err != nil {
		return nil, after, err
	}
	out, err := unpackEvents(lines(records))
	if err != nil {
		return nil, after, err
	}
	if n := records.Length(); n > 0 {
		after = int64(records.Index(n - 1).Get("at").Float())
	}
	return out, after, nil
}

// Jobs implements keep.Backend.
func (s *Store) Jobs(ctx context.Context) ([]string, error) {
	var out []string
	t, err := s.begin(ctx, readonly, "events")
	if err != nil {
		return nil, err
	}
	// From each job straight to the one behind it, past all its events.
	from := js.Null()
	for err == nil {
		var cursor js.Value
		if cursor, err = wait(t.store("events").Call("openKeyCursor", from)); err != nil || !cursor.Truthy() {
			break
		}
		id := cursor.Get("key").Index(0).String()
		out = append(out, id[1:])
		from = js.Global().Get("IDBKeyRange").Call("lowerBound", []any{id, []any{}})
	}
	slices.Sort(out)
	return out, t.done(err)
}

// SetSummary implements job.Log.
func (s *Store) SetSummary(ctx context.Context, sum job.Summary) error {
	sum, err := keep.Summary(sum)
	if err != nil {
		return err
	}
	text, err := json.Marshal(sum)
	if err != nil {
		return err
	}
	return s.put(ctx, readwrite, "summaries", map[string]any{"id": key(sum.ID), "line": pack(string(text))})
}

func (s *Store) put(ctx context.Context, as may, store string, record map[string]any) error {
	t, err := s.begin(ctx, as, store)
	if err != nil {
		return err
	}
	t.store(store).Call("put", record)
	return t.done(nil)
}

// Summaries implements job.Log. It reads the line of every job: a phone has
// hundreds of them, not millions.
func (s *Store) Summaries(ctx context.Context, q job.Query) ([]job.Summary, error) {
	text, err := s.readLines(ctx, "summaries", js.Undefined())
	if err != nil {
		return nil, err
	}
	groups, err := unpack(text, 1)
	if err != nil {
		return nil, err
	}
	words := keep.Words(q.Text)
	var out []job.Summary
	for _, g := range groups {
		var sum job.Summary
		if err := json.Unmarshal([]byte(g[0]), &sum); err != nil {
			return nil, errRecord
		}
		// A line of an older program does not say on which map the job is: it may
		// be this one. In a value the quotes are escaped, so only the key is found.
		if q.Map != "" && !strings.Contains(g[0], `"map":`) {
			sum.MapID = q.Map
		}
		if picked(sum, q, words) {
			out = append(out, sum)
		}
	}
	slices.SortFunc(out, keep.SummaryOrder(q))
	out = out[min(max(q.Offset, 0), len(out)):]
	return out[:min(keep.Limit(q.Limit, keep.DefaultSummaries), len(out))], nil
}

func picked(s job.Summary, q job.Query, words []string) bool {
	text := keep.SearchText(s)
	return !slices.ContainsFunc(words, func(w string) bool { return !strings.Contains(text, w) }) &&
		(q.Closed || s.Released.IsZero()) &&
		(q.Stage == "" || q.Stage == s.Stage) &&
		(q.Vehicle == "" || q.Vehicle == s.VehicleID) &&
		(q.Map == "" || q.Map == s.MapID) && keep.Due(s, q.DueBy)
}
