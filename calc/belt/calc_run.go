package belt

import (
	"fmt"
	"math"
	"slices"

	"lastbolt/calc"
	"lastbolt/quantity"
)

// sources of the multi-pulley geometry and forces.
var driveSources = []calc.Source{
	{Text: "Plane geometry: tangents and arcs; the signed wraps of a loop that does not cross itself add to 360°", Known: calc.Published},
	{Text: "ISO 9981:2020, 5.2 and 5.4: smallest effective diameter 45 mm and effective line differential 2 mm of the PK profile", Known: calc.Published},
	{Text: "Euler and Eytelwein, T1/T2 = exp(µ·θ), with µ/sin(G/2) in a groove (Engineering Statics: Open and Interactive, 9.5)", Known: calc.Published},
	{Text: "How much wrap is enough: about 150° on the crank and 90° on loaded accessories, design practice", Known: calc.FromMemory},
	{Text: "Back of a PK belt 0 to 1.5 mm beyond its pitch line; sources disagree", Known: calc.FromMemory},
}

var loadInputs = []calc.Input{
	{Name: "crank_speed", Title: "Crank speed", Kind: "rotational speed", Unit: "rpm", Optional: true, Min: "0 rpm", Max: "20000 rpm"},
	{Name: "ribs", Title: "Ribs", Kind: calc.Count, Optional: true, Min: "1", Max: "40"},
	{Name: "mass", Title: "Mass of the belt", Kind: "mass per length", Unit: "g/m", Optional: true, Min: "0 g/m", Above: true, Max: "20 kg/m", Help: "Weigh it and divide by its length; left out, the profile's for each rib."},
	{Name: "static_tension", Title: "Tension at rest", Kind: "force", Unit: "N", Optional: true, Min: "0 N", Above: true, Help: "Of a drive without a spring; by the note of a span, for example."},
	{Name: "friction_low", Title: "Friction, low", Kind: calc.Number, Default: "0.175", Seldom: true, Min: "0", Above: true, Max: "3"},
	{Name: "friction_high", Title: "Friction, high", Kind: calc.Number, Default: "0.35", Seldom: true, Min: "0", Above: true, Max: "3"},
}

