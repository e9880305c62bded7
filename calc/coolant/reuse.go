package coolant

import (
	"fmt"
	"slices"

	"lastbolt/calc"
)

// A Sample is what is known of drained coolant that might go back in. Zero pH,
// Reserve and NewReserve mean not measured; Age is in years, below 0 not known.
type Sample struct {
	Kind       string // inorganic, organic, not known
	Age        float64
	Look       string // as the choices of the input "look"
	Particles  string
	Failed     string
	PH         float64
	Reserve    float64 // mL of acid, ASTM D1121
	NewReserve float64 // the same of the new product
	Clean      bool    // caught in a clean container
	Strength   float64 // per cent by volume, below 0 not known
}

// A Finding is one reason for or against.
type Finding struct {
	About string
	Level calc.Level
	Say   string
}

// Judge weighs a sample; the verdict is that of its worst finding. The reasons
// are in the order a person looks.
func (s Sample) Judge() (calc.Level, []Finding) {
	findings := []Finding{s.age(), s.look(), s.particles(), s.failed()}
	findings = append(findings, s.measured()...)
	if !s.Clean {
		findings = append(findings, Finding{"Container", calc.Bad, "It was caught in something not clean: oil or dirt from there is in it now."})
	}
	if s.Strength >= 0 && (s.Strength < 40 || s.Strength > 60) {
		findings = append(findings, Finding{"Strength", calc.Careful, fmt.Sprintf("%.0f %% is outside the 40 to 60 %% coolants are made for: put it right while filling.", s.Strength)})
	}
	worst := calc.Good
	for _, f := range findings {
		if f.Level == calc.Bad || f.Level == calc.Careful && worst == calc.Good {
			worst = f.Level
		}
	}
	return worst, findings
}

func (s Sample) age() Finding {
	first, last := 2.0, 3.0
	if s.Kind == "organic" {
		first, last = 4, 5
	}
	f := Finding{About: "Age"}
	switch {
	case s.Age < 0:
		f.Level, f.Say = calc.Careful, "Its age is not known: take it as due."
	case s.Age > last:
		f.Level, f.Say = calc.Bad, fmt.Sprintf("At %.1f years it is past the %.0f years such coolant usually lasts.", s.Age, last)
	case s.Age > first:
		f.Level, f.Say = calc.Careful, fmt.Sprintf("At %.1f years it is near the end of its usual %.0f.", s.Age, last)
	default:
		f.Level, f.Say = calc.Good, fmt.Sprintf("%.1f of the usual %.0f years.", s.Age, last)
	}
	return f
}

func (s Sample) look() Finding {
	say := map[string]struct {
		level calc.Level
		say   string
	}{
		"clear":  {calc.Good, "Clear, in its own colour."},
		"faded":  {calc.Careful, "Faded or hazy: measure it, or change it when in doubt."},
		"cloudy": {calc.Bad, "Cloudy or with gel: inhibitors have dropped out."},
		"rusty":  {calc.Bad, "Rusty or brown: the inhibitors have failed; flush before filling."},
		"oily":   {calc.Bad, "Oil in it: find where the two meet (head gasket, oil cooler) before anything is filled."},
		"smells": {calc.Bad, "A burnt, sour or exhaust smell: glycol has broken down, or combustion gas gets in."},
	}[s.Look]
	return Finding{"Look", say.level, say.say}
}

func (s Sample) particles() Finding {
	switch s.Particles {
	case "none":
		return Finding{"What settles", calc.Good, "Nothing settles in five minutes."}
	case "a little":
		return Finding{"What settles", calc.Careful, "A little settles: pour it off the sediment through a fine cloth or paint strainer."}
	case "metal":
		return Finding{"What settles", calc.Bad, "Metal in it: something wears; look at the pump's impeller and shaft."}
	}
	return Finding{"What settles", calc.Bad, "Rust, scale or old seal in it: it will end in the narrow tubes of the heater; flush."}
}

func (s Sample) failed() Finding {
	switch s.Failed {
	case "nothing", "outside":
		return Finding{"What failed", calc.Good, "Nothing that reaches the coolant."}
	case "seal":
		return Finding{"What failed", calc.Careful, "A seal that ran in the coolant failed: look for its pieces before the coolant goes back."}
	}
	return Finding{"What failed", calc.Bad, "Oil or combustion gas has been in the coolant: it is waste."}
}

