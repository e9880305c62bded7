package fastener_test

import (
	"maps"
	"strings"
	"testing"

	"lastbolt/calc"
	"lastbolt/calc/fastener"
	"lastbolt/fault"
)

// run runs a calculation on inputs written one after the other as name, value.
func run(t *testing.T, name string, pairs ...string) (*calc.Outcome, error) {
	t.Helper()
	d, err := calc.NewRegistry(fastener.Group).Find(name)
	if err != nil {
		t.Fatal(err)
	}
	given := map[string]string{}
	for i := 0; i < len(pairs); i += 2 {
		given[pairs[i]] = pairs[i+1]
	}
	return d.Run(given)
}

func TestEveryCalculationAnswersItsExample(t *testing.T) {
	for _, d := range fastener.Group.Calculations() {
		t.Run(d.Name, func(t *testing.T) {
			if len(d.Example) == 0 || d.Method == "" {
				t.Fatal("no example or no method")
			}
			out, err := d.Run(d.Example)
			if err != nil {
				t.Fatal(fault.Say(err))
			}
			if len(out.Steps) == 0 && len(out.Verdicts) == 0 {
				t.Error("the example shows neither working nor verdict")
			}
			for _, r := range out.Results {
				if r.Band && !(r.Low <= r.Likely && r.Likely <= r.High) {
					t.Errorf("%s: the band %v to %v does not hold %v", r.Output.Name, r.Low, r.High, r.Likely)
				}
			}
			for _, v := range out.Verdicts {
				if !strings.HasSuffix(v.Say, ".") || strings.Contains(v.Say, "%!") {
					t.Errorf("verdict %q", v.Say)
				}
			}
			for _, s := range out.Steps {
				if strings.Contains(s.Formula+s.Filled, "%!") || strings.Contains(s.Filled, "NaN") {
					t.Errorf("step %+v", s)
				}
			}
		})
	}
}

// Every example with one input spoiled must be refused in a sentence, never
// answered and never a mistake of the program.
func TestSpoiledInputsAreRefusedInASentence(t *testing.T) {
	bad := map[string][]string{
		"length": {"-1 mm", "3 N·m", "1e9 km", "mm"}, "torque": {"-5 N·m", "5 mm", "lots"}, "force": {"-1 kN", "1 kg"},
		"angle": {"1000°", "5 mm"}, calc.Choice: {"none such"}, calc.Count: {"-1", "1.5"}, calc.Number: {"-1", "x"}, calc.YesNo: {"perhaps"},
		calc.Table: {"-1 mm; 2", "x"}, "mass": {"-1 kg"}, "pressure": {"-1 MPa"}, "stiffness": {"-1 N/mm"},
	}
	for _, d := range fastener.Group.Calculations() {
		for _, in := range d.Inputs {
			values := bad[in.Kind]
			if in.Name == "thread" {
				values = []string{"M8x30", "M7.77", "5/16-19", "bolt", "M8x-1"}
			}
			for _, value := range values {
				t.Run(d.Name+"/"+in.Name+"="+value, func(t *testing.T) {
					given := maps.Clone(d.Example)
					given[in.Name] = value
					_, err := d.Run(given)
					if !fault.Is(err, fault.Bad) || !strings.HasSuffix(strings.TrimSpace(fault.Say(err)), ".") {
						t.Errorf("got %v, want a refusal in a sentence", err)
					}
				})
			}
		}
	}
}

func TestSafetyCriticalJointsGetNoAdvice(t *testing.T) {
	for _, joint := range fastener.SafetyJoints {
		if !fastener.SafetyCritical(joint) {
			t.Errorf("%s is not safety-critical", joint)
		}
		_, err := run(t, "torque-advice", "joint", joint, "thread", "M8", "class", "8.8", "tapped", "mild steel")
		if err == nil || !strings.Contains(fault.Say(err), "maker's document") {
			t.Errorf("%s: got %v", joint, err)
		}
		_, err = run(t, "turn-of-nut", "joint", joint, "thread", "M8", "class", "8.8", "grip", "200 mm")
		if err == nil || !strings.Contains(fault.Say(err), "maker's document") {
			t.Errorf("%s: got %v", joint, err)
		}
	}
	if _, err := run(t, "torque-advice", "thread", "M8", "class", "8.8", "tapped", "mild steel"); err == nil {
		t.Error("advice is given without saying what the bolt holds")
	}
}

