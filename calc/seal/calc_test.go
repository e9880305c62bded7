package seal_test

import (
	"strings"
	"testing"

	"lastbolt/calc"
	"lastbolt/calc/seal"
)

func run(t *testing.T, name string, given map[string]string) *calc.Outcome {
	t.Helper()
	d, err := calc.NewRegistry(seal.Group).Find(name)
	if err != nil {
		t.Fatal(err)
	}
	out, err := d.Run(given)
	if err != nil {
		t.Fatalf("%s %v: %v", name, given, err)
	}
	return out
}

func TestEveryExampleAnswersWithAVerdictOrAValueAndWorking(t *testing.T) {
	for _, d := range seal.Group.Calculations() {
		out, err := d.Run(d.Example)
		if err != nil {
			t.Errorf("%s: %v", d.Name, err)
			continue
		}
		if len(out.Results) < 3 || d.Method == "" {
			t.Errorf("%s: %d results, method %q", d.Name, len(out.Results), d.Method)
		}
		for _, f := range out.Figures {
			if f.Alt == "" || f.Title == "" || len(f.Shapes) < 3 || f.MaxX <= f.MinX || f.MaxY <= f.MinY {
				t.Errorf("%s: figure %q shows nothing", d.Name, f.Title)
			}
			for _, s := range f.Shapes {
				for _, p := range s.Path {
					if p.X < f.MinX || p.X > f.MaxX || p.Y < f.MinY || p.Y > f.MaxY {
						t.Errorf("%s: %q draws at %v, outside its frame", d.Name, f.Title, p)
					}
				}
			}
		}
	}
}

func TestWrongRingNamesWhatWouldDo(t *testing.T) {
	// A ring of 2.62 mm in a groove cut for 3.53 mm does not reach the bore.
	d, err := calc.NewRegistry(seal.Group).Find("o-ring-gland")
	if err != nil {
		t.Fatal(err)
	}
	given := map[string]string{"size": "120", "seat": "piston", "groove": "25.6 mm", "mate": "31.35 mm", "width": "4.95 mm"}
	if _, err := d.Run(given); err == nil || !strings.Contains(err.Error(), "nothing squeezes it") || !strings.Contains(err.Error(), "3.7") {
		t.Errorf("a ring too thin for its groove: %v", err)
	}
	given["size"] = "25x4"
	out := run(t, "o-ring-gland", given)
	instead, ok := out.Result("instead")
	if !ok || out.Verdicts[0].Level == calc.Good {
		t.Fatalf("a ring too thick for its groove is judged %+v and nothing is proposed", out.Verdicts)
	}
	found := false
	for _, row := range instead.Rows {
		found = found || row[0].Text == "AS568-214"
	}
	if !found {
		t.Errorf("AS568-214 is not proposed: %+v", instead.Rows)
	}
}

func TestColdAndHotAreJudged(t *testing.T) {
	given := map[string]string{"size": "214", "seat": "face", "depth": "3.3 mm", "depth_tolerance": "0.05 mm", "width": "4.8 mm", "material": "VMQ", "cold": "-40 °C"}
	out := run(t, "o-ring-gland", given)
	if out.Verdicts[0].Level == calc.Good {
		t.Errorf("a ring hardly squeezed that shrinks in the cold is judged good: %+v", out.Verdicts)
	}
	full := map[string]string{"size": "214", "seat": "face", "depth": "2.6 mm", "width": "4.1 mm", "material": "FKM", "hot": "180 °C", "swell": "12"}
	hot := run(t, "o-ring-gland", full)
	if hot.Verdicts[0].Level != calc.Bad || !strings.Contains(hot.Verdicts[0].Say+hot.Verdicts[1].Say, "fill") {
		t.Errorf("a groove filled over when hot is judged %+v", hot.Verdicts)
	}
}

func TestLabelGoesBeforeTheEstimate(t *testing.T) {
	out := run(t, "sealant-cure", map[string]string{"temperature": "5 °C", "label_fluid": "2 h"})
	r, _ := out.Result("fluid")
	if r.Basis != calc.Maker || r.Band || r.Likely != 7200 {
		t.Errorf("the label's 2 h are answered as %+v", r)
	}
	if e, _ := out.Result("close"); e.Basis != calc.Advice || !e.Band {
		t.Errorf("an estimate looks like a specification: %+v", e)
	}
}

