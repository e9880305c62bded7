package fastener

import (
	"lastbolt/calc"
	"lastbolt/calc/figure"
	"lastbolt/quantity"
)

const longMethod = "The torque on the wrench does three things: it lifts the bolt along the pitch, and that part alone becomes preload; it rubs in the " +
	"thread; and it rubs under the head. With the usual friction about a seventh of it lifts.\n\n" +
	"The friction diameter under the head is the mean of the bearing face and the hole. The form is linear in the preload and leaves out the " +
	"small second-order term of the exact screw formula, as the standards do."

var longSources = []calc.Source{
	{Text: "MIL-HDBK-60, appendix B 100.5: T = F·[P/2π + d2·μ/(2·cos 30°) + (d+b)·μ/4]", Known: calc.Published},
	{Text: "VDI 2230 part 1 and ISO 16047: the same with the friction diameter under the head", Known: calc.FromMemory},
	{Text: "MIL-HDBK-60, table II: friction", Known: calc.Published},
}

// shareOutputs are the parts of a torque.
func shareOutputs() []calc.Output {
	part := func(name, title string) []calc.Output {
		return []calc.Output{{Name: name, Title: title, Kind: "torque", Unit: "N·m"},
			{Name: name + "_share", Title: title + ", share", Kind: calc.Number, Unit: "%"}}
	}
	var all []calc.Output
	all = append(all, part("pitch_part", "Lifts along the pitch")...)
	all = append(all, part("thread_part", "Rubs in the thread")...)
	all = append(all, part("head_part", "Rubs under the head")...)
	return append(all, calc.Output{Name: "nut_factor", Title: "Nut factor it amounts to", Kind: calc.Number})
}

func giveShares(a *calc.Answer, t Thread, dm quantity.Length, f Friction, preload quantity.Force, s Shares) {
	total := s.Total()
	for _, part := range []struct {
		name   string
		torque quantity.Torque
	}{{"pitch_part", s.Pitch}, {"thread_part", s.Thread}, {"head_part", s.Head}} {
		a.Give(part.name, part.torque)
		a.Give(part.name+"_share", float64(100*part.torque/total))
	}
	a.Give("nut_factor", ImpliedNutFactor(t, dm, f))
	a.Step("Lifts along the pitch", "F·P/2π", "= %s · %s mm / 2π = %s", forceText(preload), mmText(t.Pitch), torqueText(s.Pitch))
	a.Step("Rubs in the thread", "F·d2·μ/(2·cos 30°)", "= %s · %s mm · %.3g / 1.732 = %s", forceText(preload), mmText(t.PitchDiameter()), f.Thread, torqueText(s.Thread))
	a.Step("Rubs under the head", "F·μ·Dm/2", "= %s · %.3g · %s mm / 2 = %s", forceText(preload), f.Head, mmText(dm), torqueText(s.Head))
	a.Draw(sharesFigure(s))
}

// sharesFigure is a bar of the torque's parts.
func sharesFigure(s Shares) *figure.Figure {
	f := figure.New("Where the torque goes", "A bar of the whole torque divided into what lifts, what rubs in the thread and what rubs under the head.", -4, 0, 104, 24)
	x := 0.0
	for n, part := range []struct {
		title  string
		torque quantity.Torque
	}{{"lifts", s.Pitch}, {"thread rubs", s.Thread}, {"head rubs", s.Head}} {
		width := 100 * float64(part.torque/s.Total())
		f.Area([]figure.Tone{figure.Done, figure.Soft, figure.Ink}[n], []float64{0.6, 0.5, 0.35}[n],
			figure.Point{X: x, Y: 2}, figure.Point{X: x + width, Y: 2}, figure.Point{X: x + width, Y: 12}, figure.Point{X: x, Y: 12})
		f.Outline(figure.Thin, figure.Point{X: x, Y: 2}, figure.Point{X: x + width, Y: 2}, figure.Point{X: x + width, Y: 12}, figure.Point{X: x, Y: 12})
		f.Label(figure.Point{X: x + width/2, Y: 16}, 3, figure.Middle, part.title)
		f.Label(figure.Point{X: x + width/2, Y: 20.5}, 3, figure.Middle, torqueText(part.torque))
		x += width
	}
	return f
}

