package garage_test

import (
	"testing"
	"time"

	"lastbolt/garage"
	"lastbolt/quantity"
)

func TestALineOfTheShelfIsReadAsATorqueWrench(t *testing.T) {
	for line, want := range map[string]struct {
		low, high float64
		accuracy  float64
		hand      string
		short     string
	}{
		"torque wrench 5–25 N·m, ±4 %, hand 270 mm": {5, 25, 4, "270 mm", "torque wrench 5–25 N·m"},
		"Torque wrench 40-200 Nm 1/2 in":            {40, 200, 0, "", "Torque wrench 40-200 Nm"},
		"small click wrench, 1 to 6 N·m ±6%":        {1, 6, 6, "", "small click wrench, 1 to 6 N·m"},
		"torque wrench 10–80 ft-lb, handle 14 in":   {13.558, 108.465, 0, "14 in", "torque wrench 10–80 ft-lb"},
		"torque wrench 2,5 – 11 N·m, length 200 mm": {2.5, 11, 0, "200 mm", "torque wrench 2,5 – 11 N·m"},
	} {
		w, ok := garage.ReadTorqueWrench(line)
		if !ok {
			t.Errorf("%q is not read as a torque wrench", line)
			continue
		}
		low, high := w.Low.Value.In(quantity.NewtonMetre), w.High.Value.In(quantity.NewtonMetre)
		if d := low - want.low; d > 1e-2 || d < -1e-2 {
			t.Errorf("%q begins at %g N·m, want %g", line, low, want.low)
		}
		if d := high - want.high; d > 1e-2 || d < -1e-2 {
			t.Errorf("%q ends at %g N·m, want %g", line, high, want.high)
		}
		if w.Accuracy != want.accuracy || w.Hand.String() != want.hand || w.Short() != want.short {
			t.Errorf("%q gives ±%g %%, hand %q, short %q; want ±%g %%, %q, %q", line, w.Accuracy, w.Hand, w.Short(), want.accuracy, want.hand, want.short)
		}
		if err := w.Check(); err != nil {
			t.Errorf("%q: %v", line, err)
		}
	}
}

func TestOtherToolsAreNoTorqueWrenches(t *testing.T) {
	for _, line := range []string{"10 mm socket", "torque wrench", "feeler gauges 0.05 - 1 mm", "torque wrench 25–5 N·m", "multimeter 0–10 A"} {
		if w, ok := garage.ReadTorqueWrench(line); ok {
			t.Errorf("%q is read as %+v", line, w)
		}
	}
}

func TestALineOfTheShelfSaysWhenItsWrenchWasCheckedAndWhetherItFell(t *testing.T) {
	now := time.Date(2026, 11, 26, 12, 0, 0, 0, time.UTC)
	for line, want := range map[string]struct {
		days    int
		dropped bool
	}{
		"torque wrench 5–25 N·m, ±4 %":                            {-1, false},
		"torque wrench 5–25 N·m, checked 2026-11-20":              {6, false},
		"torque wrench 5–25 N·m, checked 2026-10":                 {56, false},
		"torque wrench 5–25 N·m, Calibrated on 2025-06-01":        {543, false},
		"torque wrench 5–25 N·m, checked 2026-02-30":              {-1, false},
		"torque wrench 5–25 N·m, checked 2027-01-01":              {0, false},
		"torque wrench 5–25 N·m, checked 2026-10-01, dropped":     {56, true},
		"torque wrench 5–25 N·m, checked 2026-10, never dropped":  {56, false},
		"torque wrench 5–25 N·m, hand 270 mm, overloaded in 2024": {-1, true},
	} {
		w, ok := garage.ReadTorqueWrench(line)
		if !ok || w.DaysSinceCheck(now) != want.days || w.Dropped != want.dropped {
			t.Errorf("%q: read %v, checked %d days ago, dropped %v; want %d, %v", line, ok, w.DaysSinceCheck(now), w.Dropped, want.days, want.dropped)
		}
	}
}

func FuzzTorqueWrench(f *testing.F) {
	for _, line := range []string{"torque wrench 5–25 N·m, ±4 %, hand 270 mm", "40-200 Nm", "1..6 N·m 1e9 %", "0-0 Nm", "5-25 Nm checked 9999-13-99 dropped"} {
		f.Add(line)
	}
	f.Fuzz(func(t *testing.T, line string) {
		w, ok := garage.ReadTorqueWrench(line)
		if ok && (w.High.Value <= w.Low.Value || w.Name == "") {
			t.Errorf("%q gives %+v", line, w)
		}
	})
}
