package coolant_test

import (
	"math"
	"testing"

	"lastbolt/calc/coolant"
	"lastbolt/quantity"

	"pgregory.net/rapid"
)

var bases = rapid.SampledFrom([]coolant.Base{coolant.Ethylene, coolant.Propylene})

func shareTo(most float64) *rapid.Generator[coolant.VolumeShare] {
	return rapid.Map(rapid.Float64Range(0, most), func(v float64) coolant.VolumeShare { return coolant.VolumeShare(v) })
}

func TestMoreGlycolFreezesLater(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		b := bases.Draw(t, "base")
		weak, strong := shareTo(0.6).Draw(t, "weak"), shareTo(0.6).Draw(t, "strong")
		if weak > strong {
			weak, strong = strong, weak
		}
		w, _, _ := coolant.Freezing(b, weak)
		s, _, _ := coolant.Freezing(b, strong)
		if s.Likely > w.Likely+1e-9 || s.High > w.High+1e-9 {
			t.Fatalf("%v: %.4f freezes at %v, %.4f at %v", b, weak, w, strong, s)
		}
	})
}

func TestABandHoldsItsLikelyValueAndEverySource(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		b, v := bases.Draw(t, "base"), shareTo(0.6).Draw(t, "share")
		band, readings, promised := coolant.Freezing(b, v)
		if !promised || band.Low > band.Likely || band.Likely > band.High {
			t.Fatalf("band %v, promised %v", band, promised)
		}
		for _, r := range readings {
			if r.Known && (r.Value < band.Low-1e-9 || r.Value > band.High+1e-9) {
				t.Fatalf("%s says %v, outside %v", r.Source, r.Value, band)
			}
		}
	})
}

func TestNothingIsPromisedAboveSixtyPerCent(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		b := bases.Draw(t, "base")
		v := coolant.VolumeShare(rapid.Float64Range(0.601, 0.70).Draw(t, "share"))
		band, _, promised := coolant.Freezing(b, v)
		sixty, _, _ := coolant.Freezing(b, 0.60)
		if promised || band.High < sixty.High {
			t.Fatalf("%.3f: promised %v, warm end %v against %v at 60 %%", v, promised, band.High, sixty.High)
		}
	})
}

func TestMassAndVolumeUndoEachOther(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		b, v := bases.Draw(t, "base"), shareTo(1).Draw(t, "share")
		w := b.Mass(v)
		if back := b.Volume(w); math.Abs(float64(back-v)) > 1e-9 {
			t.Fatalf("%v by volume is %v by mass is %v by volume", v, w, back)
		}
		if w < coolant.MassShare(v)-1e-9 {
			t.Fatalf("glycol is denser than water, yet %v by volume is %v by mass", v, w)
		}
	})
}

func TestBoilingRisesWithPressureAndWithGlycol(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		b, v := bases.Draw(t, "base"), shareTo(0.69).Draw(t, "share")
		p := quantity.Pascals(rapid.Float64Range(40e3, 390e3).Draw(t, "pressure"))
		here := coolant.Boiling(b, v, p).Likely
		if more := coolant.Boiling(b, v, p+100).Likely; more <= here {
			t.Fatalf("more pressure: %v after %v", more, here)
		}
		if more := coolant.Boiling(b, v+0.01, p).Likely; more <= here {
			t.Fatalf("more glycol: %v after %v", more, here)
		}
		if water := coolant.SaturationTemperature(p); here < water-0.001 {
			t.Fatalf("boils at %v, before water at %v", here, water)
		}
	})
}

func TestTheSaturationLineUndoesItself(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		at := quantity.Celsius(rapid.Float64Range(1, 370).Draw(t, "temperature"))
		if back := coolant.SaturationTemperature(coolant.SaturationPressure(at)); math.Abs(float64(back-at)) > 0.002 {
			t.Fatalf("%v came back as %v", at, back)
		}
	})
}

