package fluid_test

import (
	"math"
	"testing"

	"lastbolt/calc/fluid"
	"lastbolt/quantity"

	"pgregory.net/rapid"
)

func TestATightVolumeDoesNotLeak(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := quantity.Pascals(rapid.Float64Range(1e4, 5e5).Draw(t, "pressure"))
		t1 := quantity.Celsius(rapid.Float64Range(-40, 120).Draw(t, "before"))
		t2 := quantity.Celsius(rapid.Float64Range(-40, 120).Draw(t, "after"))
		v, passed := quantity.Litres(2), quantity.Minutes(5)
		tight := fluid.Tight(p, t1, t2)
		if flow := fluid.Leak(v, p, tight, t1, t2, passed); math.Abs(flow) > 1e-12 {
			t.Fatalf("a tight volume leaks %g mol/s", flow)
		}
		if back := fluid.Tight(tight, t2, t1); math.Abs(float64(back/p)-1) > 1e-12 {
			t.Fatalf("cooled and warmed again %v is %v", p, back)
		}
		if out := fluid.Leak(v, p, tight*0.9, t1, t2, passed); out >= 0 {
			t.Fatalf("a fallen pressure flows in at %g mol/s", out)
		}
	})
}

func TestTheLossBandNarrowsWithTheDays(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		first := quantity.Millilitres(rapid.Float64Range(0, 2000).Draw(t, "first"))
		second := quantity.Millilitres(rapid.Float64Range(0, 2000).Draw(t, "second"))
		unsure := quantity.Millilitres(rapid.Float64Range(0, 100).Draw(t, "unsure"))
		days := rapid.Float64Range(1, 400).Draw(t, "days")
		b, later := fluid.DailyLoss(first, second, unsure, days), fluid.DailyLoss(first, second, unsure, 2*days)
		if b.Low > b.Likely || b.Likely > b.High || later.High-later.Low > b.High-b.Low {
			t.Fatalf("%v, over twice the days %v", b, later)
		}
	})
}

func TestOilIsThinnerWhenHot(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		hot := rapid.Float64Range(2.5, 30).Draw(t, "at 100")
		cold := hot * rapid.Float64Range(3, 20).Draw(t, "ratio")
		forty, hundred := quantity.Celsius(40), quantity.Celsius(100)
		at := func(c float64) float64 { return fluid.Viscosity(forty, cold, hundred, hot, quantity.Celsius(c)) }
		if math.Abs(at(40)/cold-1) > 1e-9 || math.Abs(at(100)/hot-1) > 1e-9 {
			t.Fatalf("the line misses its own points: %g, %g", at(40), at(100))
		}
		c := rapid.Float64Range(0, 119).Draw(t, "temperature")
		if at(c+1) >= at(c) {
			t.Fatalf("%g °C: %g, a degree more: %g", c, at(c), at(c+1))
		}
	})
}

func TestTheViscosityIndexRunsOnWhereItsTablesMeet(t *testing.T) {
	for _, y := range []float64{20, 30, 70} {
		u := 11 * y
		below, above := fluid.ViscosityIndex(u, y-1e-6), fluid.ViscosityIndex(u, y+1e-6)
		if math.Abs(below-above) > 0.2 {
			t.Errorf("at %g mm²/s it jumps from %g to %g", y, below, above)
		}
	}
	// 0 and 100 are the two reference oils of the standard.
	if got := fluid.ViscosityIndex(78.0, 7.0); math.Abs(got) > 1e-9 {
		t.Errorf("L itself: index %g, want 0", got)
	}
	if got := fluid.ViscosityIndex(48.57, 7.0); math.Abs(got-100) > 1e-9 {
		t.Errorf("H itself: index %g, want 100", got)
	}
}

func TestMoreWaterBoilsSooner(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		b := rapid.SampledFrom(fluid.BrakeTypes).Draw(t, "type")
		water := rapid.Float64Range(0, 7.9).Draw(t, "water")
		here, more := fluid.BrakeBoiling(b, water), fluid.BrakeBoiling(b, water+0.1)
		if more.Low > here.Low || more.Likely > here.Likely || more.High > here.High {
			t.Fatalf("%s: %.2f %% %v, more water %v", b.Name, water, here, more)
		}
		if here.Low > here.Likely || here.Likely > here.High {
			t.Fatalf("%s: %.2f %%: %v", b.Name, water, here)
		}
	})
}

func TestTheBrakeFluidMeetsItsTypesLimits(t *testing.T) {
	for _, b := range fluid.BrakeTypes {
		if got := fluid.BrakeBoiling(b, 0).Low; math.Abs(float64(got-quantity.Celsius(b.Dry))) > 1e-9 {
			t.Errorf("%s dry: %v, want %g °C", b.Name, got, b.Dry)
		}
		if got := fluid.BrakeBoiling(b, fluid.WetWater).Low; math.Abs(float64(got-quantity.Celsius(b.Wet))) > 1e-9 {
			t.Errorf("%s wet: %v, want %g °C", b.Name, got, b.Wet)
		}
	}
}

func TestAContainerHoldsWhatComesOut(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		v := quantity.Litres(rapid.Float64Range(0, 200).Draw(t, "expected"))
		size := fluid.CatchSize(v)
		halves := size.In(quantity.Litre) * 2
		if size < v*1.25-1e-9 || size < quantity.Litres(0.5)-1e-12 || math.Abs(halves-math.Round(halves)) > 1e-9 {
			t.Fatalf("%v for %v", size, v)
		}
	})
}

func FuzzGradeOf(f *testing.F) {
	for _, s := range []string{"5W-30", "SAE 15w40", "10W", "30", "", "0W–20", "75W-90", "5W-"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, text string) {
		g, err := fluid.GradeOf(text)
		if err != nil {
			return
		}
		again, err := fluid.GradeOf(g.String())
		if err != nil || again != g {
			t.Errorf("%q is %s, which is read as %v, %v", text, g, again, err)
		}
	})
}
