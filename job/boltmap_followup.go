package job

import (
	"slices"
	"strings"

	"lastbolt/plan/access"
)

// jointsOf are the joints that were opened by what came off. Wheels are looked
// at again also where the map says only that they are a safety system, and not
// that a wheel joint opens.
func (s *State) jointsOf(c *cycle) []access.Joint {
	opens := c.down.way.Opens
	it := s.Items[c.item]
	if it == nil || it.Critical != "wheels" || slices.ContainsFunc(opens, func(j access.Joint) bool { return j.Kind == "wheel" }) {
		return opens
	}
	return append(slices.Clone(opens), access.Joint{Kind: "wheel"})
}

// retorqueFigures is what the wheels were tightened to, for the follow-up that
// has them tightened again: the maker's figure with its place and, by the bolt
// map, the order. Empty where no maker's figure is known.
func (s *State) retorqueFigures(cycles []*cycle) string {
	var out []string
	say := func(text string) {
		if !slices.Contains(out, text) {
			out = append(out, text)
		}
	}
	for _, c := range cycles {
		it := s.Items[c.item]
		if it == nil || it.Critical != "wheels" && !slices.ContainsFunc(jointsIn(c.down.way), func(j access.Joint) bool { return j.Kind == "wheel" }) {
			continue
		}
		if m := s.BoltMap(c.item); m != nil && m.Order != nil && len(m.Bolts) > 0 {
			if t := m.Torque(m.Bolts[0]); t.Known() && t.Source == access.Maker {
				say(t.String() + " (" + t.Where + "), in the order " + m.OrderText(m.Order.Check))
				continue
			}
		}
		for _, g := range c.down.Groups {
			if t := g.Fastener.Torque; !t.Value.IsZero() && t.Source == access.Maker {
				say(strings.TrimSuffix(t.Value.String()+" ("+t.Where+")", " ()"))
			}
		}
	}
	if len(out) == 0 {
		return ""
	}
	return ". To: " + strings.Join(out, "; ")
}

func jointsIn(w *access.Way) []access.Joint {
	if w == nil {
		return nil
	}
	return w.Opens
}
