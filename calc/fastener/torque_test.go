package fastener

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"lastbolt/quantity"
)

func anyThread(t *rapid.T) Thread {
	return rapid.SampledFrom(append(Threads(Metric), Threads(Unified)...)).Draw(t, "thread")
}

func near(a, b, share float64) bool { return math.Abs(a-b) <= share*math.Max(math.Abs(a), math.Abs(b)) }

func TestTorqueIsLinearInPreloadAndTurnsRound(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		thread := anyThread(t)
		preload := quantity.Newtons(rapid.Float64Range(1, 1e6).Draw(t, "preload"))
		k := rapid.Float64Range(0.05, 0.5).Draw(t, "K")
		f := Friction{rapid.Float64Range(0.04, 0.5).Draw(t, "thread friction"), rapid.Float64Range(0.04, 0.5).Draw(t, "head friction")}
		head := 1.4 * thread.Major
		if a, b := TorqueFor(2*preload, thread.Major, k), TorqueFor(preload, thread.Major, k); !near(float64(a), 2*float64(b), 1e-12) {
			t.Fatalf("twice the preload takes %v, once %v", a, b)
		}
		if back := PreloadFrom(TorqueFor(preload, thread.Major, k), thread.Major, k); !near(float64(back), float64(preload), 1e-12) {
			t.Fatalf("short form turns %v into %v", preload, back)
		}
		long := LongTorque(preload, thread, head, f)
		if back := LongPreload(long.Total(), thread, head, f); !near(float64(back), float64(preload), 1e-12) {
			t.Fatalf("long form turns %v into %v", preload, back)
		}
		implied := ImpliedNutFactor(thread, head, f)
		if a, b := TorqueFor(preload, thread.Major, implied), long.Total(); !near(float64(a), float64(b), 1e-12) {
			t.Fatalf("with the implied nut factor the short form gives %v, the long one %v", a, b)
		}
	})
}

func TestMoreFrictionLeavesLessPreload(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		thread := anyThread(t)
		low := rapid.Float64Range(0.04, 0.3).Draw(t, "low")
		high := low + rapid.Float64Range(0.01, 0.2).Draw(t, "more")
		yield := quantity.Pressure(640e6)
		a, b := AssemblyPreload(thread, yield, 0.9, low), AssemblyPreload(thread, yield, 0.9, high)
		if !(a > b) || float64(a) > 0.9*float64(yield)*float64(thread.StressArea()) {
			t.Fatalf("%s: %v at %g, %v at %g", thread, a, low, b, high)
		}
	})
}

func TestAnAdapterStraightOnLengthensAndAcrossChangesNothing(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		want := quantity.NewtonMetres(rapid.Float64Range(1, 500).Draw(t, "want"))
		hand := quantity.Metres(rapid.Float64Range(0.1, 1.5).Draw(t, "hand"))
		adapter := quantity.Length(rapid.Float64Range(0.01, 0.8).Draw(t, "adapter") * float64(hand))
		angle := quantity.Degrees(rapid.Float64Range(0, 180).Draw(t, "angle"))
		set, err := WrenchSetting(want, hand, adapter, angle)
		if err != nil {
			t.Fatal(err)
		}
		back, err := TorqueAtBolt(set, hand, adapter, angle)
		if err != nil || !near(float64(back), float64(want), 1e-12) {
			t.Fatalf("setting %v gives %v, want %v (%v)", set, back, want, err)
		}
		mirrored, _ := WrenchSetting(want, hand, adapter, -angle)
		if !near(float64(mirrored), float64(set), 1e-12) {
			t.Fatalf("to the left %v, to the right %v", mirrored, set)
		}
		straight, _ := WrenchSetting(want, hand, adapter, 0)
		across, _ := WrenchSetting(want, hand, adapter, quantity.Degrees(90))
		if !(straight < want) || !near(float64(across), float64(want), 1e-9) || set < straight {
			t.Fatalf("straight %v, across %v, want %v", straight, across, want)
		}
	})
}

func TestAnAdapterThatTellsNothingIsRefused(t *testing.T) {
	for name, test := range map[string]struct {
		hand, adapter, angle float64
	}{
		"no handle":               {0, 0.05, 0},
		"a handle below nothing":  {-0.4, 0.05, 0},
		"an adapter below":        {0.4, -0.05, 0},
		"the bolt under the hand": {0.4, 0.4, 180},
	} {
		t.Run(name, func(t *testing.T) {
			if got, err := WrenchSetting(10, quantity.Length(test.hand), quantity.Length(test.adapter), quantity.Degrees(test.angle)); err == nil {
				t.Errorf("answered %v", got)
			}
		})
	}
}

