package fastener

import (
	"fmt"

	"lastbolt/calc"
	"lastbolt/quantity"
)

// A Drive is a square drive with what tools of it stand.
type Drive struct {
	Name, Title string
	Wrench      quantity.Torque // largest a torque wrench of it is made for
	Hand        quantity.Torque // proof of ratchets and bars driven by hand
	Socket      quantity.Torque // proof of the strongest sockets
}

// Drives are the square drives with the orders of size of ISO 6789, ISO 3315 and
// ISO 1711-1 (from memory, low confidence).
var Drives = []Drive{
	{"1/4", "6.3 mm (1/4 in)", 30, 62, 68.6},
	{"3/8", "10 mm (3/8 in)", 135, 202, 225},
	{"1/2", "12.5 mm (1/2 in)", 340, 512, 569},
	{"3/4", "20 mm (3/4 in)", 1000, 1412, 1569},
}

// FindDrive finds a square drive by name.
func FindDrive(name string) (d Drive, ok bool) {
	for _, d := range Drives {
		if d.Name == name {
			return d, true
		}
	}
	return Drive{}, false
}

// A corrosion is how much a rusted bolt has lost.
type corrosion struct {
	name, title string
	left        float64 // of the diameter (common practice)
}

var corrosions = []corrosion{
	{"none", "clean", 1},
	{"light", "rusty, thread still sharp", 0.95},
	{"heavy", "heavily rusted, thread or shank eaten", 0.8},
}

func corrosionInput() calc.Input {
	var options []calc.Option
	for _, c := range corrosions {
		options = append(options, calc.Option{Value: c.name, Title: c.title})
	}
	return calc.Input{Name: "corrosion", Title: "State of the bolt", Kind: calc.Choice, Choices: options, Default: "none"}
}

// twistLimit is what a bolt in its state stands before it twists off.
func twistLimit(in calc.In, a *calc.Answer, t Thread) (quantity.Torque, error) {
	g, s, err := adviceStrength(in, a, t)
	if err != nil {
		return 0, err
	}
	limit := TwistOff(t, g, s)
	for _, c := range corrosions {
		if c.name == in.Choice("corrosion") {
			rusted := limit * quantity.Torque(c.left*c.left*c.left)
			a.Step("The bolt twists off at", "x·Rm·π/16·d3³ · (diameter left)³", "= %s · %.3g³ = %s", torqueText(limit), c.left, torqueText(rusted))
			return rusted, nil
		}
	}
	panic("fastener: a choice of corrosion has no row: " + in.Choice("corrosion"))
}

func driveInput() calc.Input {
	var options []calc.Option
	for _, d := range Drives {
		options = append(options, calc.Option{Value: d.Name, Title: d.Title})
	}
	return calc.Input{Name: "drive", Title: "Square drive", Kind: calc.Choice, Choices: options, Default: "1/2"}
}

