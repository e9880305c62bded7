package belt_test

import (
	"math"
	"strings"
	"testing"

	"lastbolt/calc"
	"lastbolt/calc/belt"
	"lastbolt/fault"
	"lastbolt/quantity"
)

func TestWhatCannotStandIsRefusedInASentence(t *testing.T) {
	for _, c := range []struct {
		name   string
		change func(d *belt.Drive, r *belt.Routing)
		words  string
	}{
		{"overlapping", func(d *belt.Drive, _ *belt.Routing) { d.Pulleys[1].Centre = at(60, 60) }, "overlap by"},
		{"negative diameter", func(d *belt.Drive, _ *belt.Routing) { d.Pulleys[3].Diameter = mm(-60) }, "diameter of alternator"},
		{"no diameter", func(d *belt.Drive, _ *belt.Routing) { d.Pulleys[3].Diameter = 0 }, "between 1 mm and 20 m"},
		{"not a number", func(d *belt.Drive, _ *belt.Routing) { d.Pulleys[3].Diameter = quantity.Length(math.NaN()) }, "diameter of alternator"},
		{"far away", func(d *belt.Drive, _ *belt.Routing) { d.Pulleys[3].Centre = at(0, 2e5) }, "more than 100 m away"},
		{"nowhere", func(d *belt.Drive, _ *belt.Routing) { d.Pulleys[3].Centre.X = quantity.Length(math.NaN()) }, "check its x and y"},
		{"same name", func(d *belt.Drive, _ *belt.Routing) { d.Pulleys[3].Name = "crank" }, "named crank"},
		{"no name", func(d *belt.Drive, _ *belt.Routing) { d.Pulleys[3].Name = "" }, "Pulley 4 has no name"},
		{"one pulley", func(d *belt.Drive, _ *belt.Routing) { d.Pulleys = d.Pulleys[:1] }, "2 to 16 pulleys"},
		{"no crank", func(d *belt.Drive, _ *belt.Routing) { d.Crank = 9 }, "which is the crank's"},
		{"grooved against the crank", func(d *belt.Drive, _ *belt.Routing) {
			d.Pulleys[3].Turns, d.Pulleys[3].Surface = belt.Opposite, belt.Grooved
		}, "no ribs"},
		{"effective of a plain one", func(d *belt.Drive, _ *belt.Routing) {
			d.Pulleys[2].Surface, d.Pulleys[2].Measure = belt.Plain, belt.Effective
		}, "give its outside diameter"},
		{"negative load", func(d *belt.Drive, _ *belt.Routing) { d.Pulleys[3].Torque = -1 }, "negative"},
		{"friction the wrong way", func(d *belt.Drive, _ *belt.Routing) { d.Friction = [2]float64{0.4, 0.2} }, "friction"},
		{"belt inside a pulley", func(d *belt.Drive, _ *belt.Routing) {
			d.Belt.Profile.BackOffset = mm(1)
			// 0.2 mm from the steering pulley's rim: no room for the belt between.
			d.Pulleys[2].Measure, d.Pulleys[2].Centre = belt.Outside, at(-200+62+38+0.2, 120)
		}, "No belt can run"},
		{"twice", func(_ *belt.Drive, r *belt.Routing) { *r = append(*r, (*r)[1]) }, "twice"},
		{"without the crank", func(_ *belt.Drive, r *belt.Routing) { *r = (*r)[1:] }, "leaves out crank"},
		{"unknown pulley", func(_ *belt.Drive, r *belt.Routing) { (*r)[2].Pulley = 12 }, "not there"},
		{"no side", func(_ *belt.Drive, r *belt.Routing) { (*r)[2].Side = "" }, "ribs or back"},
		{"one stop", func(_ *belt.Drive, r *belt.Routing) { *r = (*r)[:1] }, "at least two"},
		{"arm that does not reach", func(d *belt.Drive, _ *belt.Routing) {
			d.Tensioner = &belt.Tensioner{Kind: belt.SpringArm, Pulley: 2, Pivot: at(0, 220), Radius: mm(40), Free: deg(200), Loaded: deg(240)}
		}, "arm is 40"},
		{"arm without travel", func(d *belt.Drive, _ *belt.Routing) {
			d.Tensioner = &belt.Tensioner{Kind: belt.SpringArm, Pulley: 2, Pivot: at(0, 220), Free: deg(200), Loaded: deg(200)}
		}, "no travel"},
		{"slot without length", func(d *belt.Drive, _ *belt.Routing) {
			d.Tensioner = &belt.Tensioner{Kind: belt.Slotted, Pulley: 2}
		}, "no length"},
		{"tensioner of no pulley", func(d *belt.Drive, _ *belt.Routing) {
			d.Tensioner = &belt.Tensioner{Kind: belt.Slotted, Pulley: 8, To: at(1, 1)}
		}, "names no pulley"},
	} {
		t.Run(c.name, func(t *testing.T) {
			d, r := frontDrive()
			c.change(&d, &r)
			_, err := belt.Solve(d, r)
			if err == nil || !fault.Is(err, fault.Bad) {
				t.Fatalf("Solve gave %v, want a refusal", err)
			}
			if say := fault.Say(err); !strings.Contains(say, c.words) || !strings.HasSuffix(say, ".") {
				t.Errorf("%q, want a sentence with %q", say, c.words)
			}
		})
	}
}

