package fastener

import (
	"fmt"

	"lastbolt/calc"
	"lastbolt/calc/figure"
	"lastbolt/quantity"
)

// A Hole is a tapped hole and what lies between it and the bolt's head.
type Hole struct {
	Grip        quantity.Length // parts, washer and gasket, from the head to the hole
	Thread      quantity.Length // full thread, from the face
	Bottom      quantity.Length // of the drilled hole, from the face; 0 is not known
	Countersink quantity.Length // depth of the countersink; half of it counts
	Through     bool            // open at the far end
}

// A Fit is how a bolt of a length goes with a hole.
type Fit struct {
	Fitness     Fitness
	Engagement  quantity.Length // full threads that hold; 0 when it does not reach
	Clearance   quantity.Length // left between the tip and the end of the thread; below 0 it jams
	BottomsOut  bool            // comes tight on the end of the hole and does not clamp
	DoesNotHold bool            // too few threads
	Reason      string          // a whole sentence
}

// pointPitches is the length of a bolt's point without full thread, in pitches;
// clearPitches what is wanted between the point and the last full thread.
const (
	pointPitches = 1
	clearPitches = 1
	// barelyShare of the engagement wanted is the least that is called careful
	// rather than bad.
	barelyShare = 0.6
)

// FitBolt tells how a bolt of a length under the head goes with a hole when the
// engagement wanted is a number of diameters (1 in steel, 1.25 in cast iron, 2 in
// aluminium by rule of thumb).
func FitBolt(t Thread, length quantity.Length, h Hole, wanted float64) Fit {
	tip := length - h.Grip
	point := pointPitches * t.Pitch
	f := Fit{Engagement: min(tip-point, h.Thread) - h.Countersink/2, Clearance: h.Thread - (tip - point)}
	want := t.Major * quantity.Length(wanted)
	if f.Engagement < 0 {
		f.Engagement = 0
	}
	touches := !h.Through && h.Bottom > 0 && tip > h.Bottom
	switch {
	case touches || !h.Through && f.Clearance < 0:
		f.Fitness, f.BottomsOut = Unfit, true
		over := max(-f.Clearance, 0)
		if touches {
			over = max(over, tip-h.Bottom)
		}
		f.Reason = fmt.Sprintf("It is too long by %s: it comes tight on the end of the hole and clamps nothing.", roundText(over))
	case f.Engagement == 0:
		f.Fitness, f.DoesNotHold = Unfit, true
		f.Reason = "It does not reach the thread."
	case f.Engagement < want*barelyShare:
		f.Fitness, f.DoesNotHold = Unfit, true
		f.Reason = fmt.Sprintf("It is too short: %s of thread hold where %s are wanted.", roundText(f.Engagement), roundText(want))
	case f.Engagement < want*0.999:
		f.Fitness = Limited
		f.Reason = fmt.Sprintf("It holds by %s of thread, less than the %s wanted.", roundText(f.Engagement), roundText(want))
	case !h.Through && f.Clearance < clearPitches*t.Pitch:
		f.Fitness = Limited
		f.Reason = fmt.Sprintf("Only %s are left to the end of the thread: clean the hole of oil and chips first.", roundText(f.Clearance))
	default:
		f.Fitness = Fits
		f.Reason = fmt.Sprintf("It fits: %s of thread hold.", roundText(f.Engagement))
	}
	return f
}

// roundText prints a length to a tenth of a millimetre.
func roundText(l quantity.Length) string {
	return numberText(float64(int(l.In(quantity.Millimetre)*10+0.5))/10, 4) + " mm"
}

func engagementRuleInputs() []calc.Input {
	inputs := tappedInputs()[:1]
	inputs[0].Default = "cast aluminium"
	return append(inputs, calc.Input{Name: "wanted", Title: "Engagement wanted, in diameters", Kind: calc.Number, Min: "0.3", Max: "5", Optional: true,
		Help: "Otherwise by rule of thumb: 1 in steel, 1.25 in cast iron, 2 in aluminium."})
}

func wantedOf(in calc.In) float64 {
	if in.Has("wanted") {
		return in.Number("wanted")
	}
	m, ok := FindTapped(in.Choice("tapped"))
	if !ok {
		panic("fastener: a choice of tapped material has no row: " + in.Choice("tapped"))
	}
	return m.Rule
}

var ruleSources = []calc.Source{
	{Text: "rule of thumb 1 d in steel, 1.25 d in cast iron, 2 d in aluminium: installation text after German BG rules", Known: calc.Published},
	{Text: "FED-STD-H28/2B, 70.7.2: half the countersink counts", Known: calc.Published},
	{Text: "one pitch for the bolt's point and one of clearance", Known: calc.CommonPractice},
}

