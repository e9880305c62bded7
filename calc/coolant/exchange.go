package coolant

import (
	"math"

	"lastbolt/calc"
	"lastbolt/quantity"
)

// Exchange is the strength after letting out part of a well mixed system and
// filling it up again: have + (fill − have)·drained/total. 0 ≤ drained ≤ total.
func Exchange(total, drained quantity.Volume, have, fill VolumeShare) VolumeShare {
	return have + (fill-have)*VolumeShare(drained/total)
}

// Exchanges is the strength after a number of equal exchanges, the engine run
// in between: fill + (have − fill)·(1 − drained/total)^n.
func Exchanges(total, drained quantity.Volume, have, fill VolumeShare, n int) VolumeShare {
	return fill + (have-fill)*VolumeShare(math.Pow(float64(1-drained/total), float64(n)))
}

// DrainFor is how much must be let out and replaced at once to come to a
// strength; false when that strength does not lie between what is there and
// what is filled.
func DrainFor(total quantity.Volume, have, fill, want VolumeShare) (quantity.Volume, bool) {
	if near(float64(have), float64(want)) {
		return 0, true
	}
	share := (want - have) / (fill - have)
	if math.IsNaN(float64(share)) || share < 0 || share > 1 {
		return 0, false
	}
	return total * quantity.Volume(share), true
}

// TimesFor is how many equal exchanges come at least as far as a strength;
// false when they never do.
func TimesFor(total, drained quantity.Volume, have, fill, want VolumeShare) (int, bool) {
	if near(float64(have), float64(want)) {
		return 0, true
	}
	left := float64((want - fill) / (have - fill)) // what of the difference may be left
	switch {
	case math.IsNaN(left) || left > 1 || left < 0 || drained <= 0:
		return 0, false
	case drained >= total:
		return 1, true
	case left == 0:
		return 0, false
	}
	n := math.Log(left) / math.Log(float64(1-drained/total))
	return int(math.Ceil(n - 1e-9)), true
}

var askCapacity = calc.Input{Name: "capacity", Title: "The system holds", Kind: "volume", Unit: "L", Min: "0.1 L", Max: "500 L",
	Help: "All of it, with heater and expansion tank, from the maker's document."}

var _ = Group.Add(func() calc.Definition {
	return calc.Definition{
		Name:  "coolant-exchange",
		Title: "Draining and refilling, once or several times",
		About: "What strength (or what share of new fluid) results when only part comes out, and how often it must be done. Good for power steering and gearboxes as well.",
		Method: "One exchange: c₁ = c₀ + (c − c₀)·D/V. Several: cₙ = c + (c₀ − c)·(1 − D/V)ⁿ. It takes the fluid to be well mixed each " +
			"time: run the engine with the heater on in between, and let it cool. For the share of new fluid take 0 % as what is there " +
			"and 100 % as what is filled.\n\nGlycol and water shrink by about 1 % when mixed; that is left out.",
		Inputs: []calc.Input{askCapacity,
			{Name: "drained", Title: "Comes out each time", Kind: "volume", Unit: "L", Min: "0 L", Above: true},
			{Name: "present", Title: "Strength of what is in there", Kind: calc.Number, Unit: "%", Min: "0", Max: "100", Default: "0"},
			{Name: "filled", Title: "Strength of what is filled", Kind: calc.Number, Unit: "%", Min: "0", Max: "100", Default: "100"},
			{Name: "times", Title: "How often", Kind: calc.Count, Min: "1", Max: "50", Default: "1"},
			{Name: "wanted", Title: "Strength wanted", Kind: calc.Number, Unit: "%", Min: "0", Max: "100", Optional: true},
		},
		Outputs: []calc.Output{
			{Name: "after", Title: "Strength afterwards", Kind: calc.Number, Unit: "%", Digits: 4},
			{Name: "renewed", Title: "Of it new", Kind: calc.Number, Unit: "%", Digits: 4},
			{Name: "used", Title: "New fluid used", Kind: "volume", Unit: "L"},
			{Name: "each", Title: "Time by time", Kind: calc.Table, Columns: []calc.Output{
				{Name: "time", Title: "Time", Kind: calc.Count},
				{Name: "strength", Title: "Strength", Kind: calc.Number, Unit: "%", Digits: 4},
				{Name: "renewed", Title: "Of it new", Kind: calc.Number, Unit: "%"},
			}},
			{Name: "at_once", Title: "To let out and replace at once for the strength wanted", Kind: "volume", Unit: "L", Digits: 4, Optional: true},
			{Name: "times_needed", Title: "Times needed for the strength wanted", Kind: calc.Count, Optional: true},
		},
		Sources: []calc.Source{{Text: "Mass balance of a well mixed vessel; worked example: mathaholic.com, Power Steering Fluid", Known: calc.Published}},
		Example: map[string]string{"capacity": "10 L", "drained": "4 L", "present": "0", "filled": "100", "times": "4", "wanted": "80"},
		Compute: computeExchange,
	}
})

func computeExchange(in calc.In, a *calc.Answer) error {
	total, drained := in.Volume("capacity"), in.Volume("drained")
	if drained > total {
		return in.Refuse("drained", "Comes out each time: %s is more than the %s the system holds; look again which figure is which.", in.Written("drained"), in.Written("capacity"))
	}
	have, fill := VolumeShare(in.Number("present")/100), VolumeShare(in.Number("filled")/100)
	n := in.Count("times")
	after := Exchanges(total, drained, have, fill, n)
	a.Give("after", 100*float64(after))
	a.Give("renewed", 100*float64(Exchanges(total, drained, 0, 1, n)))
	a.Give("used", drained*quantity.Volume(n))
	for i := 1; i <= n; i++ {
		a.GiveRow("each", i, 100*float64(Exchanges(total, drained, have, fill, i)), 100*float64(Exchanges(total, drained, 0, 1, i)))
	}
	a.Step("Strength after n times", "cₙ = c + (c₀ − c)·(1 − D/V)ⁿ", "= %.4g + (%.4g − %.4g)·(1 − %.4g/%.4g)^%d = %.4g %%", 100*float64(fill), 100*float64(have),
		100*float64(fill), drained.In(quantity.Litre), total.In(quantity.Litre), n, 100*float64(after))
	if !in.Has("wanted") {
		return nil
	}
	want := VolumeShare(in.Number("wanted") / 100)
	once, can := DrainFor(total, have, fill, want)
	times, ever := TimesFor(total, drained, have, fill, want)
	if can {
		a.Give("at_once", once)
	}
	if ever {
		a.Give("times_needed", times)
	}
	switch {
	case !ever && (want-fill)*(want-have) > 0:
		a.Judge(calc.Bad, "%s %% cannot be reached: filling %s %% onto %s %% only ever comes between the two.", in.Written("wanted"), in.Written("filled"), in.Written("present"))
	case !ever:
		a.Judge(calc.Bad, "%s %% is never quite reached by replacing a part; let everything out.", in.Written("wanted"))
	case times <= 1:
		a.Judge(calc.Good, "Once is enough.")
	case times <= n:
		a.Judge(calc.Good, "%d times are enough.", times)
	default:
		a.Judge(calc.Careful, "It takes %d times.", times)
	}
	return nil
}
