package fastener

import (
	"fmt"
	"math"

	"lastbolt/calc"
	"lastbolt/quantity"
)

// standardGravity turns the force a scale shows as kilograms.
const standardGravity = 9.80665 // m/s²

// HandForce is the force at a distance from the bolt that makes a torque, when
// it pulls at an angle to the handle: F = T/(L·sin φ). The error says which of
// them cannot be.
func HandForce(torque quantity.Torque, handle quantity.Length, angle quantity.Angle) (quantity.Force, error) {
	if err := lever(handle, angle); err != nil {
		return 0, err
	}
	return quantity.Force(float64(torque) / (float64(handle) * math.Sin(float64(angle)))), nil
}

// HandTorque is HandForce turned round.
func HandTorque(force quantity.Force, handle quantity.Length, angle quantity.Angle) (quantity.Torque, error) {
	if err := lever(handle, angle); err != nil {
		return 0, err
	}
	return quantity.Torque(float64(force) * float64(handle) * math.Sin(float64(angle))), nil
}

// leastPullAngle is the least angle to the handle at which a pull still says
// something about the torque.
var leastPullAngle = quantity.Degrees(20)

func lever(handle quantity.Length, angle quantity.Angle) error {
	switch {
	case !(handle > 0):
		return fmt.Errorf("the handle must be longer than nothing")
	case !(angle >= leastPullAngle && angle <= quantity.Degrees(180)-leastPullAngle):
		return fmt.Errorf("a pull at %s is nearly along the handle; pull square to it", angleText(angle))
	}
	return nil
}

// What an arm can do (common practice): steady with one hand, and hard with the
// body behind it.
const (
	easyPull = 200 // N
	hardPull = 450 // N
)

func pullAngleInput() calc.Input {
	return calc.Input{Name: "angle", Title: "Angle between pull and handle", Kind: "angle", Unit: "°", Min: "20°", Max: "160°", Default: "90°"}
}

var _ = Group.Add(func() calc.Definition {
	return calc.Definition{
		Name:  "hand-force",
		Title: "Force of the hand on a handle",
		About: "How hard to pull at the end of a handle for a torque, and whether an arm can do that steadily.",
		Method: "Torque is force times lever. The force counts square to the handle; at an angle only its square part does. " +
			"Some 200 N, the weight of 20 kg, can be pulled steadily with one hand; some 450 N with the body behind it.",
		Inputs: []calc.Input{
			{Name: "torque", Title: "Torque", Kind: "torque", Unit: "N·m", Min: "0 N·m", Above: true, Max: "100000 N·m"},
			{Name: "handle", Title: "From the bolt to the middle of the hand", Kind: "length", Unit: "mm", Min: "0 mm", Above: true, Max: "5 m"},
			pullAngleInput(),
		},
		Outputs: []calc.Output{
			{Name: "force", Title: "Force of the hand", Kind: "force", Unit: "N"},
			{Name: "mass", Title: "As the weight of", Kind: "mass", Unit: "kg"},
			{Name: "handle_for_easy", Title: "Handle for a steady pull", Kind: "length", Unit: "mm"},
		},
		Sources: []calc.Source{
			{Text: "10 N at 0.2 m is 2.0 N·m (eight-tool.co.jp)", Known: calc.Published},
			{Text: "200 N steadily, 450 N with the body behind it", Known: calc.CommonPractice},
		},
		Example: map[string]string{"torque": "110 N·m", "handle": "450 mm"},
		Compute: func(in calc.In, a *calc.Answer) error {
			force, err := HandForce(in.Torque("torque"), in.Length("handle"), in.Angle("angle"))
			if err != nil {
				return in.Refuse("handle", "From the bolt to the middle of the hand: %v.", err)
			}
			a.Give("force", force)
			a.Give("mass", quantity.Mass(float64(force)/standardGravity))
			a.Give("handle_for_easy", quantity.Length(float64(in.Torque("torque"))/easyPull))
			a.Step("Force of the hand", "F = T/(L·sin φ)", "= %s / (%s · sin %s) = %s", torqueText(in.Torque("torque")), lengthText(in.Length("handle")), angleText(in.Angle("angle")), newtons(force))
			switch {
			case force > hardPull:
				a.Judge(calc.Bad, "%s is more than an arm gives safely: the hand slips when it breaks loose. Take a longer handle.", newtons(force))
			case force > easyPull:
				a.Judge(calc.Careful, "%s takes the body behind it: stand so that you do not fall when it gives.", newtons(force))
			default:
				a.Judge(calc.Good, "%s can be pulled steadily with one hand.", newtons(force))
			}
			return nil
		},
	}
})

