package coolant

import "lastbolt/calc"

var kinds = []calc.Option{
	{Value: "inorganic", Title: "ethylene glycol, inorganic inhibitors (silicate, phosphate, nitrite)"},
	{Value: "organic", Title: "ethylene glycol, organic acids"},
	{Value: "silicate hybrid", Title: "ethylene glycol, organic acids and silicate"},
	{Value: "phosphate hybrid", Title: "ethylene glycol, organic acids and phosphate"},
	{Value: "propylene", Title: "propylene glycol"},
	{Value: "waterless", Title: "waterless"},
	{Value: "water", Title: "water alone"},
	{Value: "not known", Title: "not known"},
}

// A Mix is what comes of pouring one kind of coolant onto another.
type Mix struct {
	Level calc.Level
	Why   string // a whole sentence
	Do    string // what to do, a whole sentence
}

// MixOf judges pouring one kind onto another; the kinds are the values of the
// inputs "present" and "added". allowed is that the label of what is added
// names the other kind as one it may be mixed with.
func MixOf(present, added string, allowed bool) Mix {
	has := func(kind string) bool { return present == kind || added == kind }
	drain := "Let the old out, flush with water until it runs clear, and fill one kind only."
	switch {
	case has("not known"):
		return Mix{calc.Bad, "One of the two is not known, and the colour does not tell: dyes are the maker's choice.", "Read the label or the vehicle's document; failing that, drain, flush and fill anew."}
	case present == added:
		return Mix{calc.Good, "Both are of one kind.", "Keep to the same specification on the label as well; mixing products of one kind is usual."}
	case has("waterless"):
		return Mix{calc.Bad, "A waterless coolant must stay free of water, and the other holds water.", drain}
	case has("water"):
		return Mix{calc.Careful, "Water thins the glycol and the inhibitors alike.", "In need only, with distilled water; measure the strength and put it right."}
	case has("propylene"):
		return Mix{calc.Bad, "Ethylene and propylene glycol mix, but no refractometer or hydrometer scale reads the mixture, so its protection is not known.", drain}
	case allowed:
		return Mix{calc.Careful, "Other inhibitors, but the label allows it.", "The mixture lasts no longer than the shorter-lived of the two; note it and change it then."}
	}
	return Mix{calc.Bad, "The inhibitors differ; they can weaken each other or drop out as gel, and the life of the mixture is not known.", drain}
}

var _ = Group.Add(func() calc.Definition {
	return calc.Definition{
		Name:  "coolant-mixing",
		Title: "May these two be mixed",
		About: "Whether one coolant may be poured onto another. A wrong pair is refused with the reason.",
		Method: "By base glycol first (the two glycols must not be mixed), then by inhibitors: different ones only where the label of " +
			"what is added says so. The colour says nothing.",
		Inputs: []calc.Input{
			{Name: "present", Title: "In the system", Kind: calc.Choice, Choices: kinds, Default: "not known"},
			{Name: "added", Title: "To be poured on", Kind: calc.Choice, Choices: kinds, Default: "organic"},
			{Name: "label", Title: "Its label names the other as one it may be mixed with", Kind: calc.YesNo, Default: "no"},
		},
		Outputs: []calc.Output{
			{Name: "may", Title: "May be mixed", Kind: calc.YesNo},
			{Name: "why", Title: "Why", Kind: calc.Text},
			{Name: "do", Title: "What to do", Kind: calc.Text},
		},
		Sources: []calc.Source{
			{Text: "EPA Comprehensive Procurement Guidelines, vehicular products (2017): one base glycol only, do not mix ethylene and propylene", Known: calc.Published},
			{Text: "raso.name, Cooling System: do not mix kinds unless the product says it is compatible", Known: calc.Published},
			{Text: "ASTM D3321 significance text: one glycol on the other's scale reads wrong", Known: calc.Published},
			{Text: "Colour is no sign of the kind; gel from unlike inhibitors", Known: calc.CommonPractice},
		},
		Example: map[string]string{"present": "inorganic", "added": "organic", "label": "no"},
		Compute: func(in calc.In, a *calc.Answer) error {
			m := MixOf(in.Choice("present"), in.Choice("added"), in.Yes("label"))
			a.Give("may", m.Level != calc.Bad)
			a.Rest("may", calc.Advice, "no standard lists pairs")
			a.Give("why", m.Why)
			a.Give("do", m.Do)
			word := map[calc.Level]string{calc.Good: "They may be mixed.", calc.Careful: "In need, and with the reserve below.", calc.Bad: "Do not mix them."}[m.Level]
			a.Judge(m.Level, "%s %s", word, m.Why)
			return nil
		},
	}
})
