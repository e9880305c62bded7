package job

import (
	"fmt"
	"slices"
	"time"

	"lastbolt/job/calendar"
	"lastbolt/job/caution"
)

// A StepCaution is a caution at a step. Held says that its check was confirmed
// already: for this step or, where it comes from a state of the vehicle that
// still holds, since that state was brought about and not since a pause.
type StepCaution struct {
	caution.Text
	Held bool
	// ByState says that the step itself does not bring it: the vehicle is up.
	ByState bool
}

// Cautions gives the cautions of a step, highest word first: those of its
// hazards, of the joints it opens, and of the states the vehicle is in (raised:
// jack).
func (s *State) Cautions(step string) []StepCaution { return s.cautions(step, false) }

// CautionsAhead is [State.Cautions] for what is printed before the work: the
// states count that the vehicle will be in once the steps before are done.
func (s *State) CautionsAhead(step string) []StepCaution { return s.cautions(step, true) }

func (s *State) cautions(step string, ahead bool) []StepCaution {
	st := s.StepByID(step)
	if st == nil {
		return nil
	}
	triggers := slices.Clone(st.Hazards)
	if st.way != nil {
		for _, j := range st.way.Opens {
			triggers = append(triggers, caution.OfJoint(j.Kind)...)
			if i := slices.Index(triggers, "spring"); i >= 0 && j.Kind == "belt" {
				triggers[i] = "tensioner" // older maps have one word for both springs
			}
		}
	}
	switch {
	case st.Closes:
		triggers = slices.DeleteFunc(triggers, func(t string) bool { return slices.Contains(whileOpening, t) })
	case st.Opens:
		triggers = slices.DeleteFunc(triggers, func(t string) bool { return slices.Contains(whileClosing, t) })
	}
	own := slices.Clone(triggers)
	since := map[string]time.Time{} // states that hold, by trigger
	for _, r := range s.Open {
		d := s.StepByID(r.Down)
		if !r.Condition || d == nil {
			continue
		}
		if slices.Contains(d.Hazards, "jack") {
			since["jack"] = r.Since
		}
	}
	up := len(since) > 0
	if ahead {
		up = s.raisedAt(st, up)
	}
	if up && !slices.Contains(triggers, "jack") {
		triggers = append(triggers, "jack")
	}
	var out []StepCaution
	for _, t := range caution.For(triggers...) {
		held := slices.Contains(st.Held, t.ID)
		if from, ok := since[t.ID]; ok {
			held = held || s.heldSince(t.ID, from)
		}
		out = append(out, StepCaution{Text: t, Held: held, ByState: !slices.Contains(own, t.ID)})
	}
	return out
}

// whileOpening are the cautions of taking apart: what was hot or full is no
// longer so on the way back.
var whileOpening = []string{"coolant", "hot", "fluids"}

// whileClosing are the cautions of putting back: how a wheel goes on says
// nothing to whoever takes it off.
var whileClosing = []string{"wheel", "road"}

// raisedAt tells whether the vehicle will be up when a step is come to, from
// whether it is now.
func (s *State) raisedAt(st *Step, raised bool) bool {
	for _, o := range s.Steps {
		switch {
		case o == st:
			return raised
		case o.IsDone() || !o.Condition || !slices.Contains(o.Hazards, "jack"):
		case o.Opens:
			raised = true
		case o.Closes:
			raised = false
		}
	}
	return raised
}

func (s *State) heldSince(id string, from time.Time) bool {
	for _, p := range s.Pauses {
		if p.From.After(from) {
			from = p.From
		}
	}
	return slices.ContainsFunc(s.Steps, func(st *Step) bool {
		return st.IsDone() && !st.Finished.Before(from) && slices.Contains(st.Held, id)
	})
}

// Calendar writes the follow-ups that are still open and have a date as an
// iCalendar file (RFC 5545). Stamp is the time of writing.
func Calendar(stamp time.Time, jobs ...*State) []byte {
	var entries []calendar.Entry
	for _, s := range jobs {
		for _, f := range s.FollowUps {
			if f.Done != nil || f.Due.IsZero() {
				continue
			}
			text := fmt.Sprintf("%s. Due %s. %s: %s, no source.", f.Why, f.DueText(), s.Title, f.Source)
			if f.Estimated {
				text += fmt.Sprintf("\nThe distance counts. The date is an estimate that takes %d km a day.", KmADay)
			}
			summary := f.Title
			if s.Vehicle != "" {
				summary = s.Vehicle + ": " + summary
			}
			entries = append(entries, calendar.Entry{UID: s.ID + "/" + f.ID + "@lastbolt", Day: f.Due, Summary: summary, Text: text, Hour: 9})
		}
	}
	return calendar.Write(entries, stamp)
}
