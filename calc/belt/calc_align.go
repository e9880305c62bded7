package belt

import (
	"math"

	"lastbolt/calc"
	"lastbolt/quantity"
)

// alignments are how far pulleys may be out of line.
var alignments = []struct {
	name, title string
	most        float64 // degrees
	known       calc.Known
	why         string
}{
	{"ribbed", "V-ribbed belt", math.Atan(1.0/16/12) * 180 / math.Pi, calc.Published, "1/16 in per foot, a maker's check-list"},
	{"V", "V belt", 0.5, calc.Published, "0.5°, alignment table of a maker of alignment tools"},
	{"toothed", "toothed belt", 0.25, calc.Published, "0.25°, the same table"},
}

var _ = Group.Add(func() calc.Definition {
	return calc.Definition{
		Name:  "belt-alignment",
		Title: "Are the pulleys in line?",
		About: "Turns a gap under a straightedge, or the offset of a belt over a span, into an angle and holds it against what the kind of belt bears.",
		Method: "angle = atan(offset / distance). Lay a straightedge on the face of one pulley and measure the gap at the far edge of the other: the distance is between the points measured. Offset of whole pulleys and tilt add up.\n\n" +
			"The limits are those of published maintenance tables for two-pulley drives; a vehicle maker's own figure comes first.",
		Inputs: []calc.Input{
			{Name: "offset", Title: "Out of line by", Kind: "length", Unit: "mm", Min: "0 mm", Max: "1 m"},
			{Name: "distance", Title: "Over a distance of", Kind: "length", Unit: "mm", Min: "1 mm", Max: "20 m"},
			{Name: "belt", Title: "Belt", Kind: calc.Choice, Default: "ribbed", Choices: []calc.Option{{Value: "ribbed", Title: "V-ribbed belt"}, {Value: "V", Title: "V belt"}, {Value: "toothed", Title: "toothed belt"}}},
		},
		Outputs: []calc.Output{
			{Name: "angle", Title: "Out of line by an angle of", Kind: "angle", Unit: "°", Digits: 3},
			{Name: "allowed", Title: "Allowed angle", Kind: "angle", Unit: "°", Digits: 3},
			{Name: "allowed_offset", Title: "Allowed over this distance", Kind: "length", Unit: "mm", Digits: 3},
			{Name: "per_100", Title: "Allowed over 100 mm", Kind: "length", Unit: "mm", Digits: 3},
		},
		Sources: []calc.Source{
			{Text: "V belts 0.5°, toothed belts 0.25°: seiffertindustrial.com, recommended pulley alignment values", Known: calc.Published},
			{Text: "V-ribbed belts 1/16 in per foot: a maker's check-list (scribd.com 268743506)", Known: calc.Published},
		},
		Example: map[string]string{"offset": "1 mm", "distance": "320 mm"},
		Compute: func(in calc.In, a *calc.Answer) error {
			off, far := float64(in.Length("offset")), float64(in.Length("distance"))
			for _, al := range alignments {
				if al.name != in.Choice("belt") {
					continue
				}
				angle := math.Atan(off/far) * 180 / math.Pi
				tan := math.Tan(al.most * math.Pi / 180)
				a.Give("angle", quantity.Degree.Of(angle))
				a.Give("allowed", quantity.Degree.Of(al.most))
				a.Rest("allowed", calc.Tabulated, al.why)
				a.Give("allowed_offset", quantity.Length(far*tan))
				a.Give("per_100", milli(100*tan))
				a.Step("Angle", "atan(offset / distance)", "= %.3f°", angle)
				switch {
				case angle <= al.most:
					a.Judge(calc.Good, "In line: %.2f° of %.2f° allowed.", angle, al.most)
				default:
					a.Judge(calc.Bad, "Out of line: %.2f°, and a %s bears %.2f°. Look for a pulley not pressed home, a wrong spacer or a bent bracket.", angle, al.title, al.most)
				}
			}
			return nil
		},
	}
})

// cracks that condemn a neoprene ribbed belt, in 3 inches of one rib.
const condemnedCracks = 3

