package fastener

import (
	"fmt"
	"math"

	"lastbolt/quantity"
)

// WrenchSetting is what to set on a torque wrench that carries an adapter, so
// that the bolt gets the torque wanted: S = T·L/(L + A·cos θ). hand is L, from
// the square drive to the middle of the hand; adapter is A, from the square
// drive to the bolt; angle is θ between the adapter and the wrench's forward
// direction (0 straight out, 90° across, 180° folded back). An extension along
// the axis of the drive has A = 0 and changes nothing.
//
// Published as AC 43.13-1B 7-40 h and TM 9-254 figures 4-5 and 4-6. The error
// says which length cannot be.
func WrenchSetting(want quantity.Torque, hand, adapter quantity.Length, angle quantity.Angle) (quantity.Torque, error) {
	ratio, err := adapterRatio(hand, adapter, angle)
	if err != nil {
		return 0, err
	}
	return quantity.Torque(float64(want) / ratio), nil
}

// TorqueAtBolt is WrenchSetting turned round: what the bolt gets at a setting.
func TorqueAtBolt(setting quantity.Torque, hand, adapter quantity.Length, angle quantity.Angle) (quantity.Torque, error) {
	ratio, err := adapterRatio(hand, adapter, angle)
	if err != nil {
		return 0, err
	}
	return quantity.Torque(float64(setting) * ratio), nil
}

// adapterRatio is torque at the bolt over torque at the square drive.
func adapterRatio(hand, adapter quantity.Length, angle quantity.Angle) (float64, error) {
	switch {
	case !(hand > 0):
		return 0, fmt.Errorf("the distance from the square drive to the hand must be more than nothing")
	case adapter < 0:
		return 0, fmt.Errorf("the adapter's length cannot be below nothing; measure from the square drive to the middle of the bolt")
	}
	ratio := 1 + float64(adapter)/float64(hand)*math.Cos(float64(angle))
	if ratio < 0.1 {
		return 0, fmt.Errorf("the bolt is all but under the hand, so nothing on the wrench says what it gets; turn the adapter or take another wrench")
	}
	return ratio, nil
}

// A Wrench is a torque wrench and what is known of it.
type Wrench struct {
	Name     string
	Kind     WrenchKind      // "" is taken as Click
	Min, Max quantity.Torque // the marked range
	// Accuracy is the half-width of its error as a share, 0.04 for ±4 %. 0 means
	// not known; then ISO 6789's allowance for its kind is taken.
	Accuracy float64
	// DaysSinceCheck counts from its last check against a reference; below 0 means
	// never or not known.
	DaysSinceCheck int
	Dropped        bool // dropped or overloaded since the check
}

// A WrenchKind is how a torque wrench tells the torque.
type WrenchKind string

// The kinds: a setting wrench that clicks or slips (ISO 6789 type II), one that
// shows the torque on a dial or a display (type I B and C), a bending beam with a
// pointer (type I A), and torque screwdrivers.
const (
	Click       WrenchKind = "click"
	Dial        WrenchKind = "dial"
	Beam        WrenchKind = "beam"
	Screwdriver WrenchKind = "screwdriver"
)

// StandardAccuracy is the error ISO 6789:2003 allows a kind of wrench, as a
// share: ±4 % over 10 N·m and ±6 % up to it; ±6 % for beams and screwdrivers (the
// two last from memory).
func StandardAccuracy(kind WrenchKind, largest quantity.Torque) float64 {
	if kind == Beam || kind == Screwdriver || largest <= smallWrenchMax {
		return smallWrenchError
	}
	return wrenchError
}

// The limits of ISO 6789, as shares: the allowed errors, and the least useful
// part of the range, for nothing is promised below 20 % of the maximum.
const (
	smallWrenchError  = 0.06
	wrenchError       = 0.04
	smallWrenchMax    = 10 // N·m
	leastShareOfRange = 0.20
)

// CheckedEveryDays is how often a torque wrench is checked against a reference:
// at least yearly (AC 43.13-1B 7-40).
const CheckedEveryDays = 365

// Fitness says how well a tool suits a task.
type Fitness string

// The fitnesses.
const (
	Fits    Fitness = "fits"
	Limited Fitness = "with care" // usable, with the reason in mind
	Unfit   Fitness = "does not fit"
)

// A WrenchVerdict is what WrenchFit finds.
type WrenchVerdict struct {
	Fitness   Fitness
	Reasons   []string        // whole sentences, the gravest first
	Accuracy  float64         // the share reckoned with
	Low, High quantity.Torque // what the click can mean at this torque
}

// WrenchFit tells whether a wrench can be trusted with a setting: whether it
// lies in the marked range and not below a fifth of its maximum, when it was
// last checked, and whether it was dropped since.
func WrenchFit(w Wrench, setting quantity.Torque) WrenchVerdict {
	v := WrenchVerdict{Fitness: Fits, Accuracy: w.Accuracy}
	if v.Accuracy <= 0 {
		v.Accuracy = StandardAccuracy(w.Kind, w.Max)
	}
	v.Low, v.High = setting*quantity.Torque(1-v.Accuracy), setting*quantity.Torque(1+v.Accuracy)
	say := func(f Fitness, format string, args ...any) {
		if f == Unfit || v.Fitness == Fits {
			v.Fitness = f
		}
		if f == Unfit {
			v.Reasons = append([]string{fmt.Sprintf(format, args...)}, v.Reasons...)
			return
		}
		v.Reasons = append(v.Reasons, fmt.Sprintf(format, args...))
	}
	switch {
	case setting > w.Max*1.0001:
		say(Unfit, "%s is above the wrench's largest, %s; take a larger wrench.", torqueText(setting), torqueText(w.Max))
	case setting < w.Min*0.9999:
		say(Unfit, "%s is below the wrench's smallest, %s; take a smaller wrench.", torqueText(setting), torqueText(w.Min))
	case setting < w.Max*leastShareOfRange*0.9999:
		say(Limited, "%s is below a fifth of the wrench's largest (%s), where its accuracy is not promised; a smaller wrench is better.",
			torqueText(setting), torqueText(w.Max*leastShareOfRange))
	}
	switch {
	case w.Dropped:
		say(Unfit, "It was dropped or overloaded since its last check: it has to be checked before it is trusted.")
	case w.DaysSinceCheck < 0:
		say(Limited, "Nothing says when it was last checked; it should be once a year.")
	case w.DaysSinceCheck > CheckedEveryDays:
		say(Limited, "Its last check was %d days ago; it should be checked once a year.", w.DaysSinceCheck)
	}
	return v
}

func torqueText(t quantity.Torque) string { return t.Format(quantity.NewtonMetre, 3) }
