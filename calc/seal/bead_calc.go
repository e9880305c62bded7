package seal

import (
	"fmt"
	"math"

	"lastbolt/calc"
	"lastbolt/calc/figure"
	"lastbolt/quantity"
)

var _ = Group.Add(func() calc.Definition {
	return calc.Definition{
		Name:  "sealant-bead",
		Title: "Bead of sealant",
		About: "Tells how much sealant a joint takes, how many tubes that is, and how wide the bead is pressed when the joint closes.",
		Method: "The bead's volume is π/4·d²·L. The length comes from the points of the outline, from the lengths of its pieces, or from a perimeter; a loop round a bolt " +
			"hole adds its circumference. Pressed to a gap the bead spreads to π·d²/(4·gap) if nothing is lost.\n\nThe bead is taken as round; corners and starts add the waste asked for.",
		Inputs: []calc.Input{
			lengthInput("perimeter", "Length of the outline", "Or give its points, or the lengths of its pieces."),
			{Name: "points", Title: "Points of the outline", Kind: calc.Table, Optional: true, MaxRows: 200, Help: "In order round the face.", Columns: []calc.Input{
				{Name: "x", Title: "x", Kind: "length", Unit: "mm"}, {Name: "y", Title: "y", Kind: "length", Unit: "mm"}}},
			{Name: "closed", Title: "The outline closes on itself", Kind: calc.YesNo, Default: "yes"},
			{Name: "lengths", Title: "Lengths of its pieces", Kind: calc.Table, Optional: true, MaxRows: 200, Columns: []calc.Input{
				{Name: "length", Title: "Length", Kind: "length", Unit: "mm", Min: "0 mm", Above: true}}},
			{Name: "holes", Title: "Bolt holes with a loop round them", Kind: calc.Count, Default: "0", Min: "0", Max: "200"},
			{Name: "loop", Title: "Diameter of such a loop", Kind: "length", Unit: "mm", Default: "14 mm", Min: "1 mm", Max: "500 mm"},
			{Name: "bead", Title: "Diameter of the bead", Kind: "length", Unit: "mm", Default: "3 mm", Min: "0.5 mm", Max: "20 mm"},
			{Name: "gap", Title: "Gap the joint closes to", Kind: "length", Unit: "mm", Default: "0.25 mm", Min: "0.01 mm", Max: "10 mm"},
			lengthInput("face", "Width of the face", "Left out, the spread is not judged."),
			{Name: "tube", Title: "Contents of a tube", Kind: "volume", Unit: "mL", Default: "80 mL", Min: "1 mL", Max: "10 L"},
			{Name: "waste", Title: "Waste", Kind: calc.Number, Unit: "%", Default: "10", Min: "0", Max: "100"},
		},
		Outputs: []calc.Output{
			{Name: "volume", Title: "Volume of the bead", Kind: "volume", Unit: "mL", Digits: 4},
			{Name: "with_waste", Title: "With waste", Kind: "volume", Unit: "mL", Digits: 3},
			{Name: "tubes", Title: "Tubes", Kind: calc.Count},
			{Name: "used", Title: "Of that used", Kind: calc.Number, Unit: "tubes", Digits: 2},
			{Name: "length", Title: "Length of the bead", Kind: "length", Unit: "mm", Digits: 4},
			{Name: "spread", Title: "Pressed to a width of", Kind: "length", Unit: "mm", Digits: 4},
			{Name: "wanted", Title: "Bead that just covers half the face", Kind: "length", Unit: "mm", Digits: 2, Optional: true},
		},
		Sources: []calc.Source{
			{Text: "Volume of a round bead and of its spread: geometry", Known: calc.Published},
			{Text: "Waste of 10 %, and a bead that covers about half the face", Known: calc.CommonPractice}},
		Cautions: []string{"Too much is worse than too little: what squeezes inwards breaks off and blocks oil and coolant ways.",
			"The maker's bead size and path go before this."},
		Example: map[string]string{"perimeter": "850 mm", "bead": "3 mm", "gap": "0.5 mm", "face": "20 mm"},
		Compute: computeBead,
	}
})

