package fastener

import (
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"lastbolt/quantity"
)

func TestAThreadIsReadInItsManySpellings(t *testing.T) {
	for _, test := range []struct {
		text, name string
		major      float64 // mm
		pitch      float64 // mm
		series     Series
	}{
		{"M8", "M8", 8, 1.25, Coarse},
		{"m8", "M8", 8, 1.25, Coarse},
		{"M 8", "M8", 8, 1.25, Coarse},
		{"M8x1.25", "M8", 8, 1.25, Coarse},
		{"M8-1.25", "M8", 8, 1.25, Coarse},
		{"M8x1", "M8×1", 8, 1, Fine},
		{"M8 x 1.0", "M8×1", 8, 1, Fine},
		{"M8 fine", "", 0, 0, ""},
		{"M6 fine", "M6×0.75", 6, 0.75, Fine},
		{"M10×1,25", "M10×1.25", 10, 1.25, Fine},
		{"M10 X 1.25 - 6g", "M10×1.25", 10, 1.25, Fine},
		{"M8-6g", "M8", 8, 1.25, Coarse},
		{"M8x1.25x30", "M8", 8, 1.25, Coarse},
		{"M12*1.5", "M12×1.5", 12, 1.5, Fine},
		{"M14x1.25", "M14×1.25", 14, 1.25, Fine},
		{"M2.5", "M2.5", 2.5, 0.45, Coarse},
		{"M8x0.5", "M8×0.5", 8, 0.5, Special},
		{"M64", "M64", 64, 6, Coarse},
		{"5/16-18 UNC", "5/16-18 UNC", 7.9375, 25.4 / 18, Coarse},
		{"5/16\"-18", "5/16-18 UNC", 7.9375, 25.4 / 18, Coarse},
		{"0.3125-18", "5/16-18 UNC", 7.9375, 25.4 / 18, Coarse},
		{"1/2-20 UNF", "1/2-20 UNF", 12.7, 1.27, Fine},
		{"1/2-20 UNF-2A", "1/2-20 UNF", 12.7, 1.27, Fine},
		{"½-20", "1/2-20 UNF", 12.7, 1.27, Fine},
		{"1/4 UNF", "1/4-28 UNF", 6.35, 25.4 / 28, Fine},
		{"#10-32", "#10-32 UNF", 4.826, 25.4 / 32, Fine},
		{"10-32", "#10-32 UNF", 4.826, 25.4 / 32, Fine},
		{"No. 10-24", "#10-24 UNC", 4.826, 25.4 / 24, Coarse},
		{"#0-80", "#0-80 UNF", 1.524, 25.4 / 80, Fine},
		{"1-8 UNC", "1-8 UNC", 25.4, 25.4 / 8, Coarse},
		{"1-1/8-7", "1 1/8-7 UNC", 28.575, 25.4 / 7, Coarse},
		{"1 1/8-12 UNF", "1 1/8-12 UNF", 28.575, 25.4 / 12, Fine},
		{"1-14", "1-14 UN", 25.4, 25.4 / 14, Special},
		{"2-4.5 UNC", "2-4.5 UNC", 50.8, 25.4 / 4.5, Coarse},
	} {
		t.Run(test.text, func(t *testing.T) {
			got, err := ParseThread(test.text)
			if test.name == "" {
				if err == nil {
					t.Fatalf("read as %s, want a question which of two", got)
				}
				return
			}
			if err != nil {
				t.Fatal(err)
			}
			if got.Name != test.name || got.Series != test.series {
				t.Errorf("got %s %s, want %s %s", got.Name, got.Series, test.name, test.series)
			}
			if d, p := got.Major.In(quantity.Millimetre), got.Pitch.In(quantity.Millimetre); math.Abs(d-test.major) > 1e-9 || math.Abs(p-test.pitch) > 1e-9 {
				t.Errorf("got %g by %g mm, want %g by %g", d, p, test.major, test.pitch)
			}
		})
	}
}