func TestImpossibleRoutingsSayWhy(t *testing.T) {
	for _, c := range []struct {
		name, kind string
		order      string
	}{
		{"crossing", belt.Crossing, "crank (ribs) > alternator (ribs) > steering (ribs) > compressor (ribs)"},
		{"through the idler", belt.TooNear, "crank (ribs) > compressor (ribs) > idler (back) > alternator (ribs) > steering (ribs)"},
		{"left out", belt.NotTouched, "crank (ribs) > steering (ribs) > alternator (ribs)"},
	} {
		t.Run(c.name, func(t *testing.T) {
			d, _ := frontDrive()
			d.Pulleys[4].Drives = "compressor"
			r, err := d.ReadRouting(c.order)
			if err != nil {
				t.Fatal(err)
			}
			s, err := belt.Solve(d, r)
			if err != nil {
				t.Fatal(err)
			}
			if s.Runs() {
				t.Errorf("it is said to run")
			}
			found := false
			for _, tr := range s.Troubles {
				found = found || tr.Kind == c.kind && tr.Grave
			}
			if !found {
				t.Errorf("no %q among %v", c.kind, s.Troubles)
			}
		})
	}
}

func TestCalculationsRefuseInTheirOwnWords(t *testing.T) {
	two := "crank; 0; 0; 150\nalternator; 300; 0; 60"
	for _, c := range []struct {
		calculation string
		given       map[string]string
		words       string
	}{
		{"belt-run", map[string]string{"pulleys": "crank; 0; 0; 150\nalternator; 300; x; 60"}, "line 2"},
		{"belt-run", map[string]string{"pulleys": two, "tensioner": "spring arm"}, "tensioner pulley"},
		{"belt-run", map[string]string{"pulleys": two, "tensioner": "slotted", "tensioner_pulley": "pump", "slack_x": "0 mm", "slack_y": "0 mm", "tight_x": "0 mm", "tight_y": "0 mm"}, "no pulley named"},
		{"belt-run", map[string]string{"pulleys": two, "friction_low": "0.5", "friction_high": "0.2"}, "exchange them"},
		{"belt-run", map[string]string{"pulleys": two + "; grooved; effective; ; any; ; no; 1"}, "crank's"},
		{"belt-finder", map[string]string{"pulleys": two, "known": "alternator sideways"}, "cannot be read"},
		{"belt-finder", map[string]string{"pulleys": two, "known": "crank none"}, "drives the belt"},
		{"belt-finder", map[string]string{"pulleys": "crank; 0; 0; 150\npump; -300; 400; 60\nalternator; 300; 400; 60\ncompressor; 0; 250; 60"}, "There is no way"},
		{"belt-grip", map[string]string{"friction": "0.3", "wrap": "150 °"}, "exactly one"},
		{"belt-grip", map[string]string{"friction": "0.3", "wrap": "150 °", "tight": "100 N", "mean": "80 N"}, "2 are given"},
		{"belt-grip", map[string]string{"friction": "0.3", "wrap": "150 °", "power": "1 kW"}, "belt speed"},
		{"belt-grip", map[string]string{"friction": "0.3", "wrap": "150 °", "mass": "1 kg/m", "speed": "20 m/s", "tight": "300 N"}, "nothing is left"},
		{"belt-grip", map[string]string{"friction": "3", "wrap": "10 turn", "tight": "300 N"}, "cannot slip"},
		{"belt-marking", map[string]string{"marking": "hello"}, "no marking known"},
		{"belt-marking", map[string]string{"marking": "0PK1200"}, "0 ribs"},
		{"belt-tension-by-note", map[string]string{"frequency": "50 Hz", "span": "300 mm"}, "weigh it"},
		{"belt-tension-by-push", map[string]string{"span": "100 mm", "push": "10 N", "deflection": "60 mm"}, "quarter of the span"},
		{"belt-pulley-size", map[string]string{"driver": "20 mm", "driver_speed": "100 rpm", "speed": "9000 rpm", "thickness": "5 mm"}, "No pulley is small enough"},
	} {
		t.Run(c.calculation+" "+c.words, func(t *testing.T) {
			_, err := calculation(t, c.calculation).Run(c.given)
			if err == nil || !strings.Contains(fault.Say(err), c.words) {
				t.Errorf("%v, want a sentence with %q", err, c.words)
			}
		})
	}
}

func calculation(t *testing.T, name string) *calc.Definition {
	t.Helper()
	d, err := calc.NewRegistry(belt.Group).Find(name)
	if err != nil {
		t.Fatal(err)
	}
	return d
}

func TestExamplesAnswerWithoutGraveFaults(t *testing.T) {
	for _, d := range belt.Group.Calculations() {
		t.Run(d.Name, func(t *testing.T) {
			out, err := d.Run(d.Example)
			if err != nil {
				t.Fatal(fault.Say(err))
			}
			if len(out.Results) == 0 {
				t.Error("nothing is answered")
			}
			for _, v := range out.Verdicts {
				if v.Level == calc.Bad {
					t.Errorf("the example comes out bad: %s", v.Say)
				}
			}
		})
	}
}