func (s Sample) measured() (findings []Finding) {
	switch {
	case s.PH == 0:
	case s.PH < 7:
		findings = append(findings, Finding{"pH", calc.Bad, fmt.Sprintf("pH %.1f is acid: it eats metal.", s.PH)})
	case s.PH < 7.5 || s.PH > 11:
		findings = append(findings, Finding{"pH", calc.Careful, fmt.Sprintf("pH %.1f is outside the 7.5 to 11 of a new coolant.", s.PH)})
	default:
		findings = append(findings, Finding{"pH", calc.Good, fmt.Sprintf("pH %.1f is alkaline, as it should be; it does not tell how long it will last.", s.PH)})
	}
	if s.Reserve > 0 {
		f := Finding{"Reserve alkalinity", calc.Good, fmt.Sprintf("%.1f mL.", s.Reserve)}
		switch {
		case s.NewReserve > 0 && s.Reserve < s.NewReserve/2:
			f = Finding{f.About, calc.Bad, fmt.Sprintf("%.1f mL is less than half of the %.1f mL of the new product.", s.Reserve, s.NewReserve)}
		case s.NewReserve > 0 && s.Reserve < 0.75*s.NewReserve:
			f = Finding{f.About, calc.Careful, fmt.Sprintf("%.1f mL is less than three quarters of the %.1f mL of the new product.", s.Reserve, s.NewReserve)}
		case s.NewReserve == 0 && s.Reserve < 5:
			f = Finding{f.About, calc.Careful, fmt.Sprintf("%.1f mL is below the 5 mL once asked of ready-mixed coolant on sale; organic coolants start low, so compare with the new product.", s.Reserve)}
		}
		findings = append(findings, f)
	}
	return findings
}

