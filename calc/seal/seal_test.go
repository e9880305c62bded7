package seal_test

import (
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"lastbolt/calc"
	"lastbolt/calc/seal"
	"lastbolt/quantity"
)

const mm quantity.Length = 1e-3

func close(t *testing.T, what string, got, want, tolerance float64) {
	t.Helper()
	if math.IsNaN(got) || math.Abs(got-want) > tolerance {
		t.Errorf("%s = %.6g, want %.6g ± %g", what, got, want, tolerance)
	}
}

// A ring and gland that go together, for the laws.
func pair(t *rapid.T) (seal.Gland, seal.Ring) {
	cs := rapid.Float64Range(1.5, 7).Draw(t, "section")
	id := rapid.Float64Range(10, 200).Draw(t, "inside")
	squeeze := rapid.Float64Range(0.08, 0.35).Draw(t, "squeeze")
	stretch := rapid.Float64Range(0, 0.05).Draw(t, "stretch")
	tolerance := func(name string, most float64) quantity.Length {
		return quantity.Length(rapid.Float64Range(0, most).Draw(t, name)) * mm
	}
	r := seal.Ring{Inside: seal.Toleranced{Nominal: quantity.Length(id) * mm, Tolerance: tolerance("id ±", 0.2)},
		Section: seal.Toleranced{Nominal: quantity.Length(cs) * mm, Tolerance: tolerance("cs ±", 0.05)}}
	depth := cs * (1 - squeeze)
	g := seal.Gland{Width: seal.Toleranced{Nominal: quantity.Length(cs*1.4) * mm, Tolerance: tolerance("width ±", 0.1)}}
	over := id * (1 + stretch)
	switch g.Seat = rapid.SampledFrom([]seal.Seat{seal.Face, seal.Piston, seal.Rod}).Draw(t, "seat"); g.Seat {
	case seal.Face:
		g.Depth = seal.Toleranced{Nominal: quantity.Length(depth) * mm, Tolerance: tolerance("depth ±", 0.05)}
	case seal.Piston:
		g.Groove = seal.Toleranced{Nominal: quantity.Length(over) * mm, Tolerance: tolerance("groove ±", 0.05)}
		g.Mate = seal.Toleranced{Nominal: quantity.Length(over+2*depth) * mm, Tolerance: tolerance("mate ±", 0.05)}
	case seal.Rod:
		g.Mate = seal.Toleranced{Nominal: quantity.Length(over) * mm, Tolerance: tolerance("mate ±", 0.05)}
		g.Groove = seal.Toleranced{Nominal: quantity.Length(over+2*depth) * mm, Tolerance: tolerance("groove ±", 0.05)}
	}
	return g, r
}

func TestBandHoldsTheNominalAndGrowsWithTolerance(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		g, r := pair(t)
		fit, err := g.Fit(r)
		if err != nil {
			t.Fatalf("Fit: %v", err)
		}
		for name, b := range map[string]seal.Band{"squeeze": fit.Squeeze, "stretched": fit.Stretched, "stretch": fit.Stretch, "fill": fit.Fill} {
			if b.Low > b.Likely || b.Likely > b.High {
				t.Fatalf("%s: nominal %g outside its band %g to %g", name, b.Likely, b.Low, b.High)
			}
		}
		r.Section.Tolerance += 0.02 * mm
		wider, err := g.Fit(r)
		if err != nil {
			t.Fatalf("Fit with more tolerance: %v", err)
		}
		if wider.Squeeze.Low > fit.Squeeze.Low || wider.Squeeze.High < fit.Squeeze.High || wider.Fill.High < fit.Fill.High {
			t.Fatalf("a looser section gives a narrower band: %+v then %+v", fit, wider)
		}
	})
}