func TestAdviceIsABandLabelledAsAdvice(t *testing.T) {
	out, err := run(t, "torque-advice", "joint", "other", "thread", "M6", "class", "8.8", "tapped", "cast aluminium", "engagement", "12 mm")
	if err != nil {
		t.Fatal(fault.Say(err))
	}
	r, _ := out.Result("torque")
	if r.Basis != calc.Advice || r.Point || !r.Band || !(r.Low < r.High) {
		t.Errorf("got %+v", r)
	}
	if !strings.Contains(strings.Join(out.Cautions, " "), "look the maker's value up first") {
		t.Errorf("cautions: %q", out.Cautions)
	}
}

func TestTheWeakerLimitDecidesTheAdvice(t *testing.T) {
	for _, test := range []struct{ engagement, tapped, class, decides string }{
		{"12 mm", "mild steel", "8.8", "the bolt"},
		{"6 mm", "cast aluminium", "10.9", "the thread in cast aluminium"},
		{"12 mm", "plastic", "8.8", "the thread in reinforced plastic"},
		{"12 mm", "soft plastic", "not known", "the thread in unreinforced plastic"},
	} {
		t.Run(test.tapped, func(t *testing.T) {
			out, err := run(t, "torque-advice", "joint", "other", "thread", "M6", "class", test.class, "tapped", test.tapped, "engagement", test.engagement)
			if err != nil {
				t.Fatal(fault.Say(err))
			}
			if r, _ := out.Result("decides"); !strings.HasPrefix(r.Text, test.decides) {
				t.Errorf("got %q, want %q", r.Text, test.decides)
			}
		})
	}
}

func TestVerdictsOfStretchBolts(t *testing.T) {
	for _, test := range []struct {
		name, answer string
		pairs        []string
	}{
		{"nothing known", "replace", nil},
		{"measured without a limit", "replace", []string{"length", "145 mm"}},
		{"limit without a measurement", "replace", []string{"length_limit", "146 mm"}},
		{"within", "use again", []string{"length", "145 mm", "length_limit", "146 mm"}},
		{"at the limit", "use again", []string{"length", "146 mm", "length_limit", "146 mm"}},
		{"too long", "replace", []string{"length", "146.1 mm", "length_limit", "146 mm"}},
		{"neck within", "use again", []string{"neck", "9.3 mm", "neck_limit", "9.2 mm"}},
		{"neck too thin", "replace", []string{"neck", "9.1 mm", "neck_limit", "9.2 mm"}},
		{"one within, one not", "replace", []string{"length", "145 mm", "length_limit", "146 mm", "neck", "9.1 mm", "neck_limit", "9.2 mm"}},
		{"single use, though within", "replace", []string{"single_use", "yes", "length", "145 mm", "length_limit", "146 mm"}},
		{"damaged, though within", "replace", []string{"damaged", "yes", "length", "145 mm", "length_limit", "146 mm"}},
	} {
		t.Run(test.name, func(t *testing.T) {
			out, err := run(t, "stretch-bolt", test.pairs...)
			if err != nil {
				t.Fatal(fault.Say(err))
			}
			if r, _ := out.Result("answer"); r.Text != test.answer {
				t.Errorf("got %q, want %q", r.Text, test.answer)
			}
		})
	}
	_, err := run(t, "stretch-bolt", "length", "150 mm", "length_new", "146 mm", "length_limit", "145 mm")
	if err == nil {
		t.Error("a limit below a new bolt's length is answered")
	}
}

