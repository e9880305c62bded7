package fluid

import (
	"math"

	"lastbolt/calc"
	"lastbolt/quantity"
)

// GasConstant is R in J/(mol·K).
const GasConstant = 8.314462618

// Leak is how many moles a second run into a rigid volume (negative: out of it)
// when its absolute pressure goes from p1 at t1 to p2 at t2: n = (V/R)·(p2/T2 −
// p1/T1)/t.
func Leak(v quantity.Volume, p1, p2 quantity.Pressure, t1, t2 quantity.Temperature, passed quantity.Duration) float64 {
	return float64(v) / GasConstant * (float64(p2)/t2.In(quantity.Kelvin) - float64(p1)/t1.In(quantity.Kelvin)) / passed.In(quantity.Second)
}

// Tight is the absolute pressure a tight rigid volume has after a change of
// temperature: p·T2/T1.
func Tight(p quantity.Pressure, t1, t2 quantity.Temperature) quantity.Pressure {
	return p * quantity.Pressure(t2.In(quantity.Kelvin)/t1.In(quantity.Kelvin))
}

var _ = Group.Add(func() calc.Definition {
	return calc.Definition{
		Name:  "pressure-hold",
		Title: "Does it hold its pressure",
		About: "Whether a fall in pressure is a leak or only cooling, and how large the leak is. For a cooling system pumped up by hand, an intake, or any closed volume with air in it.",
		Method: "A tight rigid volume of air keeps p/T, absolute pressure over kelvin: what falls below p₁·T₂/T₁ has leaked. The leak in moles is " +
			"V/R·(p₂/T₂ − p₁/T₁)/t, and as air at 20 °C and 1 atm, 1 mol is 24.05 L. Q = Δp·V/t holds only at one temperature.\n\n" +
			"V is the volume of air alone. A cooling system full to the cap has almost none, so a few drops lost let the gauge fall far; " +
			"leave air in the expansion tank. Warm coolant gives off vapour of its own, which is not reckoned: test cold. Steady for 5 minutes at 20 kPa over the cap's figure counts as tight.",
		Inputs: []calc.Input{
			{Name: "first", Title: "Pressure at first", Kind: "pressure", Unit: "kPa"},
			{Name: "second", Title: "Pressure later", Kind: "pressure", Unit: "kPa"},
			{Name: "passed", Title: "Time between", Kind: "duration", Unit: "min"},
			{Name: "first_at", Title: "Temperature at first", Kind: "temperature", Unit: "°C", Default: "20 °C", Min: "-60 °C", Max: "150 °C"},
			{Name: "second_at", Title: "Temperature later", Kind: "temperature", Unit: "°C", Default: "20 °C", Min: "-60 °C", Max: "150 °C"},
			{Name: "reading", Title: "The pressures are", Kind: calc.Choice, Default: "gauge", Choices: []calc.Option{
				{Value: "gauge", Title: "over the air outside"}, {Value: "absolute", Title: "absolute"}}},
			{Name: "outside", Title: "Air pressure outside", Kind: "pressure", Unit: "kPa", Default: "101.3 kPa", Seldom: true, Min: "45 kPa", Max: "110 kPa"},
			{Name: "volume", Title: "Volume of the air in it", Kind: "volume", Unit: "L", Min: "0 L", Above: true, Optional: true},
			{Name: "unsure", Title: "The gauge is good to", Kind: "pressure", Unit: "kPa", Default: "1 kPa", Seldom: true, Min: "0 kPa"},
		},
		Outputs: []calc.Output{
			{Name: "tight", Title: "It would read, if tight", Kind: "pressure", Unit: "kPa", Digits: 4},
			{Name: "lost", Title: "Not explained by temperature", Kind: "pressure", Unit: "kPa"},
			{Name: "share", Title: "Of the air in it", Kind: calc.Number, Unit: "%"},
			{Name: "rate", Title: "Leak", Kind: calc.Number, Unit: "mL/min", Help: "Of air at 20 °C and 1 atm; negative where air runs in.", Optional: true},
			{Name: "moles", Title: "The same as an amount of gas", Kind: calc.Number, Unit: "mol/s", Digits: 2, Help: "Counted into the volume: negative where air runs out.", Optional: true},
		},
		Sources: []calc.Source{
			{Text: "Ideal gas; worked example: 40 CFR 1065.644", Known: calc.Published},
			{Text: "Steady for 5 minutes at 3 psi over the cap: TM 5-3805-291-23-1, work package 0012", Known: calc.Published}},
		Cautions: []string{"Never pump a system above its weakest part: at most 20 kPa (3 psi) over the figure on the cap, cold, and let it off before anything is opened."},
		Example:  map[string]string{"first": "100 kPa", "second": "92 kPa", "passed": "10 min", "first_at": "24 °C", "second_at": "20 °C", "volume": "0.8 L"},
		Compute:  computeHold,
	}
})

