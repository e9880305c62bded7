package fastener

import (
	"fmt"

	"lastbolt/calc"
	"lastbolt/quantity"
)

// What advice goes up to, and how wide its band is.
const (
	// adviceProofShare of the proof load is usual for a bolt that is used again
	// (Shigley, 9th ed., p. 440, from memory). Friction a quarter lower than thought
	// then brings the bolt to its proof load and not past it.
	adviceProofShare = 0.75
	// adviceStripShare of the load that strips the weaker usual kind of material
	// leaves half for a worn hole and for the scatter of tightening.
	adviceStripShare = 0.5
	// adviceBand is the low end over the high end.
	adviceBand = 0.8
)

// An Advice is a band of torque for a bolt without a specification.
type Advice struct {
	Low, High    quantity.Torque
	Preload      quantity.Force // at the high end
	BoltLimit    quantity.Force // what the bolt may be pulled to
	StripLimit   quantity.Force // what the threads may be pulled to
	ThreadLimits bool           // the threads decide, not the bolt
}

// AdviceTorque gives a band of torque where no specification exists: up to the
// lower of 75 % of the bolt's proof load and half the load that strips the
// tapped thread, at the likely nut factor. It is advice and never a
// specification, and it is not for safety-critical joints: the caller refuses
// those (SafetyCritical).
func AdviceTorque(t Thread, bolt Strength, engagement quantity.Length, shear quantity.Pressure, nutFactor float64) (Advice, error) {
	if !(nutFactor > 0) {
		return Advice{}, fmt.Errorf("the nut factor must be more than nothing")
	}
	s, err := StripCheck(t, bolt, engagement, shear)
	if err != nil {
		return Advice{}, err
	}
	a := Advice{
		BoltLimit:  quantity.Force(adviceProofShare * float64(bolt.Safe()) * float64(t.NominalStressArea())),
		StripLimit: adviceStripShare * min(s.Internal, s.External),
	}
	a.Preload, a.ThreadLimits = a.BoltLimit, a.StripLimit < a.BoltLimit
	if a.ThreadLimits {
		a.Preload = a.StripLimit
	}
	a.High = TorqueFor(a.Preload, t.Major, nutFactor)
	a.Low = adviceBand * a.High
	return a, nil
}

// unmarked is the class input's value for a head without a mark.
const unmarked = "not known"

func adviceGradeInput() calc.Input {
	i := gradeInput(false)
	i.Choices = append([]calc.Option{{Value: unmarked, Title: "not known, or no mark"}}, i.Choices...)
	i.Help += " Without a mark the weakest usual bolt is reckoned with."
	return i
}

// adviceStrength is strengthOf with the weakest usual bolt for an unmarked head.
func adviceStrength(in calc.In, a *calc.Answer, t Thread) (Grade, Strength, error) {
	if in.Choice("class") != unmarked {
		return strengthOf(in, t)
	}
	name := "4.6"
	if t.System == Unified {
		name = "SAE 1"
	}
	g, err := FindGrade(name)
	if err != nil {
		return g, Strength{}, err
	}
	a.Note("The class is not known, so the bolt is reckoned as %s, the weakest usual one.", name)
	s, err := g.Strength(t)
	if err != nil {
		return g, s, in.Refuse("class", "Property class or grade: %v.", err)
	}
	return g, s, nil
}

