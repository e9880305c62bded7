package belt_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"lastbolt/calc/belt"
	"lastbolt/quantity"
)

// scattered is a random drive of grooved and plain pulleys, some of which may be
// left out.
func scattered(n int, seed uint64) belt.Drive {
	r := rand.New(rand.NewPCG(seed, 7))
	profile, err := belt.ProfileNamed("PK")
	if err != nil {
		panic(err)
	}
	d := belt.Drive{Belt: belt.Belt{Profile: profile}}
	for len(d.Pulleys) < n {
		i := len(d.Pulleys)
		p := belt.Pulley{Name: fmt.Sprintf("p%d", i), Centre: at(900*r.Float64(), 700*r.Float64()), Diameter: mm(50 + 80*r.Float64())}
		switch {
		case i > 0 && r.IntN(3) == 0:
			p.Surface, p.Idle = belt.Plain, r.IntN(2) == 0
		case i > 0 && r.IntN(5) == 0:
			p.Surface = belt.Either
		}
		p.Idle = p.Idle || i > 0 && r.IntN(2) == 0
		next := d
		next.Pulleys = append(slices.Clone(d.Pulleys), p)
		if len(next.Pulleys) < 2 || next.Check() == nil {
			d = next
		}
	}
	return d
}

// everyRouting lists, without any pruning, every order of every subset with
// every side that can be solved and passes a plain check of its own.
func everyRouting(d belt.Drive) []string {
	var found []string
	n := len(d.Pulleys)
	var extend func(r belt.Routing, used int)
	extend = func(r belt.Routing, used int) {
		if len(r) >= 2 && mayLeaveOut(d, used) && runs(d, r) {
			found = append(found, d.Order(r))
		}
		for i := range n {
			if used>>i&1 == 0 {
				for _, side := range []belt.Side{belt.Ribs, belt.Back} {
					extend(append(slices.Clone(r), belt.Touch{Pulley: i, Side: side}), used|1<<i)
				}
			}
		}
	}
	extend(belt.Routing{{d.Crank, belt.Ribs}}, 1<<d.Crank)
	slices.Sort(found)
	return found
}

func mayLeaveOut(d belt.Drive, used int) bool {
	for i, p := range d.Pulleys {
		if used>>i&1 == 0 && !p.Idle {
			return false
		}
	}
	return true
}

type segment struct{ ax, ay, bx, by float64 }

// runs checks a routing by its spans as bare segments: sides that suit the rims,
// wraps of 10° or more, one turn with the ribs inside, nothing cut or too near.
func runs(d belt.Drive, r belt.Routing) bool {
	s, err := belt.Solve(d, r)
	if err != nil {
		return false
	}
	var spans []segment
	turn := 0.0
	for i, st := range s.Stops {
		surface := d.Pulleys[st.Pulley].Surface
		if surface == belt.Plain && st.Side == belt.Ribs || (surface == "" || surface == belt.Grooved) && st.Side == belt.Back {
			return false
		}
		if st.Wrap.In(quantity.Degree) < 10 {
			return false
		}
		if st.Side == belt.Ribs {
			turn += float64(st.Wrap)
		} else {
			turn -= float64(st.Wrap)
		}
		next := s.Stops[(i+1)%len(s.Stops)]
		spans = append(spans, segment{float64(st.Off.X), float64(st.Off.Y), float64(next.On.X), float64(next.On.Y)})
	}
	if math.Abs(turn-2*math.Pi) > 1e-6 {
		return false
	}
	for i, sp := range spans {
		for k, p := range d.Pulleys {
			if k == s.Stops[i].Pulley || k == s.Stops[(i+1)%len(spans)].Pulley {
				continue
			}
			if gap(sp, float64(p.Centre.X), float64(p.Centre.Y))-float64(p.Diameter)/2 < 0.005 {
				return false
			}
		}
		for j := range i {
			if meet(sp, spans[j]) || !touching(i, j, len(spans)) && apart(sp, spans[j]) < 0.005 {
				return false
			}
		}
	}
	return true
}

func touching(i, j, n int) bool { return (i+1)%n == j || (j+1)%n == i }