func TestAThreadThatCannotBeIsRefusedInASentence(t *testing.T) {
	for text, say := range map[string]string{
		"":                               "is not a thread",
		"bolt":                           "is not a thread",
		"M8x30":                          "coarser than the bolt is thick",
		"M8x1.5":                         "M8 has 1.25 mm (coarse), 1 mm and 0.75 mm",
		"M8x0":                           "a pitch above nothing",
		"M0":                             "a diameter above nothing",
		"M0x1":                           "a diameter above nothing",
		"M13":                            "the nearest is M12",
		"M13x1.5":                        "the nearest is M12",
		"M15":                            "there is no coarse M15",
		"M8x1.1":                         "there is no M8 with a pitch of 1.1 mm",
		"5/16-19":                        "5/16 has 18 (UNC), 24 (UNF) and 32 (UNEF)",
		"5/16-24 UNC":                    "5/16 has 18 (UNC)",
		"1/2-1":                          "coarser than the bolt is thick",
		"1/0-20":                         "is not a size in inches",
		"0/4-20":                         "a diameter above nothing",
		"3/10-20":                        "the nearest is",
		"#13-20":                         "they are #0 to #12",
		"G1/4":                           "pipe",
		"M-8":                            "is not a thread",
		"M8x-1":                          "is not a thread",
		"M8x1x1x1x1x1x1":                 "is not a thread",
		strings.Repeat("9", 300) + "-20": "too long",
	} {
		t.Run(text, func(t *testing.T) {
			if got, err := ParseThread(text); err == nil || !strings.Contains(err.Error(), say) {
				t.Errorf("got %v, %v, want a refusal with %q", got, err, say)
			}
		})
	}
}

func TestEveryListedThreadReadsBackFromItsName(t *testing.T) {
	for _, thread := range append(Threads(Metric), Threads(Unified)...) {
		got, err := ParseThread(thread.Name)
		if err != nil || got != thread {
			t.Errorf("%s reads back as %+v, %v", thread.Name, got, err)
		}
	}
}

func TestAThreadsDiametersStandInOrder(t *testing.T) {
	all := append(Threads(Metric), Threads(Unified)...)
	rapid.Check(t, func(t *rapid.T) {
		thread := rapid.SampledFrom(all).Draw(t, "thread")
		d3, d1, d2, d := thread.RootDiameter(), thread.InternalMinor(), thread.PitchDiameter(), thread.Major
		if !(0 < d3 && d3 < d1 && d1 < d2 && d2 < d) {
			t.Fatalf("%s: d3 %v, D1 %v, d2 %v, d %v", thread, d3, d1, d2, d)
		}
		if s := thread.StressDiameter(); !(d3 < s && s < d2) {
			t.Fatalf("%s: stress diameter %v is not between root %v and pitch diameter %v", thread, s, d3, d2)
		}
		if n, a := thread.NominalStressArea(), thread.StressArea(); math.Abs(float64(n/a-1)) > 0.005 {
			t.Fatalf("%s: nominal stress area %v, computed %v", thread, n, a)
		}
	})
}

func FuzzParseThread(f *testing.F) {
	for _, seed := range []string{"M8", "M10×1,25-6g", "5/16-18 UNC", "#10-32", "1 1/8-7", "1/4 UNF", "M8x1.25x30", "½-20", "M", "-", "1/0-1"} {
		f.Add(seed)
	}
	f.Fuzz(func(t *testing.T, text string) {
		thread, err := ParseThread(text)
		if err != nil {
			if thread != (Thread{}) {
				t.Errorf("%q is refused and yet gives %+v", text, thread)
			}
			return
		}
		again, err := ParseThread(thread.Name)
		if err != nil || again != thread {
			t.Errorf("%q gives %+v, whose name reads back as %+v, %v", text, thread, again, err)
		}
		if !(thread.Pitch > 0 && thread.RootDiameter() > 0 && thread.StressArea() > 0) {
			t.Errorf("%q gives a thread without substance: %+v", text, thread)
		}
	})
}