var _ = Group.Add(func() calc.Definition {
	return calc.Definition{
		Name:  "torque-advice",
		Title: "Torque without a specification (advice)",
		About: "A band of torque to tighten by when the maker's value cannot be found: held down by whatever is weaker, the bolt or the thread it screws into.",
		Method: "Two limits are worked out: three quarters of the bolt's proof load, and half the load that strips the tapped thread at the engagement there is. " +
			"The lower one decides; in aluminium and plastic it is often the thread. The torque follows by the short form with the likely nut factor of the " +
			"threads' state, and the band goes from that down to 0.8 of it.\n\n" +
			"It does not know of gaskets, O-rings, plastic covers, or parts that warp: those want less. It is refused for joints whose failure hurts people.",
		Inputs: together([]calc.Input{jointInput(), threadInput(), adviceGradeInput()}, tappedInputs(),
			[]calc.Input{{Name: "engagement", Title: "Length of full threads in engagement", Kind: "length", Unit: "mm", Min: "0 mm", Above: true, Max: "500 mm", Optional: true,
				Help: "Without the bolt's point and the countersink; when it is not known, one diameter is reckoned with."},
				lubricationInput("not known")}),
		Outputs: []calc.Output{
			{Name: "torque", Title: "Advice", Kind: "torque", Unit: "N·m", Digits: 2},
			{Name: "decides", Title: "What decides", Kind: calc.Text},
			{Name: "preload", Title: "Preload at the top of the band", Kind: "force", Unit: "kN"},
			{Name: "bolt_limit", Title: "What the bolt may be pulled to", Kind: "force", Unit: "kN"},
			{Name: "thread_limit", Title: "What the threads may be pulled to", Kind: "force", Unit: "kN"},
		},
		Sources: []calc.Source{
			{Text: "Shigley's Mechanical Engineering Design, 9th ed.: 75 % of proof for a bolt used again; nut factors of table 8-15", Known: calc.FromMemory},
			{Text: "FED-STD-H28/2B, formulas (2a) and (4a): stripping", Known: calc.Published},
			{Text: "half the stripping load, and M6 flange bolts into aluminium housings at about 8 to 11 N·m as a cross-check", Known: calc.CommonPractice},
		},
		Cautions: []string{"Advice, not a specification: look the maker's value up first."},
		Example:  map[string]string{"joint": "other", "thread": "M6", "class": "8.8", "tapped": "cast aluminium", "engagement": "12 mm", "lubrication": "zinc"},
		Compute:  computeAdvice,
	}
})

func computeAdvice(in calc.In, a *calc.Answer) error {
	if err := refuseSafety(in, "A torque worked out here"); err != nil {
		return err
	}
	t, err := threadOf(in)
	if err != nil {
		return err
	}
	g, strength, err := adviceStrength(in, a, t)
	if err != nil {
		return err
	}
	m, shear := shearOf(in, a)
	engagement := in.Length("engagement")
	if !in.Has("engagement") {
		engagement = t.Major
		a.Note("The engagement is not given; one diameter, %s, is reckoned with.", lengthText(engagement))
	}
	l := lubricationOf(in)
	k := l.Likely
	if in.Choice("lubrication") == "black" {
		// Shigley's 0.30 for black bolts stands at the top of what others find; taken
		// as likely it would overload a bolt that runs freer.
		k = 0.20
	}
	a.Note("Nut factor %.2f is taken for threads that are %s (%s, %s).", k, l.Title, l.Source.Text, l.Source.Known)
	advice, err := AdviceTorque(t, strength, engagement, shear, k)
	if err != nil {
		return in.Refuse("engagement", "Length of full threads in engagement: %v.", err)
	}
	a.Step("What the bolt may be pulled to", "0.75 · proof load of class "+g.Name, "= 0.75 · %s · %s = %s",
		stressText(strength.Safe()), areaText(t.NominalStressArea()), forceText(advice.BoltLimit))
	a.Step("What the threads may be pulled to", "0.5 · stripping load over the engagement", "= 0.5 · %s = %s (%s of engagement at %s)",
		forceText(advice.StripLimit/adviceStripShare), forceText(advice.StripLimit), lengthText(engagement), stressText(shear))
	a.Step("Top of the band", "T = K·d·F", "= %.2g · %s mm · %s = %s", k, mmText(t.Major), forceText(advice.Preload), torqueText(advice.High))
	a.Step("Bottom of the band", "0.8 of that", "= %s", torqueText(advice.Low))
	a.GiveRange("torque", advice.Low, advice.High)
	a.Rest("torque", calc.Advice, "worked out here, without the maker's value")
	a.Give("preload", advice.Preload)
	a.Give("bolt_limit", advice.BoltLimit)
	a.Give("thread_limit", advice.StripLimit)
	if advice.ThreadLimits {
		a.Give("decides", "the thread in "+m.Title)
		a.Judge(calc.Careful, "The thread in %s decides, not the bolt: a table for the bolt alone would give up to %s.", m.Title, torqueText(TorqueFor(advice.BoltLimit, t.Major, k)))
	} else {
		a.Give("decides", "the bolt")
		a.Judge(calc.Careful, "The bolt decides. Seals, thin covers and plastic want less.")
	}
	if engagement < t.Major*quantity.Length(m.Rule)*0.999 {
		a.Warn("%s of engagement is less than the %s that is usual in %s.", lengthText(engagement), lengthText(t.Major*quantity.Length(m.Rule)), m.Title)
	}
	return nil
}