// gap walks along a segment in small steps and then closer: the least distance
// of a point.
func gap(s segment, x, y float64) float64 {
	far := func(f float64) float64 { return math.Hypot(s.ax+f*(s.bx-s.ax)-x, s.ay+f*(s.by-s.ay)-y) }
	low, high := 0.0, 1.0
	for range 100 { // the distance has one lowest place
		a, b := low+(high-low)/3, high-(high-low)/3
		if far(a) < far(b) {
			high = b
		} else {
			low = a
		}
	}
	return far(low)
}

func apart(a, b segment) float64 {
	return min(gap(a, b.ax, b.ay), gap(a, b.bx, b.by), gap(b, a.ax, a.ay), gap(b, a.bx, a.by))
}

// meet solves for the crossing of two segments.
func meet(a, b segment) bool {
	det := (a.bx-a.ax)*(b.ay-b.by) - (b.ax-b.bx)*(a.by-a.ay)
	if det == 0 {
		return false
	}
	u := ((b.ax-a.ax)*(b.ay-b.by) - (b.ax-b.bx)*(b.ay-a.ay)) / det
	v := ((a.bx-a.ax)*(b.ay-a.ay) - (b.ax-a.ax)*(a.by-a.ay)) / det
	return u >= 0 && u <= 1 && v >= 0 && v <= 1
}

func TestFinderFindsWhatTryingEverythingFinds(t *testing.T) {
	some := 0
	for seed := range uint64(48) {
		n := 3 + int(seed%4)
		d := scattered(n, seed)
		want := everyRouting(d)
		f, err := belt.Find(d, belt.Search{Best: 1000})
		if err != nil {
			t.Fatal(err)
		}
		var got []string
		for _, w := range f.Ways {
			got = append(got, w.Order())
		}
		slices.Sort(got)
		if !slices.Equal(got, want) {
			t.Errorf("seed %d, %d pulleys:\n found %s\n every %s", seed, n, strings.Join(got, "\n       "), strings.Join(want, "\n       "))
		}
		if !f.Complete || f.All != len(got) {
			t.Errorf("seed %d: complete %v, %d counted, %d given", seed, f.Complete, f.All, len(got))
		}
		some += len(want)
	}
	if some < 50 {
		t.Errorf("only %d routings in all layouts: too few to tell", some)
	}
}

func TestFinderKnowsTheBeltByItsLength(t *testing.T) {
	d, _ := frontDrive()
	f, err := belt.Find(d, belt.Search{Best: 100})
	if err != nil || len(f.Ways) < 3 {
		t.Fatalf("%d ways, %v", len(f.Ways), err)
	}
	for _, w := range f.Ways {
		known := d
		known.Belt.Length = w.Effective + mm(1)
		g, err := belt.Find(known, belt.Search{Tolerance: mm(2)})
		if err != nil {
			t.Fatal(err)
		}
		if g.Fitting != 1 || g.Ways[0].Order() != w.Order() {
			t.Errorf("a belt of %.1f mm: %d fit, best %s, want only %s", known.Belt.Length.In(quantity.Millimetre), g.Fitting, g.Ways[0].Order(), w.Order())
		}
	}
}

func TestFinderKeepsToWhatIsKnown(t *testing.T) {
	d, _ := frontDrive()
	d.Pulleys[2].Known = belt.Untouched
	f, err := belt.Find(d, belt.Search{})
	if err != nil {
		t.Fatal(err)
	}
	for _, w := range f.Ways {
		if _, touched := w.Stop(2); touched {
			t.Errorf("%s touches the idler that was not touched", w.Order())
		}
	}
	d.Pulleys[2].Known, d.Pulleys[2].Turns = "", belt.WithIt
	f, err = belt.Find(d, belt.Search{})
	if err != nil {
		t.Fatal(err)
	}
	for _, w := range f.Ways {
		if st, ok := w.Stop(2); !ok || st.Turns != belt.Clockwise {
			t.Errorf("%s turns the idler against the crank", w.Order())
		}
	}
}

