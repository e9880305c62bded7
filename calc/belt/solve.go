package belt

import (
	"fmt"
	"math"
	"strings"
	"unicode"
	"unicode/utf8"

	"lastbolt/calc"
	"lastbolt/quantity"
)

// A Touch is one pulley in the order the belt reaches them, and the side of the
// belt on it.
type Touch struct {
	Pulley int
	Side   Side
}

// A Routing is a closed run of a belt, in the direction it travels.
type Routing []Touch

// A Stop is a pulley of a solved routing.
type Stop struct {
	Touch
	Name   string
	Turns  Sense
	Radius quantity.Length // to the pitch line
	Wrap   quantity.Angle
	// Ratio is turns for one turn of the crank, negative against it. Speed is 0
	// when the crank's is not known.
	Ratio   float64
	Speed   quantity.RotationalSpeed
	On, Off Point // where the belt comes on and leaves, on the pitch line
	Load    Load
}

// A Span is the free belt from one stop to the next.
type Span struct {
	From, To int // indexes of Stops
	Length   quantity.Length
	// Tension is while it runs under load, Rest while it stands; 0 when not known.
	// Note is what the span sounds when plucked at rest.
	Tension, Rest quantity.Force
	Note          quantity.Frequency
}

// A Trouble is one way in which a routing does not work, or is poor.
type Trouble struct {
	Kind   string // one of the Trouble kinds
	Pulley int    // -1: none in particular
	Grave  bool   // it cannot run like this
	Say    string
}

// The kinds of Trouble.
const (
	TurnsWrong  = "turns wrong"
	ShortWrap   = "short wrap"
	Crossing    = "crossing"
	TooNear     = "too near"
	InsideOut   = "inside out"
	WrongSide   = "wrong side"
	WrongLength = "wrong length"
	Slips       = "slips"
	NotTouched  = "not touched"
)

// A Solution is everything about a belt on one routing.
type Solution struct {
	Drive   *Drive // with the tensioner where it stands for this belt
	Routing Routing
	Stops   []Stop
	Spans   []Span // Spans[i] leaves Stops[i]
	// Effective is the length as belts are marked, Pitch that of the pitch line,
	// Outer that of the belt's back. Low and High are the effective length over
	// the range of the back's offset that sources give.
	Effective, Pitch, Outer quantity.Length
	Low, High               quantity.Length
	Travel                  *Travel // nil without a tensioner that moves
	BeltSpeed               quantity.Speed
	Tensions                bool // whether tensions and loads are known
	Troubles                []Trouble
	net                     float64 // wraps of the ribs less those of the back, rad
}

// Runs reports whether nothing grave speaks against the routing.
func (s *Solution) Runs() bool {
	for _, t := range s.Troubles {
		if t.Grave {
			return false
		}
	}
	return true
}

// Order names the pulleys in order, such as "crank > alternator > idler (back)".
func (s *Solution) Order() string { return s.Drive.Order(s.Routing) }

// Order names the pulleys of a routing, the back of the belt in brackets.
func (d *Drive) Order(r Routing) string {
	var names []string
	for _, t := range r {
		name := d.Pulleys[t.Pulley].Name
		if t.Side == Back {
			name += " (back)"
		}
		names = append(names, name)
	}
	return strings.Join(names, " > ")
}

// Stop finds the stop at a pulley.
func (s *Solution) Stop(pulley int) (Stop, bool) {
	for _, st := range s.Stops {
		if st.Pulley == pulley {
			return st, true
		}
	}
	return Stop{}, false
}

// Solve works out a routing. A routing that cannot be laid at all is an error
// in a sentence; one that can, but should not run so, has Troubles. When the
// belt's length is known and a tensioner moves, the tensioner is put where that
// belt holds it.
func Solve(d Drive, r Routing) (*Solution, error) {
	if err := d.Check(); err != nil {
		return nil, err
	}
	r, err := d.normal(r)
	if err != nil {
		return nil, err
	}
	s := &Solution{Drive: &d, Routing: r}
	if d.Tensioner.moves() && r.touches(d.Tensioner.Pulley) {
		if s.Travel, err = d.travel(r); err != nil {
			return nil, err
		}
		s.Drive = d.placed(s.Travel.At)
	}
	discs := s.Drive.discs(r)
	c, at := lay(discs)
	if at >= 0 {
		a, b := &d.Pulleys[r[at].Pulley], &d.Pulleys[r[(at+1)%len(r)].Pulley]
		return nil, calc.Cannot("No belt can run from %s to %s: one would hold the other inside its line. Check their centres, their diameters and the sides of the belt.", a.Name, b.Name)
	}
	s.measure(discs, c)
	s.pull(c)
	s.judge(discs, c)
	return s, nil
}

