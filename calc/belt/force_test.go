package belt_test

import (
	"math"
	"testing"

	"lastbolt/calc/belt"
	"lastbolt/quantity"
)

// sprung is a drive with a spring arm on the slack side.
func sprung(length float64) (belt.Drive, belt.Routing) {
	profile, err := belt.ProfileNamed("PK")
	if err != nil {
		panic(err)
	}
	d := belt.Drive{Speed: quantity.TurnPerMinute.Of(800), Belt: belt.Belt{Profile: profile, Ribs: 6, Length: mm(length)},
		Pulleys: []belt.Pulley{
			{Name: "crank", Diameter: mm(150)},
			{Name: "tensioner", Centre: at(-90, 140), Diameter: mm(76), Surface: belt.Plain},
			{Name: "pump", Centre: at(-150, 300), Diameter: mm(120), Torque: 4, Drives: "pump"},
			{Name: "alternator", Centre: at(80, 400), Diameter: mm(60), Power: 1200, Drives: "alternator"},
			{Name: "idler", Centre: at(160, 250), Diameter: mm(70), Surface: belt.Plain},
			{Name: "compressor", Centre: at(220, 110), Diameter: mm(120), Torque: 12, Drives: "compressor"}},
		Tensioner: &belt.Tensioner{Kind: belt.SpringArm, Pulley: 1, Pivot: at(-90, 220), Free: deg(300), Loaded: deg(245), TorqueFree: 20, TorqueLoaded: 32}}
	return d, belt.Routing{{0, belt.Ribs}, {1, belt.Back}, {2, belt.Ribs}, {3, belt.Ribs}, {4, belt.Back}, {5, belt.Ribs}}
}

func TestTensionsCarryTheTorquesAndTheSpringTheArm(t *testing.T) {
	for _, length := range []float64{1580, 1605, 1650} {
		d, r := sprung(length)
		s, err := belt.Solve(d, r)
		if err != nil {
			t.Fatal(err)
		}
		if !s.Tensions || !s.Travel.Fits {
			t.Fatalf("%g mm: tensions %v, fits %v", length, s.Tensions, s.Travel.Fits)
		}
		near(t, "effective length mm", s.Effective.In(quantity.Millimetre), length, 1e-6)
		v := float64(s.BeltSpeed)
		near(t, "belt speed", v, 800*2*math.Pi/60*0.077, 1e-9)
		for i, st := range s.Stops {
			p := d.Pulleys[st.Pulley]
			want := float64(p.Torque) / float64(st.Radius)
			if p.Power > 0 {
				want = float64(p.Power) / v
			}
			if i > 0 {
				near(t, st.Name+" pull N", float64(st.Load.Out-st.Load.In), want, 1e-6)
			}
		}
		sum := 0.0
		for _, st := range s.Stops[1:] {
			sum += float64(st.Load.Pull)
		}
		near(t, "crank pull N", float64(s.Stops[0].Load.In-s.Stops[0].Load.Out), sum, 1e-6)
		// Moments about the pivot: the hub's load against the spring's moment.
		st := s.Stops[1]
		arm := [2]float64{float64(s.Travel.Centre.X - d.Tensioner.Pivot.X), float64(s.Travel.Centre.Y - d.Tensioner.Pivot.Y)}
		hub := [2]float64{float64(st.Load.Hub) * math.Cos(float64(st.Load.HubDir)), float64(st.Load.Hub) * math.Sin(float64(st.Load.HubDir))}
		moment := arm[0]*hub[1] - arm[1]*hub[0]
		want := 20 + 12*s.Travel.At
		near(t, "moment of the hub N·m", math.Abs(moment), want, 1e-6)
		if moment > 0 { // the belt turns the arm towards Loaded, here clockwise
			t.Errorf("%g mm: the belt's load turns the arm the spring's way", length)
		}
	}
}

// All bearing loads of one drive add to nothing: the belt is a closed loop.
func TestBearingLoadsAddToNothing(t *testing.T) {
	d, r := sprung(1605)
	s, err := belt.Solve(d, r)
	if err != nil {
		t.Fatal(err)
	}
	x, y := 0.0, 0.0
	for _, st := range s.Stops {
		x += float64(st.Load.Hub) * math.Cos(float64(st.Load.HubDir))
		y += float64(st.Load.Hub) * math.Sin(float64(st.Load.HubDir))
	}
	near(t, "sum of loads, x", x, 0, 1e-6)
	near(t, "sum of loads, y", y, 0, 1e-6)
}

func TestAtRestTheMeanTensionStaysWithoutASpring(t *testing.T) {
	d, r := frontDrive()
	d.Belt.Static, d.Speed = 400, quantity.TurnPerMinute.Of(3000)
	d.Pulleys[3].Torque = 5
	s, err := belt.Solve(d, r)
	if err != nil {
		t.Fatal(err)
	}
	sum, weight := 0.0, 0.0
	for i, sp := range s.Spans {
		if sp.Rest != 400 {
			t.Errorf("span %d rests at %v", i, sp.Rest)
		}
		w := float64(sp.Length)
		for _, k := range []int{sp.From, sp.To} {
			w += float64(s.Stops[k].Radius) * float64(s.Stops[k].Wrap) / 2
		}
		sum, weight = sum+w*float64(sp.Tension), weight+w
	}
	near(t, "mean tension", sum/weight, 400, 1e-9)
	near(t, "whole belt", weight, float64(s.Pitch), 1e-12)
}

