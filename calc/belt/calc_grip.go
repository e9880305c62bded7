package belt

import (
	"math"

	"lastbolt/calc"
	"lastbolt/quantity"
)

var _ = Group.Add(func() calc.Definition {
	return calc.Definition{
		Name:  "belt-grip",
		Title: "How much a belt can pull before it slips",
		About: "The tensions at the point of slip on one pulley, what power they carry, and how tight the belt must be for a wanted power.",
		Method: "At the point of slip (T1 − m·v²)/(T2 − m·v²) = exp(µ·θ/sin(G/2)), with the wrap θ and the full groove angle G; flat belts and the backs of ribbed ones have no groove. Below it T1 − T2 = power over belt speed.\n\n" +
			"Give one of: tension of the tight side, of the slack side, pull, power with belt speed, or the mean tension. Tensions include what the belt's own flight takes, m·v². Friction varies widely: rubber on metal 0.3 to 0.5 dry, far less wet or oily, and effective values for V belts are lower than that with the groove's wedge left out.",
		Inputs: []calc.Input{
			{Name: "friction", Title: "Coefficient of friction", Kind: calc.Number, Min: "0", Above: true, Max: "5", Help: "Of the surfaces alone; the wedge of the groove is added by its angle."},
			{Name: "wrap", Title: "Wrap", Kind: "angle", Unit: "°", Min: "0 °", Above: true, Max: "20 turn"},
			{Name: "groove", Title: "Full angle of the groove", Kind: "angle", Unit: "°", Default: "0 °", Min: "0 °", Max: "180 °", Help: "0 for a flat belt, 40° for ribbed belts."},
			{Name: "mass", Title: "Mass of the belt", Kind: "mass per length", Unit: "kg/m", Default: "0 kg/m", Min: "0 kg/m", Max: "100 kg/m"},
			{Name: "speed", Title: "Belt speed", Kind: "speed", Unit: "m/s", Optional: true, Min: "0 m/s", Above: true, Max: "200 m/s"},
			{Name: "tight", Title: "Tension of the tight side", Kind: "force", Unit: "N", Optional: true, Min: "0 N", Above: true},
			{Name: "slack", Title: "Tension of the slack side", Kind: "force", Unit: "N", Optional: true, Min: "0 N", Above: true},
			{Name: "pull", Title: "Pull wanted", Kind: "force", Unit: "N", Optional: true, Min: "0 N", Above: true},
			{Name: "power", Title: "Power wanted", Kind: "power", Unit: "kW", Optional: true, Min: "0 W", Above: true},
			{Name: "mean", Title: "Mean tension", Kind: "force", Unit: "N", Optional: true, Min: "0 N", Above: true, Help: "Half the sum of both sides: the tension at rest."},
			{Name: "diameter", Title: "Pitch diameter of the pulley", Kind: "length", Unit: "mm", Optional: true, Min: "1 mm", Max: "20 m"},
			{Name: "per_width", Title: "Tension allowed for its width", Kind: "stiffness", Unit: "N/mm", Optional: true, Min: "0 N/mm", Above: true},
		},
		Outputs: []calc.Output{
			{Name: "ratio", Title: "Greatest ratio of the tensions", Kind: calc.Number, Digits: 5},
			{Name: "tight", Title: "Tight side", Kind: "force", Unit: "N", Digits: 5},
			{Name: "slack", Title: "Slack side", Kind: "force", Unit: "N", Digits: 5},
			{Name: "pull", Title: "Pull", Kind: "force", Unit: "N", Digits: 5},
			{Name: "mean", Title: "Mean tension", Kind: "force", Unit: "N", Digits: 5},
			{Name: "flight", Title: "Taken by the belt's flight, m·v²", Kind: "force", Unit: "N", Digits: 4},
			{Name: "initial", Title: "Mean tension less m·v²", Kind: "force", Unit: "N", Digits: 5},
			{Name: "hub", Title: "Load on the bearing", Kind: "force", Unit: "N", Digits: 4},
			{Name: "power", Title: "Power", Kind: "power", Unit: "kW", Digits: 4, Optional: true},
			{Name: "torque", Title: "Torque", Kind: "torque", Unit: "N·m", Digits: 4, Optional: true},
			{Name: "width", Title: "Width needed", Kind: "length", Unit: "mm", Digits: 4, Optional: true},
			{Name: "best_speed", Title: "Speed of the greatest power", Kind: "speed", Unit: "m/s", Digits: 4, Optional: true},
			{Name: "best_power", Title: "Greatest power", Kind: "power", Unit: "kW", Digits: 4, Optional: true},
		},
		Sources: []calc.Source{
			{Text: "Euler and Eytelwein: Engineering Statics: Open and Interactive, 9.5; openknowledgegraph.com, belt and rope friction", Known: calc.Published},
			{Text: "With the belt's flight and the greatest power at T/3: FOSSEE textbook companions to Theory of Machines", Known: calc.Published},
			{Text: "Friction of rubber on metal 0.3 to 0.4 moving, 0.4 to 0.5 at rest: mechanics.ju.se/Friction.html", Known: calc.Published},
		},
		Example: map[string]string{"friction": "0.3", "wrap": "150 °", "groove": "40 °", "mass": "0.12 kg/m", "speed": "12 m/s", "power": "2 kW"},
		Compute: computeGrip,
	}
})

