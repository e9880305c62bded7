package tighten

import (
	"math"
	"slices"
)

// around is clockwise as seen, from bolt 1 on.
func (m *model) around() []int {
	middle := mean(m.lay.bolts)
	seq := make([]int, m.n)
	angle := make([]float64, m.n)
	for b := range seq {
		seq[b] = b
		// The frame is turned but not mirrored, so angles grow clockwise where y runs down.
		d := m.lay.bolts[b].minus(middle)
		angle[b] = math.Atan2(d.y, d.x)
	}
	from := angle[0]
	for b := range angle {
		angle[b] = math.Mod(angle[b]-from+4*math.Pi+1e-9, 2*math.Pi)
	}
	slices.SortStableFunc(seq, func(a, b int) int { return compare(angle[a], angle[b]) })
	return seq
}

// crossing is the rule of the round flange, by the places in the way around.
func (m *model) crossing() []int { return m.places(Cross(m.n)) }

// places makes bolts of places in the way around.
func (m *model) places(at []int) []int {
	ring := m.around()
	seq := make([]int, len(at))
	for k, p := range at {
		seq[k] = ring[p]
	}
	return seq
}

// Cross is the order of a round flange of n bolts by the published rule, as
// places counted around from 0: a bolt and the one opposite, then the pair a
// quarter turn on, then in the same way the fours, or pairs, in between, each
// time about halfway between those done. An odd number of bolts has no true
// opposites and takes the nearest. Fewer than one bolt gives none.
//
// The rule is in MIL-HDBK-60 (1990), 5.7 and figure 4; the lists of ASME PCC-1
// for 4 to 24 bolts, from memory, come out the same.
func Cross(n int) []int {
	group := []int{0}
	switch {
	case n < 1:
		return nil
	case n%4 == 0:
		group = []int{0, n / 2, n / 4, 3 * n / 4}
	case n%2 == 0:
		group = []int{0, n / 2}
	}
	starts := n / len(group)
	var seq []int
	for _, start := range stride(starts) {
		for _, g := range group {
			seq = append(seq, start+g)
		}
	}
	return seq
}

// crossPairs is the same rule as MIL-HDBK-60 figure 4 draws it for 16 bolts: the
// second half of the pairs in a row.
func crossPairs(n int) []int {
	seq := Cross(n)
	if n%8 != 0 {
		return seq
	}
	half := seq[:n/2]
	var rest []int
	for p := range n / 2 {
		if !slices.Contains(half, p) {
			rest = append(rest, p, p+n/2)
		}
	}
	return append(half, rest...)
}

// stride goes over 0 to n−1 in steps of half of n, to the next not yet taken
// where a step meets one that is.
func stride(n int) []int {
	taken := make([]bool, n)
	var all []int
	for at := 0; len(all) < n; at = (at + max(1, n/2)) % n {
		for taken[at] {
			at = (at + 1) % n
		}
		taken[at] = true
		all = append(all, at)
	}
	return all
}

// outward goes by the distance from the middle, of two as far to the one more
// opposite the last.
func (m *model) outward() []int {
	middle := mean(m.lay.bolts)
	left := m.around()
	var seq []int
	for len(left) > 0 {
		nearest := math.Inf(1)
		for _, b := range left {
			nearest = min(nearest, m.lay.bolts[b].to(middle))
		}
		best, at := math.Inf(-1), 0
		for i, b := range left {
			d := m.lay.bolts[b].minus(middle)
			if d.length() > nearest+0.1*m.lay.size {
				continue
			}
			far := -d.length()
			if len(seq) > 0 {
				far = d.to(m.lay.bolts[seq[len(seq)-1]].minus(middle))
			}
			if far > best+1e-6 {
				best, at = far, i
			}
		}
		seq = append(seq, left[at])
		left = slices.Delete(left, at, at+1)
	}
	return seq
}