func TestSlipIsToldWhenTheLoadIsTooGreat(t *testing.T) {
	for _, c := range []struct {
		torque quantity.Torque
		kind   string
	}{{0, ""}, {2, ""}, {60, belt.Slips}} {
		d, r := frontDrive()
		d.Belt.Static, d.Speed = 300, quantity.TurnPerMinute.Of(1000)
		d.Pulleys[3].Torque = c.torque
		s, err := belt.Solve(d, r)
		if err != nil {
			t.Fatal(err)
		}
		got := ""
		for _, tr := range s.Troubles {
			if tr.Kind == belt.Slips {
				got = tr.Kind
			}
		}
		if got != c.kind {
			t.Errorf("%v N·m: %q, want %q: %v", c.torque, got, c.kind, s.Troubles)
		}
	}
}

// The friction needed, put back into the law, gives the ratio of the tensions.
func TestFrictionNeededGivesTheRatio(t *testing.T) {
	d, r := sprung(1605)
	s, err := belt.Solve(d, r)
	if err != nil {
		t.Fatal(err)
	}
	flight := 6 * 0.020 * float64(s.BeltSpeed) * float64(s.BeltSpeed)
	for _, st := range s.Stops {
		if st.Load.Pull == 0 {
			continue
		}
		groove := deg(40)
		if st.Side == belt.Back {
			groove = 0
		}
		tight, slack := math.Max(float64(st.Load.In), float64(st.Load.Out))-flight, math.Min(float64(st.Load.In), float64(st.Load.Out))-flight
		near(t, st.Name, belt.GripRatio(st.Load.Friction, st.Wrap, groove), tight/slack, 1e-9)
	}
}

func TestTravelHoldsTheBeltsBetweenItsEnds(t *testing.T) {
	d, r := sprung(0)
	s, err := belt.Solve(d, r)
	if err != nil {
		t.Fatal(err)
	}
	short, long := s.Travel.Shortest, s.Travel.Longest
	if short >= long {
		t.Fatalf("from %v to %v", short, long)
	}
	before := 2.0
	for f := 0.0; f <= 1; f += 0.125 {
		d, r := sprung((short + quantity.Length(f)*(long-short)).In(quantity.Millimetre))
		s, err := belt.Solve(d, r)
		if err != nil {
			t.Fatal(err)
		}
		if f > 0 && f < 1 && !s.Travel.Fits {
			t.Errorf("%.1f mm does not fit between %.1f and %.1f", d.Belt.Length.In(quantity.Millimetre), short.In(quantity.Millimetre), long.In(quantity.Millimetre))
		}
		if s.Travel.At >= before {
			t.Errorf("a longer belt stands at %.3f, the shorter at %.3f", s.Travel.At, before)
		}
		before = s.Travel.At
		near(t, "stretch and spare together", float64(s.Travel.Stretch+s.Travel.Spare), float64(long-short), 1e-9)
	}
	for _, out := range []quantity.Length{short - mm(3), long + mm(3)} {
		d, r := sprung(out.In(quantity.Millimetre))
		s, err := belt.Solve(d, r)
		if err != nil {
			t.Fatal(err)
		}
		if s.Travel.Fits || s.Runs() {
			t.Errorf("a belt of %.1f mm fits", out.In(quantity.Millimetre))
		}
	}
}

// Ribs that sink by c make the way round shorter by c times their wraps, to
// first order: here against the same drive with its grooves made smaller.
func TestWearUsesUpTheTravel(t *testing.T) {
	d, r := sprung(0)
	s, err := belt.Solve(d, r)
	if err != nil {
		t.Fatal(err)
	}
	ribs := 0.0
	for _, st := range s.Stops {
		if st.Side == belt.Ribs {
			ribs += float64(st.Wrap)
		}
	}
	near(t, "wear left", float64(s.Travel.Wear)*ribs, float64(s.Travel.Stretch), 1e-12)
	const sunk = 0.01 // mm
	worn, _ := sprung(0)
	for i := range worn.Pulleys {
		if worn.Pulleys[i].Surface != belt.Plain {
			worn.Pulleys[i].Diameter -= mm(2 * sunk)
		}
	}
	w, err := belt.Solve(worn, r)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "shorter by, mm", (s.Pitch - w.Pitch).In(quantity.Millimetre), sunk*ribs, 1e-5)
}

// Seen from behind, everything turns the other way and pulls the same.
func TestTensionsAreTheSameSeenFromBehind(t *testing.T) {
	d, r := sprung(1605)
	s, err := belt.Solve(d, r)
	if err != nil {
		t.Fatal(err)
	}
	m := moved(d, func(x, y float64) (float64, float64) { return -x, y }, 1)
	m.Turns = belt.CounterClockwise
	arm := *d.Tensioner
	arm.Pivot.X, arm.Free, arm.Loaded = -arm.Pivot.X, deg(180)-arm.Free, deg(180)-arm.Loaded
	m.Tensioner = &arm
	o, err := belt.Solve(m, r)
	if err != nil {
		t.Fatal(err)
	}
	if !o.Tensions {
		t.Fatalf("no tensions: %v", o.Troubles)
	}
	near(t, "place in the travel", o.Travel.At, s.Travel.At, 1e-9)
	for i := range s.Spans {
		near(t, "tension", float64(o.Spans[i].Tension), float64(s.Spans[i].Tension), 1e-6)
		near(t, "note", float64(o.Spans[i].Note), float64(s.Spans[i].Note), 1e-6)
		near(t, "bearing load", float64(o.Stops[i].Load.Hub), float64(s.Stops[i].Load.Hub), 1e-6)
	}
}
