package job_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"reflect"
	"slices"
	"strings"
	"testing"

	"lastbolt/garage"
	"lastbolt/job"
	"lastbolt/plan/access"
	"lastbolt/plan/opening"
	"lastbolt/quantity"
)

func mm(text string) *quantity.Written[quantity.Length] {
	l := quantity.MustParse[quantity.Length](text)
	return &l
}

func nm(text string) quantity.Written[quantity.Torque] {
	return quantity.MustParse[quantity.Torque](text)
}

// nine are nine bolts at uneven places, of three lengths, in millimetres.
var nine = []struct {
	x, y   float64
	length string
}{
	{20, 15, "25 mm"}, {75, 8, "25 mm"}, {130, 22, "35 mm"}, {152, 60, "25 mm"}, {138, 101, "50 mm"},
	{96, 118, "25 mm"}, {48, 112, "35 mm"}, {12, 84, "50 mm"}, {9, 47, "25 mm"},
}

// coverMap is an invented van with one cover, of a safety system or not.
func coverMap(critical string, source access.Source, loosen bool) *access.Map {
	return &access.Map{Format: access.Format, ID: "van", Name: "Invented van", Invented: true, Items: []access.Item{
		{ID: "cover", Name: "Cooler cover", Critical: critical, Ways: []access.Way{{ID: "off", Minutes: minutes(8),
			Fasteners: list(access.Fastener{ID: "bolts", Name: "Cover bolts", Count: 9, Thread: "M6", Loosen: loosen,
				Torque: access.Torque{Value: nm("10 N·m"), Source: source, Where: "sheet 3 (invented)"}})}}},
	}}
}

func coverBench(t testing.TB, critical string, source access.Source, loosen bool) *bench {
	m := coverMap(critical, source, loosen)
	p, err := opening.Make(t.Context(), opening.Request{Map: m, Targets: []opening.Target{{Item: "cover", Action: access.AccessOnly}}})
	if err != nil {
		t.Fatal(err)
	}
	b := newBench(t, job.Started{Vehicle: "Tern van 1.4"})
	b.do(job.UsePlan(p, m, 1, nil))
	return b
}

// mapped builds the bolt map of the cover from the new part and works out the
// order.
func (b *bench) mapped(passes int) *job.BoltMap {
	b.t.Helper()
	b.do(job.ChangeBoltMap(job.BoltMapSet{Item: "cover", Aspect: 0.8, Count: len(nine),
		From: &job.Point{X: 0, Y: 0}, To: &job.Point{X: 1, Y: 0}, Distance: *mm("160 mm"), Cover: "thin casting", Seal: "rubber seal"}))
	for _, p := range nine {
		b.do(job.SetBolt(job.BoltSet{Item: "cover", At: &job.Point{X: p.x / 160, Y: p.y / 160}}))
	}
	m := b.state().BoltMap("cover")
	order, err := job.WorkOutBolts(b.t.Context(), m, passes, false)
	if err != nil {
		b.t.Fatal(err)
	}
	return b.do(job.OrderBolts(order)).BoltMap("cover")
}

func small() job.WrenchChosen {
	w, _ := garage.ReadTorqueWrench("torque wrench 2–25 N·m, ±4 %, hand 270 mm")
	return job.ChosenFrom(w)
}

func big() job.WrenchChosen {
	w, _ := garage.ReadTorqueWrench("torque wrench 40–200 N·m, ±4 %, hand 480 mm")
	return job.ChosenFrom(w)
}

// turnNext gives the next bolt its turn in the phase in hand.
func (b *bench) turnNext(turn job.Turn) *job.BoltMap {
	b.t.Helper()
	m := b.state().BoltMap("cover")
	d := job.BoltTurned{Item: "cover", Bolts: []string{m.Next.ID}, Turn: turn, Pass: m.Pass}
	if turn == job.TakenOut || turn == job.RunIn {
		d.Length = *mm(nine[m.Next.N-1].length)
	}
	return b.do(job.TurnBolts(d)).BoltMap("cover")
}

