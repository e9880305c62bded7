package job

import (
	"cmp"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"

	"lastbolt/plan/access"
	"lastbolt/plan/opening"
)

// A Test is one thing to prove, made from what was opened. Its answer is a
// value: a number in Unit, or one of Words; never a tick.
type Test struct {
	ID     string
	Name   string // "Charge pipe: air intake"
	How    string // what to do and look for
	Unit   string
	Low    *float64
	High   *float64
	Words  []Choice // where there is no unit
	Danger bool     // the release waits for it
	Source access.Source
	Where  string // document and page; "no source" for common practice
	From   string // names of the items it comes from
	// Readings are all that were taken since it was last closed, latest last.
	Readings []Reading
	Earlier  []Reading // taken before it was opened again: they prove nothing now
}

// A Choice is a word to choose for a look.
type Choice struct {
	Text string
	Pass bool
}

// A Reading is one answer to a test.
type Reading struct {
	TestRead
	Event string
	At    time.Time
	By    string
}

// Passed reports that the latest reading passes.
func (t *Test) Passed() bool {
	return len(t.Readings) > 0 && t.Readings[len(t.Readings)-1].Pass
}

// judge says whether a value passes. Text that is no number, or is not one of
// the words, is an error sentence.
func (t *Test) judge(value string) (bool, error) {
	value = strings.TrimSpace(value)
	if value == "" {
		return false, refuse(CodeMissing, "Write down the value of %q: a tick proves nothing.", t.Name)
	}
	if t.Unit == "" {
		for _, c := range t.Words {
			if strings.EqualFold(c.Text, value) {
				return c.Pass, nil
			}
		}
		return false, refuse(CodeWrong, "%q is none of the answers to %q: choose %s.", value, t.Name, choices(t.Words))
	}
	number := strings.TrimSpace(strings.TrimSuffix(value, t.Unit))
	v, err := strconv.ParseFloat(strings.Replace(number, ",", ".", 1), 64)
	if err != nil || v-v != 0 {
		return false, refuse(CodeWrong, "%q is not a number in %s: write the figure alone, as in %q.", value, t.Unit, "12.6")
	}
	return (t.Low == nil || v >= *t.Low) && (t.High == nil || v <= *t.High), nil
}

func choices(cs []Choice) string {
	var w []string
	for _, c := range cs {
		w = append(w, fmt.Sprintf("%q", c.Text))
	}
	return strings.Join(w, " or ")
}

// OpenTests are the tests without a passing reading.
func (s *State) OpenTests() []*Test {
	var open []*Test
	for i := range s.Tests {
		if !s.Tests[i].Passed() {
			open = append(open, &s.Tests[i])
		}
	}
	return open
}

// TestByID finds a test, nil if there is none.
func (s *State) TestByID(id string) *Test {
	for i := range s.Tests {
		if s.Tests[i].ID == id {
			return &s.Tests[i]
		}
	}
	return nil
}

// A proof is how one kind of joint is proved.
type proof struct {
	how    string
	words  []Choice
	danger bool
}

var (
	leakWords = []Choice{{"dry after 10 min at idle", true}, {"damp", false}, {"drips", false}}
	holdWords = []Choice{{"looked again, holds", true}, {"does not hold", false}}
)

