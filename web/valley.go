package web

import (
	"lastbolt/job"
	"lastbolt/plan/opening"
	"lastbolt/web/draw"
)

// valleyOf is the picture of a job: the steps of its state as knots, each
// leading to its own page.
func valleyOf(s *job.State, wide bool) draw.Valley {
	v := draw.Valley{NoReturn: -1, Wide: wide}
	for i, st := range s.Steps {
		k := draw.Knot{Label: stepTitle(st), Minutes: st.Expected, State: knotState(s, st), Href: stepURL(s.ID, st.ID)}
		switch st.Phase {
		case opening.Down:
			v.Down = append(v.Down, k)
			if i == s.NoReturn {
				v.NoReturn = len(v.Down) - 1
			}
		case opening.Bottom:
			v.Bottom = mergeBottom(v.Bottom, k)
		case opening.Up:
			v.Up = append(v.Up, k)
		}
	}
	return v
}

// mergeBottom folds the work steps into the one box at the bottom: it is done
// when all are, and leads to the first that is not.
func mergeBottom(box, k draw.Knot) draw.Knot {
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
	if s.Next != nil && s.Next.ID == st.ID && st.Status != job.Dispute {
		return draw.Now
	}
	switch st.Status {
	case job.Now:
		return draw.Now
	case job.Done:
		return draw.Done
	case job.Aside:
		return draw.Aside
	case job.Owed:
		return draw.Owed
	case job.Dispute:
		return draw.Dispute
	}
	return draw.ToCome
}