var _ = Group.Add(func() calc.Definition {
	return calc.Definition{
		Name:  "belt-run",
		Title: "A belt over several pulleys",
		About: "Length, wraps, turning and speeds of a belt on a known routing; with loads also tensions, bearing loads and slip, with a tensioner its place and the belts that fit.",
		Method: "The belt is laid as straight spans and arcs along its pitch line. A grooved pulley's pitch radius is its effective radius and the profile's differential; a plain one's is its outside radius and the step from the pitch line to the belt's back. The effective length is that of the line one differential inside the pitch line, as belts are marked.\n\n" +
			"At each accessory the belt leaves tighter by torque over radius; a spring arm fixes the tension where it stands, by moments about its pivot, and without a spring the mean tension over the belt stays that at rest. The friction needed at a pulley is ln of the ratio of its tensions, each less m·v², over wrap and wedge.\n\n" +
			"Left out: the belt's stiffness and sag, pulleys out of line, the damping of the arm, loads that swing within a turn. A figure of slip is therefore the limit of a steady load.",
		Inputs: slices.Concat(driveInputs, []calc.Input{
			{Name: "order", Title: "Order the belt reaches them", Kind: calc.Text, Optional: true, Help: "In the direction it travels, as in: crank > alternator > idler (back). Left out, the order of the table."},
		}, tensionerInputs, loadInputs),
		Outputs: []calc.Output{
			{Name: "length", Title: "Effective length", Kind: "length", Unit: "mm", Digits: 6, Help: "The band is the disagreement of sources about the belt's back."},
			{Name: "pitch_length", Title: "Length of the pitch line", Kind: "length", Unit: "mm", Digits: 6},
			{Name: "outside_length", Title: "Length over the back", Kind: "length", Unit: "mm", Digits: 5},
			{Name: "turning", Title: "Sum of the signed wraps", Kind: "angle", Unit: "°", Digits: 5, Help: "360° when the belt does not cross itself; less than zero when clockwise."},
			{Name: "stops", Title: "Pulleys in order", Kind: calc.Table, Columns: []calc.Output{
				{Name: "name", Title: "Pulley", Kind: calc.Text},
				{Name: "turns", Title: "Turns", Kind: calc.Text},
				{Name: "wrap", Title: "Wrap", Kind: "angle", Unit: "°", Digits: 4},
				{Name: "ratio", Title: "Turns for one of the crank", Kind: calc.Number, Digits: 4},
				{Name: "speed", Title: "Speed", Kind: "rotational speed", Unit: "rpm", Digits: 4, Optional: true},
				{Name: "hub", Title: "Bearing load", Kind: "force", Unit: "N", Optional: true},
				{Name: "needs", Title: "Friction needed", Kind: calc.Number, Digits: 2, Optional: true},
				{Name: "margin", Title: "At hand over needed", Kind: calc.Number, Digits: 2, Optional: true},
			}},
			{Name: "spans", Title: "Spans", Kind: calc.Table, Columns: []calc.Output{
				{Name: "from", Title: "From", Kind: calc.Text},
				{Name: "to", Title: "To", Kind: calc.Text},
				{Name: "length", Title: "Length", Kind: "length", Unit: "mm", Digits: 5},
				{Name: "tension", Title: "Tension, running", Kind: "force", Unit: "N", Optional: true},
				{Name: "rest", Title: "At rest", Kind: "force", Unit: "N", Optional: true},
				{Name: "note", Title: "Note at rest", Kind: "frequency", Unit: "Hz", Optional: true},
			}},
			{Name: "belt_speed", Title: "Belt speed", Kind: "speed", Unit: "m/s", Optional: true},
			{Name: "passes", Title: "The belt goes round", Kind: "frequency", Unit: "Hz", Optional: true, Help: "What a damaged spot of the belt sounds at."},
			{Name: "fits", Title: "The belt fits", Kind: calc.YesNo, Optional: true},
			{Name: "shortest", Title: "Shortest belt that goes on", Kind: "length", Unit: "mm", Digits: 5, Optional: true},
			{Name: "longest", Title: "Longest belt that is held", Kind: "length", Unit: "mm", Digits: 5, Optional: true},
			{Name: "travel", Title: "Travel used", Kind: calc.Number, Unit: "%", Optional: true, Help: "0 is slackest, 100 wound up to the stop."},
			{Name: "arm_angle", Title: "Angle of the arm", Kind: "angle", Unit: "°", Optional: true},
			{Name: "stretch_left", Title: "Stretch left", Kind: "length", Unit: "mm", Optional: true, Help: "How much longer the belt may get."},
			{Name: "wear_left", Title: "Rib wear left", Kind: "length", Unit: "mm", Digits: 2, Optional: true, Help: "How deep the ribs may sink into the grooves until the travel is used up."},
		},
		Sources:  driveSources,
		Cautions: []string{"The maker's routing label and belt tables come first; use this where they are lost.", "Keep hands, hair and clothing away from a running belt; take the key out before touching it."},
		Example:  exampleRun,
		Compute:  computeRun,
	}
})

var exampleRun = map[string]string{
	"pulleys": "crank; 0; 0; 150\n" +
		"tensioner; -90; 140; 76; plain\n" +
		"pump; -150; 300; 120; grooved; effective; 4; same; steering pump\n" +
		"alternator; 80; 400; 60; grooved; effective; 6; same; alternator\n" +
		"idler; 160; 250; 70; plain; outside; ; any; ; yes\n" +
		"compressor; 220; 110; 120; grooved; effective; 12; same; compressor",
	"belt_length": "1605 mm", "crank_speed": "800 rpm", "ribs": "6", "profile": "PK",
	"tensioner": "spring arm", "tensioner_pulley": "tensioner", "pivot_x": "-90 mm", "pivot_y": "220 mm",
	"free_angle": "300 °", "loaded_angle": "245 °", "free_torque": "20 N·m", "loaded_torque": "32 N·m",
}

func computeRun(in calc.In, a *calc.Answer) error {
	d, err := readDrive(in)
	if err != nil {
		return err
	}
	readLoads(in, &d)
	if d.Friction[1] < d.Friction[0] {
		return in.Refuse("friction_high", "The high friction is below the low one; exchange them.")
	}
	if err := d.Check(); err != nil {
		return in.Refuse("pulleys", "%s", sentenceOf(err))
	}
	r, err := d.ReadRouting(in.Text("order"))
	if err != nil {
		return in.Refuse("order", "%s", sentenceOf(err))
	}
	for i := range d.Pulleys {
		if p := &d.Pulleys[i]; p.Power > 0 && p.Torque == 0 && d.Speed == 0 {
			return in.Refuse("crank_speed", "The power of %s says something only at a speed: give the crank's, or its torque instead.", p.Name)
		}
	}
	s, err := Solve(d, r)
	if err != nil {
		return err
	}
	s.give(a)
	s.explain(a)
	s.verdicts(a)
	a.Draw(Draw(s))
	return nil
}

