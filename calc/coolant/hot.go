package coolant

import (
	"math"

	"lastbolt/calc"
	"lastbolt/quantity"
)

// CoolingRate is Newton's k, per minute, of something that went from t0 to t1
// in air of a temperature; all of them with t0 > t1 > air and after > 0.
func CoolingRate(air, t0, t1 quantity.Temperature, after quantity.Duration) float64 {
	return math.Log(float64((t0-air)/(t1-air))) / after.In(quantity.Minute)
}

// CoolingTime is how long it takes from t0 down to t at a rate k per minute;
// infinite when t is not above the air.
func CoolingTime(air, t0, t quantity.Temperature, k float64) quantity.Duration {
	if t <= air {
		return quantity.Duration(math.Inf(1))
	}
	return quantity.Minutes(max(0, math.Log(float64((t0-air)/(t-air)))/k))
}

// usualRate is how fast engines cool standing with the bonnet closed and open,
// per minute; common practice, no source. It is used where only one reading is
// known.
var usualRate = Band[float64]{Low: 0.006, Likely: 0.012, High: 0.022}

// opening is the warmest a system may be when it is opened: 120 °F, at which
// skin takes five minutes to burn.
var opening = quantity.Fahrenheit(120)

var _ = Group.Add(func() calc.Definition {
	return calc.Definition{
		Name:  "cool-down",
		Title: "When may a hot system be opened",
		About: "How long an engine must stand until its coolant is cool enough to open, from one or better two readings some minutes apart.",
		Method: "Newton's law of cooling: T(t) = Ta + (T₀ − Ta)·e^(−kt). Two readings give k = ln((T₀ − Ta)/(T₁ − Ta))/t₁; with one only, a " +
			"usual range of k is taken, and the answer is wide. The range with two readings is what ±1 °C in each leaves.\n\n" +
			"Open below 48.9 °C (120 °F), with no pressure left, turning the cap slowly to its first stop. The metal and the heater stay " +
			"hotter than the hose that was measured; a fan, wind or the bonnet change k, so measure again near the end.",
		Inputs: []calc.Input{
			{Name: "air", Title: "Air", Kind: "temperature", Unit: "°C", Default: "20 °C", Min: "-60 °C", Max: "60 °C"},
			{Name: "first", Title: "First reading", Kind: "temperature", Unit: "°C", Max: "140 °C"},
			{Name: "second", Title: "Second reading", Kind: "temperature", Unit: "°C", Max: "140 °C", Optional: true},
			{Name: "after", Title: "Taken after", Kind: "duration", Unit: "min", Optional: true},
			{Name: "open_at", Title: "Open at", Kind: "temperature", Unit: "°C", Default: "48.9 °C"},
		},
		Outputs: []calc.Output{
			{Name: "wait", Title: "From the first reading", Kind: "duration", Unit: "min", Digits: 3},
			{Name: "left", Title: "Still to wait from the last reading", Kind: "duration", Unit: "min", Digits: 3},
			{Name: "rate", Title: "Rate k per minute", Kind: calc.Number, Digits: 3},
			{Name: "course", Title: "How it cools, and what it does to skin", Kind: calc.Table, Columns: []calc.Output{
				{Name: "after", Title: "After the first reading", Kind: "duration", Unit: "min"},
				{Name: "temperature", Title: "Coolant", Kind: "temperature", Unit: "°C"},
				{Name: "burns", Title: "Burns deep within", Kind: calc.Text}}},
		},
		Sources: []calc.Source{
			{Text: "Newton's law of cooling", Known: calc.Published},
			{Text: "Scald times: Consumer Product Safety Commission text on tap water, second-hand (hotenda.com and others)", Known: calc.Published},
			{Text: "Cap off slowly after the engine has cooled: TM 5-3895-359-14&P", Known: calc.Published},
			{Text: "Usual range of k with one reading", Known: calc.CommonPractice},
		},
		Cautions: []string{"Not before it is cool to touch, whatever the figure says: the upper hose soft, no pressure, a thick cloth over the cap, face away, first stop first."},
		Example:  map[string]string{"air": "20 °C", "first": "100 °C", "second": "85 °C", "after": "15 min"},
		Compute:  computeCoolDown,
	}
})

