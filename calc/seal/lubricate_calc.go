package seal

import (
	"strings"

	"lastbolt/calc"
)

func kindOptions() []calc.Option {
	titles := map[Kind]string{ORing: "O-ring at rest", MovingRing: "O-ring of moving parts", LipSeal: "shaft seal with a lip"}
	var options []calc.Option
	for _, k := range Kinds() {
		title := titles[k]
		if title == "" {
			title = string(k)
		}
		options = append(options, calc.Option{Value: string(k), Title: title})
	}
	return options
}

func lubricantOptions() []calc.Option {
	var options []calc.Option
	for _, l := range Lubricants() {
		options = append(options, calc.Option{Value: string(l), Title: string(l)})
	}
	return options
}

var _ = Group.Add(func() calc.Definition {
	return calc.Definition{
		Name:  "seal-lubricant",
		Title: "How a seal goes in: dry, greased or wet",
		About: "Says how a seal is put in and with what, what must never touch it, and whether a lubricant at hand will do.",
		Method: "Rubber goes in wet with the clean fluid it will hold where that suits the rubber, or with a grease that does: silicone grease on most, never on silicone " +
			"rubber; a fluorinated grease on all. Mineral grease and petroleum jelly swell EPDM. A brake system takes clean brake fluid or its own paste and nothing mineral; a refrigerant circuit " +
			"takes its own oil. Paper, coated metal and crush washers go in dry.\n\nA lubricant is rated as the fluid it is like; heat plays no part.",
		Inputs: []calc.Input{
			{Name: "kind", Title: "Kind of seal", Kind: calc.Choice, Choices: kindOptions(), Default: "o-ring"},
			{Name: "material", Title: "Its material", Kind: calc.Choice, Choices: materialOptions(), Optional: true, Help: "Leave it when you do not know it; what suits every common rubber is chosen then."},
			{Name: "fluid", Title: "Fluid it holds", Kind: calc.Choice, Choices: fluidOptions(), Default: "coolant"},
			{Name: "lubricant", Title: "Lubricant at hand", Kind: calc.Choice, Choices: lubricantOptions(), Optional: true},
		},
		Outputs: []calc.Output{
			{Name: "manner", Title: "It goes in", Kind: calc.Text},
			{Name: "with", Title: "With", Kind: calc.Text},
			{Name: "never", Title: "Never", Kind: calc.Text},
			{Name: "lubricant_rating", Title: "The lubricant at hand", Kind: calc.Text, Optional: true},
		},
		Sources: []calc.Source{
			{Text: "Putting seals in: wet with the fluid, silicone or glycol grease on EPDM", Known: calc.CommonPractice},
			fromSupply, fromBode, fromListing,
			{Text: "metlok.in, anaerobic or silicone sealant: metal faces, gaps to 0.25 mm", Known: calc.Published}},
		Cautions: []string{"The maker's instruction goes before this."},
		Example:  map[string]string{"kind": "o-ring", "material": "EPDM", "fluid": "coolant", "lubricant": "mineral grease or oil"},
		Compute: func(in calc.In, a *calc.Answer) error {
			k, m, f := Kind(in.Choice("kind")), Material(in.Choice("material")), Fluid(in.Choice("fluid"))
			h := Lubricate(k, m, f)
			a.Give("manner", string(h.Manner))
			a.Rest("manner", calc.Advice, "common practice of the trade")
			with := string(h.With)
			if with == "" {
				with = "nothing"
			}
			a.Give("with", with)
			a.Give("never", strings.Join(h.Never, "; "))
			if k.Rubber() && m != "" {
				if fluid := rateFinding(m, f); fluid.Level != calc.Good {
					a.Judge(fluid.Level, "%s", fluid.Say)
				}
			}
			if in.Has("lubricant") {
				judgeLubricant(a, k, m, f, Lubricant(in.Choice("lubricant")))
			}
			a.Note("%s", h.Say)
			return nil
		},
	}
})

// judgeLubricant says whether what is at hand will do.
func judgeLubricant(a *calc.Answer, k Kind, m Material, f Fluid, l Lubricant) {
	switch {
	case !k.Rubber():
		a.Give("lubricant_rating", string(Unsuited))
		a.Judge(calc.Bad, "A %s goes in dry: no %s on it.", k, l)
	case !cleanFor(l, f):
		a.Give("lubricant_rating", string(Unsuited))
		a.Judge(calc.Bad, "No %s where %s is: it spoils the fluid or the other seals of the system.", l, f.Title())
	case m == "":
		a.Give("lubricant_rating", string(NotKnown))
		if suitsAll(l, "") {
			a.Judge(calc.Careful, "The rubber is not known; %s harms none of the common ones.", l)
		} else {
			a.Judge(calc.Bad, "The rubber is not known, and %s destroys some of the common ones: do not use it.", l)
		}
	default:
		rating, why := OnRubber(l, m)
		a.Give("lubricant_rating", string(rating))
		level := map[Rating]calc.Level{Suits: calc.Good, Limited: calc.Careful, NotKnown: calc.Careful, Unsuited: calc.Bad}[rating]
		verb := map[Rating]string{Suits: "suits", Limited: "is doubtful on", NotKnown: "is not known on", Unsuited: "must never touch"}[rating]
		a.Judge(level, "%s %s %s: %s.", capital(string(l)), verb, m, why)
	}
}

// capital writes the first letter large; the names here begin with ASCII.
func capital(s string) string { return strings.ToUpper(s[:1]) + s[1:] }
