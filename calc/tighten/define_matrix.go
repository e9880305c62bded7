package tighten

import (
	"fmt"
	"strconv"
	"strings"

	"lastbolt/calc"
)

var _ = Group.Add(func() calc.Definition {
	return calc.Definition{
		Name:  "interaction-matrix",
		Title: "What bolts of a ring take from each other",
		About: "Follows the load of every bolt of a ring through passes of tightening when each bolt that is raised lets go its two neighbours, " +
			"and finds the loads to set so that a single pass leaves all equal.",
		Method: "A bolt raised by Δ changes each adjacent bolt that already carries by −α·Δ, never below nothing, and no other; " +
			"a bolt is only raised, never let back. With the matrix A of these changes the loads set S and the loads left F are bound by F = A·S in the order of tightening, " +
			"so that S = A⁻¹·F gives the loads for one pass.",
		Inputs: []calc.Input{
			{Name: "count", Title: "Number of bolts", Kind: calc.Count, Min: "2", Max: strconv.Itoa(MaxBolts)},
			{Name: "alpha", Title: "Taken from each neighbour", Kind: calc.Number, Min: "0", Max: "1", Default: "0.15",
				Help: "Part of what a bolt is raised by."},
			{Name: "order", Title: "Order", Kind: calc.Text, Optional: true, Help: "All bolt numbers; without it the crossing order."},
			{Name: "passes", Title: "Passes in that order, % of the load", Kind: calc.Text, Default: "100", Help: "Such as 30, 70, 100."},
			{Name: "around", Title: "Passes around at the full load after them", Kind: calc.Count, Min: "0", Max: "10", Default: "0"},
		},
		Outputs: []calc.Output{
			{Name: "mean", Title: "Mean load", Kind: calc.Number, Unit: "%", Digits: 4},
			{Name: "lowest", Title: "Lowest load", Kind: calc.Number, Unit: "%", Digits: 4},
			{Name: "spread", Title: "Highest less lowest", Kind: calc.Number, Unit: "%", Digits: 4},
			{Name: "bolts", Title: "Bolts", Kind: calc.Table, Columns: []calc.Output{
				{Name: "bolt", Title: "Bolt", Kind: calc.Count},
				{Name: "load", Title: "Load left", Kind: calc.Number, Unit: "%", Digits: 4},
				{Name: "set", Title: "To set in one pass", Kind: calc.Number, Unit: "%", Digits: 4},
			}},
			{Name: "sequence", Title: "Order", Kind: calc.Text},
		},
		Sources:  []calc.Source{sourceBibel, sourceRule},
		Cautions: []string{"α differs from joint to joint and is known only by measuring; loads over 100 % must not exceed what the bolt stands."},
		Example:  map[string]string{"count": "8", "alpha": "0.15", "passes": "30, 70, 100", "around": "1"},
		Compute:  computeMatrix,
	}
})

func computeMatrix(in calc.In, a *calc.Answer) error {
	n := in.Count("count")
	seq := Cross(n)
	if in.Has("order") {
		var wrong string
		if seq, wrong = readSequence(in.Text("order"), n); wrong != "" {
			return in.Refuse("order", "Order: %s", wrong)
		}
	}
	shares, wrong := readShares(in.Text("passes"))
	if wrong != "" {
		return in.Refuse("passes", "Passes: %s", wrong)
	}
	var passes []Pass
	for _, s := range shares {
		passes = append(passes, Pass{s, seq})
	}
	around := make([]int, n)
	for i := range around {
		around[i] = i
	}
	for range in.Count("around") {
		passes = append(passes, Pass{1, around})
	}
	matrix := Ring(n, in.Number("alpha"))
	loads, err := matrix.Loads(passes)
	if err != nil {
		return err
	}
	set, err := matrix.OnePass(seq)
	if err != nil {
		return err
	}
	mean, low, high := 0.0, loads[0], loads[0]
	for i, l := range loads {
		mean += l / float64(n)
		low, high = min(low, l), max(high, l)
		a.GiveRow("bolts", i+1, 100*l, 100*set[i])
	}
	a.Give("mean", 100*mean)
	a.Give("lowest", 100*low)
	a.Give("spread", 100*(high-low))
	a.Give("sequence", Written(seq))
	a.Step("Each bolt raised", "Δ = load of the pass − its load; neighbours that carry: − α·Δ", "%d bolts in %d passes", n, len(passes))
	return nil
}

// readShares reads rising percentages up to 100.
func readShares(text string) (shares []float64, wrong string) {
	for _, word := range strings.FieldsFunc(text, func(r rune) bool { return strings.ContainsRune(",; %-", r) }) {
		v, err := strconv.ParseFloat(word, 64)
		if err != nil || !(v > 0 && v <= 100) {
			return nil, fmt.Sprintf("%q is no part of the load; write numbers over 0 and up to 100, such as 30, 70, 100.", word)
		}
		shares = append(shares, v/100)
	}
	if n := len(shares); n == 0 || n > 8 {
		return nil, "write 1 to 8 numbers over 0 and up to 100, such as 30, 70, 100."
	}
	return shares, ""
}

var _ = Group.Add(func() calc.Definition {
	return calc.Definition{
		Name:  "cross-pattern",
		Title: "Crossing order of a round flange",
		About: "Gives the crossing order of evenly spaced bolts on a circle, numbered around, as flange standards list it.",
		Method: "A bolt and the one opposite, the pair a quarter turn on, then the fours in between, each starting about halfway between those done. " +
			"Where the number is even but no multiple of four, it goes by pairs; odd numbers take the nearest to opposite.",
		Inputs: []calc.Input{{Name: "count", Title: "Number of bolts", Kind: calc.Count, Min: "1", Max: "500"}},
		Outputs: []calc.Output{
			{Name: "sequence", Title: "Order", Kind: calc.Text},
			{Name: "groups", Title: "In groups", Kind: calc.Text, Help: "The fours or pairs."},
		},
		Sources:  []calc.Source{sourceRule, sourcePCC},
		Cautions: []string{"An order that the maker gives goes before this one."},
		Example:  map[string]string{"count": "8"},
		Compute: func(in calc.In, a *calc.Answer) error {
			n := in.Count("count")
			seq, size := Cross(n), 1
			if n%4 == 0 {
				size = 4
			} else if n%2 == 0 {
				size = 2
			}
			var groups []string
			for at := 0; at < n; at += size {
				groups = append(groups, Written(seq[at:at+size]))
			}
			a.Give("sequence", Written(seq))
			a.Give("groups", strings.Join(groups, ", "))
			return nil
		},
	}
})
