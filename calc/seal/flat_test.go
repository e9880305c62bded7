package seal_test

import (
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"lastbolt/calc/seal"
	"lastbolt/quantity"
)

// face draws readings over a grid that may be missing some spots.
func face(t *rapid.T) []seal.Spot {
	nx, ny := rapid.IntRange(2, 5).Draw(t, "columns"), rapid.IntRange(2, 4).Draw(t, "rows")
	var spots []seal.Spot
	for x := range nx {
		for y := range ny {
			gap := rapid.Float64Range(0, 0.3).Draw(t, "gap")
			spots = append(spots, seal.Spot{X: quantity.Length(x*60) * mm, Y: quantity.Length(y*45) * mm, Leaf: quantity.Length(gap) * mm})
		}
	}
	return spots
}

// zoneOfFours is the slow twin of the zone: by Helly's theorem the least zone of
// all spots is the largest least zone of any four. Four spots are tied by one
// relation Σλ = Σλx = Σλy = 0, and their zone is 2·|Σλz|/Σ|λ|.
func zoneOfFours(spots []seal.Spot) float64 {
	worst := 0.0
	n := len(spots)
	for a := range n {
		for b := a + 1; b < n; b++ {
			for c := b + 1; c < n; c++ {
				for d := c + 1; d < n; d++ {
					worst = math.Max(worst, zoneOfFour([4]seal.Spot{spots[a], spots[b], spots[c], spots[d]}))
				}
			}
		}
	}
	return worst
}

func zoneOfFour(p [4]seal.Spot) float64 {
	area := func(a, b, c seal.Spot) float64 {
		return float64((b.X-a.X)*(c.Y-a.Y) - (c.X-a.X)*(b.Y-a.Y))
	}
	lambda := [4]float64{area(p[1], p[2], p[3]), -area(p[0], p[2], p[3]), area(p[0], p[1], p[3]), -area(p[0], p[1], p[2])}
	var height, size float64
	for i, l := range lambda {
		height -= l * float64(p[i].Leaf)
		size += math.Abs(l)
	}
	if size < 1e-12 { // all four on one line: their own three-spot zones are in other fours
		return 0
	}
	return 2 * math.Abs(height) / size
}

func TestFlatnessIsTheLeastZone(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		spots := face(t)
		f, err := seal.Measure(spots)
		if err != nil {
			t.Fatalf("Measure: %v", err)
		}
		want := zoneOfFours(spots)
		if math.Abs(float64(f.Zone)-want) > 1e-5*want+1e-9 {
			t.Fatalf("Zone = %g mm, the slow twin has %g mm for %v", float64(f.Zone/mm), want*1000, spots)
		}
		if float64(f.Squares) < want-1e-9 {
			t.Fatalf("over the plane of squares %g is less than the least zone %g", float64(f.Squares), want)
		}
	})
}

func TestTiltOfTheReferencePlaysNoPart(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		spots := face(t)
		before, err := seal.Measure(spots)
		if err != nil {
			t.Fatalf("Measure: %v", err)
		}
		bx, by := rapid.Float64Range(0, 1e-3).Draw(t, "tilt x"), rapid.Float64Range(0, 1e-3).Draw(t, "tilt y")
		tilted := append([]seal.Spot{}, spots...)
		for i := range tilted {
			tilted[i].Leaf += tilted[i].X*quantity.Length(bx) + tilted[i].Y*quantity.Length(by)
		}
		after, err := seal.Measure(tilted)
		if err != nil {
			t.Fatalf("Measure tilted: %v", err)
		}
		for name, pair := range map[string][2]quantity.Length{"zone": {before.Zone, after.Zone}, "squares": {before.Squares, after.Squares},
			"bow x": {before.BowX, after.BowX}, "bow y": {before.BowY, after.BowY}, "twist": {before.Twist, after.Twist},
			"straight": {before.Straight.Off, after.Straight.Off}} {
			if name == "straight" { // two spots may be equally bad, one high and one low
				pair = [2]quantity.Length{quantity.Length(math.Abs(float64(pair[0]))), quantity.Length(math.Abs(float64(pair[1])))}
			}
			if math.Abs(float64(pair[0]-pair[1])) > 1e-9+2e-5*float64(before.Zone) {
				t.Fatalf("%s changes by tilting: %v then %v", name, pair[0], pair[1])
			}
		}
	})
}

