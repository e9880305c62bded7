// Package valley makes the picture of a job out of the job's state: each step a
// knot, on the way down, at the bottom or on the way up.
//
// Start at [Of]. How the picture is drawn is package draw's; where a knot leads
// and what it is called is for the caller, since paper has no links.
package valley

import (
	"lastbolt/job"
	"lastbolt/plan/opening"
	"lastbolt/web/draw"
)

// Of is the picture of a job. Name gives a step's label, href where its knot
// leads; a nil href leads nowhere.
func Of(s *job.State, name, href func(*job.Step) string) draw.Valley {
	v := draw.Valley{NoReturn: -1, Wide: true}
	for i, st := range s.Steps {
		k := draw.Knot{Label: name(st), Minutes: st.Expected, State: knotState(s, st)}
		if href != nil {
			k.Href = href(st)
		}
		switch st.Phase {
		case opening.Down:
			v.Down = append(v.Down, k)
			if i == s.NoReturn {
				v.NoReturn = len(v.Down) - 1
			}
		case opening.Bottom:
			v.Bottom = merge(v.Bottom, k)
		case opening.Up:
			v.Up = append(v.Up, k)
		}
	}
	return v
}

// merge folds the work steps into the one box at the bottom: it is done when
// all are, and leads to the first that is not.
func merge(box, k draw.Knot) draw.Knot {
	if box.Label == "" {
		return k
	}
	box.Label += ", " + k.Label
	box.Minutes += k.Minutes
	if box.State == draw.Done && k.State != draw.Done {
		box.State, box.Href = k.State, k.Href
	}
	return box
}

func knotState(s *job.State, st *job.Step) draw.KnotState {
	switch {
	case st.Status == job.Dispute:
		return draw.Dispute
	case st.Status == job.Now || s.Next != nil && s.Next.ID == st.ID:
		return draw.Now
	case st.Status == job.Done:
		return draw.Done
	case st.Status == job.Aside:
		return draw.Aside
	case st.Status == job.Owed:
		return draw.Owed
	}
	return draw.ToCome
}
