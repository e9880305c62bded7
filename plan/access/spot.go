package access

import (
	"fmt"
	"strings"

	"lastbolt/quantity"
)

// A Spot is where one fastener of a group is, seen from its head: X from the
// left edge of the part and Y from its top edge. In files it is one text, "20 x
// 15 mm".
type Spot struct {
	X, Y quantity.Written[quantity.Length]
}

// ParseSpot reads a spot, both figures in the unit behind the second.
func ParseSpot(text string) (Spot, error) {
	x, y, ok := strings.Cut(strings.ReplaceAll(text, "×", "x"), "x")
	if !ok {
		return Spot{}, fmt.Errorf("%q is not a place; write how far from the left and from the top, as in 20 x 15 mm", text)
	}
	down, err := quantity.ParseLength(strings.TrimSpace(y))
	if err != nil {
		return Spot{}, fmt.Errorf("%q is not a place: %w", text, err)
	}
	x = strings.TrimSpace(x)
	across, err := quantity.ParseLength(x + " " + down.Unit().String())
	if err != nil {
		return Spot{}, fmt.Errorf("%q is not a place: write the unit once, behind both figures, as in 20 x 15 mm", text)
	}
	return Spot{across, down}, nil
}

// String writes a spot as ParseSpot reads it.
func (s Spot) String() string {
	if s.Y.IsZero() {
		return ""
	}
	return strings.TrimSpace(strings.TrimSuffix(s.X.String(), s.Y.Unit().String())) + " x " + s.Y.String()
}

// MarshalText writes the spot as String does.
func (s Spot) MarshalText() ([]byte, error) { return []byte(s.String()), nil }

// UnmarshalText reads what MarshalText writes.
func (s *Spot) UnmarshalText(text []byte) error {
	got, err := ParseSpot(string(text))
	if err == nil {
		*s = got
	}
	return err
}

// spots checks the places of a group: one for each piece, on the part, no two in
// one place.
func (c *checker) spots(f *Fastener, path string) {
	name := quote(firstNonEmpty(f.Name, f.ID))
	if len(f.At) > 0 && len(f.At) != f.Count {
		c.add(path, fmt.Sprintf("%s has %d places and a count of %d", name, len(f.At), f.Count), "give each piece its place, or leave at: out")
	}
	for i, s := range f.At {
		x, y := float64(s.X.Value), float64(s.Y.Value)
		if s.X.IsZero() || s.Y.IsZero() || !(x >= 0 && y >= 0 && x <= mostLength && y <= mostLength) {
			c.add(at(path, i), fmt.Sprintf("the place %s of %s is not on a part", quote(s.String()), name), "measure from the left edge and from the top edge, as in 20 x 15 mm")
			continue
		}
		for k := range i {
			if o := f.At[k]; o.X.Value == s.X.Value && o.Y.Value == s.Y.Value {
				c.add(at(path, i), fmt.Sprintf("two pieces of %s are at %s", name, s), "mend one of the places")
			}
		}
	}
}
