package fastener

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"lastbolt/quantity"
)

func anyStrength(t *rapid.T, thread Thread) (Grade, Strength) {
	g := rapid.SampledFrom(grades).Filter(func(g Grade) bool {
		_, err := g.Strength(thread)
		return err == nil && g.System == thread.System
	}).Draw(t, "class")
	s, err := g.Strength(thread)
	if err != nil {
		t.Fatal(err)
	}
	return g, s
}

// commonThread is a thread most grades are made in.
func commonThread(t *rapid.T) Thread {
	all := append(Threads(Metric), Threads(Unified)...)
	return rapid.SampledFrom(all).Filter(func(x Thread) bool {
		d := x.Major.In(quantity.Millimetre)
		return d >= 1.6 && d <= 38
	}).Draw(t, "thread")
}

func TestStripLoadGrowsWithEngagementAndMaterial(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		thread := commonThread(t)
		_, s := anyStrength(t, thread)
		le := thread.Major * quantity.Length(rapid.Float64Range(0.3, 3).Draw(t, "engagement"))
		shear := quantity.Pressure(rapid.Float64Range(10e6, 800e6).Draw(t, "shear"))
		a, err := StripCheck(thread, s, le, shear)
		if err != nil {
			t.Fatal(err)
		}
		b, _ := StripCheck(thread, s, 2*le, shear)
		c, _ := StripCheck(thread, s, le, 2*shear)
		if !near(float64(b.Internal), 2*float64(a.Internal), 1e-9) || !near(float64(b.External), 2*float64(a.External), 1e-9) || b.Bolt != a.Bolt {
			t.Fatalf("twice the engagement: %+v, once %+v", b, a)
		}
		if !near(float64(c.Internal), 2*float64(a.Internal), 1e-9) || c.External != a.External {
			t.Fatalf("twice the strength: %+v, once %+v", c, a)
		}
		at, _ := StripCheck(thread, s, a.Needed, shear)
		if !near(float64(min(at.Internal, at.External)), float64(at.Bolt), 1e-9) {
			t.Fatalf("at the engagement needed the threads strip at %v, the bolt tears at %v", min(at.Internal, at.External), at.Bolt)
		}
		if a.InternalArea <= a.ExternalArea {
			t.Fatalf("%s: the tapped thread's area %v is not above the bolt's %v", thread, a.InternalArea, a.ExternalArea)
		}
	})
}

// FED-STD-H28/2B, 90.1: a hollow part with a 1.500-8UN-2A thread, bore 0.792 in,
// and a nut with D1max 1.390 or 1.3775 in needs 0.777 or 0.714 in, so that the
// thread bears as much in shear as the part does in tension at half the stress.
func TestEngagementOfTheStandardsExample(t *testing.T) {
	thread, err := ParseThread("1 1/2-8")
	if err != nil {
		t.Fatal(err)
	}
	for _, test := range []struct{ minor, want float64 }{{1.390, 0.777}, {1.3775, 0.714}} {
		perInch := ExternalShearArea(thread.Pitch, quantity.Inches(1), quantity.Inches(1.4093), quantity.Inches(test.minor))
		hollow := thread.StressArea() - circle(quantity.Inches(0.792))
		if got := 2 * float64(hollow/perInch); math.Abs(got-test.want) > 0.0006 {
			t.Errorf("with D1max %g in: %.4f in, want %g", test.minor, got, test.want)
		}
	}
}

// Handbook of Bolts and Bolted Joints (1998): M10 at 69 600 N in an aluminium of
// 130 MPa, printed dmin 9.968 and D2max 9.206 mm, needs 21.6 mm.
func TestEngagementOfTheHandbooksExample(t *testing.T) {
	area := InternalShearArea(mm(1.5), mm(1), mm(9.968), mm(9.206))
	if got := 69600 / (float64(area) * 130e6); math.Abs(got-21.6) > 0.06 {
		t.Errorf("%.2f mm, want 21.6", got)
	}
}

func TestAdviceStaysBelowBothLimits(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		thread := commonThread(t)
		_, s := anyStrength(t, thread)
		le := thread.Major * quantity.Length(rapid.Float64Range(0.3, 3).Draw(t, "engagement"))
		shear := quantity.Pressure(rapid.Float64Range(10e6, 800e6).Draw(t, "shear"))
		k := rapid.Float64Range(0.08, 0.5).Draw(t, "K")
		a, err := AdviceTorque(thread, s, le, shear, k)
		if err != nil {
			t.Fatal(err)
		}
		// Friction a quarter lower than thought is still borne.
		worst := PreloadFrom(a.High, thread.Major, 0.75*k)
		strip, _ := StripCheck(thread, s, le, shear)
		if float64(worst) > float64(s.Safe())*float64(thread.NominalStressArea())*1.0001 || worst > min(strip.Internal, strip.External) {
			t.Fatalf("%+v pulls to %v at low friction; bolt %v, threads %v", a, worst, s, strip)
		}
		if !(0 < a.Low && a.Low < a.High) {
			t.Fatalf("band %v to %v", a.Low, a.High)
		}
		more, _ := AdviceTorque(thread, s, 1.5*le, shear, k)
		if more.High < a.High {
			t.Fatalf("more engagement lowers the advice from %v to %v", a.High, more.High)
		}
	})
}