func TestSqueezeFallsWithDepth(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		g, r := pair(t)
		before, err := g.Fit(r)
		if err != nil {
			t.Fatalf("Fit: %v", err)
		}
		more := 0.02 * mm
		switch g.Seat {
		case seal.Face:
			g.Depth.Nominal += more
		case seal.Piston:
			g.Mate.Nominal += 2 * more
		case seal.Rod:
			g.Groove.Nominal += 2 * more
		}
		after, err := g.Fit(r)
		if err != nil {
			t.Fatalf("Fit deeper: %v", err)
		}
		if after.Squeeze.Likely >= before.Squeeze.Likely || after.Stretched.Low >= before.Stretched.Low || after.Fill.Likely >= before.Fill.Likely {
			t.Fatalf("deeper by %v: squeeze %v then %v, fill %v then %v", more, before.Squeeze, after.Squeeze, before.Fill, after.Fill)
		}
	})
}

func TestFillRisesWithSwellAndHeat(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		m := rapid.SampledFrom(seal.Materials()).Draw(t, "material")
		swell := rapid.Float64Range(0, 0.5).Draw(t, "swell")
		at := quantity.DegreeCelsius.Of(rapid.Float64Range(20, 200).Draw(t, "temperature"))
		by := seal.VolumeGrowth(m, 2.3e-5, swell, at)
		if more := seal.VolumeGrowth(m, 2.3e-5, swell+0.01, at); more <= by {
			t.Fatalf("more swell gives less growth: %g then %g", by, more)
		}
		if hotter := seal.VolumeGrowth(m, 2.3e-5, swell, at+10); hotter <= by {
			t.Fatalf("more heat gives less growth: %g then %g", by, hotter)
		}
	})
}

func TestStretchedSectionNeverGrowsAndCurveTakesMore(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		section := quantity.Length(rapid.Float64Range(1, 8).Draw(t, "section")) * mm
		inside := section * quantity.Length(rapid.Float64Range(5, 50).Draw(t, "ratio"))
		s := rapid.Float64Range(0.005, 0.08).Draw(t, "stretch")
		over := inside * quantity.Length(1+s)
		curve, volume := seal.ThinnedEmpirical(section, s), seal.ThinnedConstantVolume(inside, section, over)
		if curve > volume || volume > section {
			t.Fatalf("section %v: curve %v, constant volume %v", section, curve, volume)
		}
		v := float64(volume * volume * (over + volume))
		if want := float64(section * section * (inside + section)); math.Abs(v-want) > 1e-9*want {
			t.Fatalf("volume is not kept: %g against %g", v, want)
		}
	})
}

func TestEveryTableRingIsFoundByItsNameAndIsPlausible(t *testing.T) {
	rings := seal.AllRings()
	if len(rings) < 900 {
		t.Fatalf("only %d rings in the tables", len(rings))
	}
	for _, r := range rings {
		got, err := seal.Sized(r.Name)
		if err != nil {
			t.Errorf("Sized(%q): %v", r.Name, err)
			continue
		}
		if math.Abs(float64(got.Inside.Nominal-r.Inside.Nominal)) > 1e-9 || math.Abs(float64(got.Section.Nominal-r.Section.Nominal)) > 1e-9 {
			t.Errorf("Sized(%q) = %+v, want %+v", r.Name, got, r)
		}
		if r.Inside.Tolerance <= 0 || r.Inside.Tolerance > r.Inside.Nominal/5 || r.Section.Tolerance <= 0 || r.Section.Tolerance > r.Section.Nominal/8 {
			t.Errorf("%s: tolerances %v and %v are not plausible", r.Name, r.Inside.Tolerance, r.Section.Tolerance)
		}
	}
}

func TestRingNamesAreReadAsPeopleWriteThem(t *testing.T) {
	for _, test := range []struct {
		text            string
		inside, section float64
	}{
		{"214", 24.99, 3.53}, {"-214", 24.99, 3.53}, {"AS568-214", 24.99, 3.53}, {"as568 214", 24.99, 3.53}, {"2-214", 24.99, 3.53}, {"14", 12.42, 1.78}, {"014", 12.42, 1.78},
		{"20x2.65", 20, 2.65}, {"20 × 2,65 mm", 20, 2.65}, {"58*5.3", 58, 5.3}, {"p22a", 21.8, 3.5}, {"JIS G50", 49.4, 3.5},
		{"ISO 3601 20x2.65", 20, 2.65},
	} {
		r, err := seal.Sized(test.text)
		if err != nil {
			t.Errorf("Sized(%q): %v", test.text, err)
			continue
		}
		close(t, test.text+" inside", float64(r.Inside.Nominal/mm), test.inside, 0.006)
		close(t, test.text+" section", float64(r.Section.Nominal/mm), test.section, 0.006)
	}
	for text, words := range map[string]string{"": "no ring size", "1234": "no ring size", "099": "no dash number 099", "0x2": "more than 0",
		"-5x2": "more than 0", "5x": "no ring size", "3.5x200": "inside diameter is written first", "NaNxNaN": "no ring size", "1e400x2": "no ring size"} {
		if r, err := seal.Sized(text); err == nil || !strings.Contains(err.Error(), words) {
			t.Errorf("Sized(%q) = %+v, %v; want an error with %q", text, r, err, words)
		}
	}
}