var _ = Group.Add(func() calc.Definition {
	return calc.Definition{
		Name:  "bolt-and-hole",
		Title: "Does this bolt suit this hole?",
		About: "Whether a bolt is too short to hold or so long that it comes tight on the bottom of the hole and clamps nothing.",
		Method: "From the length under the head the clamped thickness is taken off; what is left goes into the hole. Less the point, that is the thread that can hold, " +
			"as far as the hole has full thread. A bolt longer than that jams in the last threads: the wrench clicks and the part is loose.\n\n" +
			"Measure the hole with a thin rod or the depth bar of a caliper, and the thread by screwing the bolt in by hand without the part and counting turns: each turn is one pitch.",
		Inputs: together([]calc.Input{threadInput(),
			{Name: "length", Title: "Length of the bolt under its head", Kind: "length", Unit: "mm", Min: "0 mm", Above: true, Max: "2 m"},
			{Name: "grip", Title: "Thickness clamped", Kind: "length", Unit: "mm", Min: "0 mm", Max: "2 m", Help: "Part, washer and gasket together."},
			{Name: "thread_depth", Title: "Full thread in the hole, from the face", Kind: "length", Unit: "mm", Min: "0 mm", Above: true, Max: "1 m"},
			{Name: "bottom", Title: "Depth to the bottom of the hole", Kind: "length", Unit: "mm", Min: "0 mm", Above: true, Max: "1 m", Optional: true},
			{Name: "countersink", Title: "Depth of the countersink", Kind: "length", Unit: "mm", Min: "0 mm", Max: "50 mm", Default: "0 mm", Seldom: true},
			{Name: "through", Title: "Is the hole open at the far end?", Kind: calc.YesNo, Default: "no"},
			{Name: "bolt_thread", Title: "Length of thread on the bolt", Kind: "length", Unit: "mm", Min: "0 mm", Above: true, Max: "2 m", Optional: true, Help: "When it is not threaded to the head."}},
			engagementRuleInputs()),
		Outputs: []calc.Output{
			{Name: "engagement", Title: "Thread that holds", Kind: "length", Unit: "mm"},
			{Name: "engagement_diameters", Title: "In bolt diameters", Kind: calc.Number},
			{Name: "clearance", Title: "Left to the end of the thread", Kind: "length", Unit: "mm"},
			{Name: "shortest", Title: "Shortest bolt that holds", Kind: "length", Unit: "mm"},
			{Name: "longest", Title: "Longest bolt that clamps", Kind: "length", Unit: "mm"},
			{Name: "turns", Title: "Turns of thread that hold", Kind: calc.Number},
		},
		Sources: ruleSources,
		Example: map[string]string{"thread": "M6", "length": "25 mm", "grip": "10 mm", "thread_depth": "16 mm", "tapped": "cast aluminium"},
		Compute: computeBoltAndHole,
	}
})

func computeBoltAndHole(in calc.In, a *calc.Answer) error {
	t, err := threadOf(in)
	if err != nil {
		return err
	}
	h := Hole{Grip: in.Length("grip"), Thread: in.Length("thread_depth"), Bottom: in.Length("bottom"), Countersink: in.Length("countersink"), Through: in.Yes("through")}
	length, wanted := in.Length("length"), wantedOf(in)
	switch {
	case in.Has("bottom") && h.Bottom < h.Thread:
		return in.Refuse("bottom", "Depth to the bottom of the hole: it cannot be less than the thread in it; measure both again.")
	case in.Has("bolt_thread") && in.Length("bolt_thread") > length:
		return in.Refuse("bolt_thread", "Length of thread on the bolt: it cannot be longer than the bolt.")
	case h.Countersink >= h.Thread:
		return in.Refuse("countersink", "Depth of the countersink: it leaves no thread; measure it again.")
	}
	f := FitBolt(t, length, h, wanted)
	point, want := pointPitches*t.Pitch, t.Major*quantity.Length(wanted)
	a.Give("engagement", f.Engagement)
	a.Give("engagement_diameters", float64(f.Engagement/t.Major))
	a.Give("clearance", f.Clearance)
	a.Give("turns", float64(f.Engagement/t.Pitch))
	a.Give("shortest", h.Grip+want+point+h.Countersink/2)
	longest := h.Grip + h.Thread + point
	if h.Bottom > 0 {
		longest = min(longest, h.Grip+h.Bottom)
	}
	a.Give("longest", longest)
	a.Step("Goes into the hole", "length − clamped", "= %s − %s = %s", mmText(length), mmText(h.Grip), lengthText(length-h.Grip))
	a.Step("Thread that holds", "the lesser of that less the point and the hole's thread, less half the countersink",
		"min(%s − %s, %s) − %s/2 = %s", mmText(length-h.Grip), mmText(point), mmText(h.Thread), mmText(h.Countersink), lengthText(f.Engagement))
	a.Step("Left to the end of the thread", "hole's thread − (what goes in − point)", "= %s − (%s − %s) = %s", mmText(h.Thread), mmText(length-h.Grip), mmText(point), lengthText(f.Clearance))
	a.Judge(levelOf(f.Fitness), "%s", f.Reason)
	if in.Has("bolt_thread") && length-in.Length("bolt_thread") > h.Grip+2*t.Pitch {
		a.Judge(calc.Bad, "The plain shank of %s is longer than the %s clamped: it comes tight on the shank.", lengthText(length-in.Length("bolt_thread")), lengthText(h.Grip))
	}
	a.Draw(holeFigure(t, length, h))
	return nil
}