var _ = Group.Add(func() calc.Definition {
	return calc.Definition{
		Name:  "belt-wear",
		Title: "Is the ribbed belt worn out?",
		About: "Judges a belt by what can be seen and measured on it, and by its distance.",
		Method: "A neoprene belt shows its age in cracks: three within 3 inches (76 mm) of one rib, or a missing piece, and it is done. An EPDM belt rarely cracks; it wears like a tyre, its grooves turning from V to U until the ribs touch the bottom of the pulley's grooves. When they do, the belt slips, first when wet.\n\n" +
			"Rib wear: a belt whose ribs have sunk by c lies lower on every grooved pulley, and the way round is shorter by c times the wraps of its ribs, which the tensioner has to take up. Give the wrap of all grooved pulleys together (belt-run lists them).",
		Inputs: []calc.Input{
			{Name: "material", Title: "Material", Kind: calc.Choice, Default: "not known", Choices: calc.Options("neoprene", "EPDM", "not known"), Help: "Belts since about 2000 are mostly EPDM."},
			{Name: "cracks", Title: "Most cracks in 76 mm of one rib", Kind: calc.Count, Default: "0", Min: "0", Max: "500"},
			{Name: "missing", Title: "Pieces of rib missing", Kind: calc.YesNo, Default: "no"},
			{Name: "bottomed", Title: "Ribs touch the bottom of the grooves", Kind: calc.YesNo, Default: "no", Help: "Shiny groove bottoms, or the belt sits flush with the rim."},
			{Name: "soaked", Title: "Soaked with oil or coolant", Kind: calc.YesNo, Default: "no"},
			{Name: "driven", Title: "Distance on this belt", Kind: "length", Unit: "km", Optional: true, Min: "0 km"},
			{Name: "sunk", Title: "Ribs sunk by", Kind: "length", Unit: "mm", Optional: true, Min: "0 mm", Max: "5 mm"},
			{Name: "rib_wraps", Title: "Wraps of all grooved pulleys together", Kind: "angle", Unit: "°", Optional: true, Min: "0 °", Above: true, Max: "30 turn"},
		},
		Outputs: []calc.Output{
			{Name: "replace", Title: "Replace it", Kind: calc.YesNo},
			{Name: "inspect_left", Title: "Distance until it must be looked at", Kind: "length", Unit: "km", Optional: true},
			{Name: "replace_left", Title: "Distance until it is replaced in any case", Kind: "length", Unit: "km", Optional: true},
			{Name: "take_up", Title: "Taken up by the tensioner through wear", Kind: "length", Unit: "mm", Optional: true},
		},
		Sources: []calc.Source{
			{Text: "Neoprene: replace at 3 cracks in 3 in of one rib or missing pieces: trade articles (ricksfreeautorepairadvice.com)", Known: calc.Published},
			{Text: "EPDM: wears instead of cracking: belt makers' technical pages", Known: calc.Published},
			{Text: "Look at it from 60 000 miles, replace it by 90 000: a belt maker's page quoting the Car Care Council", Known: calc.Published},
		},
		Cautions: []string{"No standard or law gives a wear limit; the maker's own interval comes first."},
		Example:  map[string]string{"material": "EPDM", "cracks": "1", "driven": "80000 km"},
		Compute:  computeWear,
	}
})

func computeWear(in calc.In, a *calc.Answer) error {
	bad := false
	condemn := func(when bool, say string, args ...any) {
		if when {
			bad = true
			a.Judge(calc.Bad, say, args...)
		}
	}
	condemn(in.Count("cracks") >= condemnedCracks, "%d cracks in 76 mm of one rib: replace it from 3 on.", in.Count("cracks"))
	condemn(in.Yes("missing"), "Pieces of rib are missing: replace it.")
	condemn(in.Yes("bottomed"), "The ribs are worn down to the groove bottoms: the belt slips, first when wet. Replace it.")
	condemn(in.Yes("soaked"), "A soaked belt swells and slips: stop the leak, clean the pulleys, replace it.")
	if in.Has("driven") {
		driven := in.Length("driven")
		inspect, replace := quantity.Mile.Of(60000), quantity.Mile.Of(90000)
		a.Give("inspect_left", max(0, inspect-driven))
		a.Give("replace_left", max(0, replace-driven))
		a.Rest("replace_left", calc.Advice, "60 000 and 90 000 miles, a belt maker's page")
		condemn(driven >= replace, "It has run %s; 90 000 miles (145 000 km) is the usual end.", quantity.Kilometre.Format(driven, 6))
		if driven >= inspect && driven < replace {
			a.Judge(calc.Careful, "It has run past 60 000 miles (97 000 km): look at it at every service.")
		}
	}
	if in.Count("cracks") > 0 && in.Count("cracks") < condemnedCracks {
		a.Judge(calc.Careful, "The first cracks show; look again soon.")
	}
	if in.Has("sunk") && in.Has("rib_wraps") {
		take := quantity.Length(float64(in.Length("sunk")) * float64(in.Angle("rib_wraps")))
		a.Give("take_up", take)
		a.Step("Taken up", "c · wraps of the ribs", "= %s", mm(take))
	}
	if in.Choice("material") == "EPDM" {
		a.Note("EPDM hides its age: few or no cracks say little. Lay a new belt or a rib gauge beside it and compare the depth of the grooves.")
	}
	if !bad {
		a.Judge(calc.Good, "Nothing here says that it must be replaced.")
	}
	a.Give("replace", bad)
	return nil
}
