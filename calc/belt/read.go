package belt

import (
	"slices"
	"strings"

	"lastbolt/calc"
)

// The inputs that describe a drive, shared by the calculations.

var pulleyColumns = []calc.Input{
	{Name: "name", Title: "Name", Kind: calc.Text},
	{Name: "x", Title: "x", Kind: "length", Unit: "mm", Help: "To the right, seen from the front of the engine."},
	{Name: "y", Title: "y", Kind: "length", Unit: "mm", Help: "Up."},
	{Name: "diameter", Title: "Diameter", Kind: "length", Unit: "mm"},
	{Name: "rim", Title: "Rim", Kind: calc.Choice, Choices: calc.Options("grooved", "plain", "either"), Default: "grooved",
		Help: "Grooved takes the ribs, plain the back of the belt; either is smooth and may take both."},
	{Name: "measure", Title: "Which diameter", Kind: calc.Choice, Choices: calc.Options("effective", "outside", "pitch", "datum"), Optional: true,
		Help: "Left out, it is the effective one of a grooved pulley and the outside of a plain one."},
	{Name: "torque", Title: "Torque it takes", Kind: "torque", Unit: "N·m", Optional: true, Min: "0 N·m"},
	{Name: "turns", Title: "Must turn", Kind: calc.Choice, Choices: calc.Options("same", "opposite", "any"), Default: "any", Help: "As the crank, or against it."},
	{Name: "drives", Title: "What it drives", Kind: calc.Text, Optional: true},
	{Name: "optional", Title: "May be left out", Kind: calc.YesNo, Default: "no"},
	{Name: "power", Title: "Power it takes", Kind: "power", Unit: "kW", Optional: true, Min: "0 kW", Help: "In place of the torque; needs the crank's speed."},
}

var driveInputs = []calc.Input{
	{Name: "pulleys", Title: "Pulleys", Kind: calc.Table, Columns: pulleyColumns, MaxRows: MostPulleys,
		Help: "One a line, the crank's first, seen from the front of the engine. Fields after the diameter may be left out."},
	{Name: "crank_turns", Title: "The crank turns", Kind: calc.Choice, Choices: calc.Options("clockwise", "counter-clockwise"), Default: "clockwise"},
	{Name: "profile", Title: "Belt profile", Kind: calc.Choice, Choices: profileOptions(), Default: "PK"},
	{Name: "differential", Title: "Effective line to pitch line", Kind: "length", Unit: "mm", Optional: true, Min: "0 mm", Max: "30 mm",
		Help: "A step of the radius; left out, the profile's."},
	{Name: "back_offset", Title: "Pitch line to the back", Kind: "length", Unit: "mm", Optional: true, Min: "0 mm", Max: "30 mm",
		Help: "A step of the radius; left out, the profile's, with the range of the sources as a band."},
	{Name: "double_sided", Title: "Ribs on both sides", Kind: calc.YesNo, Default: "no", Seldom: true},
	{Name: "belt_length", Title: "Effective length of the belt", Kind: "length", Unit: "mm", Optional: true, Min: "0 mm", Above: true, Help: "As marked on it."},
}

var tensionerInputs = []calc.Input{
	{Name: "tensioner", Title: "Tensioner", Kind: calc.Choice, Choices: []calc.Option{{Value: "none", Title: "none"}, {Value: "slotted", Title: "slides in a slot"}, {Value: "spring arm", Title: "arm with a spring"}, {Value: "not known", Title: "there is one, its travel not known"}}, Default: "none"},
	{Name: "tensioner_pulley", Title: "Its pulley", Kind: calc.Text, Optional: true},
	{Name: "slack_x", Title: "Slot, slack end, x", Kind: "length", Unit: "mm", Optional: true},
	{Name: "slack_y", Title: "Slot, slack end, y", Kind: "length", Unit: "mm", Optional: true},
	{Name: "tight_x", Title: "Slot, tight end, x", Kind: "length", Unit: "mm", Optional: true},
	{Name: "tight_y", Title: "Slot, tight end, y", Kind: "length", Unit: "mm", Optional: true},
	{Name: "pivot_x", Title: "Pivot, x", Kind: "length", Unit: "mm", Optional: true},
	{Name: "pivot_y", Title: "Pivot, y", Kind: "length", Unit: "mm", Optional: true},
	{Name: "free_angle", Title: "Arm with the spring run out", Kind: "angle", Unit: "°", Optional: true, Help: "From the pivot to the pulley, counter-clockwise from the x axis."},
	{Name: "loaded_angle", Title: "Arm at its stop", Kind: "angle", Unit: "°", Optional: true, Help: "Where the belt is put on."},
	{Name: "free_torque", Title: "Spring moment, run out", Kind: "torque", Unit: "N·m", Optional: true, Min: "0 N·m"},
	{Name: "loaded_torque", Title: "Spring moment, at its stop", Kind: "torque", Unit: "N·m", Optional: true, Min: "0 N·m"},
}

func profileOptions() []calc.Option {
	var options []calc.Option
	for _, p := range profiles {
		options = append(options, calc.Option{Value: p.Name, Title: p.Title})
	}
	return options
}

