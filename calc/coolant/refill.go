package coolant

import (
	"fmt"
	"strings"

	"lastbolt/calc"
	"lastbolt/quantity"
)

// A Refill is what goes back in after part of a system was let out.
type Refill struct {
	Stays          quantity.Volume // what was not caught: block, heater, hoses
	Product, Water quantity.Volume
	After          VolumeShare
	Reached        bool // After is what was wanted (or stronger, where nothing weaker can be had)
}

// Fill reckons a refill of what was let out of a system to a strength. A
// concentrate is thinned with water; a ready-mixed coolant (thin is false) is
// filled as it is. 0 ≤ drained ≤ total.
func Fill(total, drained quantity.Volume, have, product, want VolumeShare, thin bool) Refill {
	r := Refill{Stays: total - drained}
	r.Product = drained
	if thin {
		needed := (total*quantity.Volume(want) - r.Stays*quantity.Volume(have)) / quantity.Volume(product)
		r.Product = min(max(needed, 0), drained)
	}
	r.Water = drained - r.Product
	r.After = VolumeShare((r.Stays*quantity.Volume(have) + r.Product*quantity.Volume(product)) / total)
	r.Reached = r.After >= want-1e-9
	return r
}

var _ = Group.Add(func() calc.Definition {
	return calc.Definition{
		Name:  "coolant-refill",
		Title: "What to fill after a drain",
		About: "How much antifreeze and how much water go back in so that the whole system is strong enough for the coldest night, what to buy, and whether it can be reached at all.",
		Method: "What was not caught stays in the block and the heater at its old strength. The antifreeze needed is " +
			"(V·c − stays·c₀)/c(product); what is left of the room is water. A ready-mixed coolant is filled as it is, since water would " +
			"thin its inhibitors. A drain too small, or a mixture too weak to raise the rest, is told with how many drains it would take.\n\n" +
			"The strength wanted is taken from the coldest night as in the calculation of that name (5 °C to spare, rounded up to 5 %, at " +
			"least 40 %) unless it is given. The containers are chosen for the lowest price where prices are given, else for the least left over.",
		Inputs: []calc.Input{askBase, askCapacity,
			{Name: "caught", Title: "Came out", Kind: "volume", Unit: "L", Min: "0 L", Above: true, Help: "Measured in the container it was caught in."},
			{Name: "old", Title: "Strength of the old, by volume", Kind: calc.Number, Unit: "%", Min: "0", Max: "100", Default: "50", Help: "0 after a flush with water."},
			{Name: "coldest", Title: "Coldest air expected", Kind: "temperature", Unit: "°C", Min: "-90 °C", Max: "50 °C", Default: "-25 °C"},
			{Name: "wanted", Title: "Strength wanted, by volume", Kind: calc.Number, Unit: "%", Min: "0", Max: "70", Optional: true, Help: "In place of the coldest night, where the maker gives it."},
			{Name: "product", Title: "What is filled", Kind: calc.Choice, Default: "concentrate", Choices: []calc.Option{
				{Value: "concentrate", Title: "concentrate, thinned with water"}, {Value: "ready", Title: "ready-mixed"}}},
			{Name: "product_strength", Title: "Its strength, by volume", Kind: calc.Number, Unit: "%", Above: true, Min: "0", Max: "100", Optional: true,
				Help: "100 % for a concentrate and 50 % for ready-mixed when left out."},
			{Name: "containers", Title: "Containers on sale", Kind: calc.Table, Default: "1 L|5 L", MaxRows: 20, Columns: []calc.Input{
				{Name: "size", Title: "Size", Kind: "volume", Unit: "L", Min: "0.1 L", Max: "250 L"},
				{Name: "price", Title: "Price", Kind: calc.Number, Min: "0", Optional: true}}},
		},
		Outputs: []calc.Output{
			{Name: "add", Title: "Antifreeze to fill", Kind: "volume", Unit: "L"},
			{Name: "water", Title: "Water to fill", Kind: "volume", Unit: "L"},
			{Name: "after", Title: "Strength afterwards, by volume", Kind: calc.Number, Unit: "%"},
			{Name: "wanted", Title: "Strength wanted, by volume", Kind: calc.Number, Unit: "%"},
			{Name: "reached", Title: "Strong enough", Kind: calc.YesNo},
			{Name: "stays", Title: "Stays in the system", Kind: "volume", Unit: "L"},
			{Name: "drains", Title: "Drains it takes, filling the product alone", Kind: calc.Count, Optional: true},
			{Name: "freezing", Title: "First ice afterwards", Kind: "temperature", Unit: "°C", Optional: true},
			{Name: "buy", Title: "To buy", Kind: calc.Text},
			{Name: "left_over", Title: "Left over in the containers", Kind: "volume", Unit: "L", Digits: 2},
		},
		Sources:  []calc.Source{{Text: "Mass balance; freezing points from ASHRAE, Melinder, SAE J814, Lange and ASTM D1177 as in the calculation of the freezing point", Known: calc.Published}},
		Cautions: []string{notMakers, "Use distilled or deionized water: SAE J814 asks for less than 170 ppm hardness and 40 ppm chloride."},
		Example: map[string]string{"base": "ethylene", "capacity": "6.5 L", "caught": "4.2 L", "old": "35", "coldest": "-20 °C",
			"product": "concentrate", "containers": "1 L|5 L"},
		Compute: computeRefill,
	}
})