// The verification values of IAPWS-IF97, revised release 2007, tables 35 and 36.
func TestTheSaturationLineMeetsItsVerificationValues(t *testing.T) {
	for _, c := range []struct{ kelvin, megapascal float64 }{{300, 0.353658941e-2}, {500, 0.263889776e1}, {600, 0.123443146e2}} {
		got := coolant.SaturationPressure(quantity.Temperature(c.kelvin)).In(quantity.Megapascal)
		if math.Abs(got/c.megapascal-1) > 5e-9 {
			t.Errorf("p(%g K): got %.9g MPa, want %.9g", c.kelvin, got, c.megapascal)
		}
	}
	for _, c := range []struct{ megapascal, kelvin float64 }{{0.1, 0.372755919e3}, {1, 0.453035632e3}, {10, 0.584149488e3}} {
		got := float64(coolant.SaturationTemperature(quantity.Megapascal.Of(c.megapascal)))
		if math.Abs(got-c.kelvin) > 5e-7 {
			t.Errorf("T(%g MPa): got %.9g K, want %.9g", c.megapascal, got, c.kelvin)
		}
	}
	if got := coolant.SaturationTemperature(quantity.Pascals(100)); !math.IsNaN(float64(got)) {
		t.Errorf("below the triple point: got %v, want NaN", got)
	}
}

func TestWarmCoolantIsLighter(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		b, v := bases.Draw(t, "base"), shareTo(0.6).Draw(t, "share")
		cold := quantity.Celsius(rapid.Float64Range(5, 95).Draw(t, "cold"))
		c, _ := coolant.Density(b, v, cold)
		h, _ := coolant.Density(b, v, cold+5)
		if h.Likely >= c.Likely {
			t.Fatalf("%v at 5 °C more than %v", h.Likely, c.Likely)
		}
		if s := coolant.Swell(b, v, cold, cold+5); s.Low <= 0 || s.Low > s.Likely || s.Likely > s.High {
			t.Fatalf("swells by %v", s)
		}
	})
}

func TestStrengthForIsTheWeakestThatWillDo(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		b := bases.Draw(t, "base")
		night := quantity.Celsius(rapid.Float64Range(-70, 10).Draw(t, "night"))
		v, ok := coolant.StrengthFor(b, night)
		band, _, _ := coolant.Freezing(b, v)
		switch {
		case !ok && band.High <= night:
			t.Fatalf("refused %v, which %v stands", night, band)
		case ok && band.High > night+1e-6:
			t.Fatalf("%v is to do for %v and freezes at %v", v, night, band)
		case ok && v > 0.01:
			if weaker, _, _ := coolant.Freezing(b, v-0.005); weaker.High <= night {
				t.Fatalf("%v would do as well as %v", v-0.005, v)
			}
		}
	})
}

func TestInstrumentsUndoTheMixture(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		b, v := bases.Draw(t, "base"), shareTo(0.6).Draw(t, "share")
		if back, ok := coolant.StrengthOfIndex(b, coolant.RefractiveIndex(b, v)); !ok || math.Abs(float64(back-v)) > 1e-6 {
			t.Fatalf("refractometer: %v came back as %v, %v", v, back, ok)
		}
		at := quantity.Celsius(rapid.Float64Range(0, 90).Draw(t, "temperature"))
		d, _ := coolant.Density(b, v, at)
		if back, ok := coolant.StrengthOfDensity(b, d.Likely, at); !ok || math.Abs(float64(back-v)) > 1e-6 {
			t.Fatalf("hydrometer: %v at %v came back as %v, %v", v, at, back, ok)
		}
	})
}

func TestARefillLosesNothing(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		total := quantity.Litres(rapid.Float64Range(1, 60).Draw(t, "total"))
		drained := total * quantity.Volume(rapid.Float64Range(0.01, 1).Draw(t, "drained"))
		have, want := shareTo(1).Draw(t, "have"), shareTo(0.7).Draw(t, "want")
		product := coolant.VolumeShare(rapid.Float64Range(0.1, 1).Draw(t, "product"))
		thin := rapid.Bool().Draw(t, "thin")
		r := coolant.Fill(total, drained, have, product, want, thin)
		if off := float64(r.Stays+r.Product+r.Water-total) / float64(total); math.Abs(off) > 1e-12 {
			t.Fatalf("volumes do not add up, off by %g", off)
		}
		if r.Product < 0 || r.Water < -1e-15 {
			t.Fatalf("less than nothing filled: %+v", r)
		}
		glycol := float64(r.Stays)*float64(have) + float64(r.Product)*float64(product)
		if math.Abs(glycol-float64(total)*float64(r.After)) > 1e-12*float64(total) {
			t.Fatalf("antifreeze does not add up: %+v", r)
		}
		if thin && r.Reached && r.Product > 1e-9 && math.Abs(float64(r.After-want)) > 1e-9 {
			t.Fatalf("a concentrate can meet %v and makes %v", want, r.After)
		}
	})
}

