package belt_test

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"lastbolt/calc/belt"
	"lastbolt/quantity"
)

// layouts are routings that can run, from the reference notes and invented.
func layouts() map[string]func() (belt.Drive, belt.Routing) {
	r := belt.Ribs
	return map[string]func() (belt.Drive, belt.Routing){
		"right angle": func() (belt.Drive, belt.Routing) {
			d := belt.Drive{Turns: belt.CounterClockwise, Belt: belt.Belt{Profile: bare}, Pulleys: []belt.Pulley{
				pulley("a", 0, 0, 50), pulley("b", 400, 0, 50), pulley("c", 400, 300, 50)}}
			return d, belt.Routing{{0, r}, {1, r}, {2, r}}
		},
		"published five": func() (belt.Drive, belt.Routing) {
			d := belt.Drive{Turns: belt.CounterClockwise, Belt: belt.Belt{Profile: bare}, Pulleys: []belt.Pulley{
				pulley("A", 100, 100, 10), pulley("B", -100, 100, 10), pulley("C", -100, -100, 43), pulley("D", 100, -100, 14), pulley("E", 80, -200, 14)}}
			return d, belt.Routing{{0, r}, {1, r}, {2, r}, {3, r}, {4, belt.Back}}
		},
		"front drive": frontDrive,
	}
}

func TestRightAngleDriveIsExactByHand(t *testing.T) {
	d, r := layouts()["right angle"]()
	s, err := belt.Solve(d, r)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "length mm", s.Pitch.In(quantity.Millimetre), 1200+100*math.Pi, 1e-9)
	// A 3-4-5 triangle: the wraps are 180° less its angles.
	for i, want := range []float64{180 - math.Atan2(3, 4)*180/math.Pi, 90, 180 - math.Atan2(4, 3)*180/math.Pi} {
		near(t, s.Stops[i].Name, s.Stops[i].Wrap.In(quantity.Degree), want, 1e-9)
	}
}

// The library's own test says 1231.345 mm, which counts the arc of pulley B
// twice; 1217.295 mm closes to 360° and agrees with a walk along the belt.
func TestPublishedFivePulleysBothReadings(t *testing.T) {
	d, r := layouts()["published five"]()
	s, err := belt.Solve(d, r)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "length mm", s.Pitch.In(quantity.Millimetre), 1217.295, 0.001)
	b := s.Stops[1]
	near(t, "with B's arc twice", s.Pitch.In(quantity.Millimetre)+b.Radius.In(quantity.Millimetre)*float64(b.Wrap), 1231.345, 0.001)
	for i, want := range []float64{6.1367, 1.5708, 2.9758, 4.8579, 0.0807} {
		on, c := s.Stops[i].On, d.Pulleys[s.Stops[i].Pulley].Centre
		a := math.Atan2(float64(on.Y-c.Y), float64(on.X-c.X))
		near(t, s.Stops[i].Name+" reached at", math.Mod(a+2*math.Pi, 2*math.Pi), want, 5e-5)
	}
}

func TestTwoPulleysMeetTheClosedForm(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a, b := rapid.Float64Range(20, 400).Draw(t, "a"), rapid.Float64Range(20, 400).Draw(t, "b")
		c := (a+b)/2 + rapid.Float64Range(1, 2000).Draw(t, "gap")
		d := belt.Drive{Belt: belt.Belt{Profile: bare}, Pulleys: []belt.Pulley{pulley("a", 0, 0, a/2), pulley("b", c, 0, b/2)}}
		s, err := belt.Solve(d, belt.Routing{{0, belt.Ribs}, {1, belt.Ribs}})
		if err != nil {
			t.Fatal(err)
		}
		large, small := math.Max(a, b), math.Min(a, b)
		alpha := math.Asin((large - small) / (2 * c))
		want := 2*c*math.Cos(alpha) + math.Pi*(large+small)/2 + (large-small)*alpha
		if got := s.Pitch.In(quantity.Millimetre); math.Abs(got-want) > 1e-9*want {
			t.Fatalf("length %v, closed form %v", got, want)
		}
		if got := belt.TwoPulleys(mm(a), mm(b), mm(c), false).Length.In(quantity.Millimetre); math.Abs(got-want) > 1e-9*want {
			t.Fatalf("two-pulley length %v, closed form %v", got, want)
		}
		// Crossed: the pulley's back against the belt's ribs, twisted.
		x := belt.TwoPulleys(mm(a), mm(b), mm(c), true)
		beta := math.Asin((large + small) / (2 * c))
		crossed := 2*c*math.Cos(beta) + (large+small)/2*(math.Pi+2*beta)
		if got := x.Length.In(quantity.Millimetre); math.Abs(got-crossed) > 1e-9*crossed {
			t.Fatalf("crossed %v, closed form %v", got, crossed)
		}
	})
}

// anyDrive draws pulleys round a ring, so that a belt over all of them exists,
// some of them pushed in from outside.
func anyDrive(t *rapid.T) (belt.Drive, belt.Routing) {
	n := rapid.IntRange(3, 8).Draw(t, "n")
	d := belt.Drive{Turns: belt.CounterClockwise, Belt: belt.Belt{Profile: bare}}
	var r belt.Routing
	for i := range n {
		a := 2 * math.Pi * (float64(i) + rapid.Float64Range(0, 0.5).Draw(t, "a")) / float64(n)
		far := rapid.Float64Range(350, 500).Draw(t, "far")
		d.Pulleys = append(d.Pulleys, pulley(string(rune('a'+i)), far*math.Cos(a), far*math.Sin(a), rapid.Float64Range(15, 55).Draw(t, "r")))
		r = append(r, belt.Touch{Pulley: i, Side: belt.Ribs})
	}
	return d, r
}

