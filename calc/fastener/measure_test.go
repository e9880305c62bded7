package fastener

import (
	"math"
	"testing"

	"lastbolt/quantity"
)

func TestAPitchIsReadFromAGauge(t *testing.T) {
	for _, test := range []struct {
		text string
		want float64 // mm, 0 when refused
	}{
		{"1.25", 1.25}, {"1,25 mm", 1.25}, {"0.8mm", 0.8}, {"6", 6}, {"18", 25.4 / 18}, {"18 tpi", 25.4 / 18}, {"4.5 per inch", 25.4 / 4.5},
		{"20 TPI", 1.27}, {"", 0}, {"0", 0}, {"-1", 0}, {"fine", 0}, {"1.25 in", 0},
	} {
		got, err := parsePitch(test.text)
		if (err != nil) != (test.want == 0) || math.Abs(got.In(quantity.Millimetre)-test.want) > 1e-9 {
			t.Errorf("%q: got %v, %v, want %g mm", test.text, got, err, test.want)
		}
	}
}

func TestTheHeadAloneDoesNotGiveTheThread(t *testing.T) {
	for _, test := range []struct {
		flats float64
		has   []string
	}{
		{10, []string{"M6", "M8"}},
		{13, []string{"M8", "M10", "5/16-18 UNC"}},
		{14, []string{"M10"}},
		{17, []string{"M10", "M12"}},
		{19, []string{"M12", "M14", "1/2-13 UNC"}},
	} {
		names := map[string]bool{}
		for _, c := range Identify(Reading{Flats: mm(test.flats)}) {
			names[c.Thread.Name] = true
		}
		for _, want := range test.has {
			if !names[want] {
				t.Errorf("%g mm across flats: %s is not among %v", test.flats, want, names)
			}
		}
	}
	if got := Identify(Reading{}); got != nil {
		t.Errorf("a reading of nothing gives %v", got)
	}
}

func FuzzParsePitch(f *testing.F) {
	for _, seed := range []string{"1.25 mm", "18 tpi", "4,5 per inch", "0", "1e9", "99999999999999999999"} {
		f.Add(seed)
	}
	f.Fuzz(func(t *testing.T, text string) {
		pitch, err := parsePitch(text)
		if err != nil {
			return
		}
		if mm := pitch.In(quantity.Millimetre); !(mm > 0) || math.IsInf(mm, 0) {
			t.Errorf("%q is read as a pitch of %g mm", text, mm)
		}
	})
}