func readLoads(in calc.In, d *Drive) {
	d.Speed = in.RotationalSpeed("crank_speed")
	d.Belt.Ribs, d.Belt.Mass, d.Belt.Static = in.Count("ribs"), in.MassPerLength("mass"), in.Force("static_tension")
	d.Friction = [2]float64{in.Number("friction_low"), in.Number("friction_high")}
}

func sentenceOf(err error) string { return calc.ProblemsOf(err)[0].Say }

func (s *Solution) give(a *calc.Answer) {
	if s.High > s.Low {
		a.GiveBand("length", s.Low, s.Effective, s.High)
	} else {
		a.Give("length", s.Effective)
	}
	a.Give("pitch_length", s.Pitch)
	outer := func(back quantity.Length) quantity.Length {
		return s.Outer + quantity.Length(s.net*float64(back-s.Drive.Belt.Profile.BackOffset))
	}
	give(a, "outside_length", outer(s.Drive.Belt.Profile.BackLow), s.Outer, outer(s.Drive.Belt.Profile.BackHigh))
	turning := 0.0
	for _, st := range s.Stops {
		turning += float64(st.Turns) * float64(st.Wrap)
		row := []any{st.Name, st.Turns.String(), st.Wrap, st.Ratio, nil, nil, nil, nil}
		if s.Drive.Speed > 0 {
			row[4] = quantity.RotationalSpeed(math.Abs(float64(st.Speed)))
		}
		if s.Tensions {
			row[5] = st.Load.Hub
			if f := st.Load.Friction; f > 0 && !math.IsInf(f, 0) {
				row[6], row[7] = f, st.Load.Margin
			}
		}
		a.GiveRow("stops", row...)
	}
	a.Give("turning", quantity.Angle(turning))
	for _, sp := range s.Spans {
		row := []any{s.Stops[sp.From].Name, s.Stops[sp.To].Name, sp.Length, nil, nil, nil}
		if s.Tensions {
			row[3], row[4] = sp.Tension, sp.Rest
			if sp.Note > 0 {
				row[5] = sp.Note
			}
		}
		a.GiveRow("spans", row...)
	}
	if s.BeltSpeed > 0 {
		a.Give("belt_speed", s.BeltSpeed)
		a.Give("passes", quantity.Frequency(float64(s.BeltSpeed)/float64(s.Pitch)))
	}
	if t := s.Travel; t != nil {
		a.Give("shortest", t.Shortest)
		a.Give("longest", t.Longest)
		a.Give("travel", 100*t.At)
		a.Give("stretch_left", t.Stretch)
		a.Give("wear_left", t.Wear)
		if s.Drive.Tensioner.Kind == SpringArm {
			a.Give("arm_angle", t.Angle)
		}
		if s.Drive.Belt.Length > 0 {
			a.Give("fits", t.Fits)
		}
	}
}

// explain gives the working of the length.
func (s *Solution) explain(a *calc.Answer) {
	spans, arcs := 0.0, 0.0
	for i, sp := range s.Spans {
		st := s.Stops[i]
		a.Step(fmt.Sprintf("%s, then to %s", st.Name, s.Stops[sp.To].Name), "R·wrap + span",
			"%.2f mm · %.3f° + %.2f mm", 1000*float64(st.Radius), degrees(st.Wrap), 1000*float64(sp.Length))
		spans += float64(sp.Length)
		arcs += float64(st.Radius) * float64(st.Wrap)
	}
	a.Step("Pitch line", "spans + arcs", "%.2f + %.2f = %.2f mm", 1000*spans, 1000*arcs, 1000*float64(s.Pitch))
	a.Step("Effective length", "pitch line − 2π·be", "= %.2f mm with be = %s", 1000*float64(s.Effective), mm(s.Drive.Belt.Profile.Differential))
}

func (s *Solution) verdicts(a *calc.Answer) {
	for _, t := range s.Troubles {
		level := calc.Careful
		if t.Grave {
			level = calc.Bad
		}
		a.Judge(level, "%s", t.Say)
	}
	if len(s.Troubles) == 0 {
		a.Judge(calc.Good, "The belt can run like this: %s.", s.Order())
	}
}