func TestSignedWrapsAddToOneTurn(t *testing.T) {
	check := func(fatal func(string, ...any), d belt.Drive, r belt.Routing) {
		s, err := belt.Solve(d, r)
		if err != nil {
			return
		}
		sum := 0.0
		for _, st := range s.Stops {
			sum += float64(st.Turns) * float64(st.Wrap)
		}
		turns := sum / (2 * math.Pi)
		if math.Abs(turns-math.Round(turns)) > 1e-9 {
			fatal("the signed wraps add to %v turns, not a whole number", turns)
		}
		crossing := false
		for _, tr := range s.Troubles {
			crossing = crossing || tr.Kind == belt.Crossing
		}
		if !crossing && math.Abs(math.Abs(turns)-1) > 1e-9 {
			fatal("a belt that does not cross itself makes %v turns", turns)
		}
	}
	for name, make := range layouts() {
		d, r := make()
		t.Run(name, func(t *testing.T) { check(t.Fatalf, d, r) })
	}
	rapid.Check(t, func(t *rapid.T) {
		d, r := anyDrive(t)
		check(t.Fatalf, d, r)
	})
}

// moved changes every centre and diameter.
func moved(d belt.Drive, place func(x, y float64) (float64, float64), scale float64) belt.Drive {
	d.Pulleys = append([]belt.Pulley(nil), d.Pulleys...)
	for i := range d.Pulleys {
		p := &d.Pulleys[i]
		x, y := place(float64(p.Centre.X), float64(p.Centre.Y))
		p.Centre, p.Diameter = belt.Point{X: quantity.Length(x), Y: quantity.Length(y)}, p.Diameter*quantity.Length(scale)
	}
	return d
}

func TestMirrorTurnAndScaleKeepTheBelt(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		d, r := anyDrive(t)
		s, err := belt.Solve(d, r)
		if err != nil {
			t.Skip("no belt")
		}
		angle, k := rapid.Float64Range(-4, 4).Draw(t, "angle"), rapid.Float64Range(0.2, 5).Draw(t, "scale")
		sin, cos := math.Sincos(angle)
		mirror := moved(d, func(x, y float64) (float64, float64) { return -x, y }, 1)
		mirror.Turns = -d.Turns
		for name, c := range map[string]struct {
			d     belt.Drive
			scale float64
		}{
			"mirrored": {mirror, 1},
			"turned":   {moved(d, func(x, y float64) (float64, float64) { return x*cos - y*sin + 1, x*sin + y*cos - 2 }, 1), 1},
			"scaled":   {moved(d, func(x, y float64) (float64, float64) { return k * x, k * y }, k), k},
		} {
			o, err := belt.Solve(c.d, r)
			if err != nil {
				t.Fatalf("%s: %v", name, err)
			}
			if got, want := float64(o.Pitch), c.scale*float64(s.Pitch); math.Abs(got-want) > 1e-9*want {
				t.Fatalf("%s: length %v, want %v", name, got, want)
			}
			for i := range s.Stops {
				if math.Abs(float64(o.Stops[i].Wrap-s.Stops[i].Wrap)) > 1e-9 {
					t.Fatalf("%s: wrap %d is %v, want %v", name, i, o.Stops[i].Wrap, s.Stops[i].Wrap)
				}
			}
		}
	})
}

// Backwards: the belt runs the other way round, everything turns the other way.
func TestRunningBackwardsKeepsTheLength(t *testing.T) {
	for name, make := range layouts() {
		t.Run(name, func(t *testing.T) {
			d, r := make()
			s, err := belt.Solve(d, r)
			if err != nil {
				t.Fatal(err)
			}
			back := d
			back.Turns = -s.Stops[0].Turns
			var reversed belt.Routing
			for i := range r {
				reversed = append(reversed, r[len(r)-1-i])
			}
			o, err := belt.Solve(back, reversed)
			if err != nil {
				t.Fatal(err)
			}
			near(t, "length", float64(o.Pitch), float64(s.Pitch), 1e-12)
			near(t, "length effective", float64(o.Effective), float64(s.Effective), 1e-12)
		})
	}
}

func TestMovingTheLineByCChangesTheLengthByTwoPiC(t *testing.T) {
	for name, make := range layouts() {
		t.Run(name, func(t *testing.T) {
			d, r := make()
			for _, c := range []float64{0, 0.5, 2, 3.2} {
				d.Belt.Profile.Differential = mm(c)
				for i := range d.Pulleys { // pitch diameters stay where they are
					d.Pulleys[i].Measure = belt.Pitch
				}
				s, err := belt.Solve(d, r)
				if err != nil {
					t.Fatal(err)
				}
				near(t, "pitch less effective mm", (s.Pitch - s.Effective).In(quantity.Millimetre), 2*math.Pi*c, 1e-9)
			}
		})
	}
}

// The front drive by effective diameters: ribs 2 mm inside, back 2 mm outside
// the pitch line.
func TestEffectiveDiametersGiveTheMarkedLength(t *testing.T) {
	d, r := frontDrive()
	d.Belt.Profile.Differential = mm(2)
	for i := range d.Pulleys {
		p := &d.Pulleys[i]
		p.Measure, p.Surface = belt.Effective, belt.Grooved
		p.Diameter -= mm(4)
		if r[i].Side == belt.Back {
			p.Measure, p.Surface = belt.Outside, belt.Plain
			p.Diameter += mm(4)
		}
	}
	s, err := belt.Solve(d, r)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "effective mm", s.Effective.In(quantity.Millimetre), 1603.672, 0.002)
	near(t, "pitch mm", s.Pitch.In(quantity.Millimetre), 1616.238, 0.002)
	if !s.Runs() {
		t.Errorf("it runs, but: %v", s.Troubles)
	}
}