func (b *bench) phase(want job.BoltPhase) *job.BoltMap {
	b.t.Helper()
	m := b.state().BoltMap("cover")
	if m.Phase != want {
		b.t.Fatalf("the phase is %q, want %q", m.Phase, want)
	}
	return m
}

func (b *bench) boltsDone() *job.State {
	b.t.Helper()
	s := b.state()
	return b.do(job.DoStep(s.BoltsDone(s.BoltMap("cover"))))
}

// coverApart takes the cover off bolt by bolt.
func coverApart(t testing.TB, critical string, source access.Source, passes int) *bench {
	b := coverBench(t, critical, source, false)
	b.mapped(passes)
	b.phase(job.PhaseCrack)
	for range nine {
		b.turnNext(job.Cracked)
	}
	b.phase(job.PhaseOut)
	for range nine {
		b.turnNext(job.TakenOut)
	}
	b.phase(job.PhaseApart)
	b.boltsDone()
	return b
}

func TestABoltMapGoesOffAndBackInTwoPasses(t *testing.T) {
	b := coverApart(t, "", access.Maker, 2)
	m := b.phase(job.PhaseRunIn)
	if got := m.Lengths(); len(got) != 3 {
		t.Errorf("%d lengths were recorded, want 3: %v", len(got), got)
	}
	if st := b.state().StepByID("down/cover"); st.Groups[0].Out != 9 || st.Groups[0].Size != "5 × 25 mm, 2 × 35 mm, 2 × 50 mm" {
		t.Errorf("out %d, size %q", st.Groups[0].Out, st.Groups[0].Size)
	}
	for range nine {
		b.turnNext(job.RunIn)
	}
	b.do(job.ChooseWrench(small()))
	for pass, want := range []string{"5.0 N·m", "10.0 N·m"} {
		for range nine {
			m = b.phase(job.PhaseTighten)
			if m.Pass != pass+1 {
				t.Fatalf("pass %d, want %d", m.Pass, pass+1)
			}
			m = b.turnNext(job.Clicked)
		}
		for _, bolt := range m.Bolts {
			if turn := bolt.Turns[len(bolt.Turns)-1]; turn.Target != want || turn.Set != want || turn.Source != access.Maker || turn.With != "torque wrench 2–25 N·m" {
				t.Errorf("pass %d, bolt %d is recorded as %+v", pass+1, bolt.N, turn.BoltTurned)
			}
		}
	}
	b.phase(job.PhaseTogether)
	s := b.boltsDone()
	b.phase(job.PhaseDone)
	up := s.StepByID("up/cover")
	if up.Groups[0].Back != 9 || len(s.Differences) > 0 || len(s.Problems) > 0 {
		t.Errorf("%d back, differences %v, problems %v", up.Groups[0].Back, s.Differences, s.Problems)
	}
	want := job.Tightened{Group: "bolts", Value: "10 N·m, in 2 passes", Source: access.Maker, With: "torque wrench 2–25 N·m"}
	if len(up.Tightened) != 1 || up.Tightened[0] != want {
		t.Errorf("tightened %+v, want %+v", up.Tightened, want)
	}
}

func TestBoltsAreNotTakenOutBeforeAllAreCracked(t *testing.T) {
	b := coverBench(t, "", access.Maker, false)
	m := b.mapped(2)
	b.do(job.TurnBolts(job.BoltTurned{Item: "cover", Bolts: []string{m.Bolts[0].ID}, Turn: job.Cracked}))
	e := b.refused(job.CodeNotYet, job.TurnBolts(job.BoltTurned{Item: "cover", Bolts: []string{m.Bolts[0].ID}, Turn: job.TakenOut}))
	if !strings.Contains(e.Text, "2, 3, 4, 5, 6, 7, 8 and 9") {
		t.Errorf("%q does not name the tight ones", e.Text)
	}
}