func TestWhatPartsAreNamedWhenTheyContradict(t *testing.T) {
	for _, test := range []struct {
		calculation, input, say string
		pairs                   []string
	}{
		{"bolt-strength", "class", "A325 is for 0.5 to 1.5 in", []string{"thread", "1/4-20", "class", "A325"}},
		{"bolt-and-hole", "bottom", "less than the thread", []string{"thread", "M6", "length", "20 mm", "grip", "5 mm", "thread_depth", "15 mm", "bottom", "10 mm"}},
		{"bolt-and-hole", "countersink", "leaves no thread", []string{"thread", "M6", "length", "20 mm", "grip", "5 mm", "thread_depth", "5 mm", "countersink", "5 mm"}},
		{"angle-tightening", "shank", "longer than the 20 mm clamped", []string{"thread", "M8", "preload", "5 kN", "grip", "20 mm", "shank", "30 mm"}},
		{"turn-of-nut", "grip", "use a torque wrench", []string{"joint", "other", "thread", "M12", "class", "8.8", "grip", "10 mm"}},
		{"turn-of-nut", "gasket", "use a torque wrench", []string{"joint", "other", "thread", "M12", "class", "8.8", "grip", "100 mm", "gasket", "yes"}},
		{"torque-short", "preload", "would tear M8", []string{"thread", "M8", "preload", "40 kN", "class", "8.8"}},
		{"preload-long", "torque", "would tear M8", []string{"thread", "M8", "torque", "90 N·m", "class", "8.8"}},
		{"torque-and-angle", "torque", "would tear the bolt", []string{"thread", "M8", "class", "8.8", "torque", "90 N·m", "angle", "90°", "grip", "50 mm"}},
		{"torque-long", "face", "not wider than the hole", []string{"thread", "M8", "preload", "10 kN", "face", "8.5 mm", "hole", "9 mm"}},
		{"prevailing-torque", "running", "nothing would clamp", []string{"torque", "10 N·m", "running", "12 N·m", "included", "yes"}},
		{"wrench-fit", "smallest", "is not below the largest", []string{"setting", "10 N·m", "smallest", "50 N·m", "largest", "20 N·m"}},
		{"wrench-setting", "adapter", "under the hand", []string{"torque", "10 N·m", "hand", "300 mm", "adapter", "300 mm", "angle", "180°"}},
		{"scale-on-handle", "distance", "more than the scale has", []string{"torque", "400 N·m", "distance", "300 mm"}},
		{"breaker-bar", "pipe", "breaks it", []string{"bar", "500 mm", "pipe", "500 mm", "tool", "torque wrench", "thread", "M10", "class", "8.8"}},
		{"thread-insert", "boss", "leaves no wall", []string{"thread", "M8", "class", "8.8", "tapped", "cast aluminium", "boss", "9 mm"}},
		{"thread-from-measure", "", "Nothing was measured", nil},
		{"thread-from-measure", "", "goes with all of that", []string{"outside", "8 mm", "pitch", "3 mm"}},
		{"thread-from-measure", "pitch", "is not a pitch", []string{"pitch", "coarse"}},
		{"which-bolt-where", "bolts", "at most 200", []string{"thread", "M6", "bolts", "20 mm; 60|25 mm; 60|30 mm; 60|35 mm; 60", "holes", "1; 5 mm; 10 mm"}},
		{"joint-load", "clamped", "shares nothing", []string{"thread", "M8", "preload", "5 kN", "load", "1 kN", "grip", "20 mm", "clamped", "rigid"}},
	} {
		t.Run(test.calculation+"/"+test.say, func(t *testing.T) {
			_, err := run(t, test.calculation, test.pairs...)
			problems := calc.ProblemsOf(err)
			if len(problems) != 1 || problems[0].Input != test.input || !strings.Contains(problems[0].Say, test.say) {
				t.Errorf("got %+v, want %q of input %q", problems, test.say, test.input)
			}
		})
	}
}
