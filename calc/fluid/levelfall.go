package fluid

import (
	"math"
	"time"

	"lastbolt/calc"
	"lastbolt/quantity"
)

// DailyLoss is how much is lost in a day between two readings of a level, each
// good to unsure, some days (more than none) apart. Negative is a gain.
func DailyLoss(first, second, unsure quantity.Volume, days float64) Band[quantity.Volume] {
	loss := first - second
	per := quantity.Volume(days)
	return Band[quantity.Volume]{(loss - 2*unsure) / per, loss / per, (loss + 2*unsure) / per}
}

var _ = Group.Add(func() calc.Definition {
	return calc.Definition{
		Name:  "level-fall",
		Title: "How fast a level falls",
		About: "From the level on two dates to the loss in a day, with its uncertainty, and to how many days it takes until it is low.",
		Method: "Loss = (first − second)/days. Each reading is uncertain, so the rate has a range of twice that over the days: the longer the wait, the " +
			"narrower it gets. Days until low = (second − low)/rate, at the fast end first. A loss smaller than the uncertainty is not proven.\n\n" +
			"Read both on level ground and at the same temperature, best cold in the morning: 10 °C move a 7 L cooling system by some 30 mL.",
		Inputs: []calc.Input{
			{Name: "first_date", Title: "First date", Kind: calc.Date},
			{Name: "first", Title: "Level then", Kind: "volume", Unit: "mL", Help: "Above any mark you like, for instance the low mark, as a volume."},
			{Name: "second_date", Title: "Second date", Kind: calc.Date},
			{Name: "second", Title: "Level then", Kind: "volume", Unit: "mL"},
			{Name: "low", Title: "It is low at", Kind: "volume", Unit: "mL", Default: "0 mL"},
			{Name: "unsure", Title: "Each reading is good to", Kind: "volume", Unit: "mL", Default: "20 mL", Seldom: true},
			{Name: "driven", Title: "Driven between", Kind: "length", Unit: "km", Min: "0 km", Above: true, Optional: true},
		},
		Outputs: []calc.Output{
			{Name: "per_day", Title: "Lost in a day", Kind: calc.Number, Unit: "mL"},
			{Name: "days", Title: "Days between", Kind: calc.Count},
			{Name: "until_low", Title: "Days until it is low, from the second date", Kind: calc.Number, Unit: "d", Optional: true},
			{Name: "look_by", Title: "Look again by", Kind: calc.Text, Optional: true},
			{Name: "per_1000", Title: "Lost in 1000 km", Kind: calc.Number, Unit: "mL", Optional: true},
		},
		Sources: []calc.Source{{Text: "Difference over time with the error of both readings", Known: calc.CommonPractice}},
		Example: map[string]string{"first_date": "2026-03-01", "first": "420 mL", "second_date": "2026-03-15", "second": "300 mL", "low": "100 mL"},
		Compute: func(in calc.In, a *calc.Answer) error {
			days := in.Date("second_date").Sub(in.Date("first_date")).Hours() / 24
			if days <= 0 {
				return in.Refuse("second_date", "Second date: it must be after the first, %s.", in.Written("first_date"))
			}
			loss := DailyLoss(in.Volume("first"), in.Volume("second"), in.Volume("unsure"), days)
			ml := func(v quantity.Volume) float64 { return v.In(quantity.Millilitre) }
			a.GiveBand("per_day", ml(loss.Low), ml(loss.Likely), ml(loss.High))
			a.Give("days", int(math.Round(days)))
			if in.Has("driven") {
				per := days / (in.Length("driven").In(quantity.Kilometre) / 1000)
				a.GiveBand("per_1000", ml(loss.Low)*per, ml(loss.Likely)*per, ml(loss.High)*per)
			}
			left := in.Volume("second") - in.Volume("low")
			if left <= 0 {
				a.Judge(calc.Bad, "It is low already: fill it before driving.")
				return nil
			}
			switch {
			case loss.Likely <= 0:
				a.Judge(calc.Good, "Nothing lost that these readings could show.")
				if loss.High <= 0 {
					return nil
				}
				a.Note("It could still be up to %.1f mL a day.", ml(loss.High))
			case loss.Low <= 0:
				a.Judge(calc.Careful, "Perhaps a loss of %.1f mL a day, but the readings are no better than that: read again later.", ml(loss.Likely))
			default:
				a.Judge(calc.Bad, "It loses %.1f to %.1f mL a day.", ml(loss.Low), ml(loss.High))
			}
			soon := float64(left / loss.High)
			if loss.Low > 0 {
				a.GiveBand("until_low", soon, float64(left/loss.Likely), float64(left/loss.Low))
			} else {
				a.Note("At the worst it is low in %.0f days; at best it loses nothing.", soon)
			}
			const century = 36500
			if soon < century {
				a.Give("look_by", in.Date("second_date").Add(time.Duration(math.Floor(soon))*24*time.Hour).Format("2006-01-02"))
			}
			return nil
		},
	}
})
