package job

import (
	"fmt"
	"math"

	"lastbolt/plan/access"
	"lastbolt/quantity"
)

// KnownBolts reports how many bolts of an item the access map gives places of.
func (s *State) KnownBolts(item string) int {
	n := 0
	for _, g := range s.placedGroups(item) {
		n += len(g.Fastener.At)
	}
	return n
}

// placedGroups are the groups of an item of which the access map gives places.
func (s *State) placedGroups(item string) []Group {
	for _, st := range s.Steps {
		if st.Item != item || !st.Opens && !st.Closes {
			continue
		}
		var out []Group
		for _, g := range st.Groups {
			if len(g.Fastener.At) > 0 {
				out = append(out, g)
			}
		}
		if len(out) > 0 {
			return out
		}
	}
	return nil
}

// edgeOfSheet is the room left beside the outermost bolts of the access map.
const edgeOfSheet = 15.0 // mm

// TakeKnownBolts begins the bolt map of an item with the places that the access
// map gives.
func TakeKnownBolts(item string) Action {
	return open(func(r *Recorder, s *State) ([]Event, error) {
		groups := s.placedGroups(item)
		switch m := s.BoltMap(item); {
		case len(groups) == 0:
			return nil, refuse(CodeMissing, "The access map does not say where these bolts are: tap them on a picture.")
		case m != nil && len(m.Bolts)+len(m.Keep) > 0:
			return nil, refuse(CodeAlready, "There are bolts on the map already.")
		}
		width, height, count := 0.0, 0.0, 0
		for _, g := range groups {
			for _, p := range g.Fastener.At {
				width, height = max(width, p.X.Value.In(quantity.Millimetre)), max(height, p.Y.Value.In(quantity.Millimetre))
				count++
			}
		}
		width, height = math.Ceil(width+edgeOfSheet), math.Ceil(height+edgeOfSheet)
		distance, err := quantity.ParseLength(fmt.Sprintf("%.0f mm", width))
		if err != nil {
			return nil, err
		}
		events := []Event{r.Event(s.ID, KindBoltMap, BoltMapSet{Item: item, Aspect: height / width, Count: count, From: &Point{}, To: &Point{X: 1}, Distance: distance})}
		n := 0
		for _, g := range groups {
			for _, p := range g.Fastener.At {
				n++
				at := Point{X: p.X.Value.In(quantity.Millimetre) / width, Y: p.Y.Value.In(quantity.Millimetre) / width}
				events = append(events, r.Event(s.ID, KindBolt, BoltSet{Item: item, N: n, At: &at, Group: g.ID}))
			}
		}
		return events, nil
	})
}

// places are where the bolts of a group lie by the job's own bolt map, for a
// map kept of the job; the access map's own where there is none, or it has
// another number of them.
func (s *State) places(item string, f access.Fastener) []access.Spot {
	m := s.BoltMap(item)
	if m == nil || m.MM() == 0 {
		return spotsOf(f)
	}
	var out []access.Spot
	for _, b := range m.Bolts {
		if b.Group != f.ID {
			continue
		}
		x, y := b.At.X*m.MM(), b.At.Y*m.MM()
		if x < 0 || y < 0 {
			return spotsOf(f)
		}
		spot, err := access.ParseSpot(fmt.Sprintf("%.1f x %.1f mm", x, y))
		if err != nil {
			return spotsOf(f)
		}
		out = append(out, spot)
	}
	if len(out) != f.Count {
		return spotsOf(f)
	}
	return out
}

// spotsOf are the places a group came with, as long as there is one for each
// piece.
func spotsOf(f access.Fastener) []access.Spot {
	if len(f.At) != f.Count {
		return nil
	}
	return f.At
}
