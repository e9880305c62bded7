package fluid

import (
	"strings"

	"lastbolt/calc"
	"lastbolt/quantity"
)

var fromJ300 = calc.Source{Text: "SAE J300 limits of 2015 to 2024, as quoted at raso.name, muxxlube.de and tnlab.org", Known: calc.Published}

const notChosen = "Which grades an engine may have is in its maker's document; the wrong one can cost the warranty, the catalyst or the timing gear."

var _ = Group.Add(func() calc.Definition {
	return calc.Definition{
		Name:  "oil-grade-limits",
		Title: "What an oil grade stands for",
		About: "The limits SAE J300 sets for a grade: how thick it may be when cranking and pumping in the cold, and how thin when hot.",
		Method: "The table of SAE J300. A multigrade meets the cold limits of its first part and the hot ones of its second. A 40 together with 0W, " +
			"5W or 10W has a lower limit under high shear. The grades 8 to 20 overlap on purpose. The edition of 1999 let a 20 begin at 5.6 mm²/s.",
		Inputs: []calc.Input{{Name: "grade", Title: "Grade", Kind: calc.Text, Help: "As on the can, such as 5W-30."}},
		Outputs: []calc.Output{
			{Name: "crank_at", Title: "Cranking is tested at", Kind: "temperature", Unit: "°C", Optional: true},
			{Name: "crank_most", Title: "and may be at most", Kind: calc.Number, Unit: "mPa·s", Digits: 5, Optional: true},
			{Name: "pump_at", Title: "Pumping is tested at", Kind: "temperature", Unit: "°C", Optional: true},
			{Name: "pump_most", Title: "and may be at most", Kind: calc.Number, Unit: "mPa·s", Digits: 5, Optional: true},
			{Name: "hot_least", Title: "At 100 °C at least", Kind: calc.Number, Unit: "mm²/s"},
			{Name: "hot_below", Title: "At 100 °C below", Kind: calc.Number, Unit: "mm²/s", Optional: true},
			{Name: "shear_least", Title: "Under high shear at 150 °C at least", Kind: calc.Number, Unit: "mPa·s", Digits: 2, Optional: true},
		},
		Sources:  []calc.Source{fromJ300},
		Cautions: []string{notChosen},
		Example:  map[string]string{"grade": "5W-30"},
		Compute: func(in calc.In, a *calc.Answer) error {
			g, err := GradeOf(in.Text("grade"))
			if err != nil {
				return in.Refuse("grade", "Grade: %v.", err)
			}
			tabulated := func(name string, v any) {
				a.Give(name, v)
				a.Rest(name, calc.Tabulated, "SAE J300")
			}
			if g.Winter != nil {
				tabulated("crank_at", quantity.Celsius(g.Winter.CrankAt))
				tabulated("crank_most", g.Winter.Crank)
				tabulated("pump_at", quantity.Celsius(g.Winter.PumpAt))
				tabulated("pump_most", g.Winter.Pump)
			}
			least, below := g.At100()
			tabulated("hot_least", least)
			if below > 0 {
				tabulated("hot_below", below)
				tabulated("shear_least", g.HTHS())
			}
			return nil
		},
	}
})

var _ = Group.Add(func() calc.Definition {
	return calc.Definition{
		Name:  "oil-grade",
		Title: "Engine oil for the cold",
		About: "Down to which cold an oil grade is tested to crank and to be pumped, and which W grades would do for the coldest start.",
		Method: "SAE J300 tests each W grade for cranking at one temperature and for pumping 5 °C below it. A grade is taken to do for a start at or above " +
			"its cranking temperature. That the starter turns is not enough: oil that is not pumped ruins the bearings.\n\n" +
			"How hot it may get outside is no part of the standard; the maker's table gives it.",
		Inputs: []calc.Input{
			{Name: "coldest", Title: "Coldest start", Kind: "temperature", Unit: "°C", Min: "-90 °C", Max: "50 °C"},
			{Name: "grade", Title: "Grade at hand", Kind: calc.Text, Optional: true, Help: "As on the can, such as 10W-40."},
		},
		Outputs: []calc.Output{
			{Name: "suits", Title: "W grades tested for that cold", Kind: calc.Text},
			{Name: "cranks_to", Title: "The grade at hand cranks down to", Kind: "temperature", Unit: "°C", Optional: true},
			{Name: "pumps_to", Title: "and is pumped down to", Kind: "temperature", Unit: "°C", Optional: true},
		},
		Sources:  []calc.Source{fromJ300},
		Cautions: []string{notChosen},
		Example:  map[string]string{"coldest": "-18 °C", "grade": "10W-40"},
		Compute: func(in calc.In, a *calc.Answer) error {
			coldest := in.Temperature("coldest")
			var suits []string
			for _, w := range Winters {
				if quantity.Celsius(w.CrankAt) <= coldest {
					suits = append(suits, w.Name)
				}
			}
			if len(suits) == 0 {
				a.Give("suits", "none")
				a.Judge(calc.Bad, "No grade is tested for cranking below −35 °C: warm the engine first.")
			} else {
				a.Give("suits", strings.Join(suits, ", "))
			}
			a.Rest("suits", calc.Tabulated, "SAE J300")
			if !in.Has("grade") {
				return nil
			}
			g, err := GradeOf(in.Text("grade"))
			if err != nil {
				return in.Refuse("grade", "Grade at hand: %v.", err)
			}
			if g.Winter == nil {
				a.Judge(calc.Careful, "%s has no W grade: nothing is promised of it in the cold.", g)
				return nil
			}
			crank, pump := quantity.Celsius(g.Winter.CrankAt), quantity.Celsius(g.Winter.PumpAt)
			a.Give("cranks_to", crank)
			a.Give("pumps_to", pump)
			a.Rest("cranks_to", calc.Tabulated, "SAE J300")
			a.Rest("pumps_to", calc.Tabulated, "SAE J300")
			switch {
			case coldest < pump:
				a.Judge(calc.Bad, "%s is not tested to be pumped at %s: the engine could run without oil.", g, in.Written("coldest"))
			case coldest < crank:
				a.Judge(calc.Careful, "%s may not let the starter turn fast enough at %s.", g, in.Written("coldest"))
			default:
				a.Judge(calc.Good, "%s is tested for %s and colder.", g, in.Written("coldest"))
			}
			return nil
		},
	}
})
