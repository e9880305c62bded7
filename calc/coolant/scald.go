package coolant

import (
	"fmt"
	"math"

	"lastbolt/calc"
	"lastbolt/quantity"
)

// Times in which water burns skin deeply, as ln(seconds) over °C: adults after
// the Consumer Product Safety Commission's tap-water text, and the shortest any
// source gives (Burn Foundation; a child at 60 °C). 44 °C for six hours is the
// least that burns at all (Moritz and Henriques).
var (
	scaldAdult    = through(44, math.Log(21600), 48.9, math.Log(300), 54.4, math.Log(30), 60, math.Log(6), 65.6, math.Log(2), 68.9, 0)
	scaldShortest = through(44, math.Log(21600), 48.9, math.Log(300), 54.4, math.Log(30), 56.1, math.Log(15), 60, 0, 68.9, math.Log(0.5))
)

// ScaldTime is how long hot water takes to burn skin through, from the shortest
// to the longest of the sources; from 44 to 68.9 °C, above which it is under a
// second. Likely is the adults' figure.
func ScaldTime(t quantity.Temperature) Band[quantity.Duration] {
	adult := quantity.Seconds(math.Exp(scaldAdult.at(celsius(t))))
	shortest := quantity.Seconds(math.Exp(scaldShortest.at(celsius(t))))
	return Band[quantity.Duration]{Low: min(shortest, adult), Likely: adult, High: adult}
}

// scaldWords says it for a table.
func scaldWords(t quantity.Temperature) string {
	switch c := celsius(t); {
	case c < 44:
		return "does not burn"
	case c > 68.9:
		return "less than a second"
	}
	band := ScaldTime(t)
	if s := band.Low.In(quantity.Second); s >= 120 {
		return fmt.Sprintf("%.0f min", s/60)
	}
	return fmt.Sprintf("%.0f s", math.Max(1, band.Low.In(quantity.Second)))
}

var _ = Group.Add(func() calc.Definition {
	return calc.Definition{
		Name:  "scald-time",
		Title: "How fast hot coolant burns",
		About: "Within what time water of a temperature burns skin through its whole depth. Children and the old burn faster.",
		Method: "Published points, read between them with the logarithm of the time. The low end is the shortest any source gives; the sources " +
			"differ by six at 60 °C. Coolant sticks and soaks clothes, so it burns longer than running water.",
		Inputs: []calc.Input{{Name: "temperature", Title: "Temperature", Kind: "temperature", Unit: "°C", Min: "0 °C", Max: "140 °C"}},
		Outputs: []calc.Output{
			{Name: "time", Title: "Burns deep within", Kind: "duration", Unit: "s", Digits: 2, Optional: true},
			{Name: "say", Title: "Reckon with", Kind: calc.Text},
		},
		Sources: []calc.Source{
			{Text: "Consumer Product Safety Commission text on tap water, second-hand (043d0ad.netsolhost.com, hotenda.com)", Known: calc.Published},
			{Text: "Burn Foundation figures, second-hand (villageapothecary.net); a child at 60 °C: theplumber.com/gama.html", Known: calc.Published},
			{Text: "Moritz and Henriques, 44 °C for six hours, on secondary pages", Known: calc.Published},
		},
		Cautions: []string{"Not before it is cool to touch."},
		Example:  map[string]string{"temperature": "60 °C"},
		Compute: func(in calc.In, a *calc.Answer) error {
			t := in.Temperature("temperature")
			if c := celsius(t); c >= 44 && c <= 69 {
				band := ScaldTime(t)
				a.GiveBand("time", band.Low, band.Likely, band.High)
				a.Rest("time", calc.Tabulated, "published points, read between them")
			}
			a.Give("say", scaldWords(t))
			switch {
			case t > opening+0.1:
				a.Judge(calc.Bad, "Do not open: it scalds.")
			case celsius(t) >= 44:
				a.Judge(calc.Careful, "Five minutes or more to burn: time to pull away, if there is no pressure behind it.")
			default:
				a.Judge(calc.Good, "It does not burn.")
			}
			return nil
		},
	}
})