var _ = Group.Add(func() calc.Definition {
	return calc.Definition{
		Name:  "scale-on-handle",
		Title: "A luggage scale for a torque wrench",
		About: "What a luggage scale hooked on a spanner's handle has to read for a torque, and how exact that is.",
		Method: "The scale is hooked on a mark on the handle and pulled square to it. It reads kilograms; each is 9.81 N. The band holds the scale's own error, a hook that is off its " +
			"mark, and a pull that is not quite square, which always gives less.\n\nPull slowly and read while it moves. The spanner's own weight turns the bolt too when the handle lies level.",
		Inputs: []calc.Input{
			{Name: "torque", Title: "Torque wanted", Kind: "torque", Unit: "N·m", Min: "0 N·m", Above: true, Max: "1000 N·m"},
			{Name: "distance", Title: "From the bolt to the hook", Kind: "length", Unit: "mm", Min: "0 mm", Above: true, Max: "3 m"},
			pullAngleInput(),
			{Name: "scale_error", Title: "Error of the scale", Kind: calc.Number, Unit: "%", Min: "0", Max: "30", Default: "3", Seldom: true},
			{Name: "hook_error", Title: "The hook may be off by", Kind: "length", Unit: "mm", Min: "0 mm", Max: "100 mm", Default: "5 mm", Seldom: true},
			{Name: "angle_error", Title: "The pull may be off by", Kind: "angle", Unit: "°", Min: "0°", Max: "45°", Default: "15°", Seldom: true},
			{Name: "read", Title: "What it did read, to turn it round", Kind: "mass", Unit: "kg", Min: "0 kg", Above: true, Max: "500 kg", Optional: true},
			{Name: "largest", Title: "Largest the scale reads", Kind: "mass", Unit: "kg", Min: "1 kg", Max: "500 kg", Default: "50 kg"},
		},
		Outputs: []calc.Output{
			{Name: "reading", Title: "The scale is to read", Kind: "mass", Unit: "kg"},
			{Name: "force", Title: "Force", Kind: "force", Unit: "N"},
			{Name: "torque", Title: "Torque it comes to", Kind: "torque", Unit: "N·m"},
			{Name: "torque_read", Title: "Torque at what it did read", Kind: "torque", Unit: "N·m", Optional: true},
		},
		Sources: []calc.Source{
			{Text: "T = F·L·sin φ; 10 N at 0.2 m is 2.0 N·m (eight-tool.co.jp)", Known: calc.Published},
			{Text: "the errors of scale, hook and pull", Known: calc.CommonPractice},
		},
		Cautions: []string{"A makeshift: for brakes, steering, wheels, suspension, restraint, fuel and timing take a torque wrench."},
		Example:  map[string]string{"torque": "40 N·m", "distance": "400 mm"},
		Compute:  computeScale,
	}
})

func computeScale(in calc.In, a *calc.Answer) error {
	want, l, angle := in.Torque("torque"), in.Length("distance"), in.Angle("angle")
	force, err := HandForce(want, l, angle)
	if err != nil {
		return in.Refuse("angle", "Angle between pull and handle: %v.", err)
	}
	reading := quantity.Mass(float64(force) / standardGravity)
	if reading > in.Mass("largest") {
		return in.Refuse("distance", "From the bolt to the hook: %s would take a reading of %s, more than the scale has; hook it further out.", lengthText(l), reading.Format(quantity.Kilogram, 3))
	}
	hook := in.Length("hook_error")
	if hook >= l {
		return in.Refuse("hook_error", "The hook may be off by: %s is as much as the whole distance; measure it.", lengthText(hook))
	}
	at := func(scale float64, length quantity.Length, pull float64) quantity.Torque {
		return quantity.Torque(float64(force) * scale * float64(length) * pull)
	}
	wobble := in.Angle("angle_error")
	worst, best := pullRange(angle, wobble)
	e := in.Number("scale_error") / 100
	low, high := at(1-e, l-hook, worst), at(1+e, l+hook, best)
	a.Give("reading", reading)
	a.Give("force", force)
	a.GiveBand("torque", low, want, high)
	a.Step("Force", "F = T/(L·sin φ)", "= %s / (%s · sin %s) = %s", torqueText(want), lengthText(l), angleText(angle), newtons(force))
	a.Step("Reading", "F/9.81", "= %s", reading.Format(quantity.Kilogram, 3))
	a.Step("At worst", "less scale, nearer hook, pull askew", "= %s; the other way %s", torqueText(low), torqueText(high))
	if in.Has("read") {
		pull := quantity.Force(float64(in.Mass("read")) * standardGravity)
		got, err := HandTorque(pull, l, angle)
		if err != nil {
			return in.Refuse("angle", "Angle between pull and handle: %v.", err)
		}
		a.Give("torque_read", got)
		a.Step("Torque at what it did read", "9.81·m·L·sin φ", "= %s · %s · sin %s = %s", newtons(pull), lengthText(l), angleText(angle), torqueText(got))
	}
	if float64(want-low) > 0.15*float64(want) {
		a.Judge(calc.Careful, "It may come out %.0f %% low: hook it further out and pull square.", 100*float64((want-low)/want))
	} else {
		a.Judge(calc.Good, "With care it comes within %.0f %%.", 100*math.Max(float64((want-low)/want), float64((high-want)/want)))
	}
	return nil
}

// pullRange is the least and the most that the square part of a pull can be when
// its angle is off by no more than a wobble.
func pullRange(angle, wobble quantity.Angle) (least, most float64) {
	a, b := math.Sin(float64(angle-wobble)), math.Sin(float64(angle+wobble))
	least, most = math.Min(a, b), math.Max(a, b)
	if angle-wobble <= math.Pi/2 && angle+wobble >= math.Pi/2 {
		most = 1
	}
	return math.Max(0, least), most
}