var _ = Group.Add(func() calc.Definition {
	return calc.Definition{
		Name:  "breaker-bar",
		Title: "Breaker bar and pipe: what breaks first?",
		About: "The torque that a pull on a long bar makes, against what the bolt, the square and the socket stand: what gives before the bolt turns.",
		Method: "Pull times lever gives the torque at the bolt. It is set against the least torque that twists the bolt off and against the proof torques of hand tools of that square. " +
			"Those of the tools are orders of size: a worn socket or a universal joint stands less. A pipe over a handle is for a breaker bar only, never for a torque wrench or a ratchet.",
		Inputs: []calc.Input{
			{Name: "force", Title: "Pull of the hands", Kind: "force", Unit: "N", Min: "0 N", Above: true, Max: "5000 N", Default: "400 N"},
			{Name: "bar", Title: "Length of the bar, to the hand", Kind: "length", Unit: "mm", Min: "0 mm", Above: true, Max: "5 m"},
			{Name: "pipe", Title: "Longer with the pipe by", Kind: "length", Unit: "mm", Min: "0 mm", Max: "5 m", Default: "0 mm"},
			{Name: "tool", Title: "Tool", Kind: calc.Choice, Choices: []calc.Option{{Value: "bar", Title: "breaker bar"}, {Value: "ratchet", Title: "ratchet"}, {Value: "torque wrench", Title: "torque wrench"}}, Default: "bar"},
			driveInput(), threadInput(), adviceGradeInput(), corrosionInput(),
		},
		Outputs: []calc.Output{
			{Name: "torque", Title: "Torque at the bolt", Kind: "torque", Unit: "N·m"},
			{Name: "first", Title: "What gives first", Kind: calc.Text},
			{Name: "least_limit", Title: "At a torque of", Kind: "torque", Unit: "N·m"},
			{Name: "most_force", Title: "Pull it stands at this lever", Kind: "force", Unit: "N"},
			{Name: "bolt_limit", Title: "The bolt twists off at", Kind: "torque", Unit: "N·m"},
			{Name: "drive_limit", Title: "The tool's square is proved to", Kind: "torque", Unit: "N·m"},
			{Name: "socket_limit", Title: "Strong sockets are proved to", Kind: "torque", Unit: "N·m"},
		},
		Sources: []calc.Source{
			{Text: "ISO 898-7: twisting off", Known: calc.FromMemory},
			{Text: "ISO 3315, ISO 1711-1, ISO 6789: proof of squares and sockets, low confidence", Known: calc.FromMemory},
			{Text: "torque-wrench manual M199, p. 7: no pipe on a torque wrench", Known: calc.Published},
		},
		Cautions: []string{"When a bolt or a tool breaks the hands go on: keep the face and the other hand out of the way, and pull rather than push."},
		Example:  map[string]string{"force": "400 N", "bar": "600 mm", "pipe": "400 mm", "drive": "1/2", "thread": "M12", "class": "10.9"},
		Compute:  computeBreaker,
	}
})

func computeBreaker(in calc.In, a *calc.Answer) error {
	t, err := threadOf(in)
	if err != nil {
		return err
	}
	if in.Choice("tool") == "torque wrench" && in.Length("pipe") > 0 {
		return in.Refuse("pipe", "Longer with the pipe by: a pipe on a torque wrench breaks it and makes its reading wrong; take a breaker bar.")
	}
	d, ok := FindDrive(in.Choice("drive"))
	if !ok {
		panic("fastener: a choice of drive has no row: " + in.Choice("drive"))
	}
	bolt, err := twistLimit(in, a, t)
	if err != nil {
		return err
	}
	square := d.Hand
	if in.Choice("tool") == "torque wrench" {
		square = d.Wrench
	}
	lever := in.Length("bar") + in.Length("pipe")
	torque := quantity.Torque(float64(in.Force("force")) * float64(lever))
	a.Step("Torque at the bolt", "F·(bar + pipe)", "= %s · (%s + %s) mm = %s", newtons(in.Force("force")), mmText(in.Length("bar")), mmText(in.Length("pipe")), torqueText(torque))
	limit, first := bolt, "the bolt"
	for _, other := range []struct {
		torque quantity.Torque
		name   string
	}{{square, "the square of the " + in.Choice("tool")}, {d.Socket, "the socket"}} {
		if other.torque < limit {
			limit, first = other.torque, other.name
		}
	}
	a.Give("torque", torque)
	a.Give("first", first)
	a.Give("least_limit", limit)
	a.Give("most_force", quantity.Force(float64(limit)/float64(lever)))
	a.Give("bolt_limit", bolt)
	a.Give("drive_limit", square)
	a.Give("socket_limit", d.Socket)
	a.Rest("drive_limit", calc.Advice, "order of size only, from memory: the tool's maker knows")
	a.Rest("socket_limit", calc.Advice, "order of size only, from memory: the tool's maker knows")
	judgeBreaker(a, in, torque, limit, first)
	return nil
}

