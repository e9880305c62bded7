package tighten

import (
	"strings"
	"testing"

	"lastbolt/calc"
	"lastbolt/fault"
)

func definition(t *testing.T, name string) *calc.Definition {
	t.Helper()
	d, err := calc.NewRegistry(Group).Find(name)
	if err != nil {
		t.Fatal(err)
	}
	return d
}

func TestEveryExampleIsAnswered(t *testing.T) {
	for _, d := range Group.Calculations() {
		out, err := d.Run(d.Example)
		if err != nil {
			t.Errorf("%s: %s", d.Name, fault.Say(err))
			continue
		}
		if d.Name == "tightening-order" && (len(out.Figures) != 4 || len(out.Verdicts) == 0) {
			t.Errorf("%d figures, verdicts %v", len(out.Figures), out.Verdicts)
		}
	}
}

func TestClockPositionsAreThePlacesOnTheCircle(t *testing.T) {
	d := definition(t, "tightening-order")
	byClock, err := d.Run(map[string]string{"clock": "12, 3:00, 6, 9", "circle": "100 mm"})
	if err != nil {
		t.Fatal(fault.Say(err))
	}
	byPlace, err := d.Run(map[string]string{"bolts": "0;-50\n50;0\n0;50\n-50;0", "circle": "100 mm"})
	if err != nil {
		t.Fatal(fault.Say(err))
	}
	a, _ := byClock.Result("sequence")
	b, _ := byPlace.Result("sequence")
	if a.Text != "1-3-2-4" || b.Text != a.Text {
		t.Errorf("by clock %s, by place %s", a.Text, b.Text)
	}
}

func TestQuestionsThatCannotBeAnsweredAreRefusedInASentence(t *testing.T) {
	var many []string
	for range 500 {
		many = append(many, "1;2")
	}
	for _, test := range []struct {
		name, calculation, say string
		given                  map[string]string
	}{
		{"nothing", "tightening-order", "give the places of the bolts", nil},
		{"no circle", "tightening-order", "measure its diameter", map[string]string{"count": "6"}},
		{"both ways", "tightening-order", "give one or the other", map[string]string{"count": "6", "circle": "90 mm", "bolts": "1;2"}},
		{"count and clock", "tightening-order", "give one or the other", map[string]string{"count": "6", "circle": "90 mm", "clock": "3"}},
		{"no clock", "tightening-order", `"13" is no place on a clock`, map[string]string{"clock": "12, 13", "circle": "90 mm"}},
		{"twice on the clock", "tightening-order", "Bolts 1 and 2 are in the same place", map[string]string{"clock": "12, 12, 3", "circle": "90 mm"}},
		{"coincident", "tightening-order", "Bolts 1 and 2 are in the same place", map[string]string{"bolts": "1;2\n1;2"}},
		{"500 bolts", "tightening-order", "more than 100 rows", map[string]string{"bolts": strings.Join(many, "\n")}},
		{"500 on a circle", "tightening-order", "at most 100", map[string]string{"count": "500", "circle": "900 mm"}},
		{"negative length", "tightening-order", "line 2: Length", map[string]string{"bolts": "0;0;30\n50;0;-30"}},
		{"other order", "tightening-order", "it names 2 of 4 bolts", map[string]string{"count": "4", "circle": "90 mm", "compare": "1-2"}},
		{"order twice", "interaction-matrix", "bolt 1 is named twice", map[string]string{"count": "3", "order": "1-1-2"}},
		{"order beyond", "interaction-matrix", "there is no bolt 7", map[string]string{"count": "3", "order": "1-7-2"}},
		{"no share", "interaction-matrix", `"120" is no part of the load`, map[string]string{"count": "3", "passes": "120"}},
	} {
		t.Run(test.name, func(t *testing.T) {
			_, err := definition(t, test.calculation).Run(test.given)
			if !fault.Is(err, fault.Bad) || !strings.Contains(fault.Say(err), test.say) {
				t.Errorf("got %v", err)
			}
		})
	}
}

// Bolts all in a line, two bolts, a bolt in the middle, a lone outline: all have
// an answer.
func TestOddJointsAreAnswered(t *testing.T) {
	d := definition(t, "tightening-order")
	for name, given := range map[string]map[string]string{
		"in a line":        {"bolts": "0;0\n40;0\n80;0\n120;0\n160;0"},
		"two":              {"bolts": "0;0\n60;20"},
		"two in a line":    {"bolts": "0;0\n60;0", "line": "0;0\n60;0", "cover": "rigid"},
		"one in the midst": {"bolts": "0;0\n60;0\n120;0\n0;80\n60;80\n120;80\n60;40", "cover": "sheet"},
		"two rows":         {"bolts": "0;0\n60;0\n120;0\n180;0\n0;90\n60;90\n120;90\n180;90", "seal": "metal to metal"},
		"with outline":     {"bolts": "10;10\n90;10\n90;60\n10;60", "outline": "0;0\n100;0\n100;70\n0;70", "cover": "thin casting"},
		"bolts outside":    {"bolts": "-30;0\n130;0", "outline": "0;-30\n100;-30\n100;30\n0;30"},
		"one":              {"bolts": "5;5"},
		"huge and tiny":    {"bolts": "0;0\n0.2;0\n5000;3000\n5000;0\n9000;2000", "cover": "sheet"},
	} {
		out, err := d.Run(given)
		if err != nil {
			if name == "huge and tiny" && strings.Contains(fault.Say(err), "in the same place") {
				continue // a thousandth of the size apart is no place of its own
			}
			t.Errorf("%s: %s", name, fault.Say(err))
			continue
		}
		if r, ok := out.Result("lowest"); !ok || r.Likely < 0 || r.Likely > 101 {
			t.Errorf("%s: the least preload is %v", name, r.Show())
		}
	}
}
