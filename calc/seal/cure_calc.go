package seal

import (
	"lastbolt/calc"
	"lastbolt/quantity"
)

var _ = Group.Add(func() calc.Definition {
	return calc.Definition{
		Name:  "sealant-cure",
		Title: "Waits of a sealant today",
		About: "Estimates how soon a joint must be closed on fresh sealant, and how long it waits for fluid, at today's temperature and humidity.",
		Method: "Silicone takes its moisture from the air. The published skin time (15 to 30 min at 25 °C and 50 % humidity) and cured depth (2 to 3 mm in the first day at 23 °C and 50 %) are " +
			"scaled by the pressure of water vapour in today's air, by the Magnus formula; the cured depth grows with the square root of time, so twice the depth takes four times as long. Still " +
			"fluid waits a day at least, two when it is cold or dry.\n\nAnaerobic sealant cures between bare metal faces where air is shut out; each 10 K colder is taken to double its waits. " +
			"What the label says goes before the estimate and is quoted, never bent.",
		Inputs: []calc.Input{
			{Name: "kind", Title: "Sealant", Kind: calc.Choice, Default: string(Oxime), Choices: []calc.Option{
				{Value: string(Acetoxy), Title: "acetoxy silicone (smells of vinegar)"},
				{Value: string(Oxime), Title: "oxime silicone (neutral)"},
				{Value: string(AnaerobicGel), Title: "anaerobic (between metal faces)"}}},
			{Name: "temperature", Title: "Temperature today", Kind: "temperature", Unit: "°C", Default: "15 °C", Min: "-30 °C", Max: "60 °C"},
			{Name: "humidity", Title: "Relative humidity", Kind: calc.Number, Unit: "%", Default: "60", Min: "0", Max: "100"},
			{Name: "width", Title: "Width the bead is pressed to", Kind: "length", Unit: "mm", Default: "10 mm", Min: "0.1 mm", Max: "100 mm"},
			{Name: "edges", Title: "Edges open to the air", Kind: calc.Count, Default: "1", Min: "1", Max: "2", Help: "A closed cover has one: the outside."},
			{Name: "label_close", Title: "Label: close within", Kind: "duration", Unit: "min", Optional: true},
			{Name: "label_fluid", Title: "Label: fluid after", Kind: "duration", Unit: "h", Optional: true},
		},
		Outputs: []calc.Output{
			{Name: "close", Title: "Close the joint within", Kind: "duration", Unit: "min", Digits: 2},
			{Name: "fluid", Title: "No fluid for", Kind: "duration", Unit: "h", Digits: 2},
			{Name: "full", Title: "Cured right through after", Kind: "duration", Unit: "d", Digits: 2},
			{Name: "path", Title: "Moisture creeps in", Kind: "length", Unit: "mm", Digits: 2},
		},
		Sources: []calc.Source{
			{Text: "silicone-solutions.co.uk, RTV102: skin in 15 to 30 min at 25 °C and 50 % humidity, at most 6 mm deep", Known: calc.Published},
			{Text: "Dow, sealant questions: still water after 24 h, 48 h when cold or dry; full cure 7 to 21 days and more", Known: calc.Published},
			{Text: "ramsauer.eu: without moisture no cure even when hot", Known: calc.Published},
			{Text: "2 to 3 mm cured in the first day at 23 °C and 50 %; anaerobic waits; doubling for each 10 K", Known: calc.FromMemory},
			{Text: "Magnus formula of water vapour (17.62, 243.12 °C)", Known: calc.FromMemory}},
		Cautions: []string{"An estimate: the tube's label goes before it.", "No pressure and no hot running before it is cured, whatever the skin feels like."},
		Example:  map[string]string{"kind": string(Oxime), "temperature": "12 °C", "humidity": "70", "width": "10 mm"},
		Compute:  computeCure,
	}
})

func computeCure(in calc.In, a *calc.Answer) error {
	path := in.Length("width") / quantity.Length(in.Count("edges"))
	c, err := CureOf(Sealant(in.Choice("kind")), in.Temperature("temperature"), in.Number("humidity")/100, path)
	if err != nil {
		return err
	}
	estimate := "estimated from published figures at other air"
	give := func(name, label string, band [2]quantity.Duration) {
		if label != "" && in.Has(label) {
			a.Give(name, in.Duration(label))
			a.Rest(name, calc.Maker, "the tube's label")
			return
		}
		a.GiveRange(name, band[0], band[1])
		a.Rest(name, calc.Advice, estimate)
	}
	give("close", "label_close", c.Close)
	give("fluid", "label_fluid", c.Fluid)
	give("full", "", c.Full)
	a.Give("path", path)
	if path > 6*millimetre && Sealant(in.Choice("kind")) != AnaerobicGel {
		a.Judge(calc.Careful, "Moisture must creep in %s; over 6 mm it cures very slowly or not at all: lay a thinner bead.", show(path))
	}
	if quantity.DegreeCelsius.Count(in.Temperature("temperature")) < 5 {
		a.Judge(calc.Careful, "Under 5 °C most tubes are not meant to be used; warm the parts, not the tube with a flame.")
	}
	if Sealant(in.Choice("kind")) == Acetoxy {
		a.Warn("The vinegar vapour attacks bare metal and exhaust sensors; engines take a neutral silicone marked as safe for sensors.")
	}
	return nil
}
