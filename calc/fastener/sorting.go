package fastener

import (
	"fmt"
	"slices"

	"lastbolt/calc"
	"lastbolt/quantity"
)

// A Placing is what is known of one hole among several.
type Placing struct {
	Fits []quantity.Length // lengths that go into it, short to long
	// Can are those of them with which every other bolt still finds a hole.
	Can  []quantity.Length
	Take quantity.Length // the length to put there, 0 when none is left
	Sure bool            // no other length can go there
}

// PlaceBolts finds which of several lengths goes into which hole. lengths has one
// entry for each bolt. A length goes into a hole when FitBolt finds it fit or
// limited; Can are the lengths of some way to place every bolt that can be placed.
// Take is one such way, the longer bolts where there is more to clamp. It takes
// time in the order of holes² · bolts · different lengths.
func PlaceBolts(t Thread, wanted float64, holes []Hole, lengths []quantity.Length) []Placing {
	kinds := slices.Compact(slices.Sorted(slices.Values(lengths)))
	m := newMatching(holes, lengths, func(h Hole, l quantity.Length) bool {
		return FitBolt(t, l, h, wanted).Fitness != Unfit
	})
	most := m.size()
	placings := make([]Placing, len(holes))
	for i, h := range holes {
		for _, l := range kinds {
			if FitBolt(t, l, h, wanted).Fitness == Unfit {
				continue
			}
			placings[i].Fits = append(placings[i].Fits, l)
			if m.sizeWith(i, l) == most {
				placings[i].Can = append(placings[i].Can, l)
			}
		}
		placings[i].Sure = len(placings[i].Can) == 1
	}
	take(m, most, holes, placings)
	return placings
}

// take settles one way: hole after hole, the one with most to clamp first, it
// fixes the longest bolt that leaves a place for all others.
func take(m *matching, most int, holes []Hole, placings []Placing) {
	order := make([]int, len(holes))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(a, b int) int {
		switch {
		case holes[a].Grip > holes[b].Grip:
			return -1
		case holes[a].Grip < holes[b].Grip:
			return 1
		}
		return 0
	})
	for _, i := range order {
		for _, l := range slices.Backward(placings[i].Can) {
			if most > 0 && m.sizeWith(i, l) == most {
				m.fill(i, l)
				placings[i].Take = l
				most--
				break
			}
		}
		m.can[i] = nil
	}
}

// A matching pairs holes and bolts, as many as can be, by augmenting paths.
type matching struct {
	lengths []quantity.Length
	can     [][]bool // hole, bolt
}

func newMatching(holes []Hole, lengths []quantity.Length, fits func(Hole, quantity.Length) bool) *matching {
	m := &matching{lengths: lengths}
	for _, h := range holes {
		row := make([]bool, len(lengths))
		for j, l := range lengths {
			row[j] = fits(h, l)
		}
		m.can = append(m.can, row)
	}
	return m
}

// size is the most holes that can be filled.
func (m *matching) size() int {
	holeOf := make([]int, len(m.lengths))
	for j := range holeOf {
		holeOf[j] = -1
	}
	n := 0
	for i := range m.can {
		if m.place(i, holeOf, make([]bool, len(m.lengths))) {
			n++
		}
	}
	return n
}

// place finds a bolt for a hole, moving others to other holes where needed.
func (m *matching) place(hole int, holeOf []int, tried []bool) bool {
	for j, ok := range m.can[hole] {
		if !ok || tried[j] {
			continue
		}
		tried[j] = true
		if holeOf[j] < 0 || m.place(holeOf[j], holeOf, tried) {
			holeOf[j] = hole
			return true
		}
	}
	return false
}

// sizeWith is the size when a hole is filled with a bolt of a length: that one
// and as many of the others as can be. It is 0 when no such bolt is left.
func (m *matching) sizeWith(hole int, length quantity.Length) int {
	before := slices.Clone(m.can)
	defer func() { m.can = before }()
	if !m.fill(hole, length) {
		return 0
	}
	return 1 + m.size()
}

// fill takes a hole and one bolt of a length out of the matching; any of the
// bolts of that length will do, for they fit the same holes.
func (m *matching) fill(hole int, length quantity.Length) bool {
	bolt := -1
	for j, ok := range m.can[hole] {
		if ok && m.lengths[j] == length {
			bolt = j
		}
	}
	if bolt < 0 {
		return false
	}
	for i, row := range m.can {
		if row != nil {
			m.can[i] = slices.Clone(row)
			m.can[i][bolt] = false
		}
	}
	m.can[hole] = nil
	return true
}

