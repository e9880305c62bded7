package belt

import (
	"lastbolt/calc"
	"lastbolt/quantity"
)

var noteSources = []calc.Source{
	{Text: "T = 4·m·L²·f², the theory of a belt maker's sonic tension meter (manualshive.com, manual 3748121, p. 6)", Known: calc.Published},
	{Text: "Push at the middle of a taut span, F = 4·T·y/L: statics of the triangle, small y", Known: calc.Published},
	{Text: "Mass of PK belts about 20 g/m a rib, ± 20 %", Known: calc.FromMemory},
}

var spanInputs = []calc.Input{
	{Name: "span", Title: "Free span", Kind: "length", Unit: "mm", Min: "10 mm", Max: "20 m", Help: "Between the points where the belt leaves the pulleys, not between centres."},
	{Name: "mass", Title: "Mass of the belt", Kind: "mass per length", Unit: "g/m", Optional: true, Min: "0 g/m", Above: true, Max: "50 kg/m", Help: "Weigh it and divide by its length."},
	{Name: "profile", Title: "Profile, when it was not weighed", Kind: calc.Choice, Choices: profileOptions(), Default: "PK"},
	{Name: "ribs", Title: "Ribs", Kind: calc.Count, Optional: true, Min: "1", Max: "40"},
}

// massBand is the belt's mass: as weighed, or from its ribs within 20 %.
func massBand(in calc.In) (low, likely, high quantity.MassPerLength, err error) {
	if in.Has("mass") {
		m := in.MassPerLength("mass")
		return m, m, m, nil
	}
	p, err := ProfileNamed(in.Choice("profile"))
	if err != nil {
		return 0, 0, 0, err
	}
	if p.MassPerRib == 0 || !in.Has("ribs") {
		return 0, 0, 0, in.Refuse("mass", "The mass of the belt is not known: weigh it and divide by its length, or give profile and number of ribs.")
	}
	m := p.MassPerRib * quantity.MassPerLength(in.Count("ribs"))
	return m * 0.8, m, m * 1.2, nil
}

const noteMethod = "A plucked span sounds at f = √(T/m)/(2L). The belt must stand still: a running one sounds lower. Its stiffness makes the note higher, the more the shorter and thicker the span, so a reading is rather above the true tension; take the longest span, pluck it in the middle and take the lowest steady note."

var _ = Group.Add(func() calc.Definition {
	return calc.Definition{
		Name:   "belt-tension-by-note",
		Title:  "Tension of a belt from the note of a span",
		About:  "How tight a belt is, from the frequency of a plucked span.",
		Method: noteMethod,
		Inputs: append([]calc.Input{{Name: "frequency", Title: "Frequency", Kind: "frequency", Unit: "Hz", Min: "1 Hz", Max: "5 kHz"}}, spanInputs...),
		Outputs: []calc.Output{
			{Name: "tension", Title: "Tension", Kind: "force", Unit: "N", Digits: 4, Help: "A band when the mass was not weighed."},
			{Name: "push", Title: "Push for 10 mm at mid-span", Kind: "force", Unit: "N", Digits: 3},
		},
		Sources:  noteSources,
		Cautions: []string{"Compare with the vehicle's own figure for this span; there is no general right tension."},
		Example:  map[string]string{"frequency": "58.3 Hz", "span": "320 mm", "mass": "100 g/m"},
		Compute: func(in calc.In, a *calc.Answer) error {
			low, m, high, err := massBand(in)
			if err != nil {
				return err
			}
			l, f := in.Length("span"), in.Frequency("frequency")
			t := SpanTension(l, m, f)
			give(a, "tension", SpanTension(l, low, f), t, SpanTension(l, high, f))
			a.Give("push", Push(l, t, milli(10)))
			a.Step("Tension", "T = 4 · m · L² · f²", "= 4 · %.4g kg/m · (%.4g m)² · (%.4g Hz)² = %.4g N", float64(m), float64(l), float64(f), float64(t))
			return nil
		},
	}
})

