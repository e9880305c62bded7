package garage

import (
	"regexp"
	"strconv"
	"strings"

	"lastbolt/fault"
	"lastbolt/quantity"
)

// A TorqueWrench is a torque wrench as a line of the shelf names it: "torque
// wrench 5–25 N·m, ±4 %, hand 270 mm". Accuracy is in per cent, 0 where the
// line does not say; Hand is from the square drive to the middle of the hand.
type TorqueWrench struct {
	Name      string
	Low, High quantity.Written[quantity.Torque]
	Accuracy  float64
	Hand      quantity.Written[quantity.Length]
}

// The parts of a shelf line that say what a torque wrench can do.
var (
	torqueRange = regexp.MustCompile(`(?i)(\d+(?:[.,]\d+)?)\s*(?:–|—|-|to|\.\.+|…)\s*(\d+(?:[.,]\d+)?)\s*((?:[kmcd]a?)?N\s?[·*.]?\s?m|lbf?[·*. -]?(?:ft|in)|(?:ft|in)[·*. -]?lbf?s?|kgf?[·*. ]?c?m)\b`)
	perCent     = regexp.MustCompile(`(\d+(?:[.,]\d+)?)\s*%`)
	handAt      = regexp.MustCompile(`(?i)(?:hand|handle|grip|arm|length|long)\D{0,12}?(\d+(?:[.,]\d+)?\s*(?:mm|cm|in|"))`)
)

// ReadTorqueWrench reads a line of the shelf as a torque wrench. It is none
// where the line gives no range of torque: then ok is false.
func ReadTorqueWrench(line string) (w TorqueWrench, ok bool) {
	m := torqueRange.FindStringSubmatch(line)
	if m == nil {
		return w, false
	}
	low, err1 := quantity.ParseTorque(m[1] + " " + m[3])
	high, err2 := quantity.ParseTorque(m[2] + " " + m[3])
	if err1 != nil || err2 != nil || high.Value <= low.Value {
		return w, false
	}
	w = TorqueWrench{Name: strings.Join(strings.Fields(line), " "), Low: low, High: high}
	if p := perCent.FindStringSubmatch(line); p != nil {
		w.Accuracy, _ = strconv.ParseFloat(strings.ReplaceAll(p[1], ",", "."), 64)
	}
	if h := handAt.FindStringSubmatch(line); h != nil {
		if hand, err := quantity.ParseLength(h[1]); err == nil {
			w.Hand = hand
		}
	}
	return w, true
}

// Short is the wrench's name without the figures behind it, and its range:
// "torque wrench 5–25 N·m".
func (w TorqueWrench) Short() string {
	m := torqueRange.FindStringIndex(w.Name)
	if m == nil {
		return w.Name
	}
	return strings.TrimSpace(w.Name[:m[1]])
}

// Check says what cannot be right about a wrench typed by hand.
func (w TorqueWrench) Check() error {
	switch {
	case strings.TrimSpace(w.Name) == "":
		return fault.New(fault.Bad, "Give the wrench a name, so that it can be told from the others.")
	case w.Low.Value <= 0 || w.High.Value <= w.Low.Value:
		return fault.New(fault.Bad, "The range of %s goes from a smaller torque to a larger one, as in 5 N·m and 25 N·m.", w.Name)
	case w.Accuracy < 0 || w.Accuracy > 50:
		return fault.New(fault.Bad, "The accuracy of %s is in per cent, as in 4; leave it blank where it is not known.", w.Name)
	case w.Hand.Value < 0 || w.Hand.Value > quantity.Millimetres(3000):
		return fault.New(fault.Bad, "The distance from the square drive to the hand cannot be %s: measure it with a tape.", w.Hand)
	}
	return nil
}

// TorqueWrenches lists the torque wrenches of a shelf, in its order.
func (s *Shelf) TorqueWrenches() []TorqueWrench {
	var out []TorqueWrench
	for _, line := range s.Tools {
		if w, ok := ReadTorqueWrench(line); ok {
			out = append(out, w)
		}
	}
	return out
}