func computeHold(in calc.In, a *calc.Answer) error {
	p1, p2, passed := in.Pressure("first"), in.Pressure("second"), in.Duration("passed")
	t1, t2 := in.Temperature("first_at"), in.Temperature("second_at")
	base := quantity.Pressure(0)
	if in.Choice("reading") == "gauge" {
		base = in.Pressure("outside")
	}
	if p1+base <= 0 {
		return in.Refuse("first", "Pressure at first: %s is below a full vacuum; look whether it was read over the air or absolute.", in.Written("first"))
	}
	if p2+base < 0 {
		return in.Refuse("second", "Pressure later: %s is below a full vacuum; look whether it was read over the air or absolute.", in.Written("second"))
	}
	if passed <= 0 {
		return in.Refuse("passed", "Time between: some time must have passed; five minutes are usual.")
	}
	tight := Tight(p1+base, t1, t2)
	lost := tight - (p2 + base)
	a.Give("tight", tight-base)
	a.GiveBand("lost", lost-2*in.Pressure("unsure"), lost, lost+2*in.Pressure("unsure"))
	a.Give("share", 100*float64(lost/tight))
	a.Step("If tight", "p₁·T₂/T₁ (absolute)", "= %.4g · %.2f/%.2f = %.4g kPa", (p1 + base).In(quantity.Kilopascal), t2.In(quantity.Kelvin), t1.In(quantity.Kelvin), tight.In(quantity.Kilopascal))
	if in.Has("volume") {
		flow := Leak(in.Volume("volume"), p1+base, p2+base, t1, t2, passed)
		a.Give("moles", flow)
		const molar = GasConstant * 293.15 / 101325 // m³/mol
		a.Give("rate", -flow*molar*60*1e6)
		a.Step("Flow", "V/R·(p₂/T₂ − p₁/T₁)/t", "= %.4g mol/s", flow)
	}
	vacuum := p1+base < in.Pressure("outside")
	if vacuum {
		lost = -lost
	}
	unsure := 2 * in.Pressure("unsure")
	switch {
	case lost > unsure:
		a.Judge(calc.Bad, "It leaks: %.1f kPa more than temperature explains in %.0f minutes.", lost.In(quantity.Kilopascal), passed.In(quantity.Minute))
	case lost < -unsure:
		a.Judge(calc.Careful, "The pressure went the other way than a leak would: was it warmed, or was the temperature of the air inside another?")
	case passed < quantity.Minutes(5):
		a.Judge(calc.Careful, "Nothing seen yet; wait for five minutes.")
	default:
		a.Judge(calc.Good, "No leak that this gauge can show in %.0f minutes.", passed.In(quantity.Minute))
	}
	if math.Abs(float64(t1-t2)) > 5 {
		a.Note("The temperature changed by more than 5 °C: that of the air inside lags behind, so test again when it is even.")
	}
	return nil
}
