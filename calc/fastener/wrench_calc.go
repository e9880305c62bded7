package fastener

import (
	"math"

	"lastbolt/calc"
	"lastbolt/calc/figure"
	"lastbolt/quantity"
)

var _ = Group.Add(func() calc.Definition {
	return calc.Definition{
		Name:  "wrench-fit",
		Title: "Is this torque wrench right for it?",
		About: "Whether a torque wrench can be trusted with a setting: its range, its accuracy, its last check, and whether it was dropped since.",
		Method: "The setting has to lie within the marked range and not below a fifth of the largest value: below that no accuracy is promised. The band is what a click " +
			"can mean, ±4 % for a wrench over 10 N·m and ±6 % up to it and for beams and screwdrivers, unless its own accuracy is given.",
		Inputs: []calc.Input{
			{Name: "setting", Title: "Number to set", Kind: "torque", Unit: "N·m", Min: "0 N·m", Above: true, Max: "100000 N·m"},
			{Name: "smallest", Title: "Smallest on the wrench", Kind: "torque", Unit: "N·m", Min: "0 N·m", Max: "100000 N·m"},
			{Name: "largest", Title: "Largest on the wrench", Kind: "torque", Unit: "N·m", Min: "0 N·m", Above: true, Max: "100000 N·m"},
			{Name: "kind", Title: "Kind of wrench", Kind: calc.Choice, Default: string(Click), Choices: []calc.Option{{Value: string(Click), Title: "clicks at the set value"},
				{Value: string(Dial), Title: "dial or display"}, {Value: string(Beam), Title: "bending beam with a pointer"}, {Value: string(Screwdriver), Title: "torque screwdriver"}}},
			{Name: "accuracy", Title: "Its accuracy, plus or minus", Kind: calc.Number, Unit: "%", Min: "0.1", Max: "30", Optional: true},
			{Name: "days", Title: "Days since its last check", Kind: calc.Count, Min: "0", Max: "40000", Optional: true},
			{Name: "dropped", Title: "Dropped or overloaded since?", Kind: calc.YesNo, Default: "no"},
		},
		Outputs: []calc.Output{
			{Name: "fitness", Title: "Suited", Kind: calc.Text},
			{Name: "torque", Title: "What the click can mean", Kind: "torque", Unit: "N·m"},
			{Name: "accuracy", Title: "Accuracy reckoned with", Kind: calc.Number, Unit: "%"},
			{Name: "lowest", Title: "Lowest setting that is accurate", Kind: "torque", Unit: "N·m"},
		},
		Sources: []calc.Source{
			{Text: "ISO 6789:2003, setting wrenches class A: ±4 % over 10 N·m, ±6 % up to it, tested from 20 % of the largest (torque-wrench manual S.325DA, p. 5)", Known: calc.Published},
			{Text: "ISO 6789:2003, beams and screwdrivers: ±6 %", Known: calc.FromMemory},
			{Text: "FAA AC 43.13-1B, 7-40 a: checked once a year, and after a fall", Known: calc.Published},
		},
		Example: map[string]string{"setting": "18 N·m", "smallest": "20 N·m", "largest": "100 N·m", "days": "90"},
		Compute: func(in calc.In, a *calc.Answer) error {
			w := Wrench{Kind: WrenchKind(in.Choice("kind")), Min: in.Torque("smallest"), Max: in.Torque("largest"), Accuracy: in.Number("accuracy") / 100, DaysSinceCheck: -1, Dropped: in.Yes("dropped")}
			if w.Min >= w.Max {
				return in.Refuse("smallest", "Smallest on the wrench: %s is not below the largest, %s; look at the scale again.", torqueText(w.Min), torqueText(w.Max))
			}
			if in.Has("days") {
				w.DaysSinceCheck = in.Count("days")
			}
			v := WrenchFit(w, in.Torque("setting"))
			lowest := quantity.Torque(math.Max(float64(w.Min), float64(w.Max)*leastShareOfRange))
			a.Give("fitness", string(v.Fitness))
			a.GiveBand("torque", v.Low, in.Torque("setting"), v.High)
			a.Give("accuracy", 100*v.Accuracy)
			a.Give("lowest", lowest)
			a.Step("Lowest setting that is accurate", "the larger of the smallest mark and a fifth of the largest", "max(%s, 0.2 · %s) = %s", torqueText(w.Min), torqueText(w.Max), torqueText(lowest))
			a.Step("What the click can mean", "setting ± accuracy", "= %s ± %.2g %% = %s to %s", torqueText(in.Torque("setting")), 100*v.Accuracy, torqueText(v.Low), torqueText(v.High))
			for _, reason := range v.Reasons {
				a.Judge(levelOf(v.Fitness), "%s", reason)
			}
			if len(v.Reasons) == 0 {
				a.Judge(calc.Good, "The setting lies well within its range.")
			}
			return nil
		},
	}
})

