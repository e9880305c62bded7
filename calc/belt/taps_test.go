package belt_test

import (
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"lastbolt/calc/belt"
	"lastbolt/fault"
	"lastbolt/quantity"
)

func TestTapsOnAPhotoGiveThePulleysBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		d, _ := frontDrive()
		scale, x0, y0 := rapid.Float64Range(0.5, 20).Draw(t, "points a mm"), rapid.Float64Range(0, 3000).Draw(t, "x"), rapid.Float64Range(0, 3000).Draw(t, "y")
		known := rapid.IntRange(0, 4).Draw(t, "known")
		var taps []belt.Tapped
		for i, p := range d.Pulleys {
			a := rapid.Float64Range(0, 7).Draw(t, "rim")
			tap := belt.Tapped{Pulley: p, CentreX: x0 + scale*p.Centre.X.In(quantity.Millimetre), CentreY: y0 - scale*p.Centre.Y.In(quantity.Millimetre)}
			r := scale * p.Diameter.In(quantity.Millimetre) / 2
			tap.RimX, tap.RimY = tap.CentreX+r*math.Cos(a), tap.CentreY+r*math.Sin(a)
			if i != known {
				tap.Diameter = 0
			}
			taps = append(taps, tap)
		}
		got, off, err := belt.FromPhoto(taps)
		if err != nil {
			t.Fatal(err)
		}
		if off > 1e-9 {
			t.Errorf("off by %v", off)
		}
		for i, p := range d.Pulleys {
			for what, pair := range map[string][2]quantity.Length{"x": {got[i].Centre.X, p.Centre.X}, "y": {got[i].Centre.Y, p.Centre.Y}, "diameter": {got[i].Diameter, p.Diameter}} {
				if math.Abs(float64(pair[0]-pair[1])) > 1e-9 {
					t.Errorf("%s of %s is %v, want %v", what, p.Name, pair[0], pair[1])
				}
			}
		}
	})
}

func TestTapsTellOfAnAskewPhotoAndOfMissingSizes(t *testing.T) {
	tap := func(name string, x, r float64, known quantity.Length) belt.Tapped {
		return belt.Tapped{Pulley: belt.Pulley{Name: name, Diameter: known}, CentreX: x, RimX: x + r}
	}
	_, off, err := belt.FromPhoto([]belt.Tapped{tap("a", 0, 50, mm(100)), tap("b", 500, 50, mm(110))})
	if err != nil {
		t.Fatal(err)
	}
	near(t, "disagreement", off, 0.05, 0.001)
	for words, taps := range map[string][]belt.Tapped{
		"No size is known":     {tap("a", 0, 50, 0), tap("b", 500, 50, 0)},
		"tapped on its centre": {tap("a", 0, 50, mm(100)), tap("b", 500, 0, 0)},
	} {
		if _, _, err := belt.FromPhoto(taps); err == nil || !strings.Contains(fault.Say(err), words) {
			t.Errorf("%v, want %q", err, words)
		}
	}
}

func TestTheBeltGoesOnLastOverASmoothSmallPulley(t *testing.T) {
	d, r := sprung(1605)
	s, err := belt.Solve(d, r)
	if err != nil {
		t.Fatal(err)
	}
	var names []string
	for _, l := range s.LastOn() {
		names = append(names, d.Pulleys[l.Pulley].Name)
	}
	got := strings.Join(names, " ")
	if want := "idler alternator pump compressor tensioner crank"; got != want && got != "idler alternator compressor pump tensioner crank" {
		t.Errorf("%s, want %s", got, want)
	}
}

func TestVPulleysRunInsideTheirRims(t *testing.T) {
	a, err := belt.ProfileNamed("A")
	if err != nil {
		t.Fatal(err)
	}
	solve := func(m belt.Measure, more float64) *belt.Solution {
		d := belt.Drive{Belt: belt.Belt{Profile: a}, Pulleys: []belt.Pulley{
			{Name: "one", Diameter: mm(150 + more), Measure: m}, {Name: "two", Centre: at(400, 0), Diameter: mm(80 + more), Measure: m}}}
		s, err := belt.Solve(d, belt.Routing{{0, belt.Ribs}, {1, belt.Ribs}})
		if err != nil {
			t.Fatal(err)
		}
		return s
	}
	datum, outside := solve(belt.Datum, 0), solve(belt.Outside, 2*2.75)
	near(t, "pitch length mm", outside.Pitch.In(quantity.Millimetre), datum.Pitch.In(quantity.Millimetre), 1e-9)
	near(t, "line over the rims mm", datum.Effective.In(quantity.Millimetre), datum.Pitch.In(quantity.Millimetre)+2*math.Pi*2.75, 1e-9)
	near(t, "ratio", datum.Stops[1].Ratio, 150.0/80, 1e-12)
}

func TestABeltWithoutTensionerMustBeTheRightLength(t *testing.T) {
	for _, c := range []struct {
		more  float64 // mm longer than the way round
		grave bool
		says  string
	}{{0, false, ""}, {30, true, "hang loose"}, {-30, false, "elastic"}, {-120, true, "too short"}} {
		d, r := frontDrive()
		d.Belt.Length = mm(1616.238 + c.more)
		s, err := belt.Solve(d, r)
		if err != nil {
			t.Fatal(err)
		}
		said := ""
		for _, tr := range s.Troubles {
			if tr.Kind == belt.WrongLength {
				said = tr.Say
				if tr.Grave != c.grave {
					t.Errorf("%+g mm: grave %v, want %v", c.more, tr.Grave, c.grave)
				}
			}
		}
		if c.says == "" && said != "" || !strings.Contains(said, c.says) {
			t.Errorf("%+g mm: %q, want %q", c.more, said, c.says)
		}
	}
}
