package seal_test

import (
	"math"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"lastbolt/calc"
	"lastbolt/calc/seal"
	"lastbolt/quantity"
)

func celsius(n float64) quantity.Temperature { return quantity.DegreeCelsius.Of(n) }

func TestMaterialsAreJudged(t *testing.T) {
	for name, test := range map[string]struct {
		material  seal.Material
		fluid     seal.Fluid
		cold, hot float64
		want      calc.Level
		words     string
	}{
		"rubber of a cooling system":       {seal.EPDM, seal.Coolant, -30, 110, calc.Good, "usual rubber of cooling"},
		"oil ring in the cooling system":   {seal.NBR, seal.Coolant, -20, 110, calc.Bad, "too hot"},
		"cooling ring in oil":              {seal.EPDM, seal.EngineOil, -20, 90, calc.Bad, "swell it by 30 to 80"},
		"cooling ring in gear oil":         {seal.EPDM, seal.GearOil, -20, 90, calc.Bad, "unsuited"},
		"oil ring in the brakes":           {seal.NBR, seal.BrakeFluid, -20, 60, calc.Bad, "EPDM"},
		"between two sources":              {seal.NBR, seal.EngineOil, -20, 110, calc.Careful, "careful source"},
		"hotter than any source":           {seal.NBR, seal.EngineOil, -20, 140, calc.Bad, "too hot"},
		"cold start":                       {seal.FKM, seal.EngineOil, -18, 120, calc.Careful, "cold start"},
		"stiff":                            {seal.FKM, seal.EngineOil, -40, 120, calc.Bad, "stiff"},
		"a pair no source speaks of":       {seal.ACM, seal.RefrigerantPAG, -10, 60, calc.Careful, "not known"},
		"plastic ring":                     {seal.PTFE, seal.BrakeFluid, -30, 120, calc.Good, "creeps"},
		"silicone ring in silicone grease": {seal.VMQ, seal.SiliconeGrease, -20, 60, calc.Bad, "like swells like"},
	} {
		j := seal.Suit(test.material, test.fluid, celsius(test.cold), celsius(test.hot))
		if j.Level != test.want || !strings.Contains(j.Reasons[0].Say, test.words) {
			t.Errorf("%s: %s, %q; want %s with %q", name, j.Level, j.Reasons[0].Say, test.want, test.words)
		}
		if slices.Contains(j.Instead, test.material) {
			t.Errorf("%s: it is proposed in place of itself", name)
		}
		for _, other := range j.Instead {
			if again := seal.Suit(other, test.fluid, celsius(test.cold), celsius(test.hot)); again.Level != calc.Good {
				t.Errorf("%s: %s is proposed but judged %s", name, other, again.Level)
			}
		}
	}
}

func TestMoreHeatNeverMendsAJudgement(t *testing.T) {
	rank := map[calc.Level]int{calc.Good: 0, calc.Careful: 1, calc.Bad: 2}
	rapid.Check(t, func(t *rapid.T) {
		m := rapid.SampledFrom(seal.Materials()).Draw(t, "material")
		f := rapid.SampledFrom(seal.Fluids()).Draw(t, "fluid")
		hot := rapid.Float64Range(0, 300).Draw(t, "hot")
		before := seal.Suit(m, f, celsius(0), celsius(hot))
		after := seal.Suit(m, f, celsius(0), celsius(hot+rapid.Float64Range(0, 100).Draw(t, "more")))
		if rank[after.Level] < rank[before.Level] {
			t.Fatalf("%s in %s: %s at %.0f °C but %s hotter", m, f, before.Level, hot, after.Level)
		}
	})
}

func TestSwellFitsTheRating(t *testing.T) {
	for _, m := range seal.Materials() {
		for _, f := range seal.Fluids() {
			low, high := seal.Swell(m, f)
			rating, why, known := seal.Rate(m, f)
			if low < 0 || low >= high || high > 0.8 {
				t.Errorf("%s in %s: swell %g to %g", m, f, low, high)
			}
			if rating == seal.Unsuited && low < 0.3 || rating == seal.Suits && high > 0.12 {
				t.Errorf("%s in %s is %s but swells %g to %g", m, f, rating, low, high)
			}
			if why == "" || known == "" || rating == "" {
				t.Errorf("%s in %s: %q, %q, %q", m, f, rating, why, known)
			}
		}
	}
}

