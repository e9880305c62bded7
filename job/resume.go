package job

import (
	"slices"
	"strings"
	"time"
)

// confirmSteps is how far back to look after an interruption: three steps, the
// usual rule for maintenance work (FAA, Aviation Maintenance Technician
// Handbook, General, chapter on human factors).
const confirmSteps = 3

// Idle is how long the hands may rest before the last steps are looked at
// again: a choice of ours, without a source.
const Idle = 20 * time.Minute

// A Resumption is what to look at before going on.
type Resumption struct {
	Needed     bool
	Why        string
	Since      time.Time
	Confirm    []*Step // latest first
	Unfinished []*Step // joints begun and not finished: leave them visibly apart
}

// Resume says what to look at again before going on, at an instant: after a
// pause, after an idle time, or as long as steps wait to be confirmed.
func Resume(s *State, now time.Time, idle time.Duration) Resumption {
	if s.IsReleased() {
		return Resumption{}
	}
	r := Resumption{Since: s.Touched, Unfinished: s.Begun}
	done := lastDone(s.Steps, confirmSteps)
	switch {
	case len(done) == 0 && len(s.Begun) == 0:
		return Resumption{}
	case s.Pause != nil:
		r.Since, r.Why, r.Confirm = s.Pause.From, "The job was paused.", done
	case idle > 0 && now.Sub(s.Touched) >= idle:
		r.Why, r.Confirm = "Nothing was recorded for a while.", done
	case len(s.Confirm) > 0:
		r.Why, r.Confirm = "Look at these again before you go on.", s.Confirm
	default:
		return Resumption{}
	}
	r.Needed = true
	return r
}

// PauseSheet fills in a pause sheet from the record, for the mechanic to add
// to: what is loose, and what must not be started or moved.
func PauseSheet(s *State) Paused {
	var d Paused
	for _, st := range s.Begun {
		d.Loose = append(d.Loose, st.Name+" (begun, not finished)")
	}
	still := false
	stop := map[string]bool{}
	for _, r := range s.Open {
		if !r.Condition {
			word := " (off)"
			if r.Aside {
				word = " (aside)"
			}
			d.Loose = append(d.Loose, r.Name+word)
		}
		still = still || r.Immobile
		for _, j := range r.Opens {
			stop[j.Kind] = true
		}
	}
	var why []string
	for _, kind := range []string{"oil", "coolant", "fuel", "belt", "timing", "air intake", "exhaust", "earth"} {
		if stop[kind] {
			why = append(why, kind)
		}
	}
	for _, fluid := range s.Drained {
		if !slices.Contains(why, fluid) {
			why = append(why, fluid)
		}
	}
	if len(why) > 0 {
		d.MustNotStart = append(d.MustNotStart, "Do not start the engine: open or empty are "+strings.Join(why, ", "))
	}
	for _, kind := range []string{"wheel", "brake", "brake fluid", "steering", "suspension"} {
		still = still || stop[kind]
	}
	if still {
		d.MustNotStart = append(d.MustNotStart, "Do not drive or move it")
	}
	return d
}
