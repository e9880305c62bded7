package fastener

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"lastbolt/calc"
	"lastbolt/pattern"
	"lastbolt/quantity"
)

// A Reading is what was measured on a bolt; a zero is not known.
type Reading struct {
	System  System          // "" is not known
	Outside quantity.Length // over the thread's tips
	Pitch   quantity.Length // by gauge
	Flats   quantity.Length // of the hexagon
}

// A Candidate is a thread that a reading may be.
type Candidate struct {
	Thread Thread
	Off    float64 // how far the reading is off, 0 at best; only the order counts
	Why    []string
}

// The room given to a measured bolt.
const (
	overNominal = 0.05 // mm over the nominal diameter: dirt, paint, a caliper's error
	wornBelow   = 0.15 // mm below the least diameter of a good bolt
	pitchRoom   = 0.03 // of the pitch: what a gauge or ten counted threads tell apart
	flatsRoom   = 0.30 // mm: hexagons are made below their size
)

// Identify lists the threads a reading can be, likeliest first. A reading of
// nothing gives none.
func Identify(r Reading) []Candidate {
	if r.Outside == 0 && r.Pitch == 0 && r.Flats == 0 {
		return nil
	}
	var all []Candidate
	for _, system := range []System{Metric, Unified} {
		if r.System != "" && r.System != system {
			continue
		}
		for _, t := range Threads(system) {
			if c, ok := compare(t, r); ok {
				all = append(all, c)
			}
		}
	}
	slices.SortStableFunc(all, func(a, b Candidate) int {
		switch {
		case a.Off < b.Off:
			return -1
		case a.Off > b.Off:
			return 1
		}
		return 0
	})
	return all
}

// compare tells how a thread goes with a reading.
func compare(t Thread, r Reading) (c Candidate, ok bool) {
	c.Thread = t
	millimetres := func(l quantity.Length) float64 { return l.In(quantity.Millimetre) }
	if r.Outside > 0 {
		least, most := millimetres(LimitsOf(t).MajorMin)-wornBelow, millimetres(t.Major)+overNominal
		measured := millimetres(r.Outside)
		if measured < least || measured > most {
			return c, false
		}
		usual := (millimetres(t.Major) + millimetres(LimitsOf(t).MajorMin)) / 2
		c.Off += math.Abs(measured-usual) / (most - least)
		c.Why = append(c.Why, "diameter")
	}
	if r.Pitch > 0 {
		off := math.Abs(float64(r.Pitch/t.Pitch) - 1)
		if off > pitchRoom {
			return c, false
		}
		c.Off += off / pitchRoom
		c.Why = append(c.Why, "pitch")
	}
	if r.Flats > 0 {
		head, found := nearestHead(t, r.Flats)
		if !found {
			if r.Outside == 0 || r.Pitch == 0 {
				return c, false
			}
			c.Off++ // diameter and pitch outweigh an unusual head
			return rank(c), true
		}
		c.Off += map[string]float64{"hexagon": 0, "flange": 0.2, "older hexagon": 0.2, "small hexagon": 0.3, "small flange": 0.3}[head.Kind]
		c.Why = append(c.Why, head.Kind)
	}
	return rank(c), true
}

// rank puts the usual series before the others.
func rank(c Candidate) Candidate {
	c.Off += map[Series]float64{Coarse: 0, Fine: 0.4, Special: 0.8}[c.Thread.Series]
	return c
}

func nearestHead(t Thread, flats quantity.Length) (HeadSize, bool) {
	for _, h := range HeadSizes(t) {
		if math.Abs((flats - h.Flats).In(quantity.Millimetre)) <= flatsRoom {
			return h, true
		}
	}
	return HeadSize{}, false
}

var pitchSpelling = pattern.Of(`^(\d+(?:[.,]\d+)?) ?(mm|tpi|per inch|/in|)$`)

// parsePitch reads a pitch gauge: "1.25", "1.25 mm", "18 tpi", "18 per inch". A
// bare number is mm up to 6 and threads per inch above.
func parsePitch(text string) (quantity.Length, error) {
	m := pitchSpelling().FindStringSubmatch(strings.ToLower(strings.Join(strings.Fields(text), " ")))
	if m == nil {
		return 0, fmt.Errorf("%q is not a pitch; write it as in 1.25 mm or 18 per inch", text)
	}
	n, err := strconv.ParseFloat(strings.Replace(m[1], ",", ".", 1), 64)
	if err != nil || n == 0 || math.IsInf(n, 0) {
		return 0, fmt.Errorf("%q is not a pitch; write it as in 1.25 mm or 18 per inch", text)
	}
	if m[2] == "mm" || m[2] == "" && n <= 6 {
		return mm(n), nil
	}
	return quantity.Inches(1 / n), nil
}

