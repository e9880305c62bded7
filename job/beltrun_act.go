package job

import (
	"math"
	"slices"
	"strings"

	"lastbolt/calc/belt"
	"lastbolt/fault"
	"lastbolt/plan/access"
	"lastbolt/quantity"
)

// ChangeBeltRun begins the record of a belt's run, or changes it.
func ChangeBeltRun(d BeltRunSet) Action {
	return open(func(r *Recorder, s *State) ([]Event, error) {
		if err := s.canMap(d.Item); err != nil {
			return nil, err
		}
		run := s.BeltRun(d.Item)
		senses := []string{"", belt.Clockwise.String(), belt.CounterClockwise.String()}
		switch {
		case d.Picture != "" && run != nil && run.Picture != d.Picture && slices.ContainsFunc(run.Pulleys, func(p *BeltPulley) bool { return p.At != nil }):
			return nil, refuse(CodeNotYet, "The pulleys lie on the picture that is there. Take them off the record first, or keep the picture.")
		case !d.Distance.IsZero() && !(d.Distance.Value > 0):
			return nil, refuse(CodeWrong, "The known distance has to be more than nothing, as in 120 mm.")
		case d.From != nil && d.To != nil && math.Hypot(d.From.X-d.To.X, d.From.Y-d.To.Y) < 0.02:
			return nil, refuse(CodeWrong, "The two places of the known distance lie on each other: choose two that are far apart.")
		case !d.Length.IsZero() && !(d.Length.Value > quantity.Millimetres(100) && d.Length.Value < quantity.Metres(20)):
			return nil, refuse(CodeWrong, "A belt of %s cannot be: write the length marked on it, as in 1795 mm.", d.Length)
		case d.Ribs < 0 || d.Ribs > 20:
			return nil, refuse(CodeWrong, "A belt has 1 to 20 ribs.")
		case !slices.Contains(senses, d.Turns):
			return nil, refuse(CodeWrong, "The crank turns clockwise or counter-clockwise, seen from the front.")
		}
		if d.Profile != "" {
			if _, err := belt.ProfileNamed(d.Profile); err != nil {
				return nil, refuse(CodeWrong, "%s", fault.Say(err))
			}
		}
		return one(r, s, KindBeltRun, d)
	})
}

// SetBeltPulley puts a pulley on the record, or changes what is given of one.
func SetBeltPulley(d BeltPulleySet) Action {
	return open(func(r *Recorder, s *State) ([]Event, error) {
		if err := s.canMap(d.Item); err != nil {
			return nil, err
		}
		run := s.BeltRun(d.Item)
		if run == nil {
			run = &BeltRun{Item: d.Item}
		}
		if d.Name = strings.TrimSpace(d.Name); d.Pulley == "" && d.Name == "" {
			return nil, refuse(CodeMissing, "Write what the pulley turns, or idler or tensioner.")
		}
		switch {
		case d.Pulley != "" && run.Pulley(d.Pulley) == nil:
			return nil, refuse(CodeUnknown, "That pulley is not on the record any more.")
		case d.Pulley == "" && len(run.Pulleys) >= maxPulleys:
			return nil, refuse(CodeWrong, "A belt runs over %d pulleys at most.", maxPulleys)
		case d.Pulley == "" && d.At == nil && (d.X == nil || d.Y == nil):
			return nil, refuse(CodeMissing, "Say where %s is: tap its centre on the picture, or write how far across and up it is.", d.Name)
		case d.At != nil && !d.At.ok() || d.Rim != nil && !d.Rim.ok():
			return nil, refuse(CodeWrong, "That place is far off the picture: mend the figures.")
		case d.At != nil && d.Rim != nil && math.Hypot(d.At.X-d.Rim.X, d.At.Y-d.Rim.Y) < 0.005:
			return nil, refuse(CodeWrong, "Centre and rim lie on each other: tap the centre, then the edge of the rim.")
		case d.Diameter != nil && !(d.Diameter.Value > quantity.Millimetres(5) && d.Diameter.Value < quantity.Metres(2)):
			return nil, refuse(CodeWrong, "A pulley of %s cannot be: write its diameter over the rim, as in 62 mm.", d.Diameter)
		}
		for _, p := range run.Pulleys {
			if p.ID != d.Pulley && d.Name != "" && strings.EqualFold(p.Name, d.Name) {
				return nil, refuse(CodeWrong, "There is a pulley named %q already: give this one another name.", p.Name)
			}
		}
		if d.Pulley == "" && len(run.Pulleys) == 0 && d.Crank == nil {
			yes := true
			d.Crank = &yes // the first one is asked for as the crank's
		}
		return one(r, s, KindBeltPulley, d)
	})
}

// SetBeltRouting records how the belt runs. A run that cannot be laid at all is
// refused when the pulleys' places are known.
func SetBeltRouting(d BeltRoutingSet) Action {
	return open(func(r *Recorder, s *State) ([]Event, error) {
		run := s.BeltRun(d.Item)
		if run == nil {
			return nil, refuse(CodeUnknown, "No pulley of that belt is recorded yet.")
		}
		seen := map[string]bool{}
		for _, t := range d.Run {
			p := run.Pulley(t.Pulley)
			switch {
			case p == nil:
				return nil, refuse(CodeUnknown, "A pulley of this run is not on the record any more.")
			case seen[t.Pulley]:
				return nil, refuse(CodeWrong, "The belt is said to touch %s twice: each pulley once.", p.Name)
			case t.Side != belt.Ribs && t.Side != belt.Back:
				return nil, refuse(CodeMissing, "Say which side of the belt touches %s: ribs or back.", p.Name)
			}
			seen[t.Pulley] = true
		}
		if d.Source == "" {
			d.Source = access.Measured
		}
		return one(r, s, KindBeltRouting, d)
	})
}

// SeatBelt records that the belt sits right on a pulley.
func SeatBelt(item, pulley string) Action {
	return open(func(r *Recorder, s *State) ([]Event, error) {
		run := s.BeltRun(item)
		if run == nil || run.Pulley(pulley) == nil {
			return nil, refuse(CodeUnknown, "That pulley is not on the record any more.")
		}
		if run.Seated(pulley) {
			return nil, refuse(CodeAlready, "That is recorded already.")
		}
		return one(r, s, KindBeltSeated, BeltSeated{item, pulley})
	})
}

// beltUnseated refuses to call a belt on while a pulley of its recorded run was
// not looked at.
func (s *State) beltUnseated(st *Step) error {
	r := s.BeltRun(st.Item)
	if r == nil || !st.Closes || r.Routing == nil {
		return nil
	}
	left := r.Unseated()
	if len(left) == 0 {
		return nil
	}
	var names []string
	for _, p := range left {
		names = append(names, p.Name)
	}
	return refuse(CodeNotYet, "Look at the belt on every pulley first: %s. The belt's page goes through them.", strings.Join(names, ", "))
}
