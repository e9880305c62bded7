package seal

import (
	"fmt"
	"math"

	"lastbolt/calc"
	"lastbolt/quantity"
)

var fromStraightEdge = []calc.Source{
	{Text: "US Army TM 10-3930-653-14&P p. 4-28: head face under 0.1 mm lengthwise and crosswise; TM 5-3810-295-34 p. 4-26: block 0.003 in crosswise, 0.007 in lengthwise", Known: calc.Published},
	{Text: "enginebuildermag.com, August 2010: straight edge over a grid, repeated at right angles", Known: calc.Published},
	{Text: "0.05 mm in any 150 mm, a common shop limit", Known: calc.FromMemory},
}

func limitInputs() []calc.Input {
	return []calc.Input{
		{Name: "limit", Title: "Limit over the whole face", Kind: "length", Unit: "mm", Default: "0.1 mm", Min: "0 mm", Above: true, Help: "From the maker; 0.1 mm is only a common figure."},
		{Name: "span_limit", Title: "Limit within a length", Kind: "length", Unit: "mm", Default: "0.05 mm", Min: "0 mm", Above: true},
		{Name: "span", Title: "That length", Kind: "length", Unit: "mm", Default: "150 mm", Min: "10 mm"},
	}
}

var _ = Group.Add(func() calc.Definition {
	return calc.Definition{
		Name:  "flatness",
		Title: "Flatness of a face by feeler gauge",
		About: "Turns feeler gauge readings over a face into its flatness, bow, twist and worst spot, with a map.",
		Method: "All readings must be taken against one flat reference: the face down on a surface plate, or a straight edge carried on two equal parallels. At each spot the thickest leaf that " +
			"goes and the next that does not bracket the gap; the middle is taken, and the bracket widens the answer.\n\nA plane of least squares takes the tilt of the reference away. " +
			"Flatness is the least distance of two parallel planes that hold every spot; the highest less the lowest over the plane of least squares is told as well and is never smaller. A second-order shape " +
			"gives bow (middle over ends) along and across and twist (one corner off the plane of the other three).\n\nA limit over the whole face and a limit within a length are " +
			"separate: both must hold. The second is checked with every straight edge that fits over three spots in a line. What lies between the spots is not known.",
		Inputs: append([]calc.Input{
			{Name: "spots", Title: "Readings", Kind: calc.Table, MaxRows: 120, Help: "0 where no leaf goes in.", Columns: []calc.Input{
				{Name: "x", Title: "x", Kind: "length", Unit: "mm"},
				{Name: "y", Title: "y", Kind: "length", Unit: "mm"},
				{Name: "leaf", Title: "leaf that goes", Kind: "length", Unit: "mm", Min: "0 mm", Max: "20 mm"},
				{Name: "next", Title: "next that does not", Kind: "length", Unit: "mm", Min: "0 mm", Max: "20 mm", Optional: true}}},
		}, limitInputs()...),
		Outputs: []calc.Output{
			{Name: "flatness", Title: "Flatness", Kind: "length", Unit: "mm", Digits: 2},
			{Name: "squares", Title: "Highest less lowest over the fitted plane", Kind: "length", Unit: "mm", Digits: 3},
			{Name: "worst", Title: "Worst spot", Kind: calc.Text},
			{Name: "worst_height", Title: "It stands over the fitted plane by", Kind: "length", Unit: "mm", Digits: 3},
			{Name: "bow_x", Title: "Bow along x, middle over ends", Kind: "length", Unit: "mm", Digits: 3, Optional: true},
			{Name: "bow_y", Title: "Bow along y, middle over ends", Kind: "length", Unit: "mm", Digits: 3, Optional: true},
			{Name: "twist", Title: "Twist, one corner off the plane of the others", Kind: "length", Unit: "mm", Digits: 3, Optional: true},
			{Name: "straight", Title: "Worst under a straight edge", Kind: "length", Unit: "mm", Digits: 3, Optional: true},
			{Name: "within_span", Title: "Worst within the length", Kind: "length", Unit: "mm", Digits: 3, Optional: true},
			{Name: "heights", Title: "Heights over the fitted plane", Kind: calc.Table, Columns: []calc.Output{
				{Name: "x", Title: "x", Kind: "length", Unit: "mm"}, {Name: "y", Title: "y", Kind: "length", Unit: "mm"},
				{Name: "height", Title: "Height", Kind: "length", Unit: "mm", Digits: 2}}},
		},
		Sources: append([]calc.Source{
			{Text: "Plane of least squares; flatness as the distance of two parallel planes (ISO 1101's definition, from memory)", Known: calc.FromMemory}}, fromStraightEdge...),
		Cautions: []string{"The maker's limit goes before the common ones.", "Measure cold and clean, with the old gasket gone from every hollow."},
		Example: map[string]string{"spots": "0; 0; 0.04; 0.05\n190; 0; 0.06; 0.07\n380; 0; 0.04; 0.05\n0; 70; 0.05; 0.06\n190; 70; 0.10; 0.12\n380; 70; 0.05; 0.06\n" +
			"0; 140; 0.03; 0.04\n190; 140; 0.07; 0.08\n380; 140; 0.05; 0.06"},
		Compute: computeFlatness,
	}
})