// give gives a band, or a value where there is none.
func give[Q quantity.Measured](a *calc.Answer, name string, low, likely, high Q) {
	if low == high {
		a.Give(name, likely)
		return
	}
	a.GiveBand(name, low, likely, high)
}

var _ = Group.Add(func() calc.Definition {
	return calc.Definition{
		Name:   "belt-note-for-tension",
		Title:  "Note of a span at a wanted tension",
		About:  "Which frequency a plucked span must sound at to have a wanted tension, and how far it gives under a push.",
		Method: noteMethod,
		Inputs: append([]calc.Input{{Name: "tension", Title: "Tension wanted", Kind: "force", Unit: "N", Min: "1 N", Max: "100 kN"}}, append(spanInputs[:len(spanInputs):len(spanInputs)],
			calc.Input{Name: "deflection", Title: "Pushed in by", Kind: "length", Unit: "mm", Default: "5 mm", Min: "0 mm", Above: true, Max: "200 mm"})...),
		Outputs: []calc.Output{
			{Name: "frequency", Title: "Frequency", Kind: "frequency", Unit: "Hz", Digits: 5},
			{Name: "push", Title: "Push that does this", Kind: "force", Unit: "N", Digits: 4},
		},
		Sources: noteSources,
		Example: map[string]string{"tension": "400 N", "span": "250 mm", "mass": "120 g/m"},
		Compute: func(in calc.In, a *calc.Answer) error {
			low, m, high, err := massBand(in)
			if err != nil {
				return err
			}
			l, t := in.Length("span"), in.Force("tension")
			give(a, "frequency", SpanNote(l, high, t), SpanNote(l, m, t), SpanNote(l, low, t))
			a.Give("push", Push(l, t, in.Length("deflection")))
			a.Step("Note", "f = √(T/m)/(2·L)", "= %.5g Hz", float64(SpanNote(l, m, t)))
			a.Step("Push", "F = 4 · T · y/L", "= %.4g N for %s", float64(Push(l, t, in.Length("deflection"))), mm(in.Length("deflection")))
			return nil
		},
	}
})

var _ = Group.Add(func() calc.Definition {
	return calc.Definition{
		Name:   "belt-tension-by-push",
		Title:  "Tension of a belt from a push at mid-span",
		About:  "How tight a belt is, from the force that pushes the middle of a span in.",
		Method: "T = F·L/(4·y), from the triangle the belt makes, for a push that is small against the span. The belt's stiffness carries part of the push, so the true tension is lower. Government manuals ask for 5 to 13 mm with 11 to 130 N, depending on the drive: use the vehicle's own figure.",
		Inputs: []calc.Input{
			spanInputs[0],
			{Name: "push", Title: "Push", Kind: "force", Unit: "N", Min: "0.1 N", Max: "10 kN"},
			{Name: "deflection", Title: "Pushed in by", Kind: "length", Unit: "mm", Min: "0.1 mm", Max: "500 mm"},
		},
		Outputs: []calc.Output{
			{Name: "tension", Title: "Tension", Kind: "force", Unit: "N", Digits: 4},
			{Name: "share", Title: "Deflection over span", Kind: calc.Number, Unit: "%", Digits: 3},
		},
		Sources: append(noteSources[1:2:2], calc.Source{Text: "US Army TM 5-3895-382-24, TM 9-4310-397-14 and TM 10-3930-671-24 for the range of figures", Known: calc.Published}),
		Example: map[string]string{"span": "250 mm", "push": "32 N", "deflection": "5 mm"},
		Compute: func(in calc.In, a *calc.Answer) error {
			l, y := in.Length("span"), in.Length("deflection")
			share := float64(y) / float64(l)
			if share > 0.25 {
				return in.Refuse("deflection", "%s is more than a quarter of the span; this formula is for small pushes.", mm(y))
			}
			t := quantity.Force(float64(in.Force("push")) / (4 * share))
			a.Give("tension", t)
			a.Give("share", 100*share)
			a.Step("Tension", "T = F · L/(4 · y)", "= %.4g N", float64(t))
			if share > 0.05 {
				a.Warn("The push is large against the span; the belt stretches as well and the tension at rest is lower.")
			}
			return nil
		},
	}
})