func TestMissingInputsAreAskedForByName(t *testing.T) {
	for name, test := range map[string]struct {
		calculation string
		given       map[string]string
		input       string
	}{
		"no ring":             {"o-ring-gland", map[string]string{"depth": "2 mm"}, "inside"},
		"no section":          {"o-ring-gland", map[string]string{"inside": "20 mm", "depth": "2 mm"}, "section"},
		"no depth":            {"o-ring-gland", map[string]string{"size": "214"}, "depth"},
		"no groove":           {"o-ring-gland", map[string]string{"size": "214", "seat": "piston"}, "groove"},
		"no bore":             {"o-ring-gland", map[string]string{"size": "214", "seat": "piston", "groove": "25.6 mm"}, "mate"},
		"no rod":              {"o-ring-gland", map[string]string{"size": "214", "seat": "rod", "groove": "31 mm"}, "mate"},
		"unreadable size":     {"o-ring-gland", map[string]string{"size": "large", "depth": "2 mm"}, "size"},
		"ring without cord":   {"o-ring-recognise", map[string]string{"inside": "20 mm"}, "section"},
		"ring without inside": {"o-ring-recognise", map[string]string{"section": "2 mm"}, "inside"},
		"swapped heat":        {"seal-material", map[string]string{"material": "NBR", "fluid": "water", "cold": "50 °C", "hot": "10 °C"}, "cold"},
		"outline twice":       {"sealant-bead", map[string]string{"perimeter": "100 mm", "lengths": "50"}, "perimeter"},
		"outline not at all":  {"sealant-bead", map[string]string{"bead": "3 mm"}, "perimeter"},
		"all in one place":    {"sealant-bead", map[string]string{"points": "5; 5|5; 5"}, "points"},
		"half a ring gasket":  {"gasket-seating", map[string]string{"outside": "100 mm"}, "inside"},
		"no gasket":           {"gasket-seating", map[string]string{"pressure": "1 bar"}, "outside"},
		"area missing":        {"gasket-seating", map[string]string{"line": "500 mm", "width": "10 mm", "pressure": "1 bar"}, "area"},
	} {
		d, err := calc.NewRegistry(seal.Group).Find(test.calculation)
		if err != nil {
			t.Fatal(err)
		}
		_, err = d.Run(test.given)
		problems := calc.ProblemsOf(err)
		if len(problems) == 0 || problems[0].Input != test.input {
			t.Errorf("%s: %+v, want a problem of %q", name, problems, test.input)
		}
	}
}

func TestGasketThatIsNotRoundIsComputed(t *testing.T) {
	round := run(t, "gasket-seating", map[string]string{"outside": "100 mm", "inside": "80 mm", "pressure": "2.5 bar", "bolts": "4", "preload": "2 kN"})
	// The same gasket told by its middle line: π · 90 mm long, 10 mm wide.
	line := run(t, "gasket-seating", map[string]string{"line": "282.743 mm", "width": "10 mm", "area": "63.617 cm²", "pressure": "2.5 bar", "bolts": "4", "preload": "2 kN"})
	for _, name := range []string{"seating", "working", "stress"} {
		a, _ := round.Result(name)
		b, _ := line.Result(name)
		if b.Likely < 0.999*a.Likely || b.Likely > 1.001*a.Likely {
			t.Errorf("%s: round %g, by its line %g", name, a.Likely, b.Likely)
		}
	}
	if round.Verdicts[0].Level != calc.Bad {
		t.Errorf("8 kN of bolts on a gasket that needs 10.7 kN are judged %+v", round.Verdicts)
	}
}

func FuzzSized(f *testing.F) {
	for _, seed := range []string{"214", "-014", "AS568-325", "20x2.65", "58 × 5,3 mm", "JIS P22A", "g50", "", "x", "1e9x2", "0x0"} {
		f.Add(seed)
	}
	f.Fuzz(func(t *testing.T, text string) {
		r, err := seal.Sized(text)
		if err != nil {
			if !strings.HasSuffix(err.Error(), ".") {
				t.Errorf("Sized(%q): %q is no sentence", text, err)
			}
			return
		}
		if r.Inside.Min() <= -r.Inside.Tolerance || r.Section.Nominal <= 0 || r.Name == "" {
			t.Errorf("Sized(%q) = %+v", text, r)
		}
		again, err := seal.Sized(r.Name)
		if err != nil || again.Inside != r.Inside || again.Section != r.Section {
			t.Errorf("Sized(%q) gives %q, which reads as %+v, %v", text, r.Name, again, err)
		}
	})
}
