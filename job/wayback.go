package job

import (
	"context"
	"slices"
	"strings"

	"lastbolt/plan/access"
	"lastbolt/plan/opening"
)

// Opened is what is really open, first opened first, as [opening.Remake] wants
// it: with what was met on the way and is not in the map, and with what it was
// in the way of. The map may be nil.
func Opened(s *State, m *access.Map) []opening.Opened {
	var out []opening.Opened
	for _, r := range slices.Backward(slices.Concat(s.Open, s.Standing)) {
		o := opening.Opened{Item: r.Item}
		if st := s.StepByID(r.Down); st != nil && st.way != nil {
			o.Way = st.way.ID
		}
		if known := mapItem(m, r.Item); known == nil {
			o.Found = s.Items[r.Item]
			if o.Found == nil { // of a step that no plan here knows
				o.Found = &access.Item{ID: r.Item, Name: r.Name, Ways: []access.Way{{ID: string(access.Off)}}}
				o.Way = ""
			}
		} else if !slices.ContainsFunc(known.Ways, func(w access.Way) bool { return w.ID == o.Way }) {
			o.Way = "" // the map has changed since
		}
		for _, l := range s.Links {
			if l.Item == r.Item {
				o.InWayOf = append(o.InWayOf, l.Of)
			}
		}
		out = append(out, o)
	}
	return out
}

func mapItem(m *access.Map, id string) *access.Item {
	if m == nil {
		return nil
	}
	for i := range m.Items {
		if m.Items[i].ID == id {
			return &m.Items[i]
		}
	}
	return nil
}

// PlanBack plans from the middle of a job: the targets still wanted (none: only
// the way back), and the way back of everything that is really open. Its plan
// goes to [TurnBack] or, with targets, to [UsePlan]. The map may be nil.
func PlanBack(ctx context.Context, s *State, m *access.Map, targets []opening.Target) (*opening.Plan, error) {
	return opening.Remake(ctx, opening.Request{Map: m, Targets: targets}, Opened(s, m))
}

// TurnBack puts a way back in force, as [PlanBack] gives it. Why is what turned
// the job round. The map may be nil.
func TurnBack(why string, plan *opening.Plan, m *access.Map, version int) Action {
	return open(func(r *Recorder, s *State) ([]Event, error) {
		if why = strings.TrimSpace(why); why == "" {
			return nil, refuse(CodeMissing, "Say why the job turns back here.")
		}
		if plan == nil {
			return nil, refuse(CodeMissing, "There is no way back to use.")
		}
		d := Planned{Plan: *plan, Why: why}
		if m != nil {
			d = planData(plan, m, version, nil)
			d.Why = why
		}
		return one(r, s, KindWayBack, d)
	})
}
