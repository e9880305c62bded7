package belt

import (
	"math"

	"lastbolt/quantity"
)

// Wrap advice in degrees: design practice, from memory, for multi-pulley
// drives; no published minimum was found.
const (
	crankWrap  = 150.0
	loadedWrap = 90.0
	idlerWrap  = 15.0
	// barelyTouching is the wrap below which a pulley may as well not be touched.
	barelyTouching = 5.0
)

// Advised is the wrap below which a pulley's grip is doubtful.
func (d *Drive) Advised(pulley int) quantity.Angle { return quantity.Degree.Of(d.advised(pulley)) }

// advised is Advised in degrees; the exact units cost too much in a search.
func (d *Drive) advised(pulley int) float64 {
	switch {
	case pulley == d.Crank:
		return crankWrap
	case d.Pulleys[pulley].loaded():
		return loadedWrap
	}
	return idlerWrap
}

func (p *Pulley) loaded() bool { return p.Drives != "" || p.Torque > 0 || p.Power > 0 }

// judge lists what speaks against the routing.
func (s *Solution) judge(discs []disc, c course) {
	s.judgeTurns()
	s.judgeLoop(discs, c)
	s.judgeSpans(c)
	s.judgeWraps()
	s.judgeUntouched()
	if s.Travel == nil {
		s.judgeLength()
	}
	if t := s.Travel; t != nil && !t.Fits {
		s.trouble(WrongLength, s.Drive.Tensioner.Pulley, true, "A belt of %s does not fit: the tensioner can hold %s to %s.",
			mm(s.Drive.Belt.Length), mm(t.Shortest), mm(t.Longest))
	}
}

func (s *Solution) judgeTurns() {
	for _, st := range s.Stops {
		p := &s.Drive.Pulleys[st.Pulley]
		want := s.Drive.turns()
		if p.Turns == Opposite {
			want = -want
		}
		if p.Turns != AnyTurn && st.Turns != want {
			s.trouble(TurnsWrong, st.Pulley, true, "%s would turn %s; it must turn %s.", p.Name, st.Turns, want)
		}
		surface := p.Surface.surface()
		switch {
		case st.Side == Back && surface == Grooved && !s.Drive.Belt.Profile.Double:
			s.trouble(WrongSide, st.Pulley, true, "The back of the belt would lie on the grooves of %s.", p.Name)
		case st.Side == Ribs && surface == Plain:
			s.trouble(WrongSide, st.Pulley, true, "The ribs would run on %s, which is plain and meant for the back.", p.Name)
		}
	}
}

func (s *Solution) judgeLoop(discs []disc, c course) {
	turning := c.turning(discs) / (2 * math.Pi)
	inside := s.Drive.sign(Ribs, s.Routing[0].Side)
	switch {
	case math.Abs(math.Abs(turning)-1) > 1e-6:
		s.trouble(Crossing, -1, true, "The belt would cross itself: it makes %.0f turns round its loop instead of one.", math.Abs(turning))
	case turning*inside < 0:
		s.trouble(InsideOut, -1, true, "The belt would lie inside out: the ribs face outward all round the loop.")
	}
}

func (s *Solution) judgeSpans(c course) {
	d, n := s.Drive, len(c.legs)
	name := func(i int) string { return s.Stops[i].Name + " to " + s.Stops[(i+1)%n].Name }
	for i, l := range c.legs {
		for k := range d.Pulleys {
			if k == s.Routing[i].Pulley || k == s.Routing[(i+1)%n].Pulley {
				continue
			}
			p := &d.Pulleys[k]
			gap := l.away(p.Centre.vec()) - d.rimRadius(p)
			switch {
			case gap <= 0:
				s.trouble(TooNear, k, true, "The belt from %s would run through %s.", name(i), p.Name)
			case gap < d.clearance():
				s.trouble(TooNear, k, true, "The belt from %s would pass %s from %s; it needs %s.", name(i),
					mm(quantity.Length(gap)), p.Name, mm(quantity.Length(d.clearance())))
			}
		}
		for j := range i {
			if clash(l, c.legs[j], adjacent(i, j, n), d.clearance()) {
				s.trouble(Crossing, -1, true, "The belt from %s and from %s would cross or rub.", name(j), name(i))
			}
		}
	}
}

func adjacent(i, j, n int) bool { return (i+1)%n == j || (j+1)%n == i }

// clash reports whether two spans of one run cross, or come nearer than the
// clearance when they do not meet on a pulley.
func clash(l, m leg, neighbours bool, clearance float64) bool {
	if neighbours {
		return l.crosses(m)
	}
	return l.apart(m) < clearance
}

func (s *Solution) judgeWraps() {
	for _, st := range s.Stops {
		w, want := degrees(st.Wrap), s.Drive.advised(st.Pulley)
		switch {
		case w < barelyTouching:
			s.trouble(ShortWrap, st.Pulley, true, "The belt hardly touches %s (%.1f°).", st.Name, w)
		case w < want:
			s.trouble(ShortWrap, st.Pulley, false, "The belt wraps %s by %.0f°; about %.0f° or more is usual.", st.Name, w, want)
		}
	}
}

func (s *Solution) judgeUntouched() {
	for i := range s.Drive.Pulleys {
		p := &s.Drive.Pulleys[i]
		if !s.Routing.touches(i) && (p.loaded() || !p.Idle && p.Known != Untouched) {
			s.trouble(NotTouched, i, p.loaded(), "The belt leaves out %s.", p.Name)
		}
	}
}

// Shares of its length by which a belt without a moving tensioner may be off,
// common practice, no source: measuring pulleys is good to about a hundredth,
// and an elastic belt goes on stretched by some per cent.
const (
	measuredShare = DefaultTolerance
	elasticShare  = 0.05
)

// judgeLength holds the marked length against the way round, where nothing takes
// up the difference. A tensioner whose travel is not known may.
func (s *Solution) judgeLength() {
	belt, t := float64(s.Drive.Belt.Length), s.Drive.Tensioner
	if belt == 0 || t != nil && t.Kind == "" {
		return
	}
	share := (float64(s.Effective) - belt) / belt
	far := math.Abs(share) > elasticShare
	switch {
	case math.Abs(share) <= measuredShare:
	case share < 0:
		s.trouble(WrongLength, -1, far, "A belt of %s would hang loose: the way round is %s, and nothing takes up the rest.", mm(s.Drive.Belt.Length), mm(s.Effective))
	case far:
		s.trouble(WrongLength, -1, true, "A belt of %s is too short: the way round is %s.", mm(s.Drive.Belt.Length), mm(s.Effective))
	default:
		s.trouble(WrongLength, -1, false, "A belt of %s has to stretch by %.1f %% to go round: only an elastic belt does.", mm(s.Drive.Belt.Length), 100*share)
	}
}
