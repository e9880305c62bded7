package fluid

import (
	"lastbolt/calc"
	"lastbolt/quantity"
)

// A DropVolume is what one source takes a drop to be.
type DropVolume struct {
	Source string
	Volume quantity.Volume
}

// DropVolumes are the sources, smallest drop first. They differ by six and more:
// the first ones are of a medicine dropper, the last of dripping taps.
var DropVolumes = []DropVolume{
	{"medicine dropper, light drops (USP <1101>, 45 mg)", quantity.Millilitres(0.045)},
	{"medicine dropper, 20 drops a mL", quantity.Millilitres(0.05)},
	{"dripping tap, 15 140 drops a US gallon", quantity.Millilitres(0.25)},
	{"dripping tap, measured by the U.S. Geological Survey", quantity.Millilitres(0.33)},
}

// usualDrop is which of them is taken as likely.
const usualDrop = 1

var _ = Group.Add(func() calc.Definition {
	return calc.Definition{
		Name:  "drops-to-volume",
		Title: "Drops to millilitres",
		About: "How much a counted drip loses in an hour, a day and a week. The books differ by six, so the answer is a wide range.",
		Method: "Drops counted over a time, times the volume of a drop. A pharmacy's dropper gives 0.045 to 0.055 mL of water; texts on dripping taps say 0.25 " +
			"or 0.33 mL, since a wide edge lets larger drops hang. A drop of oil is smaller than one of water.\n\nBetter: catch it for an hour and measure.",
		Inputs: []calc.Input{
			{Name: "drops", Title: "Drops counted", Kind: calc.Number, Min: "0", Max: "100000"},
			{Name: "over", Title: "in", Kind: "duration", Unit: "min", Default: "1 min", Min: "1 s"},
		},
		Outputs: []calc.Output{
			{Name: "per_day", Title: "In a day", Kind: "volume", Unit: "mL"},
			{Name: "per_hour", Title: "In an hour", Kind: "volume", Unit: "mL"},
			{Name: "per_week", Title: "In a week", Kind: "volume", Unit: "L"},
			{Name: "by_source", Title: "What each source makes of it", Kind: calc.Table, Columns: []calc.Output{
				{Name: "source", Title: "Source", Kind: calc.Text},
				{Name: "drop", Title: "A drop is", Kind: "volume", Unit: "mL"},
				{Name: "per_day", Title: "In a day", Kind: "volume", Unit: "mL"}}},
		},
		Sources: []calc.Source{
			{Text: "USP <1101> medicine dropper, 45 to 55 mg of water (drugfuture.com)", Known: calc.Published},
			{Text: "15 140 drops a gallon: abtwater.com", Known: calc.Published},
			{Text: "0.33 mL: water.usgs.gov/edu/dripcalculator.html", Known: calc.Published}},
		Example: map[string]string{"drops": "6", "over": "1 min"},
		Compute: func(in calc.In, a *calc.Answer) error {
			perDay := quantity.Volume(in.Number("drops") * float64(quantity.Hours(24)/in.Duration("over")))
			low, likely, high := perDay*DropVolumes[0].Volume, perDay*DropVolumes[usualDrop].Volume, perDay*DropVolumes[len(DropVolumes)-1].Volume
			a.GiveBand("per_day", low, likely, high)
			a.GiveBand("per_hour", low/24, likely/24, high/24)
			a.GiveBand("per_week", 7*low, 7*likely, 7*high)
			for _, name := range []string{"per_day", "per_hour", "per_week"} {
				a.Rest(name, calc.Advice, "the likely value takes 20 drops a millilitre; a wide edge drips more")
			}
			for _, d := range DropVolumes {
				a.GiveRow("by_source", d.Source, d.Volume, perDay*d.Volume)
			}
			a.Note("The sources differ by more than six: catch it for an hour and measure, and this question is settled.")
			return nil
		},
	}
})