func TestBowAndTwistOfKnownShapes(t *testing.T) {
	shape := func(z func(u, v float64) float64) []seal.Spot {
		var spots []seal.Spot
		for _, u := range []float64{-1, 0, 1} {
			for _, v := range []float64{-1, 0, 1} {
				gap := 1 - z(u, v) // mm below a plane 1 mm up
				spots = append(spots, seal.Spot{X: quantity.Length(u*200) * mm, Y: quantity.Length(v*80) * mm, Leaf: quantity.Length(gap) * mm})
			}
		}
		return spots
	}
	for name, test := range map[string]struct {
		z                 func(u, v float64) float64
		bowX, bowY, twist float64
	}{
		"flat":                       {func(u, v float64) float64 { return 0 }, 0, 0, 0},
		"high in the middle along x": {func(u, v float64) float64 { return 0.1 * (1 - u*u) }, 0.1, 0, 0},
		"hollow across":              {func(u, v float64) float64 { return -0.06 * (1 - v*v) }, 0, -0.06, 0},
		"twisted":                    {func(u, v float64) float64 { return 0.05 * u * v }, 0, 0, 0.2},
		"tilted":                     {func(u, v float64) float64 { return 0.3*u - 0.1*v }, 0, 0, 0},
	} {
		f, err := seal.Measure(shape(test.z))
		if err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		if !f.BowKnown || !f.TwistKnown {
			t.Errorf("%s: bow known %v, twist known %v", name, f.BowKnown, f.TwistKnown)
		}
		close(t, name+" bow x", float64(f.BowX/mm), test.bowX, 1e-9)
		close(t, name+" bow y", float64(f.BowY/mm), test.bowY, 1e-9)
		close(t, name+" twist", float64(f.Twist/mm), test.twist, 1e-9)
	}
}

func TestLeavesBracketTheFlatness(t *testing.T) {
	spots := []seal.Spot{{0, 0, 0.04 * mm, 0.05 * mm}, {0.1, 0, 0.10 * mm, 0.12 * mm}, {0.2, 0, 0.04 * mm, 0.05 * mm}, {0, 0.1, 0.04 * mm, 0.05 * mm}, {0.2, 0.1, 0.04 * mm, 0.05 * mm}}
	f, err := seal.Measure(spots)
	if err != nil {
		t.Fatal(err)
	}
	close(t, "zone", float64(f.Zone/mm), 0.065, 1e-6)
	if f.ZoneLow > 0.05*mm || f.ZoneHigh < 0.08*mm {
		t.Errorf("the true flatness may be 0.05 to 0.08 mm; the bracket is %v to %v", f.ZoneLow, f.ZoneHigh)
	}
	bad := spots
	bad[0].Next = 0.03 * mm
	if _, err := seal.Measure(bad); err == nil || !strings.Contains(err.Error(), "swapped") {
		t.Errorf("swapped leaves: %v", err)
	}
}

func TestStraightEdgeKeepsToItsLength(t *testing.T) {
	var spots []seal.Spot
	for i, gap := range []float64{0, 0.1, 0, 0, 0.3, 0, 0} {
		spots = append(spots, seal.Spot{X: quantity.Length(i*50) * mm, Leaf: quantity.Length(gap) * mm})
	}
	if d := seal.Straightest(spots, 100*mm); d.At != 4 || math.Abs(float64(d.Off/mm)+0.3) > 1e-9 {
		t.Errorf("within 100 mm: %+v, want a hollow of 0.3 mm at spot 4", d)
	}
	if d := seal.Straightest(spots, 40*mm); d.At != -1 {
		t.Errorf("within 40 mm no three spots fit: %+v", d)
	}
}
