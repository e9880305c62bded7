package fluid_test

import (
	"strings"
	"testing"

	"lastbolt/calc"
	"lastbolt/calc/fluid"
	"lastbolt/fault"
)

func find(t *testing.T, name string) *calc.Definition {
	t.Helper()
	d, err := calc.NewRegistry(fluid.Group).Find(name)
	if err != nil {
		t.Fatal(err)
	}
	return d
}

func TestEveryExampleIsAnswered(t *testing.T) {
	for _, d := range fluid.Group.Calculations() {
		t.Run(d.Name, func(t *testing.T) {
			out, err := d.Run(d.Example)
			if err != nil {
				t.Fatal(err)
			}
			said := append(out.Notes, out.Cautions...)
			for _, v := range out.Verdicts {
				said = append(said, v.Say)
			}
			for _, s := range said {
				if strings.Contains(s, "%%") || strings.Contains(s, "%!") {
					t.Errorf("badly printed: %q", s)
				}
			}
		})
	}
}

func TestBadInputIsRefusedInASentenceAboutIt(t *testing.T) {
	for _, c := range []struct {
		name, calculation string
		inputs            map[string]string
		about, says       string
	}{
		{"gear oil", "oil-grade-limits", map[string]string{"grade": "75W-90"}, "grade", "gear oils"},
		{"no such summer grade", "oil-grade-limits", map[string]string{"grade": "5W-35"}, "grade", "no grade 35"},
		{"a word", "oil-grade", map[string]string{"coldest": "-10 °C", "grade": "thick"}, "grade", "such as 5W-30"},
		{"thicker when hot", "oil-viscosity", map[string]string{"first": "8", "second": "60", "at": "60 °C"}, "second", "exchanged"},
		{"one temperature twice", "oil-viscosity", map[string]string{"first": "60", "second_at": "41 °C", "second": "59", "at": "60 °C"}, "second_at", "5 °C from the first"},
		{"too thin for the line", "oil-viscosity", map[string]string{"first": "3", "second": "1.1", "at": "60 °C"}, "second", "at least 2"},
		{"exchanged", "viscosity-index", map[string]string{"at40": "8", "at100": "50"}, "at40", "more than that at 100"},
		{"nothing known of the fluid", "brake-fluid", map[string]string{"type": "DOT 4"}, "", "how many years"},
		{"too much water", "brake-fluid", map[string]string{"water": "20"}, "water", "at most 8"},
		{"below a vacuum", "pressure-hold", map[string]string{"first": "-150 kPa", "second": "0 kPa", "passed": "5 min"}, "first", "below a full vacuum"},
		{"no time", "pressure-hold", map[string]string{"first": "100 kPa", "second": "90 kPa", "passed": "0 min"}, "passed", "time must have passed"},
		{"dates exchanged", "level-fall", map[string]string{"first_date": "2026-03-02", "first": "1 L", "second_date": "2026-03-01", "second": "1 L"}, "second_date", "after the first"},
		{"no openings", "catch-containers", map[string]string{"openings": ""}, "openings", "one row a line"},
		{"negative volume in a row", "catch-containers", map[string]string{"openings": "sump; oil; -4 L"}, "openings", "line 1"},
		{"filter larger than the fill", "oil-fill", map[string]string{"with_filter": "4 L", "filter": "4.5 L"}, "filter", "not less than"},
		{"drained a barrel", "oil-fill", map[string]string{"with_filter": "4 L", "drained": "20 L"}, "drained", "twice the fill"},
	} {
		t.Run(c.name, func(t *testing.T) {
			_, err := find(t, c.calculation).Run(c.inputs)
			if err == nil {
				t.Fatal("it was answered")
			}
			problems := calc.ProblemsOf(err)
			if !fault.Is(err, fault.Bad) || len(problems) != 1 || problems[0].Input != c.about || !strings.Contains(problems[0].Say, c.says) {
				t.Errorf("got %+v; want one problem about %q that says %q", problems, c.about, c.says)
			}
		})
	}
}

