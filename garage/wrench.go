package garage

import (
	"strconv"
	"strings"
	"time"

	"lastbolt/fault"
	"lastbolt/pattern"
	"lastbolt/quantity"
)

// A TorqueWrench is a torque wrench as a line of the shelf names it: "torque
// wrench 5–25 N·m, ±4 %, hand 270 mm". Accuracy is in per cent, 0 where the
// line does not say; Hand is from the square drive to the middle of the hand.
// "checked 2026-03" is when it was last checked against a reference, the zero
// time where the line does not say; a month alone is taken from its first day.
// "dropped" means dropped or overloaded since.
type TorqueWrench struct {
	Name      string
	Low, High quantity.Written[quantity.Torque]
	Accuracy  float64
	Hand      quantity.Written[quantity.Length]
	Checked   time.Time
	Dropped   bool
}

// The parts of a shelf line that say what a torque wrench can do.
var (
	torqueRange = pattern.Of(`(?i)(\d+(?:[.,]\d+)?)\s*(?:–|—|-|to|\.\.+|…)\s*(\d+(?:[.,]\d+)?)\s*((?:[kmcd]a?)?N\s?[·*.]?\s?m|lbf?[·*. -]?(?:ft|in)|(?:ft|in)[·*. -]?lbf?s?|kgf?[·*. ]?c?m)\b`)
	perCent     = pattern.Of(`(\d+(?:[.,]\d+)?)\s*%`)
	checkedAt   = pattern.Of(`(?i)\b(?:checked|calibrated)\D{0,6}?(\d{4})-(\d{1,2})(?:-(\d{1,2}))?\b`)
	droppedWord = pattern.Of(`(?i)\b(?:dropped|overloaded)\b`)
	neverFell   = pattern.Of(`(?i)\b(?:not|never)\s+(?:dropped|overloaded)\b`)
	handAt      = pattern.Of(`(?i)(?:hand|handle|grip|arm|length|long)\D{0,12}?(\d+(?:[.,]\d+)?\s*(?:mm|cm|in|"))`)
)

// ReadTorqueWrench reads a line of the shelf as a torque wrench. It is none
// where the line gives no range of torque: then ok is false.
func ReadTorqueWrench(line string) (w TorqueWrench, ok bool) {
	m := torqueRange().FindStringSubmatch(line)
	if m == nil {
		return w, false
	}
	low, err1 := quantity.ParseTorque(m[1] + " " + m[3])
	high, err2 := quantity.ParseTorque(m[2] + " " + m[3])
	if err1 != nil || err2 != nil || high.Value <= low.Value {
		return w, false
	}
	w = TorqueWrench{Name: strings.Join(strings.Fields(line), " "), Low: low, High: high}
	if p := perCent().FindStringSubmatch(line); p != nil {
		w.Accuracy, _ = strconv.ParseFloat(strings.ReplaceAll(p[1], ",", "."), 64)
	}
	if h := handAt().FindStringSubmatch(line); h != nil {
		if hand, err := quantity.ParseLength(h[1]); err == nil {
			w.Hand = hand
		}
	}
	w.Checked = checkDate(line)
	w.Dropped = droppedWord().MatchString(neverFell().ReplaceAllString(line, ""))
	return w, true
}

// checkDate is the date of the last check a line states, or the zero time. A
// date the calendar does not have is none.
func checkDate(line string) time.Time {
	m := checkedAt().FindStringSubmatch(line)
	if m == nil {
		return time.Time{}
	}
	year, _ := strconv.Atoi(m[1])
	month, _ := strconv.Atoi(m[2])
	day := 1
	if m[3] != "" {
		day, _ = strconv.Atoi(m[3])
	}
	at := time.Date(year, time.Month(month), day, 0, 0, 0, 0, time.UTC)
	if at.Month() != time.Month(month) || at.Day() != day {
		return time.Time{}
	}
	return at
}

// DaysSinceCheck counts from the last check to an instant; below 0 means that
// the line does not say when that was. A check in the future counts as today's:
// clocks differ.
func (w TorqueWrench) DaysSinceCheck(now time.Time) int {
	if w.Checked.IsZero() || now.IsZero() {
		return -1
	}
	return max(0, int(now.Sub(w.Checked).Hours()/24))
}

// Short is the wrench's name without the figures behind it, and its range:
// "torque wrench 5–25 N·m".
func (w TorqueWrench) Short() string {
	m := torqueRange().FindStringIndex(w.Name)
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