func TestThePreloadBandHoldsWhatWasMeant(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		f := quantity.Newtons(rapid.Float64Range(1, 1e6).Draw(t, "preload"))
		share := func(name string, most float64) float64 { return rapid.Float64Range(0, most).Draw(t, name) }
		scatter, tool, lost := share("scatter", 0.9), share("tool", 0.3), share("lost", 0.5)
		n := rapid.IntRange(1, 50).Draw(t, "bolts")
		least, most, mean := PreloadBand(f, scatter, tool, lost, n)
		if !(0 < least && least <= f && f <= most && least <= mean*(1+1e-12)) {
			t.Fatalf("least %v, meant %v, most %v, mean %v", least, f, most, mean)
		}
		_, _, more := PreloadBand(f, scatter, tool, lost, 4*n)
		if more < mean {
			t.Fatalf("more bolts lower the mean from %v to %v", mean, more)
		}
	})
}

func TestAngleAndStretchFollowThePreload(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		thread := commonThread(t)
		grip := quantity.Metres(rapid.Float64Range(0.005, 0.5).Draw(t, "grip"))
		shank := grip * quantity.Length(rapid.Float64Range(0, 1).Draw(t, "shank"))
		bolt := BoltStiffness(thread, grip, shank, steelModulus)
		plain, threaded := BoltStiffness(thread, grip, grip, steelModulus), BoltStiffness(thread, grip, 0, steelModulus)
		if bolt < threaded*(1-1e-12) || bolt > plain*(1+1e-12) {
			t.Fatalf("stiffness %v is not between all thread %v and all shank %v", bolt, threaded, plain)
		}
		joint := JointStiffness(thread.Major, grip, 71e9)
		f := quantity.Newtons(rapid.Float64Range(10, 1e5).Draw(t, "preload"))
		if a, b := TightenAngle(thread, 3*f, bolt, joint), TightenAngle(thread, f, bolt, joint); !near(float64(a), 3*float64(b), 1e-12) {
			t.Fatalf("three times the preload turns %v, once %v", a, b)
		}
		rigid := TightenAngle(thread, f, bolt, JointStiffness(thread.Major, grip, 0))
		if soft := TightenAngle(thread, f, bolt, joint); !(rigid < soft) {
			t.Fatalf("a rigid joint turns %v, a soft one %v", rigid, soft)
		}
	})
}

func TestAHandsPullTurnsRound(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		torque := quantity.NewtonMetres(rapid.Float64Range(0.1, 1000).Draw(t, "torque"))
		handle := quantity.Metres(rapid.Float64Range(0.05, 2).Draw(t, "handle"))
		angle := quantity.Degrees(rapid.Float64Range(20, 160).Draw(t, "angle"))
		f, err := HandForce(torque, handle, angle)
		if err != nil {
			t.Fatal(err)
		}
		back, err := HandTorque(f, handle, angle)
		if err != nil || !near(float64(back), float64(torque), 1e-12) {
			t.Fatalf("%v becomes %v, %v", torque, back, err)
		}
		square, _ := HandForce(torque, handle, quantity.Degrees(90))
		if f < square*(1-1e-12) {
			t.Fatalf("a pull at %v takes %v, square %v", angle, f, square)
		}
	})
	for name, test := range map[string]struct{ handle, angle float64 }{"no handle": {0, 90}, "along": {0.3, 0}, "backwards": {0.3, -90}} {
		if _, err := HandForce(10, quantity.Length(test.handle), quantity.Degrees(test.angle)); err == nil {
			t.Errorf("%s is answered", name)
		}
	}
}

func TestTwistOffGrowsWithSizeAndClass(t *testing.T) {
	soft, _ := FindGrade("8.8")
	hard, _ := FindGrade("12.9")
	before := quantity.Torque(0)
	for _, size := range []string{"M3", "M4", "M5", "M6", "M8", "M10", "M12", "M16", "M20"} {
		thread, err := ParseThread(size)
		if err != nil {
			t.Fatal(err)
		}
		s, _ := soft.Strength(thread)
		h, _ := hard.Strength(thread)
		a, b := TwistOff(thread, soft, s), TwistOff(thread, hard, h)
		if !(a > before && b > a) {
			t.Errorf("%s: 8.8 twists off at %v, 12.9 at %v, the size below at %v", size, a, b, before)
		}
		before = a
	}
}

func TestAnInsertIsLargerThanItsBoltAndGrowsWithLength(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		thread := commonThread(t)
		length := thread.Major * quantity.Length(rapid.Float64Range(1, 3).Draw(t, "length"))
		i := InsertFor(thread, length)
		if !(thread.Major < i.Drill && i.Drill < i.PitchDiameter && i.PitchDiameter < i.Major) {
			t.Fatalf("%s: %+v", thread, i)
		}
		if !(length < i.TapDepth && i.TapDepth < i.DrillDepth && i.DrillDepth < i.PlugDepth) {
			t.Fatalf("%s: %+v", thread, i)
		}
	})
}

func TestAMeasuredBoltIsAmongItsCandidates(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		thread := rapid.SampledFrom(append(Threads(Metric), Threads(Unified)...)).Draw(t, "thread")
		limits := LimitsOf(thread)
		within := rapid.Float64Range(0, 1).Draw(t, "where")
		r := Reading{Outside: limits.MajorMin + (thread.Major-limits.MajorMin)*quantity.Length(within), Pitch: thread.Pitch}
		if heads := HeadSizes(thread); len(heads) > 0 && rapid.Bool().Draw(t, "head too") {
			r.Flats = rapid.SampledFrom(heads).Draw(t, "head").Flats
		}
		found := false
		all := Identify(r)
		for _, c := range all {
			found = found || c.Thread == thread
		}
		if !found {
			t.Fatalf("%s measured as %+v gives %v", thread, r, all)
		}
		loose := Identify(Reading{Outside: r.Outside})
		if len(loose) < len(all) {
			t.Fatalf("less is measured and fewer threads are left: %d, before %d", len(loose), len(all))
		}
	})
}
