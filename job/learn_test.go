package job_test

import (
	"bytes"
	"slices"
	"strings"
	"testing"
	"time"

	"lastbolt/job"
	"lastbolt/plan/access"
)

func TestTheCommonOrderIsWhatNoSequenceContradicts(t *testing.T) {
	p := func(before, after string, n int) job.Precedence {
		return job.Precedence{Before: before, After: after, Support: n}
	}
	for _, row := range []struct {
		name string
		seqs string
		want []job.Precedence
	}{
		// Casas-Garriga, Identifying partial orders in sequences (slides).
		{"published example", "a b c d, b c d a, b c a d", []job.Precedence{p("b", "c", 3), p("c", "d", 3)}},
		{"one sequence is a chain", "a b c", []job.Precedence{p("a", "b", 1), p("b", "c", 1)}},
		{"a contradiction leaves nothing", "a b, b a", nil},
		{"what one sequence lacks does not count against", "a b, b c, a c", []job.Precedence{p("a", "b", 1), p("b", "c", 1)}},
		{"only the first time counts", "a b a, a b", []job.Precedence{p("a", "b", 2)}},
		{"nothing", "", nil},
	} {
		t.Run(row.name, func(t *testing.T) {
			var seqs [][]string
			for _, s := range strings.Split(row.seqs, ",") {
				seqs = append(seqs, strings.Fields(s))
			}
			if got := job.CommonOrder(seqs); !slices.Equal(got, row.want) {
				t.Errorf("got %v, want %v", got, row.want)
			}
		})
	}
}

// finished is a job on smallMap in which things came off in the order given.
func finished(t *testing.T, id string, minutes float64, order ...string) *job.State {
	b := newBench(t, job.Started{Vehicle: "Tern van 1.4", MapID: "van"})
	b.events[0].Job = id
	m := smallMap()
	for _, item := range order {
		var known *access.Item
		for i := range m.Items {
			if m.Items[i].ID == item {
				known = &m.Items[i]
			}
		}
		b.do(job.TakeOff(job.TakenOff{Known: known, Name: item, Way: known.Ways[0].ID, Minutes: minutes}))
	}
	return b.state()
}

func find(suggestions []job.Suggestion, kind job.SuggestionKind, item, of string) *job.Suggestion {
	for i, g := range suggestions {
		if g.Kind == kind && g.Item == item && (of == "" || g.Of == of) {
			return &suggestions[i]
		}
	}
	return nil
}

func TestJobsCorrectTheMap(t *testing.T) {
	m := smallMap()
	jobs := []*job.State{
		finished(t, "1", 6, "raised", "tray", "pipe"), finished(t, "2", 20, "raised", "pipe", "tray"), finished(t, "3", 25, "raised", "tray", "pipe"),
		finished(t, "4", 30, "raised", "tray"),
	}
	got := job.Orders(jobs, m)
	g := find(got, job.NotInTheWay, "tray", "pipe")
	if g == nil || !slices.Equal(g.Jobs, []string{"2"}) {
		t.Errorf("the second job had the pipe off before the tray: %+v", g)
	}
	g = find(got, job.OtherTime, "tray", "")
	if g == nil || g.Support != 4 || g.Minutes != (access.Span{Low: 6, Likely: 22.5, High: 30}) {
		t.Errorf("the tray's minutes: %+v", g)
	}
	if g := find(got, job.AlwaysFirst, "raised", "tray"); g != nil {
		t.Errorf("a condition is no order: %+v", g)
	}
	if g := find(got, job.AlwaysFirst, "tray", "pipe"); g != nil {
		t.Errorf("contradicted, and suggested: %+v", g)
	}
}