func TestABoltOfAnotherLengthIsASwap(t *testing.T) {
	b := coverApart(t, "", access.Maker, 2)
	m := b.phase(job.PhaseRunIn)
	five := job.BoltTurned{Item: "cover", Bolts: []string{m.Bolts[0].ID}, Turn: job.RunIn, Length: *mm("50 mm")}
	e := b.refused(job.CodeWrong, job.TurnBolts(five))
	for _, want := range []string{"hole 1 takes 25 mm", "in hand is 50 mm", "Too long", "hole 5 or 8"} {
		if !strings.Contains(e.Text, want) {
			t.Errorf("%q does not say %q", e.Text, want)
		}
	}
	short := job.BoltTurned{Item: "cover", Bolts: []string{m.Bolts[4].ID}, Turn: job.RunIn, Length: *mm("25 mm")}
	if e := b.refused(job.CodeWrong, job.TurnBolts(short)); !strings.Contains(e.Text, "Too short") {
		t.Errorf("%q does not say that it is too short", e.Text)
	}
	five.Why = "new bolts, one length, with the spacer"
	b.do(job.TurnBolts(five))
}

func TestAPassIsNotSkipped(t *testing.T) {
	b := coverApart(t, "", access.Maker, 2)
	b.do(job.ChooseWrench(small()))
	m := b.phase(job.PhaseRunIn)
	click := func(n, pass int) job.Action {
		return job.TurnBolts(job.BoltTurned{Item: "cover", Bolts: []string{m.Bolts[n].ID}, Turn: job.Clicked, Pass: pass})
	}
	b.refused(job.CodeNotYet, click(0, 1)) // before all are run in
	for range nine {
		b.turnNext(job.RunIn)
	}
	b.do(click(0, 1))
	b.refused(job.CodeAlready, click(0, 1))
	if e := b.refused(job.CodeNotYet, click(0, 2)); !strings.Contains(e.Text, "Pass 1 is not finished") {
		t.Errorf("%q does not name the pass", e.Text)
	}
	s := b.state()
	if e := b.refused(job.CodeNotYet, job.DoStep(s.BoltsDone(s.BoltMap("cover")))); !strings.Contains(e.Text, "not tight") {
		t.Errorf("%q does not say what is not tight", e.Text)
	}
	b.refused(job.CodeMissing, job.WithoutMap("cover", " "))
	b.do(job.WithoutMap("cover", "by hand, 10 N·m, clockwise"))
	b.phase(job.PhaseTogether)
	if s := b.boltsDone(); s.StepByID("up/cover").Tightened[0].Source != access.NotKnown {
		t.Errorf("%+v", s.StepByID("up/cover").Tightened)
	}
}

func TestAWrenchOutOfItsRangeIsSaidAtReady(t *testing.T) {
	shelf := garage.Shelf{Tools: []string{small().Tool, big().Tool, "10 mm socket"}}
	b := coverBench(t, "", access.Maker, false)
	find := func() job.ReadyList {
		r := job.Ready(b.state(), shelf)
		i := slices.IndexFunc(r.Lists, func(l job.ReadyList) bool { return l.ID == "wrenches" })
		return r.Lists[i]
	}
	if l := find(); len(l.Lines) != 1 || l.Lines[0].Status != job.AtHand || !strings.HasPrefix(l.Lines[0].Note, "to set 10 N·m; on the shelf") {
		t.Errorf("with both on the shelf: %+v", l.Lines)
	}
	b.do(job.ChooseWrench(big()))
	l := find()
	if len(l.Lines) != 1 || l.Lines[0].Status != job.Missing || !strings.Contains(l.Lines[0].Note, "would do: torque wrench 2–25 N·m") || !strings.Contains(l.Lines[0].Note, "below") {
		t.Errorf("with the big one chosen: %+v", l.Lines)
	}
	b.do(job.ChooseWrench(small()))
	if l := find(); len(l.Lines) != 1 || l.Lines[0].Status != job.AtHand {
		t.Errorf("with both chosen: %+v", l.Lines)
	}
	b.do(job.ChooseWrench(job.WrenchChosen{Tool: big().Tool, Away: true}))
	b.refused(job.CodeAlready, job.ChooseWrench(job.WrenchChosen{Tool: big().Tool, Away: true}))
	if got := job.Ready(b.state(), garage.Shelf{}); got.Missing != 0 {
		t.Errorf("with the small one in hand %d are missing", got.Missing)
	}
}