func judgeBreaker(a *calc.Answer, in calc.In, torque, limit quantity.Torque, first string) {
	switch {
	case torque >= limit:
		a.Judge(calc.Bad, "%s gives at %s, below the %s of this pull. Stop before, and soak, heat or shock it instead.", upper(first), torqueText(limit), torqueText(torque))
	case torque >= limit*stopShare:
		a.Judge(calc.Careful, "This is %.0f %% of what %s stands (%s): go no further.", 100*float64(torque/limit), first, torqueText(limit))
	default:
		a.Judge(calc.Good, "%s stands %s; this pull makes %s.", upper(first), torqueText(limit), torqueText(torque))
	}
	if in.Choice("tool") == "ratchet" && in.Length("pipe") > 0 {
		a.Judge(calc.Careful, "A ratchet's pawls break before its square does: put the pipe on a breaker bar.")
	}
}

// stopShare of the torque that twists a bolt off is where to stop pulling
// (common practice).
const stopShare = 0.7

var _ = Group.Add(func() calc.Definition {
	return calc.Definition{
		Name:  "seized-bolt",
		Title: "A bolt that will not come loose",
		About: "How far to pull on a seized bolt before it snaps, and what to do next: soak, shock, heat, weld a nut on, drill.",
		Method: "A clean bolt comes loose at a little less than it was tightened to. A rusted one needs more, and snaps at a torque that does not depend on what holds it. " +
			"Stopping at 0.7 of the least torque that twists it off leaves it whole for the gentler means. Rust takes from the diameter, and the torque goes with its third power.\n\n" +
			"The order of the means is common practice: the ones that can be undone come first.",
		Inputs: []calc.Input{threadInput(), adviceGradeInput(), corrosionInput(),
			{Name: "applied", Title: "Torque already tried", Kind: "torque", Unit: "N·m", Min: "0 N·m", Max: "100000 N·m", Default: "0 N·m"},
			{Name: "tightened", Title: "Torque it was tightened to", Kind: "torque", Unit: "N·m", Min: "0 N·m", Max: "100000 N·m", Optional: true},
			{Name: "host", Title: "What it sits in", Kind: calc.Choice, Choices: []calc.Option{{Value: "steel", Title: "steel or iron"}, {Value: "aluminium", Title: "aluminium or magnesium"}, {Value: "plastic", Title: "plastic"}}, Default: "steel"},
			{Name: "tried", Title: "Done so far", Kind: calc.Choice, Choices: []calc.Option{{Value: "nothing", Title: "only pulled"}, {Value: "soaked", Title: "soaked and shocked"}, {Value: "heated", Title: "soaked, shocked and heated"}}, Default: "nothing"},
			{Name: "near_fire", Title: "Fuel, hoses, seals, airbags or wiring close by?", Kind: calc.YesNo, Default: "yes"},
		},
		Outputs: []calc.Output{
			{Name: "stop", Title: "Stop pulling at", Kind: "torque", Unit: "N·m"},
			{Name: "snaps", Title: "It may snap from", Kind: "torque", Unit: "N·m"},
			{Name: "used", Title: "Share of that already tried", Kind: calc.Number, Unit: "%"},
			{Name: "next", Title: "Next", Kind: calc.Text},
			{Name: "steps", Title: "In this order", Kind: calc.Table, Columns: []calc.Output{
				{Name: "step", Title: "What", Kind: calc.Text}, {Name: "how", Title: "How", Kind: calc.Text}}},
			{Name: "pilot", Title: "If it has to be drilled: first drill", Kind: "length", Unit: "mm", Digits: 2},
			{Name: "last_drill", Title: "Last drill", Kind: "length", Unit: "mm", Digits: 3},
		},
		Sources: []calc.Source{
			{Text: "ISO 898-7: twisting off", Known: calc.FromMemory},
			{Text: "where to stop, what rust takes, and the order of the means", Known: calc.CommonPractice},
		},
		Example: map[string]string{"thread": "M8", "class": "8.8", "corrosion": "light", "applied": "20 N·m", "host": "aluminium"},
		Compute: computeSeized,
	}
})