func TestANeedThatAJobDidWithoutIsSuggested(t *testing.T) {
	b := plannedBench(t)
	s := b.do(doStep("down/raised"), doStep("down/pipe"))
	g := find(job.Orders([]*job.State{s}, smallMap()), job.NotInTheWay, "tray", "pipe")
	if g == nil || g.Support != 1 || !strings.Contains(g.Text, "Charge pipe came off with Undertray still on, in 1 job.") {
		t.Errorf("suggestion %+v", g)
	}
	s = b.do(doStep("down/tray"))
	if g := find(job.Orders([]*job.State{s}, smallMap()), job.NotInTheWay, "tray", "pipe"); g == nil {
		t.Error("it came off later, and that hides that it was on")
	}
	s = apart(t).state()
	if g := find(job.Orders([]*job.State{s}, smallMap()), job.NotInTheWay, "tray", "pipe"); g != nil {
		t.Errorf("it was off: %+v", g)
	}
}

func TestWhatWasInTheWayAndIsNotInTheMapIsSuggested(t *testing.T) {
	b := plannedBench(t)
	s := b.do(doStep("down/raised"), job.MeetInTheWay("down/tray", job.TakenOff{Name: "Bracket"}), job.LinkInTheWay("tray", "cooler"))
	got := job.Orders([]*job.State{s}, smallMap())
	bracket := s.Open[0].Item
	if g := find(got, job.InTheWayToo, bracket, "tray"); g == nil || !strings.Contains(g.Text, "Bracket was in the way of Undertray, in 1 job.") {
		t.Errorf("suggestion %+v", g)
	}
	if g := find(got, job.InTheWayToo, "tray", "cooler"); g != nil {
		t.Errorf("the map says so already, through the pipe: %+v", g)
	}
}

func TestEnoughJobsInOneOrderAreASuggestion(t *testing.T) {
	m := smallMap()
	m.Items[2].Ways[0].Needs = nil
	var jobs []*job.State
	for _, id := range []string{"1", "2"} {
		jobs = append(jobs, finished(t, id, 6, "tray", "pipe"))
	}
	if g := find(job.Orders(jobs, m), job.AlwaysFirst, "tray", "pipe"); g != nil {
		t.Errorf("two jobs are not enough: %+v", g)
	}
	jobs = append(jobs, finished(t, "3", 6, "tray", "pipe"))
	if g := find(job.Orders(jobs, m), job.AlwaysFirst, "tray", "pipe"); g == nil || g.Support != 3 {
		t.Errorf("suggestion %+v", g)
	}
}

func TestAJobWithoutAMapBecomesOne(t *testing.T) {
	b := newBench(t, job.Started{Vehicle: "Tern van 1.4", Title: "Oil cooler leak"})
	b.do(job.SetTargets([]job.Target{{Name: "Oil cooler", Action: access.Reseal}}, "record as you go"))
	s := b.do(job.TakeOff(job.TakenOff{Name: "Bracket", InWayOf: []string{"oil-cooler"}, Minutes: 4,
		Fasteners: []access.Fastener{{Name: "bolts", Count: 2, Head: "10 mm hex"}}, Opens: []access.Joint{{Kind: "connector"}}}))
	if s.Stage != job.StageWork || s.Next.ID != "work/oil-cooler/reseal" {
		t.Errorf("stage %q, next %+v", s.Stage, s.Next)
	}
	b.do(job.TakeOff(job.TakenOff{Name: "Bracket", NoneOff: true, Aside: true}))
	b.do(job.Begin("work/oil-cooler/reseal"))
	b.wait(12 * time.Minute)
	b.do(doStep("work/oil-cooler/reseal"))
	for s = b.state(); s.Next != nil; s = b.state() {
		counts := map[string]int{}
		for _, g := range s.Next.Groups {
			counts[g.ID] = g.Out
		}
		b.do(job.Begin(s.Next.ID))
		b.wait(3 * time.Minute)
		b.do(job.DoStep(job.StepDone{Step: s.Next.ID, Counts: counts}))
	}
	if len(s.Open) > 0 || s.Stage != job.StageProve {
		t.Fatalf("open %v, stage %q", s.Open, s.Stage)
	}
	m := job.ToMap(s)
	if p := access.Check(m); len(errorsOf(p)) > 0 {
		t.Errorf("the map is not in order: %v", errorsOf(p))
	}
	if _, err := access.Parse("recorded.yaml", m.Encode()); err != nil {
		t.Errorf("the map cannot be read back: %v\n%s", err, m.Encode())
	}
	if len(m.Items) != 3 || m.Items[0].ID != "bracket" || m.Items[1].ID != "bracket-2" || m.Items[2].ID != "oil-cooler" {
		t.Fatalf("items %+v", m.Items)
	}
	first := m.Items[0].Ways[0]
	if f := first.Fasteners.Items; len(f) != 1 || f[0].Count != 2 || f[0].Head != "10 mm hex" || !f[0].Torque.Value.IsZero() {
		t.Errorf("fasteners %+v", f)
	}
	if first.Minutes.Off.Likely != 4 || first.Minutes.On.Likely < 3 || first.Minutes.On.Likely > 3.5 {
		t.Errorf("minutes %+v", first.Minutes)
	}
	if second := m.Items[1].Ways[0]; second.Kind != access.Aside || !second.Fasteners.None() {
		t.Errorf("the second: %+v", second)
	}
	work := m.Items[2].Work
	if len(work) != 1 || len(work[0].Needs) != 1 || work[0].Needs[0].Item != "bracket" || work[0].Minutes.Likely < 12 {
		t.Errorf("work %+v", work)
	}
}