func TestAWrenchThatFellIsNotTrustedAndAnOldCheckIsSaid(t *testing.T) {
	choose := func(behind string) job.Setting {
		w, ok := garage.ReadTorqueWrench(small().Tool + behind)
		if !ok {
			t.Fatalf("%q is not read", behind)
		}
		b := coverApart(t, "", access.Maker, 1)
		b.do(job.ChooseWrench(job.ChosenFrom(w)))
		m := b.state().BoltMap("cover")
		return b.state().Setting(m, m.Bolts[0], 1)
	}
	if s := choose(""); !s.Fits || s.Why != "" {
		t.Errorf("with nothing said of a check: fits %v, %q", s.Fits, s.Why)
	}
	if s := choose(", dropped"); s.Fits || !strings.Contains(s.Why, "dropped or overloaded") {
		t.Errorf("dropped: fits %v, %q", s.Fits, s.Why)
	}
	if s := choose(", checked 2001-03-01"); !s.Fits || !strings.Contains(s.Why, "once a year") {
		t.Errorf("checked long ago: fits %v, %q", s.Fits, s.Why)
	}
}

func TestTheNumberToSetIsOfThisWrenchWithThisAdapter(t *testing.T) {
	b := coverBench(t, "", access.Maker, false)
	b.mapped(2)
	b.do(job.ChooseWrench(small()),
		job.ChangeBoltMap(job.BoltMapSet{Item: "cover", Adapter: &job.Adapter{Name: "crowfoot", Reach: *mm("50 mm")}}))
	s := b.state()
	m := s.BoltMap("cover")
	// T·L/(L + A): 5·270/320 and 10·270/320 (AC 43.13-1B 7-40 h).
	for pass, want := range map[int]string{1: "4.2 N·m", 2: "8.4 N·m"} {
		if set := s.Setting(m, m.Bolts[0], pass); set.SetText() != want || !set.Fits {
			t.Errorf("pass %d: set %s (fits %t), want %s", pass, set.SetText(), set.Fits, want)
		}
	}
	if set := s.Setting(m, m.Bolts[0], 1); set.With(m.Adapter) != "torque wrench 2–25 N·m with crowfoot 50 mm" {
		t.Errorf("with %q", set.With(m.Adapter))
	}
}

func TestAPassBelowTheWrenchIsRaisedAndSaidSo(t *testing.T) {
	b := coverBench(t, "", access.Maker, false)
	b.mapped(2)
	w, _ := garage.ReadTorqueWrench("torque wrench 6–30 N·m")
	s := b.do(job.ChooseWrench(job.ChosenFrom(w)))
	m := s.BoltMap("cover")
	if set := s.Setting(m, m.Bolts[0], 1); !set.Raised || !set.Fits || set.SetText() != "6.0 N·m" {
		t.Errorf("%+v, set %s", set, set.SetText())
	}
	w, _ = garage.ReadTorqueWrench("torque wrench 9–60 N·m")
	b.do(job.ChooseWrench(job.WrenchChosen{Tool: s.Wrenches[0].Tool, Away: true}))
	s = b.do(job.ChooseWrench(job.ChosenFrom(w)))
	m = s.BoltMap("cover")
	if set := s.Setting(m, m.Bolts[0], 1); set.Raised || set.Fits {
		t.Errorf("nine of ten is no first pass: %+v", set)
	}
}

