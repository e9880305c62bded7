package job

import (
	"cmp"
	"slices"
	"strconv"
	"strings"

	"lastbolt/plan/access"
)

// TakeOff records something taken off that no plan foresaw: the name at least;
// what else is known, as far as it is known. Item is set where it is an item
// of the map, whose snapshot then goes into Known. Step and, without a map's
// item, Item are made here.
func TakeOff(d TakenOff) Action {
	return open(func(r *Recorder, s *State) ([]Event, error) {
		d.Name = strings.TrimSpace(d.Name)
		if d.Name == "" && d.Known != nil {
			d.Name = d.Known.Name
		}
		if d.Name == "" {
			return nil, refuse(CodeMissing, "Give it a name, so that it can be found again.")
		}
		if err := checkCounts(nil, StepDone{Fasteners: d.Fasteners, Minutes: d.Minutes}); err != nil {
			return nil, err
		}
		nameGroups(d.Fasteners)
		for _, of := range d.InWayOf {
			if of == "" {
				return nil, refuse(CodeMissing, "Say what %s was in the way of.", d.Name)
			}
		}
		e := r.Event(s.ID, KindTakenOff, nil)
		if d.Known != nil {
			d.Item = d.Known.ID
		} else if d.Item == "" {
			d.Item = s.freeItem(d.Name, e.ID)
		}
		if ring := s.Ring(d.Item); ring != nil {
			return nil, refuse(CodeAlready, "%s is off already, since %s.", ring.Name, ring.Since.Format("15:04"))
		}
		d.Step = s.freeStep("down/" + d.Item)
		data := r.Event(s.ID, KindTakenOff, d).Data
		e.Data = data
		return []Event{e}, nil
	})
}

// freeItem makes an item's id of its name. The last characters of the event's
// id keep things apart that two devices call by the same name.
func (s *State) freeItem(name, event string) string {
	for n := min(6, len(event)); ; n++ {
		id := slug(name) + "-" + event[max(0, len(event)-n):]
		if s.Items[id] == nil || n > len(event) {
			return id
		}
	}
}

// nameGroups gives each group of fasteners an id of its own.
func nameGroups(fs []access.Fastener) {
	seen := map[string]bool{}
	for i := range fs {
		base := cmp.Or(fs[i].ID, slug(cmp.Or(fs[i].Name, "fasteners")))
		id := base
		for n := 2; seen[id]; n++ {
			id = base + "-" + strconv.Itoa(n)
		}
		fs[i].ID, seen[id] = id, true
	}
}

// freeStep is the id for a step of an item that may have been off before.
func (s *State) freeStep(id string) string {
	free := func(id string) bool { st := s.StepByID(id); return st == nil || !st.IsDone() }
	if free(id) {
		return id
	}
	for n := 2; ; n++ {
		if next := id + "#" + strconv.Itoa(n); free(next) {
			return next
		}
	}
}

// MeetInTheWay records something that was met in the way of a step. With NotYet
// set it becomes the next step; else it is off already.
func MeetInTheWay(step string, d TakenOff) Action {
	return open(func(r *Recorder, s *State) ([]Event, error) {
		st, err := s.find(step)
		if err != nil {
			return nil, err
		}
		d.Before = step
		if !slices.Contains(d.InWayOf, st.Item) {
			d.InWayOf = append([]string{st.Item}, d.InWayOf...)
		}
		return TakeOff(d)(r, s)
	})
}

// LinkInTheWay records that an item was in the way of another, or of a target.
func LinkInTheWay(item, of string) Action {
	return open(func(r *Recorder, s *State) ([]Event, error) {
		switch {
		case item == "" || of == "":
			return nil, refuse(CodeMissing, "Say what was in the way of what.")
		case item == of:
			return nil, refuse(CodeWrong, "A thing cannot be in its own way.")
		case slices.Contains(s.Links, WayLink{item, of}):
			return nil, refuse(CodeAlready, "That is recorded already.")
		}
		return one(r, s, KindInTheWay, WayLink{item, of})
	})
}

// HadTrouble records what went wrong; what it needs goes on the shopping list.
func HadTrouble(d TroubleMet) Action {
	return open(func(r *Recorder, s *State) ([]Event, error) {
		if d.What = strings.TrimSpace(d.What); d.What == "" {
			return nil, refuse(CodeMissing, "Say what went wrong.")
		}
		if d.Step != "" {
			if _, err := s.find(d.Step); err != nil {
				return nil, err
			}
		}
		d.Needs = slices.DeleteFunc(d.Needs, func(w Wanted) bool { return strings.TrimSpace(w.Name) == "" })
		return one(r, s, KindTrouble, d)
	})
}

// WriteNote keeps free text, on a step or on the job.
func WriteNote(step, text string) Action {
	return func(r *Recorder, s *State) ([]Event, error) {
		if text = strings.TrimSpace(text); text == "" {
			return nil, refuse(CodeMissing, "The note is empty.")
		}
		return one(r, s, KindNote, NoteMade{step, text})
	}
}

// AddPhoto keeps a photo that the files hold under its hash.
func AddPhoto(d PhotoTaken) Action {
	return func(r *Recorder, s *State) ([]Event, error) {
		if d.File == "" {
			return nil, refuse(CodeMissing, "There is no photo.")
		}
		if slices.ContainsFunc(s.Photos, func(p Photo) bool { return p.File == d.File && p.Step == d.Step }) {
			return nil, refuse(CodeAlready, "That photo is there already.")
		}
		return one(r, s, KindPhoto, d)
	}
}

// UndoLast takes back what State.Undo names. Event is that event's id as the
// person saw it, so that a second tap does not take back one more; empty takes
// whatever is last.
func UndoLast(event string) Action {
	return open(func(r *Recorder, s *State) ([]Event, error) {
		if s.Undo == nil {
			return nil, refuse(CodeMissing, "There is nothing to undo.")
		}
		if event != "" && event != s.Undo.Event {
			if s.isUndone(event) {
				return nil, refuse(CodeAlready, "That is undone already.")
			}
			return nil, refuse(CodeNotYet, "Something else came in between: the last thing recorded is now %q.", s.Undo.Text)
		}
		return one(r, s, KindUndo, Undone{s.Undo.Event})
	})
}

// RedoLast takes back the last undo.
func RedoLast() Action {
	return open(func(r *Recorder, s *State) ([]Event, error) {
		if s.Redo == nil {
			return nil, refuse(CodeMissing, "There is nothing to bring back.")
		}
		return one(r, s, KindUndo, Undone{s.Redo.Event})
	})
}

func (s *State) isUndone(event string) bool {
	return slices.ContainsFunc(s.History, func(e Entry) bool { return e.Event == event && e.Undone })
}
