package web

import (
	"fmt"
	"maps"
	"net/http"
	"strings"

	"lastbolt/job"
	"lastbolt/plan/access"
	"lastbolt/web/parts"
)

// boltsOfStep puts the bolt map into its step's page: while bolts have their
// turn to come the map is the main action, then its counts are the step's.
func boltsOfStep(v *stepView, s *job.State, st *job.Step) {
	m := s.BoltMap(st.Item)
	if m == nil || m.Step != st || len(m.Bolts) == 0 {
		return
	}
	switch m.Phase {
	case job.PhaseBuild:
		if m.Order == nil && st.Closes {
			return // begun and left: the step goes on as it would without
		}
		v.Instead = parts.Link{Label: "Bolt map", Sub: "not finished yet", Href: boltsURL(s, m.Item)}
	case job.PhaseApart, job.PhaseTogether:
		d := s.BoltsDone(m)
		for i, p := range v.Main.Hidden {
			if group, ok := strings.CutPrefix(p.Name, "count:"); ok {
				v.Main.Hidden[i].Value = fmt.Sprint(d.Counts[group])
			}
		}
		n := 0
		for _, c := range d.Counts {
			n += c
		}
		for _, f := range d.Fasteners {
			n += f.Count
		}
		word := "out"
		switch {
		case st.Closes:
			word = "tight"
		case m.LoosenOnly():
			word = "cracked"
		}
		v.Main.Label = fmt.Sprintf("All %d %s", n, word)
	default:
		word := "crack, then take out"
		if st.Closes {
			word = "which goes where, how tight, in which order"
		}
		v.Instead = parts.Link{Label: "Bolt by bolt", Sub: word, Href: boltsURL(s, m.Item)}
	}
}

// boltLinks leads from a step to its bolt map, also to begin one.
func boltLinks(s *job.State, st *job.Step) []parts.Link {
	if st.Condition || !st.Opens && !st.Closes {
		return nil
	}
	m := s.BoltMap(st.Item)
	if m != nil {
		return []parts.Link{{Label: "Bolt map", Href: boltsURL(s, st.Item)}}
	}
	for _, g := range st.Groups {
		if g.Fastener.Thread != "" || g.Fastener.Head != "" {
			return []parts.Link{{Label: "Bolt map", Href: jobURL(s.ID, "bolts/start") + "?item=" + queryEscape(st.Item)}}
		}
	}
	if st.Unplanned {
		return []parts.Link{{Label: "Bolt map", Href: jobURL(s.ID, "bolts/start") + "?item=" + queryEscape(st.Item)}}
	}
	return nil
}

// trusted is a group whose torque is blanked where a safety-critical joint
// takes only the maker's figure and this is none: it then reads as not known.
func trusted(st *job.Step, g job.Group) job.Group {
	if job.RefusedTorque(st.Critical, g.Fastener.Torque) != "" {
		g.Fastener.Torque = access.Torque{}
	}
	return g
}

// withBolts fills a finished step with what its bolt map recorded: counts,
// lengths, and how each group was tightened.
func withBolts(d job.StepDone, finish func(job.StepDone) job.Action) job.Action {
	return func(rec *job.Recorder, s *job.State) ([]job.Event, error) {
		st := s.StepByID(d.Step)
		if st == nil {
			return finish(d)(rec, s)
		}
		m := s.BoltMap(st.Item)
		if m == nil || m.Step != st || m.Phase != job.PhaseApart && m.Phase != job.PhaseTogether {
			return finish(d)(rec, s)
		}
		by := s.BoltsDone(m)
		d.Tightened, d.Fasteners = by.Tightened, by.Fasteners
		if d.Counts == nil {
			d.Counts = map[string]int{}
		}
		for id, n := range by.Counts {
			if _, said := d.Counts[id]; !said {
				d.Counts[id] = n
			}
		}
		if len(by.Sizes) > 0 {
			sizes := maps.Clone(by.Sizes)
			maps.Copy(sizes, d.Sizes)
			d.Sizes = sizes
		}
		return finish(d)(rec, s)
	}
}

// boltCards are the job's bolt maps that are not through, for the job's page.
func boltCards(s *job.State) []cardView {
	c := cardView{Title: "Bolt maps"}
	for _, m := range s.BoltMaps {
		if m.Phase == job.PhaseDone || len(m.Bolts) == 0 {
			continue
		}
		c.Lines = append(c.Lines, lineView{Href: boltsURL(s, m.Item), Name: m.Name, Beneath: strings.Join(nonEmpty(plural(len(m.Bolts), "bolt", "bolts"), lengthsText(m)), " · "), Tag: phaseTag(m)})
	}
	if len(c.Lines) == 0 {
		return nil
	}
	return []cardView{c}
}

// phaseTag is where a map stands, in a word or two.
func phaseTag(m *job.BoltMap) string {
	switch m.Phase {
	case job.PhaseBuild:
		return "not finished"
	case job.PhaseCrack, job.PhaseOut:
		return "to undo, " + progressText(m)
	case job.PhaseRunIn:
		return "run in, " + progressText(m)
	case job.PhaseTighten:
		return fmt.Sprintf("pass %d, %s", m.Pass, progressText(m))
	case job.PhaseCheck:
		return "re-check, " + progressText(m)
	}
	return "ready to finish"
}

// undoneTo is where undo leads: back to the bolt map it was pressed on, else to
// the next step.
func undoneTo(r *http.Request, s *job.State) string {
	if item := r.FormValue("item"); s.BoltMap(item) != nil {
		return boltsURL(s, item, "mode", r.FormValue("mode"))
	}
	return toNext(r, s)
}
