package seal

import (
	"fmt"

	"lastbolt/calc"
)

var _ = Group.Add(func() calc.Definition {
	return calc.Definition{
		Name:  "o-ring-recognise",
		Title: "Which O-ring is this",
		About: "Finds the standard sizes a ring may be from its thickness and one diameter, and says how sure that is.",
		Method: "Each size of the tables (AS568, ISO 3601, JIS B 2401, tube-fitting bosses, metric trade sizes) is compared with the readings. A size fits " +
			"when the reading and the size overlap within the tolerance of both. The section is matched first: the series lie far apart by " +
			"section (1.78, 2.62, 3.53, 5.33, 6.99 mm in inch sizes; 1.8, 2.65, 3.55, 5.3, 7 mm in ISO 3601).\n\nA used ring has flattened, so its section may read up " +
			"to a fifth too small, and it may have swollen, so its diameter may read up to 3 % too large.",
		Inputs: []calc.Input{
			{Name: "section", Title: "Thickness of the cord", Help: "At three places, the mean; do not squeeze it.", Kind: "length", Unit: "mm", Min: "0 mm", Above: true},
			{Name: "section_error", Title: "How far that may be off, ±", Kind: "length", Unit: "mm", Min: "0 mm", Max: "2 mm", Default: "0.05 mm"},
			lengthInput("inside", "Inside diameter", "Laid on a cone or a plug; or measure the outside."),
			lengthInput("outside", "Outside diameter", ""),
			{Name: "diameter_error", Title: "How far the diameter may be off, ±", Kind: "length", Unit: "mm", Min: "0 mm", Max: "10 mm", Default: "0.2 mm"},
			{Name: "used", Title: "The ring has been in use", Kind: calc.YesNo, Default: "no"},
		},
		Outputs: []calc.Output{
			{Name: "likeliest", Title: "Likeliest size", Kind: calc.Text},
			{Name: "fitting", Title: "Sizes that fit the readings", Kind: calc.Count},
			{Name: "sizes", Title: "Sizes it may be", Kind: calc.Table, Optional: true, Columns: []calc.Output{
				{Name: "name", Title: "Size", Kind: calc.Text},
				{Name: "inside", Title: "Inside", Kind: "length", Unit: "mm", Digits: 4},
				{Name: "section", Title: "Section", Kind: "length", Unit: "mm", Digits: 3},
				{Name: "off_section", Title: "Section read less size", Kind: "length", Unit: "mm", Digits: 2},
				{Name: "off_diameter", Title: "Diameter read less size", Kind: "length", Unit: "mm", Digits: 2},
				{Name: "fits", Title: "Fits", Kind: calc.YesNo},
			}},
		},
		Sources:  []calc.Source{fromAS568, fromISO, fromClassB, fromJIS, {Text: "Flattening and swelling of used rings", Known: calc.CommonPractice}},
		Cautions: []string{"Measure the groove as well: the groove decides, and the old ring may have been the wrong one."},
		Example:  map[string]string{"section": "3.5 mm", "inside": "25.1 mm", "used": "no"},
		Compute: func(in calc.In, a *calc.Answer) error {
			off := in.Length("diameter_error")
			m := Reading{Section: Toleranced{in.Length("section"), in.Length("section_error")}, Worn: in.Yes("used")}
			if in.Has("inside") {
				m.Inside = Toleranced{in.Length("inside"), off}
			}
			if in.Has("outside") {
				m.Outside = Toleranced{in.Length("outside"), off}
			}
			if !in.Has("inside") && !in.Has("outside") {
				return in.Refuse("inside", "A diameter is missing: measure the inside or the outside.")
			}
			found, err := Recognise(m, 12)
			if err != nil {
				return err
			}
			giveCandidates(a, found)
			return nil
		},
	}
})

func giveCandidates(a *calc.Answer, found []Candidate) {
	fitting := 0
	for _, c := range found {
		if c.Fits() {
			fitting++
		}
		a.GiveRow("sizes", c.Ring.Name, c.Ring.Inside.Nominal, c.Ring.Section.Nominal, c.Section, c.Across, c.Fits())
	}
	a.Give("fitting", fitting)
	name := "none"
	if len(found) > 0 {
		name = found[0].Ring.Name
	}
	a.Give("likeliest", name)
	switch {
	case len(found) == 0:
		a.Judge(calc.Bad, "No size of the tables comes near: it may be a maker's own ring, a square ring, or a reading was wrong.")
	case fitting == 0:
		a.Judge(calc.Careful, "No size fits within the tolerances; the nearest is %s. Measure again, and the groove.", name)
	case fitting == 1:
		a.Judge(calc.Good, "Only %s fits these readings.", name)
	default:
		a.Judge(calc.Careful, "%s fit these readings; measure more exactly, or let the groove decide.", countSizes(fitting))
	}
}

