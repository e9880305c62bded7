package belt

import (
	"fmt"
	"math"
	"slices"

	"lastbolt/quantity"
)

// A Difference is one way in which a second routing differs from a first.
type Difference struct {
	Pulley int // -1: the whole belt
	Grave  bool
	Say    string
}

// sameWrap is the difference of wrap, in degrees, that a person would not see.
const sameWrap = 5.0

// Compare says how b differs from a on the same drive: pulleys that turn
// another way or are left out, wraps that change, the length.
func Compare(a, b *Solution) []Difference {
	var out []Difference
	add := func(pulley int, grave bool, say string, args ...any) {
		out = append(out, Difference{pulley, grave, capital(fmt.Sprintf(say, args...))})
	}
	for i := range a.Drive.Pulleys {
		name := a.Drive.Pulleys[i].Name
		sa, ina := a.Stop(i)
		sb, inb := b.Stop(i)
		switch {
		case ina && !inb:
			add(i, a.Drive.Pulleys[i].loaded(), "%s is not touched.", name)
		case inb && !ina:
			add(i, false, "%s is touched as well.", name)
		case !ina:
		case sa.Turns != sb.Turns:
			add(i, a.Drive.Pulleys[i].loaded(), "%s turns %s instead of %s.", name, sb.Turns, sa.Turns)
		}
		if !ina || !inb || sa.Turns != sb.Turns {
			continue
		}
		wa, wb, want := degrees(sa.Wrap), degrees(sb.Wrap), a.Drive.advised(i)
		switch {
		case math.Abs(wa-wb) < sameWrap:
		case wb < want && wb < wa:
			add(i, true, "%s is wrapped by %.0f° instead of %.0f°: too little.", name, wb, wa)
		default:
			add(i, false, "%s is wrapped by %.0f° instead of %.0f°.", name, wb, wa)
		}
	}
	if off := b.Effective - a.Effective; math.Abs(float64(off)) > 0.0005 {
		word := "longer"
		if off < 0 {
			word = "shorter"
		}
		add(-1, false, "The belt would have to be %s %s.", mm(quantity.Length(math.Abs(float64(off)))), word)
	}
	return out
}

// Misroutings gives plausible wrong ways near a right one, likeliest to be
// mistaken for it first: one pulley passed on its other side, one idler left
// out, or two neighbours taken in the other order. Each can be laid and does
// not cross itself; whether the belt is long enough stands in its Troubles.
func Misroutings(d Drive, right Routing) ([]Way, error) {
	s, err := Solve(d, right)
	if err != nil {
		return nil, err
	}
	right = s.Routing
	loose := *s.Drive
	loose.Tensioner, loose.Belt.Length = nil, 0
	loose.Pulleys = slices.Clone(s.Drive.Pulleys)
	for i := range loose.Pulleys {
		p := &loose.Pulleys[i]
		p.Measure = p.measure() // before the surface, which it depends on
		p.Surface, p.Turns, p.Known = Either, AnyTurn, Untouched
	}
	for _, t := range right {
		loose.Pulleys[t.Pulley].Known = t.Side
	}
	var found []Way
	try := func(change *Pulley, side Side) error {
		was := *change
		change.Known = side
		defer func() { *change = was }()
		return misroute(&loose, d, right, s, &found)
	}
	if err := misroute(&loose, d, right, s, &found); err != nil {
		return nil, err
	}
	for _, t := range right[1:] {
		p := &loose.Pulleys[t.Pulley]
		other := map[Side]Side{Ribs: Back, Back: Ribs}[t.Side]
		if err := try(p, other); err != nil {
			return nil, err
		}
		if !d.Pulleys[t.Pulley].loaded() && len(right) > 2 {
			if err := try(p, Untouched); err != nil {
				return nil, err
			}
		}
	}
	slices.SortStableFunc(found, func(a, b Way) int {
		switch {
		case math.Abs(float64(a.Off-b.Off)) < 1e-9:
			return 0
		case a.Off < b.Off:
			return -1
		}
		return 1
	})
	return found, nil
}

// misroute adds the routings of a loosened drive that are not the right one.
func misroute(loose *Drive, d Drive, right Routing, s *Solution, found *[]Way) error {
	f, err := Find(*loose, Search{Best: 6})
	if err != nil {
		return err
	}
	for _, w := range f.Ways {
		if same(w.Routing, right) || slices.ContainsFunc(*found, func(x Way) bool { return same(x.Routing, w.Routing) }) {
			continue
		}
		full, err := Solve(d, w.Routing)
		if err != nil {
			continue
		}
		off := misfit(full, s)
		*found = append(*found, Way{Solution: full, Off: off, Fits: off <= quantity.Length(DefaultTolerance)*s.Effective})
	}
	return nil
}

// misfit is how far the right belt is from fitting another routing.
func misfit(other, right *Solution) quantity.Length {
	if t := other.Travel; t != nil {
		belt := right.Effective
		if right.Drive.Belt.Length > 0 {
			belt = right.Drive.Belt.Length
		}
		return max(0, t.Shortest-belt, belt-t.Longest)
	}
	return quantity.Length(math.Abs(float64(other.Effective - right.Effective)))
}
