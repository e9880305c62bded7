package fastener

import (
	"lastbolt/calc"
)

// The answers of the stretch-bolt calculation.
const (
	useAgain = "use again"
	replace  = "replace"
)

var _ = Group.Add(func() calc.Definition {
	return calc.Definition{
		Name:  "stretch-bolt",
		Title: "Can this stretch bolt be used again?",
		About: "Whether a bolt that is tightened past its yield may go back: only when the maker gives a limit and the bolt measured is within it. Otherwise: replace.",
		Method: "A bolt tightened past its yield has stretched for good a little each time. Some makers give the longest length, or the least diameter of the " +
			"stretched neck, up to which it may be used again; all limits that are given must be met. Without a limit the answer is always to replace it.\n\n" +
			"Measure every bolt, clean, at the same temperature, with a caliper or micrometer that reads a hundredth for the neck.",
		Inputs: []calc.Input{
			{Name: "single_use", Title: "Does the maker say to replace it always?", Kind: calc.Choice, Choices: calc.Options("yes", "no", "not known"), Default: "not known"},
			{Name: "length", Title: "Length measured", Kind: "length", Unit: "mm", Min: "0 mm", Above: true, Max: "1 m", Optional: true, Help: "From under the head to the tip."},
			{Name: "length_limit", Title: "Longest length the maker allows", Kind: "length", Unit: "mm", Min: "0 mm", Above: true, Max: "1 m", Optional: true},
			{Name: "length_new", Title: "Length of a new one", Kind: "length", Unit: "mm", Min: "0 mm", Above: true, Max: "1 m", Optional: true, Help: "To see how much it has stretched."},
			{Name: "neck", Title: "Least neck diameter measured", Kind: "length", Unit: "mm", Min: "0 mm", Above: true, Max: "100 mm", Optional: true},
			{Name: "neck_limit", Title: "Least neck diameter the maker allows", Kind: "length", Unit: "mm", Min: "0 mm", Above: true, Max: "100 mm", Optional: true},
			{Name: "damaged", Title: "Is the thread damaged, rusty or necked to the eye?", Kind: calc.YesNo, Default: "no"},
		},
		Outputs: []calc.Output{
			{Name: "answer", Title: "Answer", Kind: calc.Text},
			{Name: "stretch", Title: "Stretched by", Kind: "length", Unit: "mm", Optional: true},
			{Name: "stretch_share", Title: "That is", Kind: calc.Number, Unit: "%", Optional: true},
			{Name: "left", Title: "Left to the length limit", Kind: "length", Unit: "mm", Optional: true},
		},
		Sources: []calc.Source{
			{Text: "bolts turned past yield are replaced once undone (freeasestudyguides.com)", Known: calc.Published},
			{Text: "FAA AC 43.13-1B, 7-40: a stretch check before re-use", Known: calc.Published},
			{Text: "makers that allow re-use give a length or a neck diameter", Known: calc.FromMemory},
		},
		Example: map[string]string{"length": "145.2 mm", "length_limit": "146.5 mm", "single_use": "no"},
		Compute: computeStretchBolt,
	}
})

func computeStretchBolt(in calc.In, a *calc.Answer) error {
	if in.Has("length_new") && in.Has("length_limit") && in.Length("length_new") >= in.Length("length_limit") {
		return in.Refuse("length_limit", "Longest length the maker allows: it is not longer than a new bolt; look both up again.")
	}
	if in.Has("length_new") && in.Has("length") {
		stretch := in.Length("length") - in.Length("length_new")
		if stretch < -in.Length("length_new")/50 {
			return in.Refuse("length", "Length measured: %s is clearly shorter than a new bolt of %s; it is another bolt, or measured otherwise.", lengthText(in.Length("length")), lengthText(in.Length("length_new")))
		}
		a.Give("stretch", stretch)
		a.Give("stretch_share", float64(100*stretch/in.Length("length_new")))
		a.Step("Stretched by", "length − new length", "= %s − %s = %s", mmText(in.Length("length")), mmText(in.Length("length_new")), lengthText(stretch))
	}
	limits, within := 0, true
	if in.Has("length") && in.Has("length_limit") {
		limits++
		left := in.Length("length_limit") - in.Length("length")
		a.Give("left", left)
		a.Step("Left to the length limit", "limit − length", "= %s − %s = %s", mmText(in.Length("length_limit")), mmText(in.Length("length")), lengthText(left))
		if left < 0 {
			within = false
			a.Judge(calc.Bad, "Replace it: %s is longer than the %s allowed.", lengthText(in.Length("length")), lengthText(in.Length("length_limit")))
		}
	}
	if in.Has("neck") && in.Has("neck_limit") {
		limits++
		a.Step("Neck", "measured against least", "%s against %s", lengthText(in.Length("neck")), lengthText(in.Length("neck_limit")))
		if in.Length("neck") < in.Length("neck_limit") {
			within = false
			a.Judge(calc.Bad, "Replace it: the neck of %s is thinner than the %s allowed.", lengthText(in.Length("neck")), lengthText(in.Length("neck_limit")))
		}
	}
	answer := replace
	switch {
	case in.Choice("single_use") == "yes":
		a.Judge(calc.Bad, "Replace it: the maker says so.")
	case in.Yes("damaged"):
		a.Judge(calc.Bad, "Replace it: what can be seen is reason enough.")
	case limits == 0:
		a.Judge(calc.Bad, "Replace it: without a maker's limit that was measured against, nobody can say that it will hold.")
	case within:
		answer = useAgain
		a.Judge(calc.Good, "It is within the maker's limit and may go back. Measure every one of the set.")
	}
	a.Give("answer", answer)
	return nil
}