// proofs are the looks for each kind of joint. All are common practice of the
// trade; none is a maker's specification.
var proofs = map[string]proof{
	"coolant":        {"Fill, bleed, run it warm with the heater on; look at the joint with a lamp and a dry cloth.", leakWords, false},
	"oil":            {"Run it, stop, look at the joint with a lamp and a dry cloth; then the level.", leakWords, false},
	"fuel":           {"Pressure on, engine off: look and smell at the joint. Then the same at idle.", []Choice{{"dry, no smell, under pressure", true}, {"damp or smell of fuel", false}}, true},
	"brake fluid":    {"Press the pedal hard and hold it for half a minute, engine off and then running; look at every joint opened.", []Choice{{"firm and holds, joints dry", true}, {"soft or sinks", false}, {"damp", false}}, true},
	"power steering": {"Engine running, lock to lock twice; look at the joint and at the level.", leakWords, false},
	"gearbox oil":    {"Level by the maker's method; look at the joint after a short drive.", []Choice{{"dry, level right", true}, {"damp", false}, {"level wrong", false}}, false},
	"refrigerant":    {"A licensed person closes and proves this circuit.", []Choice{{"proved by a licensed person, paper kept", true}, {"not proved", false}}, true},
	"air intake":     {"Clamps seated all round; listen for a hiss at idle and as the engine is revved.", []Choice{{"seated, no hiss", true}, {"hisses", false}}, false},
	"vacuum":         {"Hose pushed home; idle steady, no hiss.", []Choice{{"home, no hiss", true}, {"hisses", false}}, false},
	"exhaust":        {"Cold start: listen and feel near the joint for blowing, hands clear.", []Choice{{"does not blow", true}, {"blows", false}}, false},
	"connector":      {"Pushed home until the latch clicks; pull at the shell; then try what it feeds.", []Choice{{"clicked, works", true}, {"does not work", false}}, false},
	"earth":          {"Bright metal, tight, and what it feeds works under load.", []Choice{{"tight, works under load", true}, {"does not work", false}}, false},
	"belt":           {"In every groove on every pulley; watch it run for a minute, hands clear.", []Choice{{"runs true and quiet", true}, {"wanders", false}, {"squeals", false}}, false},
	"guard":          {"Every fixing in, nothing touches what turns.", []Choice{{"on, nothing touches", true}, {"loose or touches", false}}, false},
	"wheel":          {"Wheels on the ground: nuts or bolts tightened in a star, in steps, to the maker's value. Read the value back.", []Choice{{"to the maker's value, on the ground", true}, {"value not known", false}}, true},
	"steering":       {"Lock to lock at standstill, then pull at the joint: no play, no knock. Every nut locked as it was made to be.", []Choice{{"no play, locked", true}, {"play or knock", false}}, true},
	"suspension":     {"At ride height: bolts tightened, bushes not twisted; bounce it and listen.", []Choice{{"tight at ride height, quiet", true}, {"knocks", false}}, true},
	"brake":          {"Pedal firm before the wheels turn; then a stop from walking pace, off the road.", []Choice{{"firm, stops straight", true}, {"soft", false}, {"pulls", false}}, true},
	"timing":         {"Marks on; turned by hand through two full turns, marks on again, nothing touches.", []Choice{{"two turns by hand, marks on", true}, {"marks off", false}}, true},
	"airbag":         {"Battery on with nobody inside: the lamp lights, then goes out and stays out.", []Choice{{"lamp lights and goes out", true}, {"lamp stays on", false}}, true},
}

// testsOf makes the tests of everything that was opened and, where it is
// closed again, sorts the readings into those since and those before.
func testsOf(s *State, cycles []*cycle, read map[string][]Reading) []Test {
	var tests []Test
	have := map[string]int{}
	closedBy := map[string]string{} // test: the last event that closed it
	torques := tightReadings(cycles)
	add := func(t Test, up *Step) {
		if up != nil && len(up.Records) > 0 {
			closedBy[t.ID] = max(closedBy[t.ID], up.Records[0].Event)
		}
		switch at, ok := have[t.ID]; {
		case !ok:
			have[t.ID] = len(tests)
			tests = append(tests, t)
		case !slices.Contains(strings.Split(tests[at].From, ", "), t.From):
			tests[at].From += ", " + t.From // one look at a whole safety system
		}
	}
	for _, c := range cycles {
		if c.down.way != nil {
			for _, j := range c.down.way.Opens {
				add(jointTest(c, j), c.up)
			}
		}
		for _, g := range c.down.Groups {
			if threaded(g) && !finishedBy(cycles, c, g) {
				add(tightTest(c, g), c.up)
			}
		}
		if c.down.Critical != "" {
			add(criticalTest(c), c.up)
		}
	}
	for _, st := range s.Steps {
		if st.Phase == opening.Bottom && st.IsDone() {
			for _, t := range workTests(s, st) {
				add(t, nil)
			}
		}
	}
	for i := range tests {
		t := &tests[i]
		t.Readings = append(t.Readings, torques[t.ID]...)
		for _, r := range read[t.ID] {
			if r.Event > closedBy[t.ID] {
				t.Readings = append(t.Readings, r)
			} else {
				t.Earlier = append(t.Earlier, r)
			}
		}
	}
	return tests
}

func jointTest(c *cycle, j access.Joint) Test {
	id := jointID(c.item, j)
	p, ok := proofs[j.Kind]
	if !ok {
		p = proof{"Look at it again, with a lamp.", holdWords, false}
	}
	name := cmp.Or(j.Name, c.down.Name) + ": " + j.Kind
	return Test{ID: id, Name: name, How: p.how, Words: p.words, Danger: p.danger, Source: access.CommonPractice, Where: "no source", From: c.down.Name}
}