func TestSeveralExchangesAreOneAfterTheOther(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		total := quantity.Litres(10)
		drained := quantity.Litres(rapid.Float64Range(0.1, 10).Draw(t, "drained"))
		have, fill := shareTo(1).Draw(t, "have"), shareTo(1).Draw(t, "fill")
		n := rapid.IntRange(1, 12).Draw(t, "times")
		at := have
		for range n {
			at = coolant.Exchange(total, drained, at, fill)
		}
		if got := coolant.Exchanges(total, drained, have, fill, n); math.Abs(float64(got-at)) > 1e-12 {
			t.Fatalf("%d at once: %v, one by one: %v", n, got, at)
		}
		want := have + (fill-have)*coolant.VolumeShare(rapid.Float64Range(0, 0.99).Draw(t, "part"))
		if d, ok := coolant.DrainFor(total, have, fill, want); !ok || math.Abs(float64(coolant.Exchange(total, d, have, fill)-want)) > 1e-9 {
			t.Fatalf("draining %v does not come to %v", d, want)
		}
		times, ok := coolant.TimesFor(total, drained, have, fill, want)
		if !ok {
			t.Fatalf("%v between %v and %v is never reached", want, have, fill)
		}
		reached := coolant.Exchanges(total, drained, have, fill, times)
		if math.Abs(float64(reached-fill)) > math.Abs(float64(want-fill))+1e-9 {
			t.Fatalf("after %d times at %v, short of %v", times, reached, want)
		}
	})
}

func TestBuyingIsEnoughAndNoContainerTooMany(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		need := quantity.Litres(rapid.Float64Range(0.01, 30).Draw(t, "need"))
		on := rapid.SliceOfN(rapid.Custom(func(t *rapid.T) coolant.Container {
			return coolant.Container{Holds: quantity.Litres(float64(rapid.IntRange(1, 100).Draw(t, "tenths")) / 10)}
		}), 1, 4).Draw(t, "on")
		counts := coolant.Buy(need, on)
		bought, smallest := quantity.Volume(0), quantity.Volume(math.Inf(1))
		for i, n := range counts {
			bought += on[i].Holds * quantity.Volume(n)
			if n > 0 {
				smallest = min(smallest, on[i].Holds)
			}
		}
		if bought < need-1e-8 {
			t.Fatalf("%v bought for %v", bought, need)
		}
		if bought-smallest >= need {
			t.Fatalf("%v of %v could have been left on the shelf", smallest, bought)
		}
	})
}

func TestCoolingUndoesItself(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		air := quantity.Celsius(rapid.Float64Range(-20, 40).Draw(t, "air"))
		first := air + quantity.Temperature(rapid.Float64Range(10, 100).Draw(t, "above"))
		k := rapid.Float64Range(0.001, 0.1).Draw(t, "rate")
		after := quantity.Minutes(rapid.Float64Range(1, 60).Draw(t, "after"))
		second := air + (first-air)*quantity.Temperature(math.Exp(-k*after.In(quantity.Minute)))
		if got := coolant.CoolingRate(air, first, second, after); math.Abs(got/k-1) > 1e-6 {
			t.Fatalf("rate %g came back as %g", k, got)
		}
		if got := coolant.CoolingTime(air, first, second, k); math.Abs(float64(got/after)-1) > 1e-6 {
			t.Fatalf("%v came back as %v", after, got)
		}
	})
}

func TestHotterWaterBurnsSooner(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		at := quantity.Celsius(rapid.Float64Range(44, 68).Draw(t, "temperature"))
		here, hotter := coolant.ScaldTime(at), coolant.ScaldTime(at+0.5)
		if hotter.Low > here.Low || hotter.High > here.High || here.Low > here.High+1e-9 {
			t.Fatalf("%v, half a degree more %v", here, hotter)
		}
	})
}