func TestAVerdictIsOfTheRightLevel(t *testing.T) {
	for _, c := range []struct {
		name, calculation string
		inputs            map[string]string
		want              calc.Level
	}{
		{"cold enough tested", "oil-grade", map[string]string{"coldest": "-25 °C", "grade": "10W-40"}, calc.Good},
		{"pumped but not cranked", "oil-grade", map[string]string{"coldest": "-28 °C", "grade": "10W-40"}, calc.Careful},
		{"not pumped", "oil-grade", map[string]string{"coldest": "-31 °C", "grade": "10W-40"}, calc.Bad},
		{"no W at all", "oil-grade", map[string]string{"coldest": "-5 °C", "grade": "30"}, calc.Careful},
		{"colder than any test", "oil-grade", map[string]string{"coldest": "-36 °C"}, calc.Bad},
		{"fresh", "brake-fluid", map[string]string{"type": "DOT 4", "age": "0.5"}, calc.Good},
		{"two years", "brake-fluid", map[string]string{"type": "DOT 4", "age": "1.6"}, calc.Careful},
		{"old", "brake-fluid", map[string]string{"type": "DOT 4", "age": "4"}, calc.Bad},
		{"measured below wet", "brake-fluid", map[string]string{"type": "DOT 4", "measured": "150 °C"}, calc.Bad},
		{"measured near new", "brake-fluid", map[string]string{"type": "DOT 4", "measured": "235 °C", "age": "5"}, calc.Good},
		{"water in silicone", "brake-fluid", map[string]string{"type": "DOT 5", "water": "1"}, calc.Bad},
		{"silicone by age", "brake-fluid", map[string]string{"type": "DOT 5", "age": "5"}, calc.Careful},
		{"only cooled", "pressure-hold", map[string]string{"first": "100 kPa", "second": "95.5 kPa", "passed": "10 min", "first_at": "24 °C", "second_at": "17 °C"}, calc.Good},
		{"leaks", "pressure-hold", map[string]string{"first": "100 kPa", "second": "80 kPa", "passed": "10 min"}, calc.Bad},
		{"too short", "pressure-hold", map[string]string{"first": "100 kPa", "second": "100 kPa", "passed": "1 min"}, calc.Careful},
		{"a vacuum that fills", "pressure-hold", map[string]string{"first": "-80 kPa", "second": "-60 kPa", "passed": "5 min"}, calc.Bad},
		{"rose by itself", "pressure-hold", map[string]string{"first": "100 kPa", "second": "110 kPa", "passed": "5 min"}, calc.Careful},
		{"proven loss", "level-fall", map[string]string{"first_date": "2026-03-01", "first": "400 mL", "second_date": "2026-03-11", "second": "300 mL"}, calc.Bad},
		{"not proven", "level-fall", map[string]string{"first_date": "2026-03-01", "first": "400 mL", "second_date": "2026-03-11", "second": "370 mL"}, calc.Careful},
		{"nothing lost", "level-fall", map[string]string{"first_date": "2026-03-01", "first": "400 mL", "second_date": "2026-03-11", "second": "400 mL"}, calc.Good},
		{"low already", "level-fall", map[string]string{"first_date": "2026-03-01", "first": "400 mL", "second_date": "2026-03-11", "second": "90 mL", "low": "100 mL"}, calc.Bad},
		{"runs over", "catch-containers", map[string]string{"openings": "sump; oil; 5 L; 4 L"}, calc.Bad},
		{"cannot be carried", "catch-containers", map[string]string{"openings": "sump; oil; 5 L; 5.5 L"}, calc.Careful},
		{"fuel in the oil", "oil-fill", map[string]string{"with_filter": "4 L", "drained": "5 L"}, calc.Bad},
		{"as much as goes in", "oil-fill", map[string]string{"with_filter": "4 L", "drained": "3.9 L"}, calc.Good},
	} {
		t.Run(c.name, func(t *testing.T) {
			out, err := find(t, c.calculation).Run(c.inputs)
			if err != nil {
				t.Fatal(err)
			}
			if len(out.Verdicts) == 0 || out.Verdicts[0].Level != c.want {
				t.Errorf("got %+v, want %s first", out.Verdicts, c.want)
			}
		})
	}
}

func TestOilGradesAreReadAsTheyStandOnCans(t *testing.T) {
	for _, c := range []struct{ text, want string }{
		{"5W-30", "5W-30"}, {"SAE 15w40", "15W-40"}, {" 10w / 40 ", "10W-40"}, {"10W", "10W"}, {"sae 30", "30"}, {"0W20", "0W-20"},
	} {
		if g, err := fluid.GradeOf(c.text); err != nil || g.String() != c.want {
			t.Errorf("%q: got %v, %v; want %s", c.text, g, err, c.want)
		}
	}
}
