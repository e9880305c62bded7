package access

import (
	"strings"
	"testing"
)

func TestASpotIsReadAndWrittenAlike(t *testing.T) {
	for text, want := range map[string]string{"20 x 15 mm": "20 x 15 mm", "20×15 mm": "20 x 15 mm", "1.5 x 0.25 in": "1.5 x 0.25 in", "0 x 12,5 mm": "0 x 12,5 mm"} {
		s, err := ParseSpot(text)
		if err != nil {
			t.Errorf("%q: %v", text, err)
			continue
		}
		again, err := ParseSpot(s.String())
		if err != nil || again.X.Value != s.X.Value || again.Y.Value != s.Y.Value {
			t.Errorf("%q is written as %q and read as %v, %v", text, s, again, err)
		}
		if !strings.Contains(text, "×") && s.String() != want && !strings.Contains(text, ",") {
			t.Errorf("%q is written as %q", text, s)
		}
	}
	for _, text := range []string{"", "20", "20 x 15", "x mm", "20 mm", "a x b mm", "20 mm x 15 mm"} {
		if s, err := ParseSpot(text); err == nil {
			t.Errorf("%q is read as %v", text, s)
		}
	}
}

func FuzzSpot(f *testing.F) {
	for _, text := range []string{"20 x 15 mm", "1 1/2 x 2 in", "0x0m", "-3 x 4 mm"} {
		f.Add(text)
	}
	f.Fuzz(func(t *testing.T, text string) {
		s, err := ParseSpot(text)
		if err != nil {
			return
		}
		again, err := ParseSpot(s.String())
		if err != nil || again != s {
			t.Errorf("%q is written as %q and read as %v, %v", text, s, again, err)
		}
	})
}

func TestPlacesThatCannotBeAreFound(t *testing.T) {
	const head = "format: lastbolt access map 1\nid: m\nname: M\nitems:\n  - id: a\n    name: A\n    ways:\n      - {id: off, minutes: {off: 1, on: 1}, fasteners: [{id: f, count: 2, at: "
	for at, want := range map[string]string{
		"[20 x 15 mm]":               "1 places and a count of 2",
		"[20 x 15 mm, 20 x 15 mm]":   "two pieces",
		"[20 x 15 mm, -5 x 15 mm]":   "not on a part",
		"[20 x 15 mm, somewhere]":    "as in 20 x 15 mm",
		"[20 x 15 mm, 900 x 900 km]": "not on a part",
	} {
		if _, err := Parse("m.yaml", []byte(head+at+"}]}\n")); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%s: got %v, want an error that says %q", at, err, want)
		}
	}
	m, err := Parse("m.yaml", []byte(head+"[20 x 15 mm, 40 x 15 mm]}]}\n"))
	if err != nil || len(m.Items[0].Ways[0].Fasteners.Items[0].At) != 2 {
		t.Errorf("two places: %v", err)
	}
}
