package sequence

import "fmt"

// A Timing is where the time of one step goes: first SetUp minutes of changing
// position, tool and switches, then Idle minutes of waiting, then the work
// from Start to End. All in minutes from the beginning.
type Timing struct {
	Step                    int
	SetUp, Idle             float64
	Start, End              float64
	Position, Tool          int    // in force during the step; Any: none yet
	On                      uint16 // switches on during the step
	PositionChanged         bool
	ToolChanged             bool
	SwitchedOn, SwitchedOff uint16
}

// Schedule times an order. It is written straight from the definitions and
// shares nothing with the search, so that it can check it. The last value is
// the total, with End's set-up. The error says which rule the order breaks.
func Schedule(p *Problem, order []int) ([]Timing, float64, error) {
	if err := p.check(); err != nil {
		return nil, 0, err
	}
	if len(order) != len(p.Steps) {
		return nil, 0, fmt.Errorf("the order has %d steps; there are %d", len(order), len(p.Steps))
	}
	end := make([]float64, len(p.Steps))
	done := make([]bool, len(p.Steps))
	now, state := 0.0, p.Start
	var timings []Timing
	for _, i := range order {
		if i < 0 || i >= len(p.Steps) || done[i] {
			return nil, 0, fmt.Errorf("step %d is not there or comes twice", i)
		}
		for _, b := range p.Before {
			if b[1] == i && !done[b[0]] {
				return nil, 0, fmt.Errorf("step %d comes before step %d, which must precede it", i, b[0])
			}
		}
		t := Timing{Step: i}
		state = p.change(state, p.Steps[i].Need, &t)
		ready := now + t.SetUp
		t.Start = ready
		for _, l := range p.Lags {
			if l.After != i {
				continue
			}
			if !done[l.Before] {
				return nil, 0, fmt.Errorf("step %d comes before step %d, which it waits for", i, l.Before)
			}
			t.Start = max(t.Start, end[l.Before]+l.Minutes)
		}
		t.Idle = t.Start - ready
		t.End = t.Start + p.Steps[i].Minutes
		now, end[i], done[i] = t.End, t.End, true
		timings = append(timings, t)
	}
	if p.End != nil {
		var t Timing
		p.change(state, *p.End, &t)
		now += t.SetUp
	}
	return timings, now, nil
}

// Check is the total minutes of an order, or which rule the order breaks.
func Check(p *Problem, order []int) (float64, error) {
	_, total, err := Schedule(p, order)
	return total, err
}

// change applies a need to a state and records in t what that takes.
func (p *Problem) change(s State, n Need, t *Timing) State {
	move := func(set Setup, from, to int) (int, float64, bool) {
		switch {
		case to == Any || to == from:
			return from, 0, false
		case from == Any && set.First == nil:
			return to, 0, true
		case from == Any:
			return to, set.First[to], true
		}
		return to, set.Between[from][to], true
	}
	var cost float64
	s.Position, cost, t.PositionChanged = move(p.Position, s.Position, n.Position)
	t.SetUp += cost
	s.Tool, cost, t.ToolChanged = move(p.Tool, s.Tool, n.Tool)
	t.SetUp += cost
	for i, sw := range p.Switches {
		bit := uint16(1) << i
		if n.On&bit != 0 && s.On&bit == 0 {
			t.SetUp += sw.On
			t.SwitchedOn |= bit
		}
		if n.Off&bit != 0 && s.On&bit != 0 {
			t.SetUp += sw.Off
			t.SwitchedOff |= bit
		}
	}
	s.On = s.On&^n.Off | n.On
	t.Position, t.Tool, t.On = s.Position, s.Tool, s.On
	return s
}