func threaded(g Group) bool {
	return g.Fastener.Thread != "" || !g.Fastener.Torque.Value.IsZero() || g.Fastener.Torque.Then != ""
}

// finishedBy tells of pieces that only go in by hand here: the item that had
// them cracked while they were in, as wheel nuts on the ground, tightens them.
func finishedBy(cycles []*cycle, c *cycle, g Group) bool {
	if g.Loosen || c.down.way == nil {
		return false
	}
	for _, o := range cycles {
		same := slices.ContainsFunc(o.down.Groups, func(l Group) bool {
			return l.Loosen && l.Name == g.Name && l.Want == g.Want && l.Fastener.Thread == g.Fastener.Thread
		})
		if same && slices.ContainsFunc(c.down.way.Needs, func(n access.Need) bool { return n.Item == o.item }) {
			return true
		}
	}
	return false
}

func tightTest(c *cycle, g Group) Test {
	t := Test{
		ID: "tight/" + c.item + "/" + g.ID, Name: c.down.Name + ": " + g.Name + " tight", From: c.down.Name,
		Danger: c.down.Critical != "",
		Words:  []Choice{{"tightened to the value", true}, {"tightened by hand, no value known", c.down.Critical == ""}, {"not tight", false}},
	}
	q := g.Fastener.Torque
	if q.Value.IsZero() {
		t.How, t.Source = "No torque is known here: look it up. Say how it was tightened.", access.NotKnown
		t.Words[0].Text = "looked up, and tightened to it"
		return t
	}
	t.How = "Tightening torque " + q.Value.String()
	if q.Then != "" {
		t.How += ", " + q.Then
	}
	t.How += ". Read the value back from the wrench."
	t.Source, t.Where = cmp.Or(q.Source, access.NotKnown), q.Where
	return t
}

// tightReadings takes the values recorded while putting back, the last time
// each thing was, for readings of the tests of tightness.
func tightReadings(cycles []*cycle) map[string][]Reading {
	last := map[string]*cycle{}
	for _, c := range cycles {
		last[c.item] = c
	}
	out := map[string][]Reading{}
	for _, c := range last {
		if c.up == nil {
			continue // open again: nothing is tight
		}
		for _, t := range c.up.Tightened {
			id := "tight/" + c.item + "/" + t.Group
			if t.Value != "" {
				out[id] = append(out[id], Reading{TestRead{Test: id, Value: t.Value, Pass: true, Note: t.With}, c.up.Records[0].Event, c.up.Finished, c.up.By})
			}
		}
	}
	return out
}

func criticalTest(c *cycle) Test {
	return Test{
		ID: "critical/" + slug(c.down.Critical), Name: capital(c.down.Critical) + ": look again", From: c.down.Name, Danger: true,
		How: "After another task, and in another order: is all that was opened in, tight, locked and marked? " +
			"Read each value back as if somebody else had done it.",
		Words: holdWords, Source: access.CommonPractice, Where: "no source",
	}
}

func workTests(s *State, st *Step) []Test {
	var out []Test
	it := s.Items[st.Item]
	if it == nil {
		return nil
	}
	for _, w := range it.Work {
		if w.Action != st.Action {
			continue
		}
		for _, t := range w.Tests {
			test := Test{
				ID: "work/" + st.Item + "/" + string(w.Action) + "/" + slug(t.Name), Name: t.Name, Unit: t.Unit, Low: t.Low, High: t.High,
				Source: cmp.Or(t.Source, access.NotKnown), Where: t.Where, From: st.Name, How: limits(t),
			}
			if t.Unit == "" {
				test.Words = []Choice{{"as it should be", true}, {"not as it should be", false}}
			}
			out = append(out, test)
		}
	}
	return out
}

func limits(t access.Test) string {
	bare := func(v *float64) string { return strconv.FormatFloat(*v, 'g', -1, 64) }
	f := func(v *float64) string { return bare(v) + " " + t.Unit }
	switch {
	case t.Low != nil && t.High != nil:
		return "From " + bare(t.Low) + " to " + f(t.High) + "."
	case t.Low != nil:
		return "At least " + f(t.Low) + "."
	case t.High != nil:
		return "At most " + f(t.High) + "."
	}
	return "Write down what you find."
}