func TestSealsGoInTheRightWay(t *testing.T) {
	for name, test := range map[string]struct {
		kind     seal.Kind
		material seal.Material
		fluid    seal.Fluid
		manner   seal.Manner
		with     seal.Lubricant
		never    string
	}{
		"ring of the cooling system":    {seal.ORing, seal.EPDM, seal.Coolant, seal.Wet, seal.CleanCoolant, "mineral grease"},
		"ring in the brakes":            {seal.ORing, seal.EPDM, seal.BrakeFluid, seal.Wet, seal.CleanBrake, "anything mineral in a brake system"},
		"unknown ring in the brakes":    {seal.ORing, "", seal.BrakeFluid, seal.Wet, seal.CleanBrake, "anything mineral"},
		"ring in oil":                   {seal.ORing, seal.NBR, seal.EngineOil, seal.Wet, seal.CleanOil, "brake fluid"},
		"ring in air conditioning":      {seal.ORing, seal.HNBR, seal.RefrigerantPAG, seal.Wet, seal.PAGOil, "any grease"},
		"silicone ring in air":          {seal.ORing, seal.VMQ, seal.AirAndOzone, seal.Greased, seal.Fluorinated, "silicone grease"},
		"moving ring of a water joint":  {seal.MovingRing, seal.EPDM, seal.Coolant, seal.Greased, seal.SiliconeLube, "petroleum jelly"},
		"shaft seal":                    {seal.LipSeal, seal.FKM, seal.EngineOil, seal.Wet, seal.CleanOil, "brake fluid"},
		"paper gasket":                  {seal.PaperGasket, "", seal.Coolant, seal.Dry, "", "grease or oil"},
		"coated metal gasket":           {seal.MetalLayer, "", seal.Coolant, seal.Dry, "", "sealant"},
		"silicone where petrol gets to": {seal.Silicone, "", seal.Petrol, seal.Dry, "", "petrol"},
	} {
		h := seal.Lubricate(test.kind, test.material, test.fluid)
		if h.Manner != test.manner || h.With != test.with || !strings.Contains(strings.Join(h.Never, "; "), test.never) || h.Say == "" {
			t.Errorf("%s: %+v; want %s with %q, never %q", name, h, test.manner, test.with, test.never)
		}
	}
}

// What is chosen must never be what must not be used.
func TestWhatIsChosenNeverHarms(t *testing.T) {
	for _, k := range seal.Kinds() {
		for _, f := range seal.Fluids() {
			for _, m := range append(seal.Materials(), "") {
				h := seal.Lubricate(k, m, f)
				if h.With == "" || m == "" {
					continue
				}
				if rating, why := seal.OnRubber(h.With, m); rating == seal.Unsuited {
					t.Errorf("%s of %s in %s: %s is chosen and is unsuited: %s", k, m, f, h.With, why)
				}
				if slices.Contains(h.Never, string(h.With)) {
					t.Errorf("%s of %s in %s: %s is both chosen and forbidden", k, m, f, h.With)
				}
				if f == seal.BrakeFluid && (h.With == seal.CleanOil || h.With == seal.SiliconeLube || h.With == seal.Mineral) {
					t.Errorf("%s of %s: %s in a brake system", k, m, h.With)
				}
			}
		}
	}
}

func TestRecogniseFindsEveryRingFromItsOwnMeasures(t *testing.T) {
	for _, r := range seal.AllRings() {
		found, err := seal.Recognise(seal.Reading{Inside: seal.Toleranced{Nominal: r.Inside.Nominal, Tolerance: 0.05 * mm},
			Section: seal.Toleranced{Nominal: r.Section.Nominal, Tolerance: 0.02 * mm}}, 100)
		if err != nil {
			t.Errorf("%s: %v", r.Name, err)
			continue
		}
		if !slices.ContainsFunc(found, func(c seal.Candidate) bool { return c.Ring.Name == r.Name && c.Fits() }) {
			t.Errorf("%s (%v × %v) is not among its own candidates", r.Name, r.Inside.Nominal, r.Section.Nominal)
		}
	}
}

func TestWornRingIsFoundByItsFlattenedSection(t *testing.T) {
	// AS568-214, flattened by 12 % and swollen by 1 %.
	m := seal.Reading{Inside: seal.Toleranced{Nominal: 25.24 * mm, Tolerance: 0.1 * mm}, Section: seal.Toleranced{Nominal: 3.11 * mm, Tolerance: 0.05 * mm}}
	fits := func() bool {
		found, err := seal.Recognise(m, 50)
		if err != nil {
			t.Fatal(err)
		}
		return slices.ContainsFunc(found, func(c seal.Candidate) bool { return c.Ring.Name == "AS568-214" && c.Fits() })
	}
	if fits() {
		t.Error("a new ring of 3.11 mm is taken for one of 3.53 mm")
	}
	m.Worn = true
	if !fits() {
		t.Error("a used ring flattened from 3.53 to 3.11 mm is not found")
	}
}

func TestReadingsThatContradictAreRefused(t *testing.T) {
	m := seal.Reading{Inside: seal.Toleranced{Nominal: 20 * mm, Tolerance: 0.1 * mm}, Outside: seal.Toleranced{Nominal: 30 * mm, Tolerance: 0.1 * mm},
		Section: seal.Toleranced{Nominal: 3 * mm, Tolerance: 0.1 * mm}}
	if _, err := seal.Recognise(m, 5); err == nil || !strings.Contains(err.Error(), "contradict") {
		t.Errorf("Recognise = %v, want a contradiction", err)
	}
}