// normal checks a routing and turns it to begin at the crank.
func (d *Drive) normal(r Routing) (Routing, error) {
	if len(r) < 2 {
		return nil, calc.Cannot("A belt runs over at least two pulleys; name them in the order the belt reaches them.")
	}
	seen, crank := map[int]bool{}, -1
	for i, t := range r {
		switch {
		case t.Pulley < 0 || t.Pulley >= len(d.Pulleys):
			return nil, calc.Cannot("The routing names a pulley that is not there.")
		case seen[t.Pulley]:
			return nil, calc.Cannot("The routing names %s twice; the belt touches each pulley once.", d.Pulleys[t.Pulley].Name)
		case t.Side != Ribs && t.Side != Back:
			return nil, calc.Cannot("The routing does not say which side of the belt is on %s; write ribs or back.", d.Pulleys[t.Pulley].Name)
		}
		seen[t.Pulley] = true
		if t.Pulley == d.Crank {
			crank = i
		}
	}
	if crank < 0 {
		return nil, calc.Cannot("The routing leaves out %s, which drives the belt.", d.Pulleys[d.Crank].Name)
	}
	return append(append(Routing{}, r[crank:]...), r[:crank]...), nil
}

func (r Routing) touches(pulley int) bool {
	for _, t := range r {
		if t.Pulley == pulley {
			return true
		}
	}
	return false
}

// discs are the routing's pulleys as the pitch line meets them.
func (d *Drive) discs(r Routing) []disc {
	out := make([]disc, len(r))
	for i, t := range r {
		p := &d.Pulleys[t.Pulley]
		out[i] = disc{p.Centre.vec(), d.pitchRadius(p, t.Side), d.sign(t.Side, r[0].Side)}
	}
	return out
}

// sign is the way a pulley turns: as the crank when the same side of the belt
// is on both.
func (d *Drive) sign(side, crankSide Side) float64 {
	if side == crankSide {
		return float64(d.turns())
	}
	return -float64(d.turns())
}

// toEffective is how much shorter the effective line is than the pitch line: it
// lies inward by be on pulleys the ribs touch and outward on the others, so by
// be times the net turning.
func (d *Drive) toEffective(r Routing, c course) float64 {
	return float64(d.Belt.Profile.Differential) * net(r, c)
}

// net is the angle of the wraps of the ribs less those of the back: 2π for a
// loop with its ribs inside.
func net(r Routing, c course) float64 {
	sum := 0.0
	for i, t := range r {
		if t.Side == Ribs {
			sum += c.wraps[i]
		} else {
			sum -= c.wraps[i]
		}
	}
	return sum
}

// measure fills in what follows from the geometry alone.
func (s *Solution) measure(discs []disc, c course) {
	d, r, n := s.Drive, s.Routing, len(discs)
	pitch := c.length(discs)
	s.Pitch = quantity.Length(pitch)
	s.Effective = quantity.Length(pitch - d.toEffective(r, c))
	s.Outer = quantity.Length(pitch + float64(d.Belt.Profile.BackOffset)*net(r, c))
	s.net = net(r, c)
	omega := float64(d.Speed)
	s.BeltSpeed = quantity.Speed(omega * discs[0].r)
	back := 0.0
	for i, t := range r {
		p := &d.Pulleys[t.Pulley]
		if t.Side == Back && p.measure() != Pitch {
			back += c.wraps[i]
		}
		ratio := discs[0].r / discs[i].r * discs[i].s * discs[0].s
		in, out := c.legs[(i+n-1)%n], c.legs[i]
		s.Stops = append(s.Stops, Stop{Touch: t, Name: p.Name, Turns: Sense(discs[i].s), Radius: quantity.Length(discs[i].r),
			Wrap: quantity.Angle(c.wraps[i]), Ratio: ratio, Speed: quantity.RotationalSpeed(omega * ratio),
			On: in.to.point(), Off: out.from.point()})
		s.Spans = append(s.Spans, Span{From: i, To: (i + 1) % n, Length: quantity.Length(out.length)})
	}
	// To first order a step of the back's offset lengthens the line by itself
	// times the wraps of the back.
	b := d.Belt.Profile
	s.Low = s.Effective + quantity.Length(back*float64(b.BackLow-b.BackOffset))
	s.High = s.Effective + quantity.Length(back*float64(b.BackHigh-b.BackOffset))
	if t := s.Travel; t != nil {
		ribs := 0.0
		for i, touch := range r {
			if touch.Side == Ribs {
				ribs += c.wraps[i]
			}
		}
		if ribs > 0 {
			t.Wear = quantity.Length(float64(t.Stretch) / ribs)
		}
	}
}

func (a vec) point() Point { return Point{quantity.Length(a.x), quantity.Length(a.y)} }

func (s *Solution) trouble(kind string, pulley int, grave bool, say string, args ...any) {
	s.Troubles = append(s.Troubles, Trouble{kind, pulley, grave, capital(fmt.Sprintf(say, args...))})
}

// capital begins a sentence: names of pulleys are written small as a rule.
func capital(sentence string) string {
	r, n := utf8.DecodeRuneInString(sentence)
	return string(unicode.ToUpper(r)) + sentence[n:]
}

// cannot is calc.Cannot for sentences that may begin with a pulley's name.
func cannot(format string, args ...any) error {
	return calc.Cannot("%s", capital(fmt.Sprintf(format, args...)))
}

func degrees(a quantity.Angle) float64 { return float64(a) * 180 / math.Pi }
