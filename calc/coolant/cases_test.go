package coolant_test

import (
	"strings"
	"testing"

	"lastbolt/calc"
	"lastbolt/calc/coolant"
	"lastbolt/calc/figure"
	"lastbolt/fault"
	"lastbolt/quantity"
)

func find(t *testing.T, name string) *calc.Definition {
	t.Helper()
	d, err := calc.NewRegistry(coolant.Group).Find(name)
	if err != nil {
		t.Fatal(err)
	}
	return d
}

func TestEveryExampleIsAnswered(t *testing.T) {
	for _, d := range coolant.Group.Calculations() {
		t.Run(d.Name, func(t *testing.T) {
			out, err := d.Run(d.Example)
			if err != nil {
				t.Fatal(err)
			}
			for _, said := range append(append(out.Notes, out.Cautions...), verdicts(out)...) {
				if strings.Contains(said, "%%") || strings.Contains(said, "%!") {
					t.Errorf("badly printed: %q", said)
				}
			}
		})
	}
}

func verdicts(out *calc.Outcome) (said []string) {
	for _, v := range out.Verdicts {
		said = append(said, v.Say)
	}
	return said
}

func TestBadInputIsRefusedInASentenceAboutIt(t *testing.T) {
	for _, c := range []struct {
		name, calculation string
		inputs            map[string]string
		about, says       string
	}{
		{"concentrate", "coolant-freezing", map[string]string{"strength": "100"}, "strength", "the concentrate itself"},
		{"more than all", "coolant-freezing", map[string]string{"strength": "120"}, "strength", "at most 100"},
		{"stronger than the tables", "coolant-boiling", map[string]string{"strength": "85"}, "strength", "at most 70 % by volume"},
		{"strong by mass", "coolant-properties", map[string]string{"strength": "66", "by": "mass"}, "strength", "66 % by mass"},
		{"negative volume", "coolant-refill", map[string]string{"capacity": "-6 L", "caught": "3 L"}, "capacity", "-6"},
		{"caught more than it holds", "coolant-refill", map[string]string{"capacity": "6 L", "caught": "7 L"}, "caught", "more than the 6 L"},
		{"nothing caught", "coolant-refill", map[string]string{"capacity": "6 L", "caught": "0 L"}, "caught", "more than 0 L"},
		{"product without antifreeze", "coolant-refill", map[string]string{"capacity": "6 L", "caught": "2 L", "product_strength": "0"}, "product_strength", "more than 0"},
		{"no cap pressure", "coolant-boiling", map[string]string{"cap": "0 bar"}, "cap", "open system"},
		{"a cap of 5 bar", "coolant-boiling", map[string]string{"cap": "5 bar"}, "cap", "more than any road vehicle's cap"},
		{"in orbit", "coolant-boiling", map[string]string{"altitude": "400 km"}, "altitude", "no road"},
		{"ice", "coolant-properties", map[string]string{"strength": "10", "temperature": "-20 °C"}, "temperature", "ice and slush"},
		{"getting warmer", "cool-down", map[string]string{"first": "80 °C", "second": "85 °C", "after": "10 min"}, "second", "not cooling"},
		{"second reading without its time", "cool-down", map[string]string{"first": "80 °C", "second": "75 °C"}, "", "how many minutes"},
		{"colder than the air", "cool-down", map[string]string{"first": "10 °C"}, "first", "nothing to cool down"},
		{"never cool enough", "cool-down", map[string]string{"air": "45 °C", "first": "90 °C", "open_at": "45 °C"}, "open_at", "never cools"},
		{"nothing read", "refractometer", map[string]string{"scale": "index"}, "index", "Nothing is read"},
		{"off the scale", "refractometer", map[string]string{"freezing": "5 °C"}, "freezing", "off the scale"},
		{"both read", "hydrometer", map[string]string{"density": "1050 kg/m³", "relative": "1.05"}, "", "either"},
		{"heavier than glycol", "hydrometer", map[string]string{"relative": "1.15"}, "relative", "no mixture"},
		{"filled more than it holds", "coolant-fill-check", map[string]string{"caught": "4 L", "filled": "9 L", "capacity": "7 L"}, "filled", "more than the 7 L"},
		{"runs colder than filled", "coolant-expansion", map[string]string{"volume": "8 L", "cold": "80 °C", "hot": "20 °C"}, "hot", "colder than"},
		{"missing more than it holds", "coolant-top-up", map[string]string{"capacity": "6 L", "missing": "7 L"}, "missing", "more than the 6 L"},
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
		{"one kind", "coolant-mixing", map[string]string{"present": "organic", "added": "organic"}, calc.Good},
		{"label allows", "coolant-mixing", map[string]string{"present": "inorganic", "added": "organic", "label": "yes"}, calc.Careful},
		{"label does not name it", "coolant-mixing", map[string]string{"present": "inorganic", "added": "organic"}, calc.Bad},
		{"not even with the label", "coolant-mixing", map[string]string{"present": "organic", "added": "propylene", "label": "yes"}, calc.Bad},
		{"unknown onto unknown", "coolant-mixing", map[string]string{"present": "not known", "added": "not known"}, calc.Bad},
		{"water into waterless", "coolant-mixing", map[string]string{"present": "waterless", "added": "water"}, calc.Bad},
		{"water in need", "coolant-mixing", map[string]string{"present": "organic", "added": "water"}, calc.Careful},
		{"young and clear", "coolant-reuse", map[string]string{"kind": "organic", "age": "1"}, calc.Good},
		{"age not known", "coolant-reuse", map[string]string{"kind": "organic"}, calc.Careful},
		{"oil in it", "coolant-reuse", map[string]string{"kind": "organic", "age": "1", "look": "oily"}, calc.Bad},
		{"head gasket", "coolant-reuse", map[string]string{"kind": "organic", "age": "1", "failed": "inside"}, calc.Bad},
		{"acid", "coolant-reuse", map[string]string{"kind": "organic", "age": "1", "ph": "6.2"}, calc.Bad},
		{"reserve used up", "coolant-reuse", map[string]string{"kind": "inorganic", "age": "1", "reserve": "3", "reserve_new": "10"}, calc.Bad},
		{"reserve good", "coolant-reuse", map[string]string{"kind": "inorganic", "age": "1", "reserve": "9", "reserve_new": "10"}, calc.Good},
		{"dirty pan", "coolant-reuse", map[string]string{"kind": "organic", "age": "1", "clean": "no"}, calc.Bad},
		{"air left", "coolant-fill-check", map[string]string{"caught": "5 L", "filled": "3.8 L"}, calc.Bad},
		{"all went in", "coolant-fill-check", map[string]string{"caught": "5 L", "filled": "4.95 L"}, calc.Good},
		{"more in than out", "coolant-fill-check", map[string]string{"caught": "5 L", "filled": "6 L"}, calc.Careful},
		{"tank too small", "coolant-expansion", map[string]string{"volume": "10 L", "room": "0.2 L"}, calc.Bad},
		{"premix too weak", "coolant-refill", map[string]string{"capacity": "10 L", "caught": "3 L", "old": "20", "wanted": "55", "product": "ready"}, calc.Bad},
		{"drain too small", "coolant-refill", map[string]string{"capacity": "10 L", "caught": "1 L", "old": "20", "wanted": "50"}, calc.Bad},
		{"enough", "coolant-refill", map[string]string{"capacity": "10 L", "caught": "5 L", "old": "30", "wanted": "50"}, calc.Good},
		{"colder than any", "coolant-for-cold", map[string]string{"coldest": "-60 °C"}, calc.Bad},
		{"too hot to open", "cool-down", map[string]string{"first": "95 °C", "second": "90 °C", "after": "10 min", "open_at": "70 °C"}, calc.Bad},
		{"the other glycol's scale", "refractometer", map[string]string{"base": "propylene", "scale_for": "other", "freezing": "-20 °C"}, calc.Careful},
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

func TestWhatToBuy(t *testing.T) {
	litre := func(n, cost float64) coolant.Container {
		return coolant.Container{Holds: quantity.Litres(n), Cost: cost}
	}
	for _, c := range []struct {
		name string
		need float64
		on   []coolant.Container
		want []int
	}{
		{"nothing", 0, []coolant.Container{litre(1, 0)}, []int{0}},
		{"one of the large", 4.8, []coolant.Container{litre(1, 0), litre(5, 0)}, []int{0, 1}},
		{"small ones leave less", 2.1, []coolant.Container{litre(1, 0), litre(5, 0)}, []int{3, 0}},
		{"few containers for the same", 5, []coolant.Container{litre(1, 0), litre(5, 0)}, []int{0, 1}},
		{"the large one is cheaper", 3.5, []coolant.Container{litre(1, 9), litre(5, 30)}, []int{0, 1}},
		{"small ones are cheaper", 2.5, []coolant.Container{litre(1, 9), litre(5, 30)}, []int{3, 0}},
	} {
		t.Run(c.name, func(t *testing.T) {
			got := coolant.Buy(quantity.Litres(c.need), c.on)
			for i := range c.want {
				if got[i] != c.want[i] {
					t.Fatalf("got %v, want %v", got, c.want)
				}
			}
		})
	}
}

func TestTheChartStaysInItsFrameAndShowsTheMixture(t *testing.T) {
	for _, b := range []coolant.Base{coolant.Ethylene, coolant.Propylene} {
		for _, v := range []coolant.VolumeShare{0, 0.1, 0.33, 0.5, 0.6, 0.7} {
			for _, p := range []quantity.Pressure{quantity.Bars(0.5), quantity.Bars(1), quantity.Bars(3.2)} {
				f := coolant.Chart(b, v, p)
				for _, s := range f.Shapes {
					for _, at := range s.Path {
						if at.X < f.MinX || at.X > f.MaxX || at.Y < f.MinY || at.Y > f.MaxY {
							t.Fatalf("%v %.2f %v: %+v lies outside", b, v, p, at)
						}
					}
				}
				if !strings.Contains(f.Alt, "first ice") || countCircles(f) != 2 {
					t.Errorf("%v %.2f: the mixture is not marked on both curves", b, v)
				}
			}
		}
	}
}

func countCircles(f *figure.Figure) (n int) {
	for _, s := range f.Shapes {
		if s.Radius > 0 && !s.Filled {
			n++
		}
	}
	return n
}