func computeRefill(in calc.In, a *calc.Answer) error {
	b, total, caught := baseOf(in), in.Volume("capacity"), in.Volume("caught")
	if caught > total {
		return in.Refuse("caught", "Came out: %s is more than the %s the system holds; measure again, or look whether water ran in from a hose.", in.Written("caught"), in.Written("capacity"))
	}
	have, thin := VolumeShare(in.Number("old")/100), in.Choice("product") == "concentrate"
	product := VolumeShare(1)
	if !thin {
		product = 0.5
	}
	if in.Has("product_strength") {
		product = VolumeShare(in.Number("product_strength") / 100)
	}
	want, promised := StrengthFor(b, in.Temperature("coldest").Add(-FreezingMargin))
	want = FillFor(want)
	if in.Has("wanted") {
		want, promised = VolumeShare(in.Number("wanted")/100), true
	}
	if !promised {
		a.Judge(calc.Bad, "No mixture is promised for %s with 5 °C to spare; 60 %% is the strongest worth filling.", in.Written("coldest"))
	}
	r := Fill(total, caught, have, product, want, thin)
	a.Give("add", r.Product)
	a.Give("water", r.Water)
	a.Give("after", 100*float64(r.After))
	a.Give("wanted", 100*float64(want))
	a.Give("reached", r.Reached)
	a.Give("stays", r.Stays)
	a.Step("Antifreeze", "(V·c − stays·c₀) / c(product)", "= (%.4g·%.3g − %.4g·%.3g) / %.3g = %.3g L", total.In(quantity.Litre), float64(want),
		r.Stays.In(quantity.Litre), float64(have), float64(product), float64((total*quantity.Volume(want)-r.Stays*quantity.Volume(have))/quantity.Volume(product))*1000)
	judgeRefill(in, a, r, total, caught, have, product, want)
	if r.After <= MaxShare {
		if band, _, ok := Freezing(b, r.After); ok {
			a.GiveBand("freezing", band.Low, band.Likely, band.High)
		} else {
			a.GiveRange("freezing", band.Low, band.High)
		}
	}
	giveContainers(in, a, r.Product)
	return nil
}

func judgeRefill(in calc.In, a *calc.Answer, r Refill, total, caught quantity.Volume, have, product, want VolumeShare) {
	switch {
	case r.Reached && r.After > MaxPromised+1e-9:
		a.Judge(calc.Careful, "It ends at %.0f %%, stronger than the 60 %% worth having: let more out and fill water.", 100*float64(r.After))
	case r.Reached:
		a.Judge(calc.Good, "It ends at %.0f %% by volume, as strong as wanted.", 100*float64(r.After))
	case product < want-1e-9:
		a.Judge(calc.Bad, "It ends at %.0f %%: what is filled has %.0f %% and can never raise the whole to %.0f %%. Fill a concentrate.",
			100*float64(r.After), 100*float64(product), 100*float64(want))
	default:
		n, ever := TimesFor(total, caught, have, product, want)
		if !ever {
			a.Judge(calc.Bad, "It ends at %.0f %% and draining a part never comes to %.0f %%: let everything out, heater and block too.", 100*float64(r.After), 100*float64(want))
			return
		}
		a.Give("drains", n)
		a.Judge(calc.Bad, "It ends at %.0f %%, too weak: too much of the old stays in. Run it warm, cool it, and drain again, %d times in all, or open the block's drain.",
			100*float64(r.After), n)
	}
}

// giveContainers says what to buy for a volume.
func giveContainers(in calc.In, a *calc.Answer, need quantity.Volume) {
	var on []Container
	priced := true
	for _, row := range in.Rows("containers") {
		on = append(on, Container{Holds: row.Volume("size"), Cost: row.Number("price")})
		priced = priced && row.Has("price")
	}
	if !priced {
		for i := range on {
			on[i].Cost = 0
		}
	}
	var said []string
	bought, paid := quantity.Volume(0), 0.0
	for i, n := range Buy(need, on) {
		if n > 0 {
			said = append(said, fmt.Sprintf("%d × %.4g L", n, on[i].Holds.In(quantity.Litre)))
		}
		bought += on[i].Holds * quantity.Volume(n)
		paid += on[i].Cost * float64(n)
	}
	text := strings.Join(said, " and ")
	if len(said) == 0 {
		text = "nothing"
	} else if priced {
		text += fmt.Sprintf(", %.2f together", paid)
	}
	a.Give("buy", text)
	a.Give("left_over", max(bought-need, 0))
}