func computeCoolDown(in calc.In, a *calc.Answer) error {
	air, first, open := in.Temperature("air"), in.Temperature("first"), in.Temperature("open_at")
	if first <= air {
		return in.Refuse("first", "First reading: %s is not above the air's %s, so there is nothing to cool down.", in.Written("first"), in.Written("air"))
	}
	if open <= air+1 {
		return in.Refuse("open_at", "Open at: in air of %s it never cools to %s; open it at the air's temperature, with a cloth and slowly.", in.Written("air"), in.Written("open_at"))
	}
	if open > opening+0.1 {
		a.Judge(calc.Bad, "At %s it still scalds: 48.9 °C (120 °F) is the most for opening.", in.Written("open_at"))
	}
	k, passed := usualRate, quantity.Duration(0)
	if in.Has("second") != in.Has("after") {
		return calc.Cannot("Give both the second reading and how many minutes after the first it was taken, or neither.")
	}
	if in.Has("second") {
		second := in.Temperature("second")
		passed = in.Duration("after")
		switch {
		case passed <= 0:
			return in.Refuse("after", "Taken after: some minutes must lie between the readings; ten or more are best.")
		case second >= first:
			return in.Refuse("second", "Second reading: %s is no lower than the first, so it is not cooling; look whether the engine or a fan runs.", in.Written("second"))
		case second <= air:
			return in.Refuse("second", "Second reading: %s is not above the air's %s; it is cold already, or the air was measured wrongly.", in.Written("second"), in.Written("air"))
		}
		k = rateBand(air, first, second, passed)
	} else {
		a.Note("With one reading the wait is only a guess: measure again in ten minutes or more.")
	}
	soon, likely, late := CoolingTime(air, first, open, k.High), CoolingTime(air, first, open, k.Likely), CoolingTime(air, first, open, k.Low)
	a.GiveBand("wait", soon, likely, late)
	a.GiveBand("left", max(0, soon-passed), max(0, likely-passed), max(0, late-passed))
	a.GiveBand("rate", k.Low, k.Likely, k.High)
	if !in.Has("second") {
		for _, name := range []string{"wait", "left", "rate"} {
			a.Rest(name, calc.Advice, "one reading, and a usual rate of cooling")
		}
	}
	for _, share := range []float64{0, 0.25, 0.5, 0.75, 1} {
		t := likely * quantity.Duration(share)
		at := air + (first-air)*quantity.Temperature(math.Exp(-k.Likely*t.In(quantity.Minute)))
		a.GiveRow("course", t, at, scaldWords(at))
	}
	a.Step("Rate", "k = ln((T₀ − Ta)/(T₁ − Ta))/t₁", "= %.5f per minute", k.Likely)
	a.Step("Wait", "t = ln((T₀ − Ta)/(T − Ta))/k", "= %.1f min", likely.In(quantity.Minute))
	switch {
	case first <= open:
		a.Judge(calc.Careful, "It is below %s already. Still: no pressure, a cloth, slowly.", in.Written("open_at"))
	case late <= passed:
		a.Judge(calc.Careful, "It should be cool enough by now: touch the upper hose first.")
	default:
		a.Judge(calc.Bad, "Not yet: about %.0f minutes more, and not before it is cool to touch.", math.Ceil(max(0, likely-passed).In(quantity.Minute)))
	}
	return nil
}

// rateBand is k with what an error of one kelvin in each reading makes of it.
func rateBand(air, first, second quantity.Temperature, after quantity.Duration) Band[float64] {
	likely := CoolingRate(air, first, second, after)
	band := Band[float64]{Low: likely / 4, Likely: likely, High: CoolingRate(air, first+1, max(second-1, air+0.5), after)}
	if second+1 < first-1 {
		band.Low = max(band.Low, CoolingRate(air, first-1, second+1, after))
	}
	return band
}