var _ = Group.Add(func() calc.Definition {
	return calc.Definition{
		Name:   "torque-long",
		Title:  "Torque for a preload, long form",
		About:  "The torque for a preload taken apart into what lifts and what rubs. Ask it when the friction is known, or to see what oil does.",
		Method: longMethod,
		Inputs: together([]calc.Input{threadInput(),
			{Name: "preload", Title: "Preload wanted", Kind: "force", Unit: "kN", Min: "0 N", Above: true, Max: "10000 kN"}},
			frictionInputs(), headInputs(), []calc.Input{gradeInput(true)}),
		Outputs: together2([]calc.Output{{Name: "torque", Title: "Torque", Kind: "torque", Unit: "N·m", Digits: 4}}, shareOutputs(),
			[]calc.Output{{Name: "share_of_proof", Title: "Share of the proof load", Kind: calc.Number, Unit: "%", Optional: true}}),
		Sources: longSources,
		Example: map[string]string{"thread": "M10", "preload": "30 kN", "thread_friction": "0.12", "head_friction": "0.12"},
		Compute: func(in calc.In, a *calc.Answer) error {
			t, err := threadOf(in)
			if err != nil {
				return err
			}
			dm, err := frictionDiameterOf(in, a, t)
			if err != nil {
				return err
			}
			f, preload := frictionOf(in, a), in.Force("preload")
			if err := judgePreload(in, a, t, preload, "preload", "Preload wanted"); err != nil {
				return err
			}
			s := LongTorque(preload, t, dm, f)
			a.Give("torque", s.Total())
			giveShares(a, t, dm, f, preload, s)
			a.Step("Torque", "the sum", "= %s", torqueText(s.Total()))
			return nil
		},
	}
})

var _ = Group.Add(func() calc.Definition {
	return calc.Definition{
		Name:   "preload-long",
		Title:  "Preload from a torque, long form",
		About:  "How hard a bolt pulls when tightened to a torque, with the friction of thread and head apart.",
		Method: longMethod,
		Inputs: together([]calc.Input{threadInput(),
			{Name: "torque", Title: "Torque", Kind: "torque", Unit: "N·m", Min: "0 N·m", Above: true, Max: "100000 N·m"}},
			frictionInputs(), headInputs(), []calc.Input{gradeInput(true)}),
		Outputs: together2([]calc.Output{{Name: "preload", Title: "Preload", Kind: "force", Unit: "kN", Digits: 4}}, shareOutputs(),
			[]calc.Output{{Name: "share_of_proof", Title: "Share of the proof load", Kind: calc.Number, Unit: "%", Optional: true}}),
		Sources: longSources,
		Example: map[string]string{"thread": "M8", "torque": "25 N·m", "lubrication": "oiled", "class": "8.8"},
		Compute: func(in calc.In, a *calc.Answer) error {
			t, err := threadOf(in)
			if err != nil {
				return err
			}
			dm, err := frictionDiameterOf(in, a, t)
			if err != nil {
				return err
			}
			f, torque := frictionOf(in, a), in.Torque("torque")
			perKilonewton := LongTorque(1000, t, dm, f).Total()
			preload := LongPreload(torque, t, dm, f)
			a.Step("Torque for each kN of preload", "P/2π + d2·μ/1.732 + μ·Dm/2", "= %s", torqueText(perKilonewton))
			a.Step("Preload", "F = T / that", "= %s / %s per kN = %s", torqueText(torque), torqueText(perKilonewton), forceText(preload))
			if err := judgePreload(in, a, t, preload, "torque", "Torque"); err != nil {
				return err
			}
			a.Give("preload", preload)
			giveShares(a, t, dm, f, preload, LongTorque(preload, t, dm, f))
			return nil
		},
	}
})

// together2 puts outputs together.
func together2(groups ...[]calc.Output) []calc.Output {
	var all []calc.Output
	for _, g := range groups {
		all = append(all, g...)
	}
	return all
}
