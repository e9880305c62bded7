package belt_test

import (
	"math"
	"strings"
	"testing"

	"lastbolt/calc/belt"
	"lastbolt/quantity"
)

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
	}{{0, false, ""}, {10, false, ""}, {30, false, "hang loose"}, {120, true, "hang loose"}, {-30, false, "elastic"}, {-120, true, "too short"}} {
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

func TestATensionerOfUnknownTravelIsNotHeldToTheLength(t *testing.T) {
	d, r := frontDrive()
	d.Belt.Length, d.Tensioner = mm(1500), &belt.Tensioner{Pulley: 2}
	s, err := belt.Solve(d, r)
	if err != nil {
		t.Fatal(err)
	}
	for _, tr := range s.Troubles {
		if tr.Kind == belt.WrongLength {
			t.Errorf("%s", tr.Say)
		}
	}
}

func TestATensionerOfUnknownTravelLeavesRoomInTheSearch(t *testing.T) {
	d, r := frontDrive()
	d.Belt.Length = mm(1616 - 30)
	strict, err := belt.Find(d, belt.Search{})
	if err != nil {
		t.Fatal(err)
	}
	d.Tensioner = &belt.Tensioner{Pulley: 2}
	loose, err := belt.Find(d, belt.Search{})
	if err != nil {
		t.Fatal(err)
	}
	fits := func(f *belt.Found) bool {
		for _, w := range f.Ways {
			if w.Order() == d.Order(r) {
				return w.Fits
			}
		}
		return false
	}
	if fits(strict) || !fits(loose) {
		t.Errorf("30 mm short: fits %v without a tensioner, %v with one; want false, true", fits(strict), fits(loose))
	}
}
