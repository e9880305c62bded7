package belt_test

import (
	"math"
	"testing"

	"lastbolt/calc/belt"
	"lastbolt/quantity"
)

func mm(n float64) quantity.Length { return quantity.Millimetre.Of(n) }
func deg(n float64) quantity.Angle { return quantity.Degree.Of(n) }

func at(x, y float64) belt.Point { return belt.Point{X: mm(x), Y: mm(y)} }

// bare is a profile without offsets: diameters are those of the pitch line.
var bare = belt.Profile{Name: "bare", Groove: deg(40)}

func pulley(name string, x, y, pitchRadius float64) belt.Pulley {
	return belt.Pulley{Name: name, Centre: at(x, y), Diameter: mm(2 * pitchRadius), Measure: belt.Pitch, Surface: belt.Either}
}

// frontDrive is the invented five-pulley layout of the reference notes, with
// pitch diameters, and its routing.
func frontDrive() (belt.Drive, belt.Routing) {
	d := belt.Drive{Belt: belt.Belt{Profile: bare}, Pulleys: []belt.Pulley{
		pulley("crank", 0, 0, 77), pulley("steering", -200, 120, 62), pulley("idler", -60, 150, 38),
		pulley("alternator", 40, 330, 32), pulley("compressor", 230, 150, 67)}}
	return d, belt.Routing{{0, belt.Ribs}, {1, belt.Ribs}, {2, belt.Back}, {3, belt.Ribs}, {4, belt.Ribs}}
}

func near(t *testing.T, what string, got, want, tolerance float64) {
	t.Helper()
	if math.IsNaN(got) || math.Abs(got-want) > tolerance {
		t.Errorf("%s = %.6f, want %.6f within %g", what, got, want, tolerance)
	}
}

func TestFrontDriveMeetsTheReferenceValues(t *testing.T) {
	d, r := frontDrive()
	s, err := belt.Solve(d, r)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "length mm", s.Pitch.In(quantity.Millimetre), 1616.238, 0.002)
	for i, want := range []float64{69.849, 177.555, 113.026, 116.586, 109.035} {
		near(t, s.Stops[i].Name+" wrap", s.Stops[i].Wrap.In(quantity.Degree), want, 0.001)
	}
	for i, want := range []float64{232.755, 102.470, 193.649, 259.374, 274.408} {
		near(t, s.Stops[i].Name+" span", s.Spans[i].Length.In(quantity.Millimetre), want, 0.001)
	}
	f, err := belt.Find(d, belt.Search{})
	if err != nil {
		t.Fatal(err)
	}
	for _, w := range f.Ways {
		t.Logf("%.1f %s %v %v", w.Penalty, w.Order(), w.Reasons, w.Troubles)
	}
	t.Log(f.All, f.Tried)
}