var _ = Group.Add(func() calc.Definition {
	return calc.Definition{
		Name:  "wrench-setting",
		Title: "Setting with a crowfoot or an adapter",
		About: "The number to set on the torque wrench when a crowfoot or another adapter puts the bolt beside its square drive, at any angle.",
		Method: "The wrench measures the torque about its own square. With the bolt a distance A away, at an angle θ from straight out, the hand's lever to the bolt is " +
			"L + A·cos θ instead of L. Straight out the bolt gets more than the wrench says, folded back less, across the same.\n\n" +
			"L is to the middle of the hand, so hold the grip at its mark. A plain extension along the axis of the square changes nothing, as long as it is held straight.",
		Inputs: []calc.Input{
			{Name: "torque", Title: "Torque wanted at the bolt", Kind: "torque", Unit: "N·m", Min: "0 N·m", Above: true, Max: "100000 N·m"},
			{Name: "hand", Title: "From the square to the middle of the hand", Kind: "length", Unit: "mm", Min: "0 mm", Above: true, Max: "5 m"},
			{Name: "adapter", Title: "From the square to the middle of the bolt", Kind: "length", Unit: "mm", Min: "0 mm", Max: "5 m"},
			{Name: "angle", Title: "Angle of the adapter", Kind: "angle", Unit: "°", Min: "-180°", Max: "180°", Default: "0°",
				Help: "0° straight out from the handle, 90° across, 180° folded back."},
		},
		Outputs: []calc.Output{
			{Name: "setting", Title: "Number to set", Kind: "torque", Unit: "N·m", Digits: 4},
			{Name: "factor", Title: "Setting over torque", Kind: calc.Number, Digits: 4},
			{Name: "unset", Title: "What the bolt would get without the correction", Kind: "torque", Unit: "N·m", Digits: 4},
		},
		Sources: []calc.Source{
			{Text: "US Army TM 9-254, pp. 4-5 and 4-6, figures 4-5 and 4-6", Known: calc.Published},
			{Text: "FAA AC 43.13-1B, 7-40 h", Known: calc.Published},
		},
		Example: map[string]string{"torque": "25 N·m", "hand": "350 mm", "adapter": "40 mm", "angle": "0°"},
		Compute: func(in calc.In, a *calc.Answer) error {
			want, hand, adapter, angle := in.Torque("torque"), in.Length("hand"), in.Length("adapter"), in.Angle("angle")
			setting, err := WrenchSetting(want, hand, adapter, angle)
			if err != nil {
				return in.Refuse("adapter", "From the square to the middle of the bolt: %v.", err)
			}
			unset, err := TorqueAtBolt(want, hand, adapter, angle)
			if err != nil {
				return in.Refuse("adapter", "From the square to the middle of the bolt: %v.", err)
			}
			a.Give("setting", setting)
			a.Give("factor", float64(setting/want))
			a.Give("unset", unset)
			a.Step("Lever to the bolt", "L + A·cos θ", "= %s + %s · cos %s = %s", mmText(hand), mmText(adapter), angleText(angle), lengthText(hand*quantity.Length(want/setting)))
			a.Step("Number to set", "S = T·L/(L + A·cos θ)", "= %s · %s/%s = %s", torqueText(want), mmText(hand), mmText(hand*quantity.Length(want/setting)), torqueText(setting))
			if adapter > hand/2 {
				a.Judge(calc.Careful, "The adapter is long for this wrench: a few millimetres at the hand change the torque noticeably.")
			}
			a.Draw(adapterFigure(hand, adapter, angle))
			return nil
		},
	}
})

// adapterFigure draws wrench and adapter from above, in mm.
func adapterFigure(hand, adapter quantity.Length, angle quantity.Angle) *figure.Figure {
	l, x := hand.In(quantity.Millimetre), adapter.In(quantity.Millimetre)
	bolt := figure.Point{X: -x * math.Cos(float64(angle)), Y: -x * math.Sin(float64(angle))}
	side := math.Max(l/8, x*1.2)
	f := figure.New("Wrench and adapter", "The wrench from above, the hand at the right, its square drive and the bolt at the adapter's end.", -x-l/4, -side, l*1.1, side)
	f.Line(figure.Pen{Width: 5}, figure.Point{}, figure.Point{X: l})
	f.Line(figure.Pen{Width: 3, Tone: figure.Soft}, figure.Point{}, bolt)
	f.Disc(figure.Ink, 1, figure.Point{}, l/60)
	f.Circle(figure.Now, bolt, l/40)
	f.Circle(figure.Thin, figure.Point{X: l}, l/30)
	f.Label(figure.Point{X: l / 2, Y: -l / 20}, l/25, figure.Middle, "L "+lengthText(hand))
	if x > 0 {
		// On the side of the adapter that the wrench is not.
		f.Label(figure.Point{X: bolt.X/2 - l/25, Y: math.Max(bolt.Y/2, bolt.Y) + l/16}, l/25, figure.End, "A "+lengthText(adapter))
	}
	return f
}