func TestAWrenchIsJudgedByRangeCheckAndFalls(t *testing.T) {
	ok := Wrench{Min: 20, Max: 100, DaysSinceCheck: 100}
	for _, test := range []struct {
		name    string
		change  func(w *Wrench)
		setting quantity.Torque
		want    Fitness
	}{
		{"in range", func(*Wrench) {}, 50, Fits},
		{"at the top", func(*Wrench) {}, 100, Fits},
		{"at the bottom", func(*Wrench) {}, 20, Fits},
		{"above", func(*Wrench) {}, 101, Unfit},
		{"below", func(*Wrench) {}, 19, Unfit},
		{"marked below a fifth", func(w *Wrench) { w.Min = 10 }, 15, Limited},
		{"checked too long ago", func(w *Wrench) { w.DaysSinceCheck = 400 }, 50, Limited},
		{"never checked", func(w *Wrench) { w.DaysSinceCheck = -1 }, 50, Limited},
		{"dropped", func(w *Wrench) { w.Dropped = true }, 50, Unfit},
		{"dropped and unchecked", func(w *Wrench) { w.Dropped, w.DaysSinceCheck = true, -1 }, 50, Unfit},
	} {
		t.Run(test.name, func(t *testing.T) {
			w := ok
			test.change(&w)
			v := WrenchFit(w, test.setting)
			if v.Fitness != test.want || (v.Fitness == Fits) != (len(v.Reasons) == 0) {
				t.Errorf("got %s %q, want %s", v.Fitness, v.Reasons, test.want)
			}
			if !(v.Low < test.setting && test.setting < v.High) {
				t.Errorf("the band %v to %v does not hold %v", v.Low, v.High, test.setting)
			}
		})
	}
}

func TestTheStandardAllowsEachKindOfWrenchItsError(t *testing.T) {
	for _, test := range []struct {
		kind    WrenchKind
		largest quantity.Torque
		want    float64
	}{{"", 100, 0.04}, {Click, 100, 0.04}, {Click, 10, 0.06}, {Dial, 100, 0.04}, {Beam, 100, 0.06}, {Screwdriver, 5, 0.06}} {
		if got := StandardAccuracy(test.kind, test.largest); got != test.want {
			t.Errorf("%q to %v: got %g, want %g", test.kind, test.largest, got, test.want)
		}
	}
	own := WrenchFit(Wrench{Kind: Beam, Min: 10, Max: 100, Accuracy: 0.02}, 50)
	if own.Accuracy != 0.02 {
		t.Errorf("its own accuracy is 0.02, reckoned with is %g", own.Accuracy)
	}
}

func TestGradesAreStrongerAboveProof(t *testing.T) {
	for _, name := range GradeNames() {
		g, err := FindGrade(name)
		if err != nil {
			t.Fatal(err)
		}
		for _, r := range g.ranges {
			if s := r.strength; !(s.Proof < s.Yield && s.Yield < s.Ultimate) {
				t.Errorf("%s: %+v", name, s)
			}
		}
	}
	for _, text := range []string{"8.8", "class 8.8", "8,8", "Grade 5", "SAE 5", "a2-70", "A4 80", "ASTM A325"} {
		if _, err := FindGrade(text); err != nil {
			t.Error(err)
		}
	}
	for _, test := range []struct {
		grade, thread string
		known         bool
	}{{"8.8", "M8", true}, {"8.8", "5/16-18", false}, {"SAE 5", "M8", false}, {"A2-70", "5/16-18", true}, {"B7", "M16", true}, {"9.8", "M20", false}, {"A490", "1/4-20", false}} {
		g, err := FindGrade(test.grade)
		if err != nil {
			t.Fatal(err)
		}
		thread, err := ParseThread(test.thread)
		if err != nil {
			t.Fatal(err)
		}
		if _, err := g.Strength(thread); (err == nil) != test.known {
			t.Errorf("%s of %s: %v", test.thread, test.grade, err)
		}
	}
	if _, err := FindGrade("7.7"); err == nil {
		t.Error("class 7.7 is known")
	}
}
