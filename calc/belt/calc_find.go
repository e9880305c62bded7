package belt

import (
	"slices"
	"strconv"

	"lastbolt/calc"
)

var _ = Group.Add(func() calc.Definition {
	return calc.Definition{
		Name:  "belt-finder",
		Title: "How did the belt run?",
		About: "Finds every way a belt can run over these pulleys that turns each the way it must, ranked; with the belt's length it tells which way it was. For a lost diagram.",
		Method: "All closed runs are tried that do not cross themselves, keep the ribs inside, stay clear of the pulleys they miss and wrap each pulley by at least the least wrap. A grooved pulley takes only the ribs, a plain one only the back, so that its rim decides which way it turns. With a known belt length the tensioner is moved through its travel and the length must fit within the tolerance.\n\n" +
			"The ranking adds up, in degrees, by how much the wraps fall short of what is usual (150° on the crank, 90° on what is driven), 40 for each pulley left out and 20 for a tensioner on the tight side. It says which way is likelier, not which was fitted: compare with the marks on the pulleys.",
		Inputs: slices.Concat(driveInputs, []calc.Input{
			{Name: "known", Title: "What is known of sides", Kind: calc.Text, Optional: true, Help: "As in: idler back, pump ribs, old bracket none."},
			{Name: "tolerance", Title: "Length may be off by", Kind: "length", Unit: "mm", Optional: true, Min: "0 mm", Help: "Of belt and measuring together; left out, 1 % of the length, or 3 % where the tensioner's travel is not known."},
			{Name: "least_wrap", Title: "Least wrap", Kind: "angle", Unit: "°", Default: "10 °", Seldom: true, Min: "1 °", Max: "180 °"},
			{Name: "clearance", Title: "Clear of other pulleys by", Kind: "length", Unit: "mm", Default: "5 mm", Seldom: true, Min: "0 mm", Above: true, Max: "500 mm"},
		}, tensionerInputs),
		Outputs: []calc.Output{
			{Name: "best", Title: "Likeliest way", Kind: calc.Text},
			{Name: "length", Title: "Its effective length", Kind: "length", Unit: "mm", Digits: 5},
			{Name: "count", Title: "Ways that can be laid", Kind: calc.Count},
			{Name: "fitting", Title: "Of these, ways the belt fits", Kind: calc.Count, Optional: true},
			{Name: "ways", Title: "Ways, likeliest first", Kind: calc.Table, Columns: []calc.Output{
				{Name: "order", Title: "In the direction of travel", Kind: calc.Text},
				{Name: "length", Title: "Effective length", Kind: "length", Unit: "mm", Digits: 5},
				{Name: "fits", Title: "Fits", Kind: calc.YesNo, Optional: true},
				{Name: "penalty", Title: "Points against", Kind: calc.Number, Digits: 3},
				{Name: "why", Title: "What speaks against it", Kind: calc.Text, Optional: true},
			}},
			{Name: "wrong", Title: "Easily mistaken for it", Kind: calc.Table, Optional: true, Columns: []calc.Output{
				{Name: "order", Title: "In the direction of travel", Kind: calc.Text},
				{Name: "off", Title: "The belt is off by", Kind: "length", Unit: "mm"},
				{Name: "differs", Title: "What goes wrong", Kind: calc.Text},
			}},
		},
		Sources:  append(slices.Clone(driveSources), calc.Source{Text: "The weights of the ranking", Known: calc.CommonPractice}),
		Cautions: []string{"A way that can be laid is not proof that it was fitted: look for shine, dirt and rib marks on the rims, and turn the engine by hand before starting it."},
		Example:  exampleFind(),
		Compute:  computeFind,
	}
})

func exampleFind() map[string]string {
	example := map[string]string{}
	for _, name := range []string{"pulleys", "belt_length", "profile", "tensioner", "tensioner_pulley", "pivot_x", "pivot_y", "free_angle", "loaded_angle"} {
		example[name] = exampleRun[name]
	}
	return example
}

// mostWays and mostWrong are how many rows are shown.
const mostWays, mostWrong = 12, 6