func computeFlatness(in calc.In, a *calc.Answer) error {
	var spots []Spot
	for _, row := range in.Rows("spots") {
		spots = append(spots, Spot{row.Length("x"), row.Length("y"), row.Length("leaf"), row.Length("next")})
	}
	f, err := Measure(spots)
	if err != nil {
		return in.Refuse("spots", "%v", err)
	}
	if f.ZoneHigh > f.Zone {
		a.GiveBand("flatness", f.ZoneLow, f.Zone, f.ZoneHigh)
	} else {
		a.Give("flatness", f.Zone)
	}
	a.Give("squares", f.Squares)
	a.Give("worst", spotName(f.Worst, spots))
	a.Give("worst_height", f.Heights[f.Worst])
	if f.BowKnown {
		a.Give("bow_x", f.BowX)
		a.Give("bow_y", f.BowY)
	}
	if f.TwistKnown {
		a.Give("twist", f.Twist)
	}
	for i, s := range spots {
		a.GiveRow("heights", s.X, s.Y, f.Heights[i])
	}
	judgeOverall(a, f, in.Length("limit"))
	judgeSpan(in, a, f, spots)
	a.Step("Plane", "z = a + b·x + c·y, least squares", "b = %.4f mm/m, c = %.4f mm/m", f.Tilt[0]*1000, f.Tilt[1]*1000)
	a.Draw(drawFlatness(spots, f))
	return nil
}

func spotName(i int, spots []Spot) string {
	return fmt.Sprintf("spot %d at %.0f, %.0f mm", i+1, mm(spots[i].X), mm(spots[i].Y))
}

func judgeOverall(a *calc.Answer, f Flatness, limit quantity.Length) {
	switch {
	case f.ZoneLow > limit:
		a.Judge(calc.Bad, "The face is off by %s and the limit is %s: it must be machined or replaced.", fine(f.Zone), show(limit))
	case f.ZoneHigh > limit:
		a.Judge(calc.Careful, "The face is off by %s to %s and the limit is %s: the leaves cannot tell; measure with finer ones.", fine(f.ZoneLow), fine(f.ZoneHigh), show(limit))
	default:
		a.Judge(calc.Good, "The face is flat within %s; the limit is %s.", fine(f.ZoneHigh), show(limit))
	}
}

// judgeSpan compares straight edges with both limits.
func judgeSpan(in calc.In, a *calc.Answer, f Flatness, spots []Spot) {
	if f.Straight.At < 0 {
		a.Note("No three spots lie in a line, so the limit within a length could not be checked.")
		return
	}
	a.Give("straight", quantity.Length(math.Abs(float64(f.Straight.Off))))
	within := Straightest(spots, in.Length("span"))
	if within.At < 0 {
		a.Note("No three spots in a line lie within %s; measure closer together to check that limit.", show(in.Length("span")))
		return
	}
	off := quantity.Length(math.Abs(float64(within.Off)))
	a.Give("within_span", off)
	word := "hump"
	if within.Off < 0 {
		word = "hollow"
	}
	if off > in.Length("span_limit") {
		a.Judge(calc.Bad, "A %s of %s at %s within %s, where %s is the limit.", word, fine(off), spotName(within.At, spots), show(within.Length), show(in.Length("span_limit")))
	} else {
		a.Judge(calc.Good, "No more than %s within %s.", fine(off), show(in.Length("span")))
	}
}

// fine prints a small length.
func fine(l quantity.Length) string { return fmt.Sprintf("%.3f mm", mm(l)) }