func computeSeized(in calc.In, a *calc.Answer) error {
	t, err := threadOf(in)
	if err != nil {
		return err
	}
	snaps, err := twistLimit(in, a, t)
	if err != nil {
		return err
	}
	stop, applied := snaps*stopShare, in.Torque("applied")
	used := applied / snaps
	a.Step("Stop pulling at", "0.7 of that", "= %s", torqueText(stop))
	a.Give("stop", stop)
	a.Rest("stop", calc.Advice, "0.7 of the least torque that twists it off")
	a.Give("snaps", snaps)
	a.Give("used", float64(100*used))
	pilot := mm(float64(int(t.Major.In(quantity.Millimetre)*4)) / 10)
	a.Give("pilot", pilot)
	a.Give("last_drill", t.TapDrill())
	if in.Has("tightened") && in.Torque("tightened") > stop {
		a.Note("It was tightened to %s, more than where to stop: the class or the rust may be judged too low.", torqueText(in.Torque("tightened")))
	}
	steps := seizedSteps(in, t, stop, pilot)
	next := steps[0]
	if in.Choice("tried") == "nothing" && applied < stop*0.5 {
		next = [2]string{"pull", fmt.Sprintf("Pull steadily up to %s, and a little tighter first: that often cracks the rust.", torqueText(stop))}
	}
	a.Give("next", next[1])
	for _, s := range steps {
		a.GiveRow("steps", s[0], s[1])
	}
	switch {
	case used >= 1:
		a.Judge(calc.Bad, "It has already borne what the least bolt of its class twists off at: stop pulling.")
	case used >= stopShare:
		a.Judge(calc.Bad, "Stop pulling: %.0f %% of the torque that may snap it is reached.", float64(100*used))
	case used >= stopShare*0.7:
		a.Judge(calc.Careful, "Not much is left: %s of %s. Change the means now.", torqueText(applied), torqueText(stop))
	default:
		a.Judge(calc.Good, "It may be pulled further, to %s.", torqueText(stop))
	}
	return nil
}

// seizedSteps are the means still to try, gentlest first.
func seizedSteps(in calc.In, t Thread, stop quantity.Torque, pilot quantity.Length) [][2]string {
	soak := [2]string{"soak", "Brush the thread clean, soak it with penetrating oil, leave it for a quarter of an hour or overnight, and again."}
	shock := [2]string{"shock", "Hit the head square on with a hammer and punch; use an impact driver or wrench on its low setting, both ways."}
	heat := [2]string{"heat", heatText(in)}
	weld := [2]string{"grip", "If the head is round or gone: weld a nut on, and turn it out while it is still hot."}
	drill := [2]string{"drill", fmt.Sprintf("Grind it flat, punch the middle, drill %s and then up to %s with a left-hand drill, and pick the rest out; chase the thread or fit an insert.", lengthText(pilot), lengthText(t.TapDrill()))}
	work := [2]string{"work it", fmt.Sprintf("Turn it to and fro, no further than %s, with oil, rather than straight out.", torqueText(stop))}
	switch in.Choice("tried") {
	case "soaked":
		return [][2]string{heat, work, weld, drill}
	case "heated":
		return [][2]string{work, weld, drill}
	}
	return [][2]string{soak, shock, work, heat, weld, drill}
}

func heatText(in calc.In) string {
	where := "Heat what it sits in, not the bolt, "
	switch in.Choice("host") {
	case "aluminium":
		where += "to some 120 to 150 °C, spit just dancing on it: aluminium grows twice as much as steel and lets go; it softens beyond 200 °C."
	case "plastic":
		where = "Heat the bolt's head gently with a soldering iron; an open flame destroys the plastic."
	default:
		where += "to dark red at most where nothing near can burn, and let it cool with oil drawn in."
	}
	if in.Yes("near_fire") {
		where = "No open flame here, with things near that burn or spoil: an induction coil or a hot-air gun. " + where
	}
	return where
}
