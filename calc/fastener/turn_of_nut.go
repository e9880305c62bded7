package fastener

import (
	"lastbolt/calc"
	"lastbolt/quantity"
)

// What turning by eye is reckoned with (common practice): snug with a short
// spanner leaves about a tenth of the proof load, anything from nearly nothing to
// a fifth; the angle is judged to 5° with pen marks; and a joint gives way up to a
// third more than reckoned, for head and engaged thread give too and surfaces
// settle.
const (
	snugShare     = 0.10
	snugLeast     = 0.03
	snugMost      = 0.20
	turnShare     = 0.60 // of the proof load is aimed at, lower than with a wrench
	turnSoftest   = 0.70
	turnStiffest  = 1.10
	turnAngleSlip = 5.0 // degrees
	turnLeast     = 15.0
)

// StructuralTurn is the turn past snug of high-strength structural bolts with flat
// faces, for a bolt's length in diameters: 1/3 up to 4, 1/2 up to 8, 2/3 up to 12
// (RCSC specification, table 8.2). ok is false beyond.
func StructuralTurn(length, diameter quantity.Length) (turn quantity.Angle, ok bool) {
	switch ratio := float64(length / diameter); {
	case ratio <= 4.0001:
		return quantity.Degrees(120), true
	case ratio <= 8.0001:
		return quantity.Degrees(180), true
	case ratio <= 12.0001:
		return quantity.Degrees(240), true
	}
	return 0, false
}

var _ = Group.Add(func() calc.Definition {
	return calc.Definition{
		Name:  "turn-of-nut",
		Title: "Tightening without a torque tool: turn from snug",
		About: "How far to turn past snug when there is no torque tool at all, and how wide the preload then scatters. Refused where a failure hurts people.",
		Method: "Snug is where the parts lie on each other and a short spanner held near its head begins to meet real resistance. From there the angle stretches the bolt, whatever the friction. " +
			"Aimed at is 60 % of the proof load, less than with a wrench, because the band is wide: snug is a matter of feel, the angle is judged by eye, and the parts settle.\n\n" +
			"Mark head and part with a pen before turning. On a short bolt the angle is too small to judge and the answer says so. Gasketed joints cannot be done this way.",
		Inputs: together([]calc.Input{jointInput(), threadInput(), gradeInput(false)}, gripInputs(), []calc.Input{clampedInput("steel"),
			{Name: "gasket", Title: "Is there a gasket or soft part between?", Kind: calc.YesNo, Default: "no"},
			{Name: "length", Title: "Length of the bolt, for structural bolts", Kind: "length", Unit: "mm", Min: "0 mm", Above: true, Max: "2 m", Optional: true}}),
		Outputs: []calc.Output{
			{Name: "angle", Title: "Turn past snug by", Kind: "angle", Unit: "°", Digits: 2},
			{Name: "preload", Title: "Preload it comes to", Kind: "force", Unit: "kN", Digits: 2},
			{Name: "proof", Title: "Proof load", Kind: "force", Unit: "kN"},
			{Name: "structural_turn", Title: "Turn of structural bolts", Kind: "angle", Unit: "°", Optional: true},
		},
		Sources: append([]calc.Source{
			{Text: "RCSC specification, table 8.2, as given by stsindustrial.com: 1/3, 1/2, 2/3 turn", Known: calc.Published},
			{Text: "NASA-STD-5020B, table 3: ±25 % for turn of nut; MIL-HDBK-60, table I: ±15 % turn, ±35 % feel", Known: calc.Published},
			{Text: "snug, angle by eye and settling", Known: calc.CommonPractice},
		}, angleSources...),
		Cautions: []string{"A makeshift with a wide scatter: borrow a torque wrench, and tighten again with it."},
		Example:  map[string]string{"joint": "other", "thread": "M12", "class": "8.8", "grip": "80 mm", "shank": "50 mm", "clamped": "steel"},
		Compute:  computeTurn,
	}
})

func computeTurn(in calc.In, a *calc.Answer) error {
	if err := refuseSafety(in, "Tightening by an angle without a torque tool"); err != nil {
		return err
	}
	t, err := threadOf(in)
	if err != nil {
		return err
	}
	g, s, err := strengthOf(in, t)
	if err != nil {
		return err
	}
	if in.Yes("gasket") {
		return in.Refuse("gasket", "Is there a gasket or soft part between: the angle goes into the gasket and says nothing about the preload; use a torque wrench.")
	}
	bolt, joint, err := stiffnessOf(in, a, t)
	if err != nil {
		return err
	}
	proof := quantity.Force(float64(s.Safe()) * float64(t.NominalStressArea()))
	angle := TightenAngle(t, proof*(turnShare-snugShare), bolt, joint)
	a.Step("Preload aimed at", "0.6 · proof load", "= 0.6 · %s = %s, of which a tenth of the proof load is there at snug", forceText(proof), forceText(proof*turnShare))
	a.Step("Angle", "360°/P · (0.6 − 0.1)·Fp·(1/k + 1/k)", "= %s", angleText(angle))
	slip := quantity.Degrees(turnAngleSlip)
	if angle < quantity.Degrees(turnLeast) {
		return in.Refuse("grip", "Thickness clamped: on so short a bolt the whole angle is %s, and an eye is wrong by %s; use a torque wrench.", angleText(angle), angleText(slip))
	}
	perAngle := float64(proof) * (turnShare - snugShare) / float64(angle)
	low := float64(proof)*snugLeast + turnSoftest*perAngle*float64(angle-slip)
	high := float64(proof)*snugMost + turnStiffest*perAngle*float64(angle+slip)
	a.Give("angle", angle)
	a.Rest("angle", calc.Advice, "worked out here, without the maker's value")
	a.GiveBand("preload", quantity.Force(low), proof*turnShare, quantity.Force(high))
	a.Give("proof", proof)
	a.Step("At least", "0.03·Fp + 0.7 · what the angle less 5° adds", "= %s", forceText(quantity.Force(low)))
	a.Step("At most", "0.2·Fp + 1.1 · what the angle and 5° add", "= %s", forceText(quantity.Force(high)))
	a.Judge(calc.Careful, "Without a torque tool the preload of class %s comes anywhere from %s to %s: worse than with any wrench.", g.Name, forceText(quantity.Force(low)), forceText(quantity.Force(high)))
	if quantity.Force(high) > proof {
		a.Judge(calc.Bad, "The most it may come to, %s, is past the proof load.", forceText(quantity.Force(high)))
	}
	if in.Has("length") {
		if turn, ok := StructuralTurn(in.Length("length"), t.Major); ok {
			a.Give("structural_turn", turn)
			a.Note("The turn of structural bolts is for A325 and A490 bolts in steel frames, which it takes past yield; it is not for machines.")
		}
	}
	return nil
}