func computeGrip(in calc.In, a *calc.Answer) error {
	v := float64(in.Speed("speed"))
	flight := float64(in.MassPerLength("mass")) * v * v
	ratio := GripRatio(in.Number("friction"), in.Angle("wrap"), in.Angle("groove"))
	if math.IsInf(ratio, 0) || ratio > 1e12 {
		return in.Refuse("wrap", "With this much wrap and friction the belt cannot slip at all; check wrap, friction and groove angle.")
	}
	if in.MassPerLength("mass") > 0 && !in.Has("speed") && !in.Has("tight") {
		return in.Refuse("speed", "The mass of the belt matters only at speed: give the belt speed, or leave the mass out.")
	}
	slack, err := slackOf(in, v, flight, ratio)
	if err != nil {
		return err
	}
	tight := slack * ratio
	pull, mean := tight-slack, (tight+slack)/2+flight
	a.Give("ratio", ratio)
	a.Give("tight", quantity.Force(tight+flight))
	a.Give("slack", quantity.Force(slack+flight))
	a.Give("pull", quantity.Force(pull))
	a.Give("mean", quantity.Force(mean))
	a.Give("initial", quantity.Force(mean-flight))
	a.Give("flight", quantity.Force(flight))
	a.Give("hub", quantity.Force(math.Sqrt(tight*tight+slack*slack-2*tight*slack*math.Cos(float64(in.Angle("wrap"))))))
	a.Step("Greatest ratio", "exp(µ · θ / sin(G/2))", "= exp(%.4g · %.4g · %.4g) = %.5g", in.Number("friction"), float64(in.Angle("wrap")), wedge(in.Angle("groove")), ratio)
	a.Step("Pull", "T1 − T2", "= %.5g − %.5g = %.5g N", tight+flight, slack+flight, pull)
	if v > 0 {
		a.Give("power", quantity.Power(pull*v))
	}
	if in.Has("diameter") {
		a.Give("torque", quantity.Torque(pull*float64(in.Length("diameter"))/2))
	}
	if in.Has("per_width") {
		a.Give("width", quantity.Length((tight+flight)/float64(in.Stiffness("per_width"))))
	}
	if m := float64(in.MassPerLength("mass")); m > 0 {
		most := tight + flight
		best := math.Sqrt(most / (3 * m))
		a.Give("best_speed", quantity.Speed(best))
		a.Give("best_power", quantity.Power(2*most/3*(1-1/ratio)*best))
	}
	return nil
}

// slackOf is the slack side's tension less what flight takes, from whichever
// one thing is given.
func slackOf(in calc.In, v, flight, ratio float64) (float64, error) {
	var given []string
	for _, name := range []string{"tight", "slack", "pull", "power", "mean"} {
		if in.Has(name) {
			given = append(given, name)
		}
	}
	if len(given) != 1 {
		return 0, in.Refuse("tight", "Give exactly one of: tight side, slack side, pull, power, mean tension; %d are given.", len(given))
	}
	slack := 0.0
	switch given[0] {
	case "tight":
		slack = (float64(in.Force("tight")) - flight) / ratio
	case "slack":
		slack = float64(in.Force("slack")) - flight
	case "pull":
		slack = float64(in.Force("pull")) / (ratio - 1)
	case "mean":
		slack = 2 * (float64(in.Force("mean")) - flight) / (ratio + 1)
	case "power":
		if v == 0 {
			return 0, in.Refuse("speed", "Power needs the belt speed as well; give it.")
		}
		slack = float64(in.Power("power")) / v / (ratio - 1)
	}
	if slack <= 0 {
		return 0, in.Refuse(given[0], "At this speed the belt's own flight takes %.0f N, all of the tension given; nothing is left to grip with. Give more tension or less speed.", flight)
	}
	return slack, nil
}