func computeBead(in calc.In, a *calc.Answer) error {
	length, points, err := outlineOf(in)
	if err != nil {
		return err
	}
	loops := quantity.Length(float64(in.Count("holes")) * math.Pi * float64(in.Length("loop")))
	b := Bead{in.Length("bead"), length + loops}
	volume, waste := b.Volume(), in.Number("waste")/100
	count, used := Tubes(volume, in.Volume("tube"), waste)
	spread := b.Spread(in.Length("gap"))
	a.Give("volume", volume)
	a.Give("with_waste", quantity.Volume(float64(volume)*(1+waste)))
	a.Give("tubes", count)
	a.Give("used", used)
	a.Give("length", b.Length)
	a.Give("spread", spread)
	a.Step("Volume", "V = π/4 · d² · L", "= π/4 · %.2f² · %.0f = %.0f mm³", mm(b.Diameter), mm(b.Length), float64(volume)*1e9)
	a.Step("Spread", "w = π · d²/(4 · gap)", "= %.2f mm", mm(spread))
	if in.Has("face") {
		judgeSpread(in, a, spread)
	}
	if points != nil {
		a.Draw(drawOutline(points, in.Yes("closed"), b))
	}
	return nil
}

// judgeSpread compares the spread with the face it lies on.
func judgeSpread(in calc.In, a *calc.Answer, spread quantity.Length) {
	face := in.Length("face")
	wanted := BeadFor(face/2, in.Length("gap"))
	a.Give("wanted", wanted)
	a.Rest("wanted", calc.Advice, "covers half the face")
	switch {
	case spread > face:
		a.Judge(calc.Bad, "The bead spreads to %s, more than the face of %s: sealant squeezes out inwards. A bead of about %s is enough.", show(spread), show(face), show(wanted))
	case spread > face*3/4:
		a.Judge(calc.Careful, "The bead spreads to %s of a face of %s: keep to the outer half, or lay about %s.", show(spread), show(face), show(wanted))
	case spread < face/4:
		a.Judge(calc.Careful, "The bead spreads to only %s of a face of %s: a scratch may leak; lay about %s.", show(spread), show(face), show(wanted))
	default:
		a.Judge(calc.Good, "The bead spreads to %s of a face of %s.", show(spread), show(face))
	}
}

// outlineOf reads the length of the outline, and its points when given.
func outlineOf(in calc.In) (quantity.Length, []Point, error) {
	given := 0
	for _, name := range []string{"perimeter", "points", "lengths"} {
		if in.Has(name) {
			given++
		}
	}
	if given != 1 {
		return 0, nil, in.Refuse("perimeter", "Give the outline once: its length, or its points, or the lengths of its pieces; %d of them are given.", given)
	}
	if in.Has("points") {
		var points []Point
		for _, row := range in.Rows("points") {
			points = append(points, Point{row.Length("x"), row.Length("y")})
		}
		length := Outline(points, in.Yes("closed"))
		if length == 0 {
			return 0, nil, in.Refuse("points", "The points lie all in one place; give at least two that differ.")
		}
		return length, points, nil
	}
	if in.Has("lengths") {
		var total quantity.Length
		for _, row := range in.Rows("lengths") {
			total += row.Length("length")
		}
		return total, nil, nil
	}
	return in.Length("perimeter"), nil, nil
}

// drawOutline draws the bead along its points.
func drawOutline(points []Point, closed bool, b Bead) *figure.Figure {
	minX, minY, maxX, maxY := mm(points[0].X), mm(points[0].Y), mm(points[0].X), mm(points[0].Y)
	var path []figure.Point
	for _, p := range points {
		x, y := mm(p.X), mm(p.Y)
		path = append(path, figure.Point{X: x, Y: -y})
		minX, maxX, minY, maxY = min(minX, x), max(maxX, x), min(minY, y), max(maxY, y)
	}
	pad := 0.08*max(maxX-minX, maxY-minY) + 3
	f := figure.New("Path of the bead", fmt.Sprintf("The outline the bead runs along, %.0f mm in all.", mm(b.Length)), minX-pad, -maxY-pad, maxX+pad, -minY+pad)
	if closed {
		f.Outline(figure.Heavy, path...)
	} else {
		f.Line(figure.Heavy, path...)
	}
	f.Disc(figure.Ink, 1, path[0], pad/6)
	f.Label(figure.Point{X: path[0].X + pad/3, Y: path[0].Y - pad/2}, pad/3, figure.Start, "start")
	return f
}