var _ = Group.Add(func() calc.Definition {
	return calc.Definition{
		Name:  "which-bolt-where",
		Title: "Which bolt goes into which hole?",
		About: "Sorts bolts of several lengths to their holes, shows where more than one length would go in, and what a swap would do.",
		Method: "Every length is tried in every hole: too short to hold, coming tight on the bottom, or fitting. Then it is checked with which lengths all other bolts still find " +
			"a place. Where only one is left the answer is sure; where several are, only the record of where the bolt came from can tell.",
		Inputs: together([]calc.Input{threadInput(),
			{Name: "bolts", Title: "Bolts", Kind: calc.Table, MaxRows: 20, Columns: []calc.Input{
				{Name: "length", Title: "Length under the head", Kind: "length", Unit: "mm", Min: "0 mm", Above: true, Max: "2 m"},
				{Name: "count", Title: "How many", Kind: calc.Count, Min: "1", Max: "60", Default: "1"}}},
			{Name: "holes", Title: "Holes", Kind: calc.Table, MaxRows: 60, Columns: []calc.Input{
				{Name: "hole", Title: "Hole", Kind: calc.Text},
				{Name: "grip", Title: "Thickness clamped", Kind: "length", Unit: "mm", Min: "0 mm", Max: "2 m"},
				{Name: "thread_depth", Title: "Full thread in the hole", Kind: "length", Unit: "mm", Min: "0 mm", Above: true, Max: "1 m"}}}},
			engagementRuleInputs()),
		Outputs: []calc.Output{
			{Name: "places", Title: "Which goes where", Kind: calc.Table, Columns: []calc.Output{
				{Name: "hole", Title: "Hole", Kind: calc.Text},
				{Name: "take", Title: "Take", Kind: "length", Unit: "mm"},
				{Name: "sure", Title: "Sure", Kind: calc.YesNo},
				{Name: "engagement", Title: "Thread that holds", Kind: "length", Unit: "mm"},
				{Name: "also", Title: "Would go in too", Kind: calc.Text}}},
			{Name: "swaps", Title: "Swaps", Kind: calc.Table, Optional: true, Columns: []calc.Output{
				{Name: "hole", Title: "Hole", Kind: calc.Text},
				{Name: "wrong", Title: "Bolt of", Kind: "length", Unit: "mm"},
				{Name: "what", Title: "What happens", Kind: calc.Text}}},
			{Name: "unsure", Title: "Holes that are not sure", Kind: calc.Count},
			{Name: "empty", Title: "Holes without a bolt", Kind: calc.Count},
		},
		Sources: ruleSources,
		Example: map[string]string{"thread": "M6", "tapped": "cast aluminium", "bolts": "25 mm; 3\n35 mm; 2\n50 mm; 1", "holes": "1; 10 mm; 18 mm\n2; 10 mm; 18 mm\n3; 10 mm; 18 mm\n4; 20 mm; 18 mm\n5; 20 mm; 18 mm\n6; 35 mm; 18 mm"},
		Compute: computePlaces,
	}
})

func computePlaces(in calc.In, a *calc.Answer) error {
	t, err := threadOf(in)
	if err != nil {
		return err
	}
	var lengths []quantity.Length
	for _, row := range in.Rows("bolts") {
		for range row.Count("count") {
			lengths = append(lengths, row.Length("length"))
		}
	}
	var holes []Hole
	var names []string
	for _, row := range in.Rows("holes") {
		holes = append(holes, Hole{Grip: row.Length("grip"), Thread: row.Length("thread_depth")})
		names = append(names, row.Text("hole"))
	}
	if len(lengths) > 200 {
		return in.Refuse("bolts", "Bolts: there are %d; sort at most 200 at a time.", len(lengths))
	}
	wanted := wantedOf(in)
	placings := PlaceBolts(t, wanted, holes, lengths)
	unsure, empty := 0, 0
	for i, p := range placings {
		if p.Take == 0 {
			empty++
			a.GiveRow("places", names[i], nil, false, nil, nil)
			continue
		}
		if !p.Sure {
			unsure++
		}
		var also []string
		for _, l := range p.Fits {
			if l != p.Take {
				also = append(also, lengthText(l))
			}
		}
		a.GiveRow("places", names[i], p.Take, p.Sure, FitBolt(t, p.Take, holes[i], wanted).Engagement, orNothing(listed(also, "and")))
	}
	a.Give("unsure", unsure)
	a.Give("empty", empty)
	giveSwaps(a, t, wanted, names, holes, lengths, placings)
	judgePlaces(a, unsure, empty, len(lengths)-(len(holes)-empty))
	return nil
}

// orNothing leaves a field of a row empty when there is nothing to say.
func orNothing(text string) any {
	if text == "" {
		return nil
	}
	return text
}

// giveSwaps lists what each other length would do in each kind of hole.
func giveSwaps(a *calc.Answer, t Thread, wanted float64, names []string, holes []Hole, lengths []quantity.Length, placings []Placing) {
	type kind struct {
		hole   Hole
		length quantity.Length
	}
	seen := map[kind]bool{}
	for i, h := range holes {
		for _, l := range slices.Compact(slices.Sorted(slices.Values(lengths))) {
			if l == placings[i].Take || seen[kind{h, l}] {
				continue
			}
			seen[kind{h, l}] = true
			a.GiveRow("swaps", namesOf(names, holes, h), l, FitBolt(t, l, h, wanted).Reason)
		}
	}
}

// namesOf lists the holes that are alike.
func namesOf(names []string, holes []Hole, h Hole) string {
	var all []string
	for i := range holes {
		if holes[i] == h {
			all = append(all, names[i])
		}
	}
	return listed(all, "and")
}

func judgePlaces(a *calc.Answer, unsure, empty, left int) {
	if empty > 0 {
		a.Judge(calc.Bad, "%s: a bolt is missing, or a length or a depth is measured wrong.", count(empty, "hole finds no bolt", "holes find no bolt"))
	}
	if left > 0 {
		a.Judge(calc.Careful, "%s left over.", count(left, "bolt is", "bolts are"))
	}
	switch {
	case unsure > 0:
		a.Judge(calc.Careful, "In %s more than one length would go in: go by where each bolt came from.", count(unsure, "hole", "holes"))
	case empty == 0:
		a.Judge(calc.Good, "Every hole takes one length only.")
	}
}

func count(n int, one, many string) string {
	if n == 1 {
		return "1 " + one
	}
	return fmt.Sprintf("%d %s", n, many)
}