func TestRingsForAGrooveHoldTheRingItWasCutFor(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r := rapid.SampledFrom(seal.AllRings()).Draw(t, "ring")
		if r.Section.Nominal < 1.7*mm || r.Inside.Nominal < 8*r.Section.Nominal {
			t.Skip("thin cord and small rings are cut for otherwise")
		}
		groove := r.Inside.Nominal * 1.02
		g := seal.Gland{Seat: seal.Piston, Groove: seal.Toleranced{Nominal: groove},
			Mate: seal.Toleranced{Nominal: groove + 2*0.79*r.Section.Nominal}, Width: seal.Toleranced{Nominal: 1.4 * r.Section.Nominal}}
		found, err := seal.RingsFor(g, seal.Static, true, 50)
		if err != nil {
			t.Fatal(err)
		}
		if !slices.ContainsFunc(found, func(c seal.Choice) bool { return c.Ring.Name == r.Name }) {
			t.Fatalf("%s is not among the rings for its own groove", r.Name)
		}
		for _, c := range found {
			if c.Level == calc.Bad || c.Fit.Stretch.Likely < -0.01 || c.Fit.Stretch.Likely > 0.05 || c.Fit.Stretched.Low <= 0 {
				t.Fatalf("%s: %s, stretch %v, squeeze %v", c.Ring.Name, c.Level, c.Fit.Stretch, c.Fit.Stretched)
			}
		}
	})
	if _, err := seal.RingsFor(seal.Gland{Seat: seal.Face, Depth: seal.Toleranced{Nominal: 2 * mm}}, seal.Static, true, 5); err == nil {
		t.Error("a face groove without a diameter finds rings")
	}
}

func TestBeadSpreadsAndIsUndone(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		d := quantity.Length(rapid.Float64Range(1, 8).Draw(t, "bead")) * mm
		gap := quantity.Length(rapid.Float64Range(0.05, 1).Draw(t, "gap")) * mm
		b := seal.Bead{Diameter: d, Length: 1}
		width := b.Spread(gap)
		if back := seal.BeadFor(width, gap); math.Abs(float64(back-d)) > 1e-12 {
			t.Fatalf("a bead of %v spreads to %v, which asks for a bead of %v", d, width, back)
		}
		if pressed := float64(width*gap) * 1; math.Abs(pressed-float64(b.Volume())) > 1e-12 {
			t.Fatalf("the volume changes by pressing: %g then %g", float64(b.Volume()), pressed)
		}
	})
	if n, _ := seal.Tubes(0.00016, 0.00008, 0); n != 2 {
		t.Errorf("two full tubes are counted as %d", n)
	}
}

func TestCureIsSlowerColdDryAndDeep(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := rapid.SampledFrom([]seal.Sealant{seal.Acetoxy, seal.Oxime, seal.AnaerobicGel}).Draw(t, "sealant")
		at := rapid.Float64Range(6, 40).Draw(t, "temperature")
		humidity := rapid.Float64Range(0.2, 1).Draw(t, "humidity")
		path := quantity.Length(rapid.Float64Range(1, 20).Draw(t, "path")) * mm
		cure := func(at, humidity float64, path quantity.Length) seal.Cure {
			c, err := seal.CureOf(s, celsius(at), humidity, path)
			if err != nil {
				t.Fatal(err)
			}
			if c.Close[0] > c.Close[1] || c.Fluid[0] > c.Fluid[1] || c.Full[0] > c.Full[1] {
				t.Fatalf("a band runs backwards: %+v", c)
			}
			return c
		}
		now := cure(at, humidity, path)
		for name, slower := range map[string]seal.Cure{"colder": cure(at-5, humidity, path), "drier": cure(at, humidity*0.8, path), "deeper": cure(at, humidity, path*1.5)} {
			if slower.Close[0] < now.Close[0] || slower.Fluid[1] < now.Fluid[1] || slower.Full[1] < now.Full[1] {
				t.Fatalf("%s is faster: %+v then %+v", name, now, slower)
			}
		}
	})
	for _, bad := range []struct {
		at, humidity float64
		path         quantity.Length
	}{{-5, 0.5, 5 * mm}, {80, 0.5, 5 * mm}, {20, 0.01, 5 * mm}, {20, 1.2, 5 * mm}, {20, 0.5, 0}} {
		if c, err := seal.CureOf(seal.Oxime, celsius(bad.at), bad.humidity, bad.path); err == nil {
			t.Errorf("CureOf(%+v) = %+v, want a refusal", bad, c)
		}
	}
}

func TestSeatingGrowsWithStressAndPressure(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		inside := rapid.Float64Range(20, 300).Draw(t, "inside")
		width := rapid.Float64Range(3, 40).Draw(t, "width")
		g := seal.Gasket{Outer: quantity.Length(inside+2*width) * mm, Mean: quantity.Length(inside+width) * mm, Width: quantity.Length(width) * mm, M: 2, Y: 5e6}
		if b := g.Effective(); b > g.Width/2+1e-7 {
			t.Fatalf("the effective width %v is more than half of %v", b, g.Width)
		}
		harder := g
		harder.Y *= 2
		if a, b := g.Seating(), harder.Seating(); math.Abs(float64(b-2*a)) > 1e-6*float64(b) {
			t.Fatalf("twice the stress takes %v then %v", a, b)
		}
		if g.Working(2e5) <= g.Working(1e5) || g.Working(0) != 0 {
			t.Fatal("more pressure takes no more load")
		}
	})
}