func levelOf(f Fitness) calc.Level {
	return map[Fitness]calc.Level{Fits: calc.Good, Limited: calc.Careful, Unfit: calc.Bad}[f]
}

// holeFigure is a cut through bolt, part and hole, in mm.
func holeFigure(t Thread, length quantity.Length, h Hole) *figure.Figure {
	millimetres := func(l quantity.Length) float64 { return l.In(quantity.Millimetre) }
	d, grip, thread, tip := millimetres(t.Major), millimetres(h.Grip), millimetres(h.Thread), millimetres(length-h.Grip)
	bottom := thread + 2*millimetres(t.Pitch)
	if h.Bottom > 0 {
		bottom = millimetres(h.Bottom)
	}
	deep := max(bottom, tip) + d
	f := figure.New("Bolt and hole", "A cut through the clamped part, the tapped hole and the bolt, which shows how far the bolt goes in.", -2.5*d, -grip-1.2*d, 5.5*d, deep)
	f.Area(figure.Soft, 0.25, figure.Point{X: -2 * d, Y: 0}, figure.Point{X: 2 * d, Y: 0}, figure.Point{X: 2 * d, Y: deep}, figure.Point{X: -2 * d, Y: deep})
	f.Area(figure.Soft, 0.5, figure.Point{X: -2 * d, Y: -grip}, figure.Point{X: 2 * d, Y: -grip}, figure.Point{X: 2 * d, Y: 0}, figure.Point{X: -2 * d, Y: 0})
	f.Area(figure.Ground, 1, figure.Point{X: -d / 2, Y: 0}, figure.Point{X: d / 2, Y: 0}, figure.Point{X: d / 2, Y: bottom}, figure.Point{X: 0, Y: bottom + d/4}, figure.Point{X: -d / 2, Y: bottom})
	f.Line(figure.Hidden, figure.Point{X: -0.58 * d, Y: 0}, figure.Point{X: -0.58 * d, Y: thread})
	f.Line(figure.Hidden, figure.Point{X: 0.58 * d, Y: 0}, figure.Point{X: 0.58 * d, Y: thread})
	f.Outline(figure.Thin, figure.Point{X: -2 * d, Y: -grip}, figure.Point{X: 2 * d, Y: -grip}, figure.Point{X: 2 * d, Y: deep}, figure.Point{X: -2 * d, Y: deep})
	f.Line(figure.Thin, figure.Point{X: -2 * d, Y: 0}, figure.Point{X: 2 * d, Y: 0})
	pen := figure.Heavy
	if tip > bottom || tip-millimetres(t.Pitch) > thread {
		pen = figure.Now
	}
	f.Outline(pen, figure.Point{X: -0.45 * d, Y: -grip}, figure.Point{X: 0.45 * d, Y: -grip}, figure.Point{X: 0.45 * d, Y: tip - 0.1*d}, figure.Point{X: 0.3 * d, Y: tip},
		figure.Point{X: -0.3 * d, Y: tip}, figure.Point{X: -0.45 * d, Y: tip - 0.1*d})
	f.Outline(pen, figure.Point{X: -0.85 * d, Y: -grip - 0.65*d}, figure.Point{X: 0.85 * d, Y: -grip - 0.65*d}, figure.Point{X: 0.85 * d, Y: -grip}, figure.Point{X: -0.85 * d, Y: -grip})
	size := 0.3 * d
	for _, label := range []struct {
		y    float64
		text string
	}{{-grip / 2, "clamped " + lengthText(h.Grip)}, {thread / 2, "thread " + lengthText(h.Thread)}, {max(tip, thread) + size, "bolt goes in " + lengthText(length-h.Grip)}} {
		f.Label(figure.Point{X: 2.15 * d, Y: label.y}, size, figure.Start, label.text)
	}
	f.Line(figure.Help, figure.Point{X: 0.3 * d, Y: tip}, figure.Point{X: 2 * d, Y: max(tip, thread) + size})
	return f
}