func countSizes(n int) string { return fmt.Sprintf("%d sizes", n) }

var _ = Group.Add(func() calc.Definition {
	return calc.Definition{
		Name:  "o-ring-for-groove",
		Title: "Which O-ring for this groove",
		About: "Finds the common sizes that would do in a groove when the ring is lost or wrong, with squeeze, stretch and fill of each.",
		Method: "Every size of the tables is put in the groove and judged over its tolerance band as the calculation of a ring in its groove does. A piston seat takes rings stretched by 0 to " +
			"5 %, best 2 %; a rod seat takes rings whose outside is 0 to 3 % larger than the groove's floor. In a face the ring leans on the wall away from " +
			"the pressure: on the outer wall when the pressure is inside, on the inner wall when it is outside.\n\nSizes judged bad are left out; standards come before trade sizes.",
		Inputs: append(glandInputs(),
			calc.Input{Name: "pressure", Title: "Pressure on a face comes from", Kind: calc.Choice, Choices: calc.Options("inside", "outside"), Default: "inside"}),
		Outputs: []calc.Output{
			{Name: "best", Title: "Best size", Kind: calc.Text},
			{Name: "sizes", Title: "Sizes that would do", Kind: calc.Table, Optional: true, Columns: choiceColumns()},
			{Name: "depth", Title: "Depth of the gland", Kind: "length", Unit: "mm", Digits: 4},
		},
		Sources: []calc.Source{fromDirectory, fromStretch, fromAS568, fromISO, fromClassB, fromJIS,
			{Text: "cutlergrp.com: a face ring lies on the side of the groove opposite the pressure", Known: calc.Published}},
		Cautions: []string{"The size is half of it: the material must stand the fluid and its heat as well."},
		Example:  map[string]string{"seat": "piston", "groove": "25.6 mm", "mate": "31.35 mm", "width": "4.95 mm"},
		Compute: func(in calc.In, a *calc.Answer) error {
			g, err := glandOf(in)
			if err != nil {
				return err
			}
			found, err := RingsFor(g, Motion(in.Choice("motion")), in.Choice("pressure") == "inside", 10)
			if err != nil {
				return err
			}
			a.Give("depth", g.Radial().Nominal)
			if len(found) == 0 {
				a.Give("best", "none")
				a.Judge(calc.Bad, "No size of the tables does in this groove; measure again, or get the maker's ring.")
				return nil
			}
			a.Give("best", found[0].Ring.Name)
			for _, c := range found {
				giveChoice(a, "sizes", c)
			}
			level, note := found[0].Level, "; some squeeze, stretch or fill lies outside the usual"
			if level == calc.Good {
				note = ""
			}
			a.Judge(level, "%s would do%s.", found[0].Ring.Name, note)
			return nil
		},
	}
})

func choiceColumns() []calc.Output {
	return []calc.Output{
		{Name: "name", Title: "Size", Kind: calc.Text},
		{Name: "inside", Title: "Inside", Kind: "length", Unit: "mm", Digits: 4},
		{Name: "section", Title: "Section", Kind: "length", Unit: "mm", Digits: 3},
		{Name: "squeeze", Title: "Squeeze", Kind: calc.Number, Unit: "%", Digits: 3},
		{Name: "stretch", Title: "Stretch", Kind: calc.Number, Unit: "%", Digits: 2},
		{Name: "fill", Title: "Fill", Kind: calc.Number, Unit: "%", Digits: 3},
		{Name: "verdict", Title: "Verdict", Kind: calc.Text},
	}
}

func giveChoice(a *calc.Answer, output string, c Choice) {
	var fill any
	if c.Fit.Fill.Likely > 0 {
		fill = c.Fit.Fill.Likely * 100
	}
	a.GiveRow(output, c.Ring.Name, c.Ring.Inside.Nominal, c.Ring.Section.Nominal, c.Fit.Squeeze.Likely*100, c.Fit.Stretch.Likely*100, fill, string(c.Level))
}