// readDrive reads the drive out of the inputs.
func readDrive(in calc.In) (Drive, error) {
	d := Drive{Turns: Clockwise}
	if in.Choice("crank_turns") == "counter-clockwise" {
		d.Turns = CounterClockwise
	}
	profile, err := ProfileNamed(in.Choice("profile"))
	if err != nil {
		return d, err
	}
	if in.Has("differential") {
		profile.Differential = in.Length("differential")
	}
	if in.Has("back_offset") {
		profile.BackOffset = in.Length("back_offset")
		profile.BackLow, profile.BackHigh = profile.BackOffset, profile.BackOffset
	}
	profile.Double = in.Yes("double_sided")
	d.Belt = Belt{Profile: profile, Length: in.Length("belt_length")}
	for _, row := range in.Rows("pulleys") {
		d.Pulleys = append(d.Pulleys, readPulley(row))
	}
	return d, d.readTensioner(in)
}

func readPulley(row calc.In) Pulley {
	p := Pulley{Name: row.Text("name"), Centre: Point{row.Length("x"), row.Length("y")}, Diameter: row.Length("diameter"),
		Measure: Measure(row.Choice("measure")), Surface: Surface(row.Choice("rim")), Drives: row.Text("drives"),
		Torque: row.Torque("torque"), Power: row.Power("power"), Idle: row.Yes("optional")}
	if turns := Turn(row.Choice("turns")); turns != "any" {
		p.Turns = turns
	}
	return p
}

func (d *Drive) readTensioner(in calc.In) error {
	kind := Kind(in.Choice("tensioner"))
	if kind == "none" {
		return nil
	}
	needs := []string{"tensioner_pulley", "slack_x", "slack_y", "tight_x", "tight_y"}
	switch kind {
	case "not known":
		kind, needs = "", needs[:1]
	case SpringArm:
		needs = []string{"tensioner_pulley", "pivot_x", "pivot_y", "free_angle", "loaded_angle"}
	}
	for _, name := range needs {
		if !in.Has(name) {
			return in.Refuse(name, "The tensioner needs this: %s. Give it, or choose none.", strings.ReplaceAll(name, "_", " "))
		}
	}
	i, err := d.index(in.Text("tensioner_pulley"))
	if err != nil {
		return in.Refuse("tensioner_pulley", "There is no pulley named %q; write one of %s.", in.Text("tensioner_pulley"), d.names())
	}
	d.Tensioner = &Tensioner{Kind: kind, Pulley: i,
		From: Point{in.Length("slack_x"), in.Length("slack_y")}, To: Point{in.Length("tight_x"), in.Length("tight_y")},
		Pivot: Point{in.Length("pivot_x"), in.Length("pivot_y")}, Free: in.Angle("free_angle"), Loaded: in.Angle("loaded_angle"),
		TorqueFree: in.Torque("free_torque"), TorqueLoaded: in.Torque("loaded_torque")}
	return nil
}

func (d *Drive) names() string {
	var names []string
	for _, p := range d.Pulleys {
		names = append(names, p.Name)
	}
	return strings.Join(names, ", ")
}

// ReadRouting reads an order such as "crank > alternator > idler (back)"; commas
// do as well, where there is no arrow. A pulley without a side in brackets takes the one that
// suits its rim. "" is every pulley in the order of the drive.
func (d *Drive) ReadRouting(text string) (Routing, error) {
	var r Routing
	if strings.TrimSpace(text) == "" {
		for i := range d.Pulleys {
			r = append(r, Touch{i, d.sideFor(&d.Pulleys[i])})
		}
		return r, nil
	}
	separators := ",;"
	if strings.ContainsAny(text, ">→") {
		separators = ">→"
	}
	for _, name := range strings.FieldsFunc(text, func(c rune) bool { return strings.ContainsRune(separators, c) }) {
		name = strings.TrimSpace(name)
		side := Side("")
		for _, s := range []Side{Ribs, Back} {
			if bare, cut := strings.CutSuffix(name, "("+string(s)+")"); cut {
				name, side = strings.TrimSpace(bare), s
			}
		}
		i := slices.IndexFunc(d.Pulleys, func(p Pulley) bool { return strings.EqualFold(p.Name, name) })
		if i < 0 {
			return nil, calc.Cannot("There is no pulley named %q in the order; write names out of %s.", name, d.names())
		}
		if side == "" {
			side = d.sideFor(&d.Pulleys[i])
		}
		r = append(r, Touch{i, side})
	}
	return r, nil
}

func splitList(text string) []string {
	var out []string
	for part := range strings.SplitSeq(text, ",") {
		if part = strings.TrimSpace(part); part != "" {
			out = append(out, part)
		}
	}
	return out
}

// cutLast takes the side of the belt off the end of "idler back".
func cutLast(item string) (name string, side Side, ok bool) {
	for _, s := range []Side{Ribs, Back, Untouched} {
		if bare, cut := strings.CutSuffix(item, " "+string(s)); cut {
			return strings.TrimSpace(bare), s, true
		}
	}
	return item, "", false
}
