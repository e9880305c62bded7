package job

import (
	"fmt"
	"slices"
	"time"

	"lastbolt/plan/opening"
)

// An OpenItem is something that is not closed. Blocks says that the vehicle
// cannot be released with it; the others are shown and kept with the release.
type OpenItem struct {
	Kind   string // "ring", "count", "dispute", "tool", "test", "wait", "work", "list", "found", "piece"
	Text   string
	Step   string // where to go, if a step
	Test   string // where to go, if a test
	Blocks bool
}

// OpenItems lists all that is open at an instant, what blocks first.
func (s *State) OpenItems(now time.Time) []OpenItem {
	items := slices.Concat(s.openRings(), s.openCounts(), s.openTools(), s.openTests(), s.openWaits(now), s.openRest())
	slices.SortStableFunc(items, func(x, y OpenItem) int {
		switch {
		case x.Blocks == y.Blocks:
			return 0
		case x.Blocks:
			return -1
		default:
			return 1
		}
	})
	return items
}

func (s *State) openRings() []OpenItem {
	var out []OpenItem
	for _, r := range s.Open {
		text := r.Name + " is still off."
		switch {
		case r.Condition:
			text = "Still so, and to be ended: " + r.Name + "."
		case r.Loosened:
			text = r.Name + ": loosened, and not tightened yet."
		case r.Aside:
			text = r.Name + " is still set aside."
		}
		if r.Tray != "" {
			text += " Its pieces are in tray " + r.Tray + "."
		}
		out = append(out, OpenItem{Kind: "ring", Text: text, Step: r.Up, Blocks: true})
	}
	for _, fluid := range s.Drained {
		o := OpenItem{Kind: "ring", Text: capital(fluid) + " was let out and is not filled yet.", Blocks: true}
		for _, st := range s.Steps {
			if st.Fluid == fluid && !st.IsDone() {
				o.Step = st.ID
			}
		}
		out = append(out, o)
	}
	for _, st := range s.Begun {
		if !st.Closes || s.Ring(st.Item) == nil { // a ring speaks for itself
			out = append(out, OpenItem{Kind: "ring", Text: st.Name + " was begun and not finished.", Step: st.ID, Blocks: true})
		}
	}
	return out
}

func (s *State) openCounts() []OpenItem {
	var out []OpenItem
	for _, d := range s.Differences {
		if d.Explained == "" {
			out = append(out, OpenItem{Kind: "count", Text: d.Text(), Step: d.Step, Blocks: true})
		}
	}
	for _, c := range s.Conflicts {
		if c.Resolved == "" {
			text := c.Thing + " is recorded with different values:"
			for _, v := range c.Values {
				text += " " + v.Value
				if who := v.Who(); who != "" {
					text += " (" + who + ")"
				}
				text += ","
			}
			out = append(out, OpenItem{Kind: "dispute", Text: text[:len(text)-1] + ".", Step: c.Step, Blocks: true})
		}
	}
	return out
}

// Text says in a sentence how the counts differ.
func (d Difference) Text() string {
	switch {
	case d.Out < 0 && d.Back < 0:
		return fmt.Sprintf("%s, %s: not counted, neither out nor back.", d.Name, d.GroupName)
	case d.Out < 0:
		return fmt.Sprintf("%s, %s: %d back, and not counted when it came out.", d.Name, d.GroupName, d.Back)
	case d.Back < 0:
		return fmt.Sprintf("%s, %s: %d out, and not counted when it went back.", d.Name, d.GroupName, d.Out)
	case d.Back < d.Out:
		return fmt.Sprintf("%s, %s: %d out, %d back. %d left over.", d.Name, d.GroupName, d.Out, d.Back, d.Out-d.Back)
	default:
		return fmt.Sprintf("%s, %s: %d out, %d back. %d more than came out.", d.Name, d.GroupName, d.Out, d.Back, d.Back-d.Out)
	}
}

func (s *State) openTools() []OpenItem {
	if s.Tools == nil {
		return []OpenItem{{Kind: "tool", Text: "The tools have not been counted back."}}
	}
	var out []OpenItem
	for _, t := range s.Tools.Lost() {
		out = append(out, OpenItem{Kind: "tool", Text: t + " is missing: find it, or say what became of it.", Blocks: true})
	}
	return out
}

func (s *State) openTests() []OpenItem {
	var out []OpenItem
	for _, t := range s.OpenTests() {
		text := t.Name + ": not proved yet."
		if n := len(t.Readings); n > 0 {
			text = fmt.Sprintf("%s: %s.", t.Name, t.Readings[n-1].Value)
		}
		out = append(out, OpenItem{Kind: "test", Text: text, Test: t.ID, Blocks: t.Danger})
	}
	return out
}

func (s *State) openWaits(now time.Time) []OpenItem {
	var out []OpenItem
	for i := range s.Waits {
		w := &s.Waits[i]
		if w.Back && len(w.WaitFor) == 0 && !w.Over(now) {
			left := w.Until.Sub(now).Round(time.Minute)
			out = append(out, OpenItem{Kind: "wait", Text: fmt.Sprintf("%s has to %s for %.0f more minutes.", w.Name, w.Kind, max(left.Minutes(), 1)), Step: w.Step, Blocks: true})
		}
	}
	for _, j := range s.Uncured() {
		out = append(out, OpenItem{Kind: "wait", Text: j.Name + ": sealant went on, and no wait was started for it.", Step: j.Down.Partner})
	}
	return out
}

func (s *State) openRest() []OpenItem {
	var out []OpenItem
	for _, st := range s.Steps {
		if st.Phase == opening.Bottom && !st.IsDone() {
			out = append(out, OpenItem{Kind: "work", Text: st.Name + ": " + string(st.Action) + " not done.", Step: st.ID})
		}
		for _, name := range sortedKeys(st.Renewed) {
			if !st.Renewed[name] {
				out = append(out, OpenItem{Kind: "piece", Text: st.Name + ": " + name + " was not renewed.", Step: st.ID})
			}
		}
	}
	for i := range s.List {
		if l := &s.List[i]; !l.Settled() {
			out = append(out, OpenItem{Kind: "list", Text: l.Name + ": still to get.", Step: l.Step})
		}
	}
	for _, f := range s.Found {
		text := "Found, not done: " + f.What
		if f.Severity != "" {
			text += " (" + f.Severity + ")"
		}
		out = append(out, OpenItem{Kind: "found", Text: text + "."})
	}
	return out
}
