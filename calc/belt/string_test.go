package belt_test

import (
	"math"
	"testing"

	"lastbolt/calc/belt"
	"lastbolt/quantity"
)

// A string is a closed chain of points pulled tight round discs: each point goes
// to the middle of its neighbours and is pushed out of the discs it may touch.
// It knows nothing of tangents or arcs and finds the length another way.
type bead struct {
	x, y float64
	stop int // the stop it began at
}

// pullString finds the length of a routing by tightening a string, in metres.
func pullString(d belt.Drive, s *belt.Solution) float64 {
	n := len(s.Stops)
	centre := func(i int) (float64, float64, float64) {
		st := s.Stops[(i+n)%n]
		c := s.Drive.Pulleys[st.Pulley].Centre
		return float64(c.X), float64(c.Y), float64(st.Radius)
	}
	var beads []bead
	for i := range n {
		x0, y0, _ := centre(i - 1)
		x, y, r := centre(i)
		x1, y1, _ := centre(i + 1)
		sign := float64(s.Stops[i].Turns)
		in, out := math.Atan2(y-y0, x-x0), math.Atan2(y1-y, x1-x)
		turn := math.Mod(sign*(out-in)+4*math.Pi, 2*math.Pi)
		// The point of a counter-clockwise disc stands to the right of the heading.
		const arc = 8
		for k := range arc + 1 {
			a := in - sign*math.Pi/2 + sign*turn*float64(k)/arc
			beads = append(beads, bead{x + 1.02*r*math.Cos(a), y + 1.02*r*math.Sin(a), i})
		}
	}
	beads = strung(beads, 0.005)
	length := 0.0
	for level := range 4 {
		if level > 0 {
			beads = halve(beads)
		}
		for range 4000 {
			tighten(beads, centre)
		}
		length = 0
		for i, b := range beads {
			c := beads[(i+1)%len(beads)]
			length += math.Hypot(c.x-b.x, c.y-b.y)
		}
	}
	return length
}

// strung puts beads between, so that none is further from the next than step.
func strung(beads []bead, step float64) []bead {
	var out []bead
	for i, b := range beads {
		c := beads[(i+1)%len(beads)]
		k := math.Ceil(math.Hypot(c.x-b.x, c.y-b.y) / step)
		for j := range int(k) {
			f := float64(j) / k
			stop := b.stop
			if f > 0.5 {
				stop = c.stop
			}
			out = append(out, bead{b.x + f*(c.x-b.x), b.y + f*(c.y-b.y), stop})
		}
	}
	return out
}

func halve(beads []bead) []bead {
	var out []bead
	for i, b := range beads {
		c := beads[(i+1)%len(beads)]
		out = append(out, b, bead{(b.x + c.x) / 2, (b.y + c.y) / 2, b.stop})
	}
	return out
}

func tighten(beads []bead, centre func(int) (float64, float64, float64)) {
	n := len(beads)
	for i := range beads {
		a, b, c := beads[(i+n-1)%n], &beads[i], beads[(i+1)%n]
		// No bead moves further than a part of the smallest disc at once, or it
		// could jump across.
		const most = 0.002
		dx, dy := 1.5*((a.x+c.x)/2-b.x), 1.5*((a.y+c.y)/2-b.y)
		if far := math.Hypot(dx, dy); far > most {
			dx, dy = dx*most/far, dy*most/far
		}
		b.x, b.y = b.x+dx, b.y+dy
		for k := b.stop - 1; k <= b.stop+1; k++ {
			x, y, r := centre(k)
			if far := math.Hypot(b.x-x, b.y-y); far < r && far > 0 {
				b.x, b.y = x+(b.x-x)*r/far, y+(b.y-y)*r/far
			}
		}
	}
}

func TestPullingAStringFindsTheSameLength(t *testing.T) {
	for name, make := range layouts() {
		t.Run(name, func(t *testing.T) {
			d, r := make()
			s, err := belt.Solve(d, r)
			if err != nil {
				t.Fatal(err)
			}
			got := quantity.Length(pullString(d, s)).In(quantity.Millimetre)
			near(t, "length by string mm", got, s.Pitch.In(quantity.Millimetre), 0.1)
		})
	}
}