func TestASafetyJointTakesOnlyTheMakersFigureAndIsCheckedAgain(t *testing.T) {
	b := coverApart(t, "brakes", access.CommonPractice, 2)
	b.do(job.ChooseWrench(small()))
	for range nine {
		b.turnNext(job.RunIn)
	}
	m := b.phase(job.PhaseTighten)
	click := job.BoltTurned{Item: "cover", Bolts: []string{m.Next.ID}, Turn: job.Clicked, Pass: 1}
	if e := b.refused(job.CodeRefused, job.TurnBolts(click)); !strings.Contains(e.Text, "only the maker's own figure") {
		t.Errorf("%q", e.Text)
	}
	advice := job.BoltTorqueSet{Item: "cover", Torque: access.Torque{Value: nm("9 N·m"), Source: access.Computed}}
	b.refused(job.CodeRefused, job.SetBoltTorque(advice))
	advice.Torque.Source = access.Maker
	b.refused(job.CodeMissing, job.SetBoltTorque(advice))
	advice.Torque.Where = "sheet 9 (invented)"
	b.do(job.SetBoltTorque(advice))
	b.refused(job.CodeRefused, job.WithoutMap("cover", "by feel"))
	for range 18 {
		b.turnNext(job.Clicked)
	}
	m = b.phase(job.PhaseCheck)
	last := m.Order.Passes[len(m.Order.Passes)-1].Order
	if slices.Equal(m.Order.Check, last) {
		t.Error("the re-check has the order of the last pass")
	}
	s := b.state()
	b.refused(job.CodeNotYet, job.DoStep(s.BoltsDone(m)))
	for range nine {
		b.turnNext(job.Checked)
	}
	b.phase(job.PhaseTogether)
	b.boltsDone()
}

func TestBoltsThatAreOnlyLoosenedStayIn(t *testing.T) {
	b := coverBench(t, "", access.Maker, true)
	b.mapped(1)
	for range nine {
		b.turnNext(job.Cracked)
	}
	b.phase(job.PhaseApart)
	b.boltsDone()
	b.do(job.ChooseWrench(small()))
	b.phase(job.PhaseTighten)
}

func TestBadBoltsAreRefused(t *testing.T) {
	b := coverBench(t, "", access.Maker, false)
	b.mapped(2)
	keep := true
	b.do(job.SetBolt(job.BoltSet{Item: "cover", At: &job.Point{X: 0.5, Y: 0.4}, Keep: &keep, Note: "holds the valve"}))
	m := b.state().BoltMap("cover")
	for name, row := range map[string]struct {
		code job.Code
		act  job.Action
	}{
		"coincident":       {job.CodeWrong, job.SetBolt(job.BoltSet{Item: "cover", At: &m.Bolts[2].At})},
		"far off":          {job.CodeWrong, job.SetBolt(job.BoltSet{Item: "cover", At: &job.Point{X: 1e9}})},
		"nowhere":          {job.CodeMissing, job.SetBolt(job.BoltSet{Item: "cover"})},
		"no such bolt":     {job.CodeUnknown, job.SetBolt(job.BoltSet{Item: "cover", Bolt: "x"})},
		"negative length":  {job.CodeWrong, job.SetBolt(job.BoltSet{Item: "cover", Bolt: m.Bolts[0].ID, Length: mm("-5 mm")})},
		"no such item":     {job.CodeUnknown, job.SetBolt(job.BoltSet{Item: "engine", At: &job.Point{}})},
		"a look-alike":     {job.CodeRefused, job.TurnBolts(job.BoltTurned{Item: "cover", Bolts: []string{m.Keep[0].ID}, Turn: job.Cracked})},
		"none named":       {job.CodeMissing, job.TurnBolts(job.BoltTurned{Item: "cover", Turn: job.Cracked})},
		"no torque":        {job.CodeMissing, job.SetBoltTorque(job.BoltTorqueSet{Item: "cover"})},
		"no source":        {job.CodeMissing, job.SetBoltTorque(job.BoltTorqueSet{Item: "cover", Torque: access.Torque{Value: nm("8 N·m")}})},
		"band upside down": {job.CodeWrong, job.SetBoltTorque(job.BoltTorqueSet{Item: "cover", Torque: access.Torque{Value: nm("8 N·m"), Source: access.Computed}, UpTo: nm("7 N·m")})},
		"too many":         {job.CodeWrong, job.ChangeBoltMap(job.BoltMapSet{Item: "cover", Count: 501})},
		"no scale":         {job.CodeWrong, job.ChangeBoltMap(job.BoltMapSet{Item: "cover", From: &job.Point{}, To: &job.Point{}})},
		"one short":        {job.CodeWrong, job.DoStep(job.StepDone{Step: "down/cover", Counts: map[string]int{"bolts": 8}})},
		"wrench":           {job.CodeWrong, job.ChooseWrench(job.WrenchChosen{Tool: "x", Low: nm("9 N·m"), High: nm("5 N·m")})},
	} {
		t.Run(name, func(t *testing.T) { b.refused(row.code, row.act) })
	}
	if _, err := job.TypedOrder(m, "1 2 3 4 5 6 7 8", 2); err == nil || !strings.Contains(err.Error(), "Bolt 9 is missing") {
		t.Errorf("an order without bolt 9: %v", err)
	}
	if o, err := job.TypedOrder(m, "9,8,7,6,5,4,3,2,1", 2); err != nil || len(o.Passes) != 2 || o.Source != access.Maker {
		t.Errorf("a whole order: %v, %+v", err, o)
	}
}