func computeFind(in calc.In, a *calc.Answer) error {
	d, err := readDrive(in)
	if err != nil {
		return err
	}
	d.Clearance = in.Length("clearance")
	if err := d.Check(); err != nil {
		return in.Refuse("pulleys", "%s", sentenceOf(err))
	}
	if err := d.readKnown(in.Text("known")); err != nil {
		return in.Refuse("known", "%s", sentenceOf(err))
	}
	f, err := Find(d, Search{Tolerance: in.Length("tolerance"), LeastWrap: in.Angle("least_wrap"), Best: mostWays})
	if err != nil {
		return err
	}
	if len(f.Ways) == 0 {
		return calc.Cannot("There is no way to run one belt over these pulleys: %s", d.why())
	}
	f.give(&d, a)
	best := f.Ways[0]
	a.Draw(Draw(best.Solution))
	wrong, err := Misroutings(d, best.Routing)
	if err != nil {
		return err
	}
	if len(wrong) > 0 {
		picture := Draw(wrong[0].Solution)
		picture.Title = "Not like this: the way most easily mistaken for it"
		picture.Alt = "A wrong way. " + joined(Compare(best.Solution, wrong[0].Solution)) + " " + picture.Alt
		a.Draw(picture)
	}
	for _, w := range wrong[:min(mostWrong, len(wrong))] {
		a.GiveRow("wrong", w.Order(), w.Off, joined(Compare(best.Solution, w.Solution)))
	}
	return nil
}

func (f *Found) give(d *Drive, a *calc.Answer) {
	best := f.Ways[0]
	a.Give("best", best.Order())
	a.Give("length", best.Effective)
	a.Give("count", f.All)
	known := d.Belt.Length > 0
	if known {
		a.Give("fitting", f.Fitting)
	}
	for _, w := range f.Ways {
		var fits any
		if known {
			fits = w.Fits
		}
		why := ""
		for i, reason := range w.Reasons {
			if i > 0 {
				why += "; "
			}
			why += reason
		}
		a.GiveRow("ways", w.Order(), w.Effective, fits, w.Penalty, why)
	}
	if !f.Complete {
		a.Warn("The search was stopped before its end; mark pulleys the belt surely touches, to help it.")
	}
	switch {
	case !known && f.All > 1:
		a.Judge(calc.Careful, "%d ways can be laid; the length on the old belt tells them apart.", f.All)
	case !known:
		a.Judge(calc.Good, "There is one way only: %s.", best.Order())
	case f.Fitting == 0:
		a.Judge(calc.Bad, "This belt fits none of the ways; the nearest is off by %s. Check its length and the pulleys.", mm(best.Off))
	case f.Fitting == 1:
		a.Judge(calc.Good, "This belt fits one way only: %s.", best.Order())
	default:
		a.Judge(calc.Careful, "This belt fits %d ways; the likeliest is %s. Compare the marks on the rims.", f.Fitting, best.Order())
	}
}

func joined(all []Difference) string {
	text := ""
	for i, d := range all {
		if i > 0 {
			text += " "
		}
		text += d.Say
	}
	if text == "" {
		return "Only the order differs."
	}
	return text
}

// why guesses at what keeps a belt from running, for the sentence.
func (d *Drive) why() string {
	for i := range d.Pulleys {
		p := &d.Pulleys[i]
		if len(d.sides(i, d.sideFor(&d.Pulleys[d.Crank]))) == 0 && p.Known != Untouched {
			return p.Name + " takes no side of the belt that would turn it the way it must; check its rim and its turning."
		}
	}
	for skip := range d.Pulleys {
		if skip == d.Crank || len(d.Pulleys) < 3 {
			continue
		}
		less := *d
		less.Pulleys = slices.Clone(d.Pulleys)
		less.Pulleys[skip].Known = Untouched
		if f, err := Find(less, Search{Best: 1}); err == nil && len(f.Ways) > 0 {
			return "without " + d.Pulleys[skip].Name + " there would be " + strconv.Itoa(f.All) + "; check its place, its rim and the way it turns."
		}
	}
	return "check their places, which are grooved, and how near the belt may pass."
}

// readKnown reads which side is known to touch which pulley.
func (d *Drive) readKnown(text string) error {
	for _, item := range splitList(text) {
		name, side, ok := cutLast(item)
		i, err := d.index(name)
		if !ok || err != nil {
			return calc.Cannot("%q cannot be read; write a pulley and ribs, back or none, as in: idler back. The pulleys are %s.", item, d.names())
		}
		d.Pulleys[i].Known = side
	}
	return nil
}
