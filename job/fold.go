package job

import (
	"bytes"
	"cmp"
	"encoding/json"
	"errors"
	"fmt"
	"slices"

	"lastbolt/plan/access"
)

// Fold adds events up to a state. The result depends on the set of events
// alone: not on their order, and not on how often each is given. It is total:
// an event that cannot be read, or that speaks of what is not there, becomes a
// line in State.Problems, and everything else still counts. The one error is a
// log without a single event.
func Fold(events []Event) (*State, error) { return fold(events, nil) }

// fold is Fold; what it decodes it keeps in known, by the event's id, and takes
// from there. Nil keeps nothing behind.
func fold(events []Event, known map[string]decoded) (*State, error) {
	if len(events) == 0 {
		return nil, errors.New("there is nothing recorded of this job")
	}
	b := newBuilder(events[0].Job)
	if b.known = known; known == nil {
		b.known = map[string]decoded{}
	}
	log := b.ordered(events)
	b.s.ID = log[0].Job
	undone := b.undone(log)
	for _, e := range log {
		if e.At.After(b.s.Touched) {
			b.s.Touched = e.At
		}
		b.event(e, undone[e.ID])
	}
	b.derive()
	b.undoSteps(log, undone)
	return b.s, nil
}

// builder is a state in the making.
type builder struct {
	s       *State
	steps   []*Step
	byID    map[string]*Step
	cycles  []*cycle
	names   map[string]string // of items and targets
	chosen  map[string]Resolved
	explain map[string]CountExplained
	read    map[string][]Reading
	closed  map[string]FollowUpDone
	closedM map[string]Event
	out     map[string]bool // fluids let out and not filled
	known   map[string]decoded
}

// A cycle is one time that something was off: from the step that opened it to
// the one that closed it, nil while it is open.
type cycle struct {
	item     string
	down, up *Step
}

func newBuilder(job string) *builder {
	return &builder{
		s: &State{
			ID: job, NoReturn: -1, Items: map[string]*access.Item{},
			Got: map[string]Got{}, None: map[string]bool{},
		},
		byID: map[string]*Step{}, names: map[string]string{}, chosen: map[string]Resolved{},
		explain: map[string]CountExplained{}, read: map[string][]Reading{},
		closed: map[string]FollowUpDone{}, closedM: map[string]Event{}, out: map[string]bool{},
	}
}

func (b *builder) problem(event, format string, a ...any) {
	b.s.Problems = append(b.s.Problems, Problem{event, fmt.Sprintf(format, a...)})
}

// ordered sorts by id and drops duplicates. Of two different events with one
// id, which only a broken recorder can make, the lesser counts, so that the
// outcome is the same on every device.
func (b *builder) ordered(events []Event) []Event {
	log := slices.Clone(events)
	slices.SortFunc(log, func(x, y Event) int {
		return cmp.Or(cmp.Compare(x.ID, y.ID), cmp.Compare(x.Job, y.Job), cmp.Compare(x.Kind, y.Kind),
			x.At.Compare(y.At), cmp.Compare(x.By, y.By), bytes.Compare(x.Data, y.Data))
	})
	out := log[:1]
	for _, e := range log[1:] {
		last := &out[len(out)-1]
		switch {
		case e.ID != last.ID:
			out = append(out, e)
		case e.Kind != last.Kind || !sameJSON(e.Data, last.Data):
			b.problem(e.ID, "two different records have one id: %s and %s; the first counts", last.Kind, e.Kind)
		}
	}
	return out
}

// sameJSON compares data as values: a store may write the same data with
// other spacing.
func sameJSON(x, y json.RawMessage) bool {
	if bytes.Equal(x, y) {
		return true
	}
	var a, b bytes.Buffer
	return json.Compact(&a, x) == nil && json.Compact(&b, y) == nil && bytes.Equal(a.Bytes(), b.Bytes())
}

// undone finds the events that are taken back: those with an undo that is not
// itself taken back.
func (b *builder) undone(log []Event) map[string]bool {
	undoOf := map[string][]string{} // event: the undos of it
	for _, e := range log {
		if e.Kind != KindUndo {
			continue
		}
		var d Undone
		if err := json.Unmarshal(e.Data, &d); err == nil && d.Event != "" {
			undoOf[d.Event] = append(undoOf[d.Event], e.ID)
		}
	}
	known := map[string]bool{}
	busy := map[string]bool{}
	var dead func(id string) bool
	dead = func(id string) bool {
		if v, ok := known[id]; ok || busy[id] {
			return v // a circle of undos takes nothing back
		}
		busy[id] = true
		v := slices.ContainsFunc(undoOf[id], func(u string) bool { return !dead(u) })
		known[id] = v
		return v
	}
	for _, e := range slices.Backward(log) {
		dead(e.ID)
	}
	b.unbegin(log, known)
	for _, e := range log {
		if !undoable(e.Kind) {
			known[e.ID] = false
		}
	}
	return known
}

// unbegin takes back, with each event that is undone, the begins that came
// between it and its undo: the hands are no longer on a step that came after.
func (b *builder) unbegin(log []Event, undone map[string]bool) {
	for to, e := range log {
		var d Undone
		if e.Kind != KindUndo || undone[e.ID] || json.Unmarshal(e.Data, &d) != nil {
			continue
		}
		from := slices.IndexFunc(log, func(x Event) bool { return x.ID == d.Event })
		if from < 0 || log[from].Kind == KindUndo {
			continue
		}
		for _, x := range log[from:max(from, to)] {
			if x.Kind == KindBegun {
				undone[x.ID] = true
			}
		}
	}
}

// undoable tells what can be taken back. A start, a release and what was added
// to it stand: they are amended.
func undoable(k Kind) bool {
	return k != KindStarted && k != KindReleased && k != KindAmended
}

// undoSteps finds what undo and redo would do next.
func (b *builder) undoSteps(log []Event, undone map[string]bool) {
	for _, e := range slices.Backward(log) {
		if e.Kind == KindReleased || e.Kind == KindAmended {
			return // what is released is amended, not undone
		}
		if !undoable(e.Kind) || undone[e.ID] || e.Kind == KindUndo || e.Kind == KindBegun || e.Job != b.s.ID {
			continue
		}
		if _, ok := table[e.Kind]; !ok {
			continue // what it meant is not known here
		}
		b.s.Undo = &UndoStep{e.ID, b.sentence(e)}
		break
	}
	last := lastLiveUndo(log, undone)
	var d Undone
	if last.Kind != KindUndo || json.Unmarshal(last.Data, &d) != nil {
		return
	}
	for _, e := range log {
		if e.ID == d.Event && e.Kind != KindUndo {
			b.s.Redo = &UndoStep{last.ID, b.sentence(e)}
		}
	}
}

// lastLiveUndo is the latest undo in force that took back something other than
// an undo, with nothing but undos behind it; the zero Event if there is none.
func lastLiveUndo(log []Event, undone map[string]bool) Event {
	for _, e := range slices.Backward(log) {
		if e.Kind != KindUndo {
			return Event{}
		}
		var d Undone
		if undone[e.ID] || json.Unmarshal(e.Data, &d) != nil {
			continue
		}
		if i := slices.IndexFunc(log, func(x Event) bool { return x.ID == d.Event }); i >= 0 && log[i].Kind == KindUndo {
			continue
		}
		return e
	}
	return Event{}
}