func TestTheComplaintIsNoItemOfTheKeptMap(t *testing.T) {
	complaint := "Water in the fuel bowl"
	begin := func() *bench {
		b := newBench(t, job.Started{Vehicle: "Old tractor", Complaint: complaint})
		b.do(job.SetTargets([]job.Target{{Name: complaint, Action: access.Inspect}}, "record as you go"))
		return b
	}
	b := begin()
	m := job.ToMap(b.do(job.TakeOff(job.TakenOff{Name: "Side panel", Minutes: 4})))
	if len(m.Items) != 1 || m.Items[0].ID != "side-panel" || !strings.Contains(m.About, complaint) {
		t.Errorf("items %+v, about %q; want the panel alone, and the complaint told", m.Items, m.About)
	}
	if w := m.Items[0].Ways[0]; !w.Guess || w.Minutes.Off.Likely != 4 {
		t.Errorf("off %v, guess %t; putting back was not measured, so it is a guess", w.Minutes.Off, w.Guess)
	}
	b = begin()
	m = job.ToMap(b.do(job.TakeOff(job.TakenOff{Name: "Side panel", InWayOf: []string{"water-in-the-fuel-bowl"}})))
	if len(m.Items) != 2 || m.Items[1].Name != "What was worked on" || !strings.Contains(m.Items[1].Notes, complaint) || len(m.Items[1].Work[0].Needs) != 1 {
		t.Errorf("items %+v; want what the panel was in the way of, with the complaint as a note", m.Items)
	}
	if p := access.Check(m); len(errorsOf(p)) > 0 {
		t.Errorf("the map is not in order: %v", errorsOf(p))
	}
}

func errorsOf(ps access.Problems) []access.Problem {
	return slices.DeleteFunc(slices.Clone(ps), func(p access.Problem) bool { return p.Advice })
}

func TestIDsRiseWhateverTheClockDoes(t *testing.T) {
	times := []time.Duration{0, time.Millisecond, time.Millisecond, -time.Hour, 0, time.Second, time.Second, -time.Second}
	i := 0
	ids := job.NewIDs(func() time.Time { i++; return morning.Add(times[i%len(times)]) }, bytes.NewReader(nil))
	last := ""
	for n := range 20_000 {
		id := ids.New()
		if id <= last {
			t.Fatalf("id %d, %s, is not after %s", n, id, last)
		}
		if len(id) != 36 || id[14] != '7' {
			t.Fatalf("%s is not laid out as a UUID of version 7", id)
		}
		last = id
	}
}
