package seal

import (
	"cmp"
	"math"
	"slices"

	"lastbolt/quantity"
)

// A Reading is what was measured of a ring that lies before you.
type Reading struct {
	Inside, Outside Toleranced // diameters; one is enough, Nominal 0 is not measured
	Section         Toleranced // Tolerance is how far the reading may be off
	// Worn says that the ring has been in use: its section may have flattened by
	// up to a fifth and its diameter grown by up to 3 % (common practice).
	Worn bool
}

// What a used ring may have changed by, as shares.
const (
	mostSet  = 0.20
	mostGrow = 0.03
)

// A Candidate is a ring of the tables that a reading may be.
type Candidate struct {
	Ring    Ring
	Section quantity.Length // reading less the table's section
	Across  quantity.Length // reading less the table's diameter, outside when only that was measured
	// Off is the larger of the two against what size's tolerance and reading
	// allow: to 1 the reading fits the size.
	Off float64
}

// Fits reports whether the reading lies within the size's tolerance and its own.
func (c Candidate) Fits() bool { return c.Off <= 1 }

// Recognise finds the sizes a measured ring may be, the likeliest first, at most
// so many; sizes off by more than twice what the tolerances allow are left out.
// The section is matched before the diameter, for the series lie far apart by
// section. The error is a sentence.
func Recognise(m Reading, most int) ([]Candidate, error) {
	if m.Inside.Nominal == 0 && m.Outside.Nominal > 0 && m.Section.Nominal > 0 && m.Outside.Nominal <= 2*m.Section.Nominal {
		return nil, refuse("A ring %s across cannot be %s thick: the section must be less than half the outside diameter.", show(m.Outside.Nominal), show(m.Section.Nominal))
	}
	if m.Section.Nominal <= 0 || m.Inside.Nominal <= 0 && m.Outside.Nominal <= 0 {
		return nil, refuse("The section and one diameter must be measured, and both be more than 0.")
	}
	if in, out := m.Inside, m.Outside; in.Nominal > 0 && out.Nominal > 0 {
		gap := math.Abs(float64(out.Nominal - in.Nominal - 2*m.Section.Nominal))
		if gap > float64(in.Tolerance+out.Tolerance+2*m.Section.Tolerance)+0.1*float64(m.Section.Nominal)*2 {
			return nil, refuse("The readings contradict each other: outside %s less inside %s is not twice the section of %s. Measure again, without squeezing the ring.",
				show(out.Nominal), show(in.Nominal), show(m.Section.Nominal))
		}
	}
	var all []Candidate
	for _, r := range AllRings() {
		if c := m.against(r); c.Off <= 2 {
			all = append(all, c)
		}
	}
	slices.SortStableFunc(all, func(a, b Candidate) int {
		if a.Fits() != b.Fits() {
			return cmp.Compare(a.Off, b.Off)
		}
		if d := cmp.Compare(rank(a.Ring.Standard), rank(b.Ring.Standard)); d != 0 && a.Fits() {
			return d
		}
		return cmp.Compare(a.Off, b.Off)
	})
	return all[:min(most, len(all))], nil
}

// rank puts the standards before the trade sizes.
func rank(s Standard) int {
	if s == Trade {
		return 1
	}
	return 0
}

// against compares a reading with one size.
func (m Reading) against(r Ring) Candidate {
	c := Candidate{Ring: r, Section: m.Section.Nominal - r.Section.Nominal}
	thin := float64(m.Section.Tolerance + r.Section.Tolerance)
	thick := thin
	if m.Worn { // a flattened section reads too small
		thin += mostSet * float64(r.Section.Nominal)
	}
	c.Off = beside(float64(c.Section), thin, thick)
	across := func(reading Toleranced, size, tolerance quantity.Length) {
		d := reading.Nominal - size
		low := float64(reading.Tolerance + tolerance)
		high := low
		if m.Worn { // a swollen or stretched ring reads too large
			high += mostGrow * float64(size)
		}
		if off := beside(float64(d), low, high); c.Across == 0 || off > c.Off {
			c.Across = d
			c.Off = math.Max(c.Off, off)
		}
	}
	if m.Outside.Nominal > 0 {
		across(m.Outside, r.Outside(), r.Inside.Tolerance+2*r.Section.Tolerance)
	}
	if m.Inside.Nominal > 0 {
		across(m.Inside, r.Inside.Nominal, r.Inside.Tolerance)
	}
	return c
}

// beside measures a difference by what is allowed below and above.
func beside(d, low, high float64) float64 {
	if d < 0 {
		return -d / low
	}
	return d / high
}