var _ = Group.Add(func() calc.Definition {
	return calc.Definition{
		Name:  "coolant-reuse",
		Title: "May the drained coolant go back in",
		About: "A verdict with its reasons from age, look, what settles, what failed and, where measured, pH and reserve alkalinity; and how to strain it.",
		Method: "Each finding is judged alone and the worst decides. The ages are what such coolants usually last (2 to 3 years with " +
			"inorganic inhibitors, 5 with organic acids); no standard stands behind them. Leave a sample in clean glass for five minutes and " +
			"look at what settles.\n\npH shows an acid coolant but not how long a good one will last, and reserve alkalinity only compares " +
			"a coolant with itself when new. Test strips are a screening. A coolant that costs little is not worth an engine: when careful, change it.",
		Inputs: []calc.Input{
			{Name: "kind", Title: "Inhibitors", Kind: calc.Choice, Default: "not known", Choices: []calc.Option{
				{Value: "inorganic", Title: "inorganic (2 to 3 years)"}, {Value: "organic", Title: "organic acids or hybrid (5 years)"}, {Value: "not known", Title: "not known"}}},
			{Name: "age", Title: "Age in years", Kind: calc.Number, Min: "0", Max: "50", Optional: true},
			{Name: "look", Title: "How it looks", Kind: calc.Choice, Default: "clear", Choices: []calc.Option{
				{Value: "clear", Title: "clear"}, {Value: "faded", Title: "faded or hazy"}, {Value: "cloudy", Title: "cloudy or gel"},
				{Value: "rusty", Title: "rusty or brown"}, {Value: "oily", Title: "oil on it or in it"}, {Value: "smells", Title: "smells burnt, sour or of exhaust"}}},
			{Name: "particles", Title: "What settles in a glass in five minutes", Kind: calc.Choice, Default: "none", Choices: []calc.Option{
				{Value: "none", Title: "nothing"}, {Value: "a little", Title: "a little dirt"}, {Value: "debris", Title: "rust, scale or pieces of seal"}, {Value: "metal", Title: "metal"}}},
			{Name: "failed", Title: "What failed", Kind: calc.Choice, Default: "nothing", Choices: []calc.Option{
				{Value: "nothing", Title: "nothing: it was let out to get at something"}, {Value: "outside", Title: "a hose, clamp or radiator leaked outward"},
				{Value: "seal", Title: "a pump or another seal in the coolant"}, {Value: "inside", Title: "head gasket, oil cooler or gearbox cooler"}}},
			{Name: "clean", Title: "Caught in a clean container and kept covered", Kind: calc.YesNo, Default: "yes"},
			{Name: "ph", Title: "pH, if measured", Kind: calc.Number, Min: "0", Max: "14", Above: true, Optional: true},
			{Name: "reserve", Title: "Reserve alkalinity, if measured", Kind: calc.Number, Unit: "mL", Min: "0", Max: "60", Above: true, Optional: true,
				Help: "mL of 0.100 N acid that bring 10 mL to pH 5.5 (ASTM D1121)."},
			{Name: "reserve_new", Title: "Reserve alkalinity of the new product", Kind: calc.Number, Unit: "mL", Min: "0", Max: "60", Above: true, Optional: true},
			{Name: "strength", Title: "Strength by volume, if measured", Kind: calc.Number, Unit: "%", Min: "0", Max: "100", Optional: true},
		},
		Outputs: []calc.Output{
			{Name: "reuse", Title: "Back in", Kind: calc.Text},
			{Name: "reasons", Title: "Reasons", Kind: calc.Table, Columns: []calc.Output{
				{Name: "about", Title: "What", Kind: calc.Text}, {Name: "level", Title: "Verdict", Kind: calc.Text}, {Name: "say", Title: "Why", Kind: calc.Text}}},
			{Name: "strain", Title: "How to strain it", Kind: calc.Text},
		},
		Sources: []calc.Source{
			{Text: "Usual life 2 to 3 and 5 years: raso.name, Cooling System", Known: calc.Published},
			{Text: "Look in clean glass after 5 minutes: TM 5-685 / NAVFAC MO-912, Appendix D", Known: calc.Published},
			{Text: "pH does not predict remaining life: ASTM D1287, 4.3 and 4.4", Known: calc.Published},
			{Text: "Reserve alkalinity: ASTM D1121; 5 mL for ready-mixed: California rule, ASTM Standardization News, August 2002", Known: calc.Published},
			{Text: "pH 7.5 to 11 of a new coolant at 50 %: ASTM D3306", Known: calc.FromMemory},
			{Text: "Half of the new product's reserve as the end", Known: calc.CommonPractice},
		},
		Cautions: []string{
			"Coolant tastes sweet and kills: a teaspoon or two of ethylene glycol can kill a cat, three or four a dog. Cover every container, wipe up every spill, keep children and animals away.",
			"Old coolant is not for the drain or the ground: keep it apart from oil and fuel and hand it in where your local rules say.",
		},
		Example: map[string]string{"kind": "organic", "age": "2", "look": "clear", "particles": "a little", "failed": "seal", "clean": "yes"},
		Compute: computeReuse,
	}
})

func computeReuse(in calc.In, a *calc.Answer) error {
	s := Sample{Kind: in.Choice("kind"), Age: -1, Look: in.Choice("look"), Particles: in.Choice("particles"), Failed: in.Choice("failed"),
		PH: in.Number("ph"), Reserve: in.Number("reserve"), NewReserve: in.Number("reserve_new"), Clean: in.Yes("clean"), Strength: -1}
	if in.Has("age") {
		s.Age = in.Number("age")
	}
	if in.Has("strength") {
		s.Strength = in.Number("strength")
	}
	level, findings := s.Judge()
	a.Give("reuse", map[calc.Level]string{calc.Good: "yes, strained", calc.Careful: "only if new coolant cannot be had", calc.Bad: "no"}[level])
	a.Rest("reuse", calc.Advice, "the worst of the reasons below")
	for _, f := range findings {
		a.GiveRow("reasons", f.About, string(f.Level), f.Say)
	}
	strain := "Let it stand covered overnight, pour it off the sediment through a clean paint strainer or a close-woven cloth, and leave the last finger's width behind."
	if level == calc.Bad {
		strain = "Not worth straining."
	}
	a.Give("strain", strain)
	slices.SortStableFunc(findings, func(x, y Finding) int { return rank(x.Level) - rank(y.Level) })
	for _, f := range findings {
		if f.Level != calc.Good {
			a.Judge(f.Level, "%s", f.Say)
		}
	}
	if level == calc.Good {
		a.Judge(calc.Good, "Nothing speaks against it; strain it all the same.")
	}
	return nil
}

func rank(l calc.Level) int { return map[calc.Level]int{calc.Bad: 0, calc.Careful: 1, calc.Good: 2}[l] }