var _ = Group.Add(func() calc.Definition {
	return calc.Definition{
		Name:  "thread-from-measure",
		Title: "What thread is this bolt?",
		About: "The threads a bolt can be, from the size of its head, a pitch gauge and a caliper, with what is left open.",
		Method: "A bolt measures a little less than its name over the tips. The pitch is read with a gauge, or over ten threads divided by ten. The head alone does not give the thread: " +
			"the same hexagon comes on different threads in different standards. Each thread that goes with all that was measured is listed, the usual ones first.",
		Inputs: []calc.Input{
			{Name: "system", Title: "System", Kind: calc.Choice, Choices: calc.Options("not known", "metric", "unified"), Default: "not known"},
			{Name: "outside", Title: "Diameter over the thread", Kind: "length", Unit: "mm", Min: "0 mm", Above: true, Max: "110 mm", Optional: true},
			{Name: "pitch", Title: "Pitch gauge", Kind: calc.Text, Optional: true, Help: "1.25 mm, or 18 per inch."},
			{Name: "flats", Title: "Head across flats", Kind: "length", Unit: "mm", Min: "0 mm", Above: true, Max: "200 mm", Optional: true},
		},
		Outputs: []calc.Output{
			{Name: "likely", Title: "Likeliest", Kind: calc.Text},
			{Name: "count", Title: "Threads it can be", Kind: calc.Count},
			{Name: "candidates", Title: "What it can be", Kind: calc.Table, Columns: []calc.Output{
				{Name: "thread", Title: "Thread", Kind: calc.Text},
				{Name: "series", Title: "Series", Kind: calc.Text},
				{Name: "diameter", Title: "Diameter", Kind: "length", Unit: "mm", Digits: 4},
				{Name: "pitch", Title: "Pitch", Kind: calc.Text},
				{Name: "goes_with", Title: "Goes with", Kind: calc.Text}}},
		},
		Sources: []calc.Source{
			{Text: "ISO 261, ISO 965-1, ASME B1.1: threads and their limits", Known: calc.FromMemory},
			{Text: "head sizes: ISO 4014, DIN 931, Japanese small series (Yamaha EK25BMH service manual, p. 2-12), ASME B18.2.1", Known: calc.Published},
			{Text: "the room given to worn and painted bolts", Known: calc.CommonPractice},
		},
		Example: map[string]string{"outside": "7.85 mm", "pitch": "1.25 mm", "flats": "13 mm"},
		Compute: computeMeasure,
	}
})

// mostCandidates are listed; more say only that too little was measured.
const mostCandidates = 12

func computeMeasure(in calc.In, a *calc.Answer) error {
	r := Reading{Outside: in.Length("outside"), Flats: in.Length("flats")}
	if system := in.Choice("system"); system != "not known" {
		r.System = System(system)
	}
	if in.Has("pitch") {
		pitch, err := parsePitch(in.Text("pitch"))
		if err != nil {
			return in.Refuse("pitch", "Pitch gauge: %v.", err)
		}
		r.Pitch = pitch
	}
	if r.Outside == 0 && r.Pitch == 0 && r.Flats == 0 {
		return calc.Cannot("Nothing was measured; give the diameter over the thread, the pitch or the head.")
	}
	if r.Outside > 0 && r.Pitch >= r.Outside {
		return in.Refuse("pitch", "Pitch gauge: a pitch of %s is coarser than the bolt is thick; read the gauge again.", lengthText(r.Pitch))
	}
	all := Identify(r)
	if len(all) == 0 {
		return calc.Cannot("No metric or unified thread goes with all of that; measure again, or it is a pipe, Whitworth or special thread.")
	}
	a.Give("likely", all[0].Thread.Name)
	a.Give("count", len(all))
	for _, c := range all[:min(len(all), mostCandidates)] {
		a.GiveRow("candidates", c.Thread.Name, string(c.Thread.Series), c.Thread.Major, c.Thread.PitchText(), listed(c.Why, "and"))
	}
	judgeMeasure(a, r, all)
	return nil
}

func judgeMeasure(a *calc.Answer, r Reading, all []Candidate) {
	best := all[0].Thread
	var names []string
	for _, c := range all[:min(len(all), mostCandidates)] {
		names = append(names, c.Thread.Name)
	}
	if len(all) == 1 {
		a.Judge(calc.Good, "Only %s goes with all of that. Prove it with a nut or a tap turned in by hand.", best)
		return
	}
	next := "try a nut of each by hand"
	switch {
	case r.Pitch == 0:
		next = "read the pitch with a gauge"
	case r.Outside == 0:
		next = "measure the diameter over the thread"
	}
	if r.Outside == 0 && r.Pitch == 0 {
		a.Judge(calc.Careful, "The head alone does not give the thread: it can be %s. To tell them apart, %s.", listed(names, "or"), next)
		return
	}
	a.Judge(calc.Careful, "It can be %s. To tell them apart, %s.", listed(names, "or"), next)
	mixed := slices.ContainsFunc(all, func(c Candidate) bool { return c.Thread.System != best.System })
	if mixed {
		a.Warn("A metric and an inch thread are among them: they turn in for a few turns and then jam. Never force one.")
	}
}