func TestImpossibleGlandsAreRefusedInASentence(t *testing.T) {
	ring := seal.Ring{Inside: seal.Toleranced{Nominal: 25 * mm}, Section: seal.Toleranced{Nominal: 3.53 * mm}}
	face := func(depth, width quantity.Length) seal.Gland {
		return seal.Gland{Seat: seal.Face, Depth: seal.Toleranced{Nominal: depth * mm}, Width: seal.Toleranced{Nominal: width * mm}}
	}
	radial := func(seat seal.Seat, groove, mate quantity.Length) seal.Gland {
		return seal.Gland{Seat: seat, Groove: seal.Toleranced{Nominal: groove * mm}, Mate: seal.Toleranced{Nominal: mate * mm}, Width: seal.Toleranced{Nominal: 5 * mm}}
	}
	for name, test := range map[string]struct {
		gland seal.Gland
		ring  seal.Ring
		words string
	}{
		"groove deeper than the ring": {face(4, 5), ring, "nothing squeezes it"},
		"ring far too thick":          {face(1, 5), ring, "far too big"},
		"ring wider than the groove":  {face(2.7, 3), ring, "bigger than the groove"},
		"negative depth":              {face(-1, 5), ring, "nothing is left"},
		"groove wider than the bore":  {radial(seal.Piston, 32, 31), ring, "smaller than the bore"},
		"rod wider than the housing":  {radial(seal.Rod, 25, 26), ring, "larger than the rod"},
		"ring of no size":             {face(2.7, 5), seal.Ring{}, "more than 0"},
		"wrong ring by far":           {radial(seal.Piston, 60, 65.6), ring, "more than twice"},
	} {
		if _, err := test.gland.Fit(test.ring); err == nil || !strings.Contains(err.Error(), test.words) {
			t.Errorf("%s: %v, want an error with %q", name, err, test.words)
		}
	}
}

func TestJudgementFollowsTheFit(t *testing.T) {
	for name, test := range map[string]struct {
		depth, tolerance, width float64
		want                    calc.Level
		words                   string
	}{
		"well":         {2.65, 0.05, 4.8, calc.Good, "lies in the usual"},
		"hardly":       {3.3, 0.05, 4.8, calc.Careful, "as little as"},
		"none at ends": {3.45, 0.1, 4.8, calc.Bad, "nothing squeezes"},
		"crushed":      {1.9, 0.05, 6.5, calc.Bad, "crushed"},
		"too full":     {2.65, 0.05, 3.6, calc.Bad, "cannot close"},
	} {
		r := seal.Ring{Inside: seal.Toleranced{Nominal: 25 * mm}, Section: seal.Toleranced{Nominal: 3.53 * mm, Tolerance: 0.1 * mm}}
		g := seal.Gland{Seat: seal.Face, Depth: seal.Toleranced{Nominal: quantity.Length(test.depth) * mm, Tolerance: quantity.Length(test.tolerance) * mm},
			Width: seal.Toleranced{Nominal: quantity.Length(test.width) * mm}}
		fit, err := g.Fit(r)
		if err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		found := false
		for _, f := range fit.Judge(g, r, seal.Static) {
			found = found || f.Level == test.want && strings.Contains(f.Say, test.words)
		}
		if !found {
			t.Errorf("%s: %+v says %+v, want %s with %q", name, fit.Squeeze, fit.Judge(g, r, seal.Static), test.want, test.words)
		}
	}
}
