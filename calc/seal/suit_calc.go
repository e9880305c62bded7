package seal

import (
	"strings"

	"lastbolt/calc"
	"lastbolt/quantity"
)

var _ = Group.Add(func() calc.Definition {
	return calc.Definition{
		Name:  "seal-material",
		Title: "Seal material against fluid and heat",
		About: "Says whether a rubber stands a fluid between two temperatures, and which rubbers would.",
		Method: "The rubber's family is looked up in a table of ratings (suits, limited, unsuited, not known), and its temperature limits are compared with what is asked. " +
			"Where sources disagree, a temperature between the careful and the bold figure is called careful, one beyond both bad. In water and coolant the lower hot-water limit holds.\n\n" +
			"What is not in the table is said to be not known. Pressure, movement and the compound's own data are left out: they decide in the end.",
		Inputs: []calc.Input{
			{Name: "material", Title: "Material", Kind: calc.Choice, Choices: materialOptions(), Help: "What the bag says; colour proves nothing."},
			{Name: "fluid", Title: "Fluid it must hold", Kind: calc.Choice, Choices: fluidOptions()},
			{Name: "cold", Title: "Coldest it gets", Kind: "temperature", Unit: "°C", Min: "-100 °C", Max: "100 °C", Default: "-20 °C"},
			{Name: "hot", Title: "Hottest it gets", Kind: "temperature", Unit: "°C", Min: "-50 °C", Max: "400 °C", Default: "60 °C"},
		},
		Outputs: []calc.Output{
			{Name: "rating", Title: "Rating in the fluid", Kind: calc.Text},
			{Name: "service", Title: "Temperatures the careful source gives", Kind: "temperature", Unit: "°C", Digits: 3},
			{Name: "hot_water", Title: "Hot-water limit", Kind: "temperature", Unit: "°C", Digits: 3, Optional: true},
			{Name: "swell", Title: "Swell to reckon with, by volume", Kind: calc.Number, Unit: "%", Digits: 2},
			{Name: "instead", Title: "Materials that would suit", Kind: calc.Text},
			{Name: "never", Title: "Never on it", Kind: calc.Text},
		},
		Sources: []calc.Source{fromBode, fromSupply, fromListing, fromDanco,
			{Text: "Volume swell: O-ring handbook, volume change (static seals to 30 %)", Known: calc.Published},
			{Text: "Pairs of silicone fluids, urea solution and refrigerants that no source gave", Known: calc.FromMemory}},
		Cautions: []string{"The family is guidance only; the compound decides, and the maker's part goes before any other."},
		Example:  map[string]string{"material": "NBR", "fluid": "coolant", "cold": "-20 °C", "hot": "110 °C"},
		Compute: func(in calc.In, a *calc.Answer) error {
			m, f := Material(in.Choice("material")), Fluid(in.Choice("fluid"))
			cold, hot := in.Temperature("cold"), in.Temperature("hot")
			if cold > hot {
				return in.Refuse("cold", "The coldest, %s, is warmer than the hottest, %s; the two are swapped.", in.Written("cold"), in.Written("hot"))
			}
			j := Suit(m, f, cold, hot)
			rating, why, known := Rate(m, f)
			p := properties[m]
			a.Give("rating", string(rating))
			a.Rest("rating", basisOf(rating, known), why)
			a.GiveRange("service", quantity.DegreeCelsius.Of(p.cold), quantity.DegreeCelsius.Of(p.hot))
			a.Rest("service", calc.Tabulated, bode)
			if p.hotWater > 0 {
				a.Give("hot_water", quantity.DegreeCelsius.Of(p.hotWater))
				a.Rest("hot_water", calc.Tabulated, bode)
			}
			low, high := Swell(m, f)
			a.GiveRange("swell", low*100, high*100)
			a.Rest("swell", calc.Advice, "a band to reckon with, not a measurement")
			a.Give("instead", j.instead())
			a.Give("never", strings.Join(NeverOn(m), "; "))
			for _, finding := range j.Reasons {
				a.Judge(finding.Level, "%s", finding.Say)
			}
			if j.Level == calc.Bad {
				a.Note("What to change: take %s.", j.instead())
			}
			a.Note("%s is %s; colour proves nothing.", m.Title(), p.look)
			return nil
		},
	}
})

func basisOf(r Rating, known calc.Known) calc.Basis {
	switch {
	case r == NotKnown:
		return calc.NotKnown
	case known == calc.Published:
		return calc.Tabulated
	}
	return calc.Advice
}

// instead names the materials to take in place of the one judged.
func (j Judgement) instead() string {
	names := func(all []Material) string {
		var names []string
		for _, m := range all {
			names = append(names, string(m))
		}
		return strings.Join(names, ", ")
	}
	switch {
	case j.Level == calc.Good:
		return "none is needed"
	case len(j.Instead) == 0 && len(j.Perhaps) == 0:
		return "none of the tables; ask the seal's maker"
	case len(j.Instead) == 0:
		return "with care " + names(j.Perhaps)
	case len(j.Perhaps) == 0:
		return names(j.Instead)
	}
	return names(j.Instead) + "; with care " + names(j.Perhaps)
}
