package belt

import (
	"math"

	"lastbolt/quantity"
)

// A Load is what the belt does to one pulley while it runs.
type Load struct {
	Pull   quantity.Force // at the pitch line: what the pulley takes; the crank gives the sum
	In     quantity.Force // tension of the span that arrives
	Out    quantity.Force // and of the one that leaves
	Hub    quantity.Force // on the bearing
	HubDir quantity.Angle // where it points, counter-clockwise from the x axis
	// Friction is the coefficient that this pull needs; the pulley slips when
	// belt and rim have less. +Inf when the slack side goes slack.
	Friction float64
	// Margin is the coefficient at hand over the one needed, at the low end of
	// the friction range; +Inf on a pulley that takes nothing.
	Margin float64
}

// massPerLength is the belt's, given or from its ribs, kg/m.
func (d *Drive) massPerLength() float64 {
	if d.Belt.Mass > 0 {
		return float64(d.Belt.Mass)
	}
	return float64(d.Belt.Profile.MassPerRib) * float64(d.Belt.Ribs)
}

// pull works out the tensions. At a pulley that takes torque Q the belt leaves
// tighter by Q/R than it arrives; at the crank the sum is taken off again. One
// tension more is needed: a spring arm sets it where it stands, by moments about
// its pivot; without one the mean over the belt's length stays what it was at
// rest, since the belt's length does.
func (s *Solution) pull(c course) {
	d, n := s.Drive, len(s.Stops)
	v := float64(s.BeltSpeed)
	flying := d.massPerLength() * v * v
	over := make([]float64, n) // tension of span i above that of span 0
	sum := 0.0
	for i := range s.Stops {
		if i == 0 {
			continue
		}
		p := s.pullOf(i)
		s.Stops[i].Load.Pull = quantity.Force(p)
		sum += p
		over[i] = over[i-1] + p
	}
	s.Stops[0].Load.Pull = quantity.Force(sum)
	rest, known := s.base(c, make([]float64, n), 0, false)
	if !known {
		return
	}
	base, known := s.base(c, over, flying, true)
	if !known {
		return
	}
	s.Tensions = true
	mass := quantity.MassPerLength(s.Drive.massPerLength())
	for i := range s.Spans {
		s.Spans[i].Rest = quantity.Force(rest)
		if mass > 0 && s.Spans[i].Length > 0 {
			s.Spans[i].Note = SpanNote(s.Spans[i].Length, mass, quantity.Force(rest))
		}
	}
	for i := range s.Spans {
		s.Spans[i].Tension = quantity.Force(base + over[i])
	}
	for i := range s.Stops {
		in, out := base+over[(i+n-1)%n], base+over[i]
		s.load(i, c.legs[(i+n-1)%n].heading, c.legs[i].heading, in, out, flying)
	}
}

// pullOf is the pull a driven pulley takes at the pitch line, N.
func (s *Solution) pullOf(stop int) float64 {
	st := s.Stops[stop]
	p := &s.Drive.Pulleys[st.Pulley]
	switch {
	case p.Torque > 0:
		return float64(p.Torque) / float64(st.Radius)
	case p.Power > 0 && s.BeltSpeed > 0:
		return float64(p.Power) / float64(s.BeltSpeed)
	}
	return 0
}

// base is the tension of the span that leaves the crank, with the tensions of
// the others above it, running or at rest.
func (s *Solution) base(c course, over []float64, flying float64, running bool) (float64, bool) {
	d, n := s.Drive, len(s.Stops)
	if t := d.Tensioner; s.Travel != nil && t.Kind == SpringArm && t.TorqueFree+t.TorqueLoaded > 0 {
		for i, st := range s.Stops {
			if st.Pulley != t.Pulley {
				continue
			}
			arm := s.Travel.Centre.vec().minus(t.Pivot.vec())
			// The belt's force on the pulley is (out)·h_out − (in)·h_in, each less
			// what its own flight takes; in and out differ by the pulley's pull.
			hin, hout := c.legs[(i+n-1)%n].heading, c.legs[i].heading
			lever := arm.cross(hout.minus(hin))
			moment := t.springTorque(s.Travel.At)
			if t.sweep() > 0 {
				moment = -moment // the spring turns the arm from Loaded to Free
			}
			pull := 0.0
			if running {
				pull = float64(st.Load.Pull)
			}
			// lever·T + pull·(arm × h_out) + moment = 0, with T that of the span in.
			tension := -(moment + pull*arm.cross(hout)) / lever
			if !(tension > 0) || math.IsInf(tension, 0) {
				s.trouble(Slips, st.Pulley, true, "The spring of %s slackens the belt instead of tightening it; check its pivot and its travel.", st.Name)
				return 0, false
			}
			return tension + flying - over[(i+n-1)%n], true
		}
	}
	if d.Belt.Static <= 0 {
		return 0, false
	}
	sum, weight := 0.0, 0.0
	for i := range s.Spans {
		w := float64(s.Spans[i].Length)
		for _, st := range []Stop{s.Stops[i], s.Stops[(i+1)%n]} {
			w += float64(st.Radius) * float64(st.Wrap) / 2
		}
		sum, weight = sum+w*over[i], weight+w
	}
	return float64(d.Belt.Static) - sum/weight, true
}

// load fills in what the belt does at one stop.
func (s *Solution) load(i int, hin, hout vec, in, out, flying float64) {
	st := &s.Stops[i]
	l := &st.Load
	l.In, l.Out = quantity.Force(in), quantity.Force(out)
	hub := hout.times(out - flying).minus(hin.times(in - flying))
	l.Hub, l.HubDir = quantity.Force(hub.length()), quantity.Angle(math.Atan2(hub.y, hub.x))
	tight, slack := max(in, out)-flying, min(in, out)-flying
	f := s.Drive.friction()
	switch {
	case slack <= 0:
		l.Friction = math.Inf(1)
		s.trouble(Slips, st.Pulley, true, "The belt goes slack at %s under this load.", st.Name)
		return
	case tight == slack:
		l.Margin = math.Inf(1)
		return
	}
	l.Friction = math.Log(tight/slack) / (float64(st.Wrap) * s.wedgeAt(i))
	l.Margin = f[0] / l.Friction
	switch {
	case l.Friction > f[1]:
		s.trouble(Slips, st.Pulley, true, "The belt slips on %s: this load needs a friction of %.2f, and there is %.2f to %.2f.", st.Name, l.Friction, f[0], f[1])
	case l.Friction > f[0]:
		s.trouble(Slips, st.Pulley, false, "The belt may slip on %s when it is wet or glazed: this load needs a friction of %.2f, and there is %.2f to %.2f.", st.Name, l.Friction, f[0], f[1])
	}
}

// wedgeAt is the factor of the groove at a stop: 1 where the belt lies flat.
func (s *Solution) wedgeAt(i int) float64 {
	p := &s.Drive.Pulleys[s.Stops[i].Pulley]
	if p.Surface.surface() != Grooved || s.Stops[i].Side == Back && !s.Drive.Belt.Profile.Double {
		return 1
	}
	return s.Drive.Belt.Profile.Wedge()
}