func TestMisroutingsTellWhatGoesWrong(t *testing.T) {
	// The water pump turns against the crank, by the back of the belt; taken over
	// its other side it would pump backwards.
	d := belt.Drive{Belt: belt.Belt{Profile: bare}, Pulleys: []belt.Pulley{
		{Name: "crank", Diameter: mm(150)},
		{Name: "alternator", Centre: at(-200, 250), Diameter: mm(60), Drives: "alternator", Turns: belt.WithIt},
		{Name: "water pump", Centre: at(10, 270), Diameter: mm(100), Surface: belt.Plain, Drives: "water pump", Turns: belt.Opposite},
		{Name: "compressor", Centre: at(220, 240), Diameter: mm(120), Drives: "compressor", Turns: belt.WithIt},
		{Name: "idler", Centre: at(-150, 80), Diameter: mm(70), Surface: belt.Plain, Idle: true},
	}}
	r := belt.Routing{{0, belt.Ribs}, {4, belt.Back}, {1, belt.Ribs}, {2, belt.Back}, {3, belt.Ribs}}
	right, err := belt.Solve(d, r)
	if err != nil {
		t.Fatal(err)
	}
	wrong, err := belt.Misroutings(d, r)
	if err != nil {
		t.Fatal(err)
	}
	backwards, short := 0, 0
	for _, w := range wrong {
		if w.Order() == right.Order() {
			t.Errorf("the right routing is among the wrong ones")
		}
		if len(belt.Compare(right, w.Solution)) == 0 {
			t.Errorf("%s: nothing differs", w.Order())
		}
		for _, diff := range belt.Compare(right, w.Solution) {
			switch {
			case strings.Contains(diff.Say, "Water pump turns clockwise instead"):
				backwards++
				if w.Runs() {
					t.Errorf("%s turns %s and is said to run", w.Order(), diff.Say)
				}
			case strings.Contains(diff.Say, "too little"):
				short++
			}
		}
	}
	if backwards == 0 || short == 0 {
		t.Errorf("of %d: %d turn backwards, %d wrap too little; want some of each", len(wrong), backwards, short)
	}
}

func TestMisroutingsLeaveAnIdlerOut(t *testing.T) {
	d, r := frontDrive()
	wrong, err := belt.Misroutings(d, r)
	if err != nil {
		t.Fatal(err)
	}
	if !slices.ContainsFunc(wrong, func(w belt.Way) bool { _, touched := w.Stop(2); return !touched }) {
		t.Errorf("none of %d passes the idler by", len(wrong))
	}
}

// The time of a search is in its steps; how long they take, the benchmarks say.
func TestFinderTakesFewSteps(t *testing.T) {
	for _, c := range []struct{ pulleys, most int }{{8, 500}, {12, 5000}} {
		for seed := range uint64(8) {
			f, err := belt.Find(scattered(c.pulleys, 100+seed), belt.Search{})
			if err != nil || !f.Complete {
				t.Fatalf("%d pulleys, seed %d: %v, complete %v", c.pulleys, seed, err, f.Complete)
			}
			if f.Tried > c.most {
				t.Errorf("%d pulleys, seed %d: %d steps, want at most %d", c.pulleys, seed, f.Tried, c.most)
			}
		}
	}
}

func TestFinderFollowsTheTensionerThroughItsTravel(t *testing.T) {
	for _, length := range []float64{1580, 1600, 1625, 1650} {
		d, r := sprung(length)
		for i := range d.Pulleys {
			if d.Pulleys[i].Drives != "" {
				d.Pulleys[i].Turns = belt.WithIt
			}
		}
		// Where the arm stands now is not where the belt will hold it.
		d.Pulleys[1].Centre = at(-90+80*math.Cos(292*math.Pi/180), 220+80*math.Sin(292*math.Pi/180))
		f, err := belt.Find(d, belt.Search{})
		if err != nil {
			t.Fatal(err)
		}
		if len(f.Ways) == 0 || f.Ways[0].Order() != d.Order(r) || !f.Ways[0].Fits {
			t.Errorf("%g mm: the best of %d is not %s", length, len(f.Ways), d.Order(r))
			continue
		}
		near(t, "effective length mm", f.Ways[0].Effective.In(quantity.Millimetre), length, 1e-6)
	}
}