// What a map adds up to does not depend on the order in which events come.
func TestABoltMapDoesNotDependOnTheOrderOfArrival(t *testing.T) {
	b := coverApart(t, "", access.Maker, 2)
	b.do(job.ChooseWrench(small()))
	for range 4 {
		b.turnNext(job.RunIn)
	}
	want := b.state()
	shuffled := slices.Clone(b.events)
	r := rand.New(rand.NewPCG(1, 2))
	for range 5 {
		r.Shuffle(len(shuffled), func(i, j int) { shuffled[i], shuffled[j] = shuffled[j], shuffled[i] })
		got, err := job.Fold(append(shuffled, shuffled[:7]...))
		if err != nil {
			t.Fatal(err)
		}
		if !reflect.DeepEqual(got.BoltMaps, want.BoltMaps) || !reflect.DeepEqual(got.Wrenches, want.Wrenches) {
			t.Fatal("the same events in another order give another bolt map")
		}
	}
}

// Two phones count the same cover: both lengths stay, and a person decides.
func TestTwoLengthsOfOneBoltAreADispute(t *testing.T) {
	b := coverBench(t, "", access.Maker, false)
	m := b.mapped(2)
	id := m.Bolts[3].ID
	b.do(job.SetBolt(job.BoltSet{Item: "cover", Bolt: id, Length: mm("25 mm")}))
	b.rec.By = "tablet"
	s := b.do(job.SetBolt(job.BoltSet{Item: "cover", Bolt: id, Length: mm("30 mm")}))
	i := slices.IndexFunc(s.Conflicts, func(c job.Conflict) bool { return strings.Contains(c.Thing, "bolt 4, length") })
	if i < 0 || len(s.Conflicts[i].Values) != 2 {
		t.Fatalf("conflicts %+v", s.Conflicts)
	}
	c := s.Conflicts[i]
	s = b.do(job.Resolve(c.Key, c.Values[0].Event, "measured again"))
	if got := s.BoltMap("cover").Bolt(id).Length.String(); got != "25 mm" || s.Conflicts[i].Resolved == "" {
		t.Errorf("after it is settled the length is %s", got)
	}
}

func TestAnUndoneTapLeavesNoBolt(t *testing.T) {
	b := coverBench(t, "", access.Maker, false)
	b.do(job.SetBolt(job.BoltSet{Item: "cover", At: &job.Point{X: 0.1, Y: 0.1}}), job.SetBolt(job.BoltSet{Item: "cover", At: &job.Point{X: 0.4, Y: 0.1}}))
	s := b.do(job.UndoLast(""), job.SetBolt(job.BoltSet{Item: "cover", At: &job.Point{X: 0.7, Y: 0.1}}))
	m := s.BoltMap("cover")
	if len(m.Bolts) != 2 || m.Bolts[1].N != 2 || m.Bolts[1].At.X != 0.7 {
		t.Errorf("%+v", m.Bolts)
	}
}

// Wheels are tightened again after a short run, to the maker's figure and in
// another order, also where the map names no wheel joint.
func TestWheelsAreFollowedUpWithTheirFigure(t *testing.T) {
	b := coverApart(t, "wheels", access.Maker, 1)
	b.do(job.ChooseWrench(small()))
	for range nine {
		b.turnNext(job.RunIn)
	}
	for range nine {
		b.turnNext(job.Clicked)
	}
	for range nine {
		b.turnNext(job.Checked)
	}
	s := b.boltsDone()
	i := slices.IndexFunc(s.FollowUps, func(f job.FollowUp) bool { return f.ID == "wheel/torque" })
	if i < 0 {
		t.Fatalf("follow-ups %+v", s.FollowUps)
	}
	f := s.FollowUps[i]
	order := s.BoltMap("cover").OrderText(s.BoltMap("cover").Order.Check)
	if f.Km != [2]int{50, 100} || !strings.Contains(f.Why, "10 N·m (sheet 3 (invented)), in the order "+order) {
		t.Errorf("follow-up %q, %q, %v", f.Title, f.Why, f.Km)
	}
}

// Places that the access map gives make the bolt map, each group with its own;
// a map kept of the job has them again.
func TestABoltMapBeginsFromTheAccessMap(t *testing.T) {
	m := coverMap("", access.Maker, false)
	f := &m.Items[0].Ways[0].Fasteners.Items[0]
	for _, p := range nine {
		spot, err := access.ParseSpot(fmt.Sprintf("%g x %g mm", p.x, p.y))
		if err != nil {
			t.Fatal(err)
		}
		f.At = append(f.At, spot)
	}
	p, err := opening.Make(t.Context(), opening.Request{Map: m, Targets: []opening.Target{{Item: "cover", Action: access.AccessOnly}}})
	if err != nil {
		t.Fatal(err)
	}
	b := newBench(t, job.Started{Vehicle: "Tern van 1.4"})
	s := b.do(job.UsePlan(p, m, 1, nil))
	if s.KnownBolts("cover") != 9 {
		t.Fatalf("%d places are known, want 9", s.KnownBolts("cover"))
	}
	s = b.do(job.TakeKnownBolts("cover"))
	got := s.BoltMap("cover")
	for i, p := range nine {
		x, y := got.Bolts[i].At.X*got.MM(), got.Bolts[i].At.Y*got.MM()
		if math.Hypot(x-p.x, y-p.y) > 1e-9 || got.Bolts[i].Group != "bolts" {
			t.Errorf("bolt %d lies at %g, %g in group %q, want %g, %g", i+1, x, y, got.Bolts[i].Group, p.x, p.y)
		}
	}
	b.refused(job.CodeAlready, job.TakeKnownBolts("cover"))
	b.refused(job.CodeMissing, job.TakeKnownBolts("raised"))
	kept := job.ToMap(b.do(job.DoStep(job.StepDone{Step: "down/cover", Counts: map[string]int{"bolts": 9}})))
	if kept == nil || len(kept.Items) == 0 {
		t.Fatal("no map is kept of the job")
	}
	for _, it := range kept.Items {
		for _, g := range it.Ways[0].Fasteners.Items {
			if len(g.At) != 9 || g.At[2].String() != "130.0 x 22.0 mm" {
				t.Errorf("the map kept of the job has the places %v", g.At)
			}
		}
	}
}
