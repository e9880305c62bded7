package job_test

import (
	"slices"
	"strings"
	"testing"
	"time"

	"lastbolt/job"
	"lastbolt/plan/access"
)

func TestWhatCannotBeRecordedIsRefusedInASentence(t *testing.T) {
	for name, row := range map[string]struct {
		code   job.Code
		action job.Action
	}{
		"unknown step":             {job.CodeUnknown, job.Begin("down/engine")},
		"a group not counted":      {job.CodeMissing, job.DoStep(job.StepDone{Step: "down/tray"})},
		"a count below zero":       {job.CodeWrong, job.DoStep(job.StepDone{Step: "down/tray", Counts: map[string]int{"screws": -1}})},
		"a count past belief":      {job.CodeWrong, job.DoStep(job.StepDone{Step: "down/tray", Counts: map[string]int{"screws": 100_000}})},
		"negative minutes":         {job.CodeWrong, job.DoStep(job.StepDone{Step: "down/raised", Minutes: -4})},
		"putting back what is on":  {job.CodeNotYet, doStep("up/tray")},
		"setting the work aside":   {job.CodeWrong, job.SetAside(job.StepDone{Step: "work/cooler/reseal"})},
		"a thing without a name":   {job.CodeMissing, job.TakeOff(job.TakenOff{Name: "  "})},
		"trouble without a word":   {job.CodeMissing, job.HadTrouble(job.TroubleMet{Step: "down/tray"})},
		"an empty note":            {job.CodeMissing, job.WriteNote("", " ")},
		"no photo":                 {job.CodeMissing, job.AddPhoto(job.PhotoTaken{})},
		"in its own way":           {job.CodeWrong, job.LinkInTheWay("tray", "tray")},
		"an unknown dispute":       {job.CodeUnknown, job.Resolve("x", "y", "")},
		"no difference to explain": {job.CodeAlready, job.ExplainCount("tray", "screws", "lost")},
		"a wait of nothing":        {job.CodeWrong, job.StartWait(job.WaitStarted{Kind: "cure"})},
		"an unknown test":          {job.CodeUnknown, job.RecordTest("x", "dry", "")},
		"a severity of our own":    {job.CodeWrong, job.LeaveFound(job.FoundNotDone{What: "tyre", Severity: "so so"})},
		"amending an open job":     {job.CodeNotYet, job.Amend("me", "more")},
		"turning back unsaid":      {job.CodeMissing, job.TurnBack("", smallPlan(), smallMap(), 3)},
		"no targets":               {job.CodeMissing, job.SetTargets(nil, "")},
		"releasing with open work": {job.CodeMissing, job.ReleaseJob(job.Released{})},
		"an odometer without one":  {job.CodeWrong, job.ReadOdometer("far")},
		"an odometer without unit": {job.CodeWrong, job.ReadOdometer("84,200")},
		"a release without unit":   {job.CodeWrong, job.ReleaseJob(job.Released{Who: "me", Odometer: "84 200"})},
		"an unknown way to get":    {job.CodeWrong, job.Mark("tools:x", "x", "stolen", "")},
		"nothing for the list":     {job.CodeMissing, job.PutOnList(job.Wanted{}, "", "")},
		"reconfirming what is not": {job.CodeNotYet, job.Reconfirm("down/tray")},
	} {
		t.Run(name, func(t *testing.T) {
			b := plannedBench(t)
			n := len(b.events)
			b.refused(row.code, row.action)
			if len(b.events) != n {
				t.Error("something was recorded all the same")
			}
		})
	}
}

func TestADoneStepIsSaidToBeDone(t *testing.T) {
	b := plannedBench(t)
	b.do(doStep("down/raised"), doStep("down/tray"))
	n := len(b.events)
	b.refused(job.CodeAlready, doStep("down/tray"))
	b.refused(job.CodeAlready, job.Begin("down/tray"))
	if len(b.events) != n {
		t.Error("the same is recorded twice")
	}
}

func TestTwoCountsOfOneThingAreBothKept(t *testing.T) {
	b := plannedBench(t)
	b.do(doStep("down/raised"), doStep("down/tray"))
	b.rec.By = "tablet"
	b.refused(job.CodeAlready, job.DoStep(job.StepDone{Step: "down/tray", Counts: map[string]int{"screws": 5}}))
	s := b.state()
	if len(s.Conflicts) != 1 || len(s.Conflicts[0].Values) != 2 {
		t.Fatalf("conflicts %+v, want one with two values", s.Conflicts)
	}
	c := s.Conflicts[0]
	if c.Values[0].Value != "6 out" || c.Values[0].By != "phone" || c.Values[1].Value != "5 out" || c.Values[1].By != "tablet" {
		t.Errorf("values %+v", c.Values)
	}
	if got := s.StepByID("down/tray").Status; got != job.Dispute {
		t.Errorf("the step is %q, want in dispute", got)
	}
	s = b.do(job.Resolve(c.Key, c.Values[1].Event, "counted again"))
	if got := s.StepByID("down/tray"); got.Status != job.Done || got.Groups[0].Out != 5 {
		t.Errorf("after settling: %q, %d out; want done, 5", got.Status, got.Groups[0].Out)
	}
	if s.Conflicts[0].Resolved == "" {
		t.Error("the dispute is still open")
	}
}

func TestMinutesAreMeasuredWithoutThePauses(t *testing.T) {
	b := plannedBench(t)
	b.do(job.Begin("down/raised"))
	b.wait(10 * time.Minute)
	b.do(job.PauseJob(job.Paused{Why: "rain"}))
	b.wait(60 * 24 * time.Hour)
	b.do(job.GoOn(time.Time{}))
	b.wait(5 * time.Minute)
	s := b.do(doStep("down/raised"))
	if got := s.StepByID("down/raised").Minutes; got < 15 || got > 17 {
		t.Errorf("%.1f minutes, want about 15", got)
	}
}

func TestAfterAPauseTheLastThreeStepsAreLookedAtAgain(t *testing.T) {
	b := apart(t)
	b.do(job.Begin("up/pipe"), job.PauseJob(job.Paused{Why: "rain", MustNotStart: []string{"engine"}}))
	r := job.Resume(b.state(), b.now, 0)
	if !r.Needed || len(r.Confirm) != 3 || r.Confirm[0].ID != "work/cooler/reseal" || len(r.Unfinished) != 1 || r.Unfinished[0].ID != "up/pipe" {
		t.Fatalf("resumption %+v", r)
	}
	s := b.do(job.GoOn(time.Time{}))
	if s.Pause != nil || len(s.Confirm) != 3 {
		t.Errorf("pause %v, %d to confirm", s.Pause, len(s.Confirm))
	}
	s = b.do(job.Reconfirm("work/cooler/reseal", "down/pipe", "down/tray"))
	if r := job.Resume(s, b.now, job.Idle); r.Needed {
		t.Errorf("still needed: %+v", r)
	}
	if r := job.Resume(s, b.now.Add(job.Idle), job.Idle); !r.Needed {
		t.Error("an idle time goes unnoticed")
	}
}

func TestTroubleGoesOnTheShoppingListAtOnce(t *testing.T) {
	b := plannedBench(t)
	s := b.do(doStep("down/raised"), job.HadTrouble(job.TroubleMet{Step: "down/tray", What: "broken clip", Needs: []job.Wanted{{Name: "Tray clip", Amount: "2"}, {}}}))
	if len(s.List) != 1 || s.List[0].Name != "Tray clip" || s.List[0].Why != "broken clip" || s.List[0].Settled() {
		t.Fatalf("list %+v", s.List)
	}
	if n := job.Summarise(s).ToGet; n != 1 {
		t.Errorf("%d to get, want 1", n)
	}
	s = b.do(job.Mark(s.List[0].Key, "Tray clip", job.Ordered, "order 7"))
	if s.List[0].Settled() || s.List[0].Note != "order 7" {
		t.Errorf("ordered is not at hand: %+v", s.List[0])
	}
	if s = b.do(job.Mark(s.List[0].Key, "", job.Received, "")); !s.List[0].Settled() {
		t.Error("received, and still to get")
	}
}

// What was counted of a thing before it came off is asked for when it does.
func TestPiecesOfWhatIsInTheWayAreCountedWhenItComesOff(t *testing.T) {
	b := plannedBench(t)
	s := b.do(doStep("down/raised"), doStep("down/tray"),
		job.MeetInTheWay("down/pipe", job.TakenOff{Name: "Bracket", NotYet: true, Fasteners: []access.Fastener{{Name: "M6 bolts", Count: 2}}}))
	if g := s.Next.Groups; len(g) != 1 || g[0].Want != 2 || g[0].OutKnown {
		t.Errorf("groups %+v, want 2 M6 bolts, still in", g)
	}
}

func TestWhatIsMetIsInsertedWhereItWasMet(t *testing.T) {
	b := plannedBench(t)
	s := b.do(doStep("down/raised"), doStep("down/tray"), job.Begin("down/pipe"), // the pipe was in hand already
		job.MeetInTheWay("down/pipe", job.TakenOff{Name: "Bracket", NotYet: true}))
	if first := s.Ahead("down/pipe"); len(first) != 1 || first[0].Name != "Bracket" {
		t.Errorf("before the pipe comes %v, want the bracket", first)
	}
	if s.Next == nil || s.Next.Name != "Bracket" || !s.Next.Unplanned {
		t.Fatalf("next is %+v, want the bracket", s.Next)
	}
	bracket := s.Next.ID
	var order []string
	for _, st := range s.Steps {
		order = append(order, st.Name)
	}
	want := "Raised Undertray Bracket Charge pipe Oil cooler Charge pipe Bracket Undertray Raised coolant"
	if got := strings.Join(order, " "); got != want {
		t.Errorf("steps %s, want %s", got, want)
	}
	if !slices.Contains(s.Next.InWayOf, "Charge pipe") {
		t.Errorf("it is in the way of %v", s.Next.InWayOf)
	}
	s = b.do(job.DoStep(job.StepDone{Step: bracket, Tray: "4", Fasteners: []access.Fastener{{ID: "nuts", Name: "nuts", Count: 2}}}))
	ring := s.Ring(s.StepByID(bracket).Item)
	if ring == nil || ring.Tray != "4" || len(ring.Groups) != 1 || ring.Groups[0].Out != 2 {
		t.Fatalf("ring %+v", ring)
	}
	if s.Next.ID != "down/pipe" {
		t.Errorf("next is %s", s.Next.ID)
	}
	b.do(doStep("down/pipe"), doStep("work/cooler/reseal"), doStep("up/pipe"))
	s = b.do(job.DoStep(job.StepDone{Step: ring.Up, Counts: map[string]int{"nuts": 1}}))
	if len(s.Differences) != 1 || s.Differences[0].Out != 2 || s.Differences[0].Back != 1 {
		t.Fatalf("differences %+v", s.Differences)
	}
}

func TestAReleaseIsRefusedAsLongAsAnythingThatBlocksIsOpen(t *testing.T) {
	who := job.Released{Who: "M. Carter", Odometer: "84,230 km"}
	b := apart(t)
	e := b.refused(job.CodeRefused, job.ReleaseJob(who))
	if len(e.Open) != 4 { // three rings and the coolant
		t.Errorf("open: %+v, want pipe, tray, raised and coolant", e.Open)
	}
	b.do(job.DoStep(job.StepDone{Step: "up/pipe", Counts: map[string]int{"bolts": 3}}),
		doStep("up/tray"), doStep("up/raised"), doStep("up/fill-coolant"))
	e = b.refused(job.CodeRefused, job.ReleaseJob(who))
	if len(e.Open) != 1 || e.Open[0].Kind != "count" || !strings.Contains(e.Text, "4 out, 3 back. 1 left over") {
		t.Errorf("%q, open %+v; want the count", e.Text, e.Open)
	}
	b.refused(job.CodeMissing, job.ExplainCount("pipe", "bolts", " "))
	b.do(job.ExplainCount("pipe", "bolts", "sheared, new one on order"))
	s := b.do(job.ReleaseJob(who))
	if s.Stage != job.StageReleased || s.Release.Who != "M. Carter" || s.Odometer != "84,230 km" || s.Next != nil || s.Undo != nil {
		t.Errorf("released: %q by %+v", s.Stage, s.Release)
	}
	if len(s.Release.Open) == 0 {
		t.Error("the release does not say which tests were left open")
	}
	b.refused(job.CodeReleased, doStep("up/tray"))
	b.refused(job.CodeReleased, job.UndoLast(""))
	s = b.do(job.Amend("M. Carter", "Bolt fitted on 9 March."))
	if len(s.Amendments) != 1 || s.Release == nil {
		t.Errorf("amendments %+v", s.Amendments)
	}
}

func TestAnExplanationHoldsOnlyForItsNumbers(t *testing.T) {
	b := apart(t)
	b.do(job.DoStep(job.StepDone{Step: "up/pipe", Counts: map[string]int{"bolts": 3}}), job.ExplainCount("pipe", "bolts", "one lost"))
	b.rec.By = "tablet"
	b.refused(job.CodeAlready, job.DoStep(job.StepDone{Step: "up/pipe", Counts: map[string]int{"bolts": 2}}))
	s := b.state()
	s = b.do(job.Resolve(s.Conflicts[0].Key, s.Conflicts[0].Values[1].Event, ""))
	if d := s.Differences; len(d) != 1 || d[0].Back != 2 || d[0].Explained != "" {
		t.Errorf("differences %+v, want 4 out, 2 back, not explained", d)
	}
}

func TestAGroupNotCountedStaysOpen(t *testing.T) {
	b := plannedBench(t)
	b.do(doStep("down/raised"), job.DoStep(job.StepDone{Step: "down/tray", NotCounted: []string{"screws"}}))
	s := b.do(job.DoStep(job.StepDone{Step: "up/tray", Counts: map[string]int{"screws": 6}}))
	if d := s.Differences; len(d) != 1 || d[0].Out != -1 || d[0].Back != 6 || d[0].Explained != "" {
		t.Errorf("differences %+v", d)
	}
}

func TestWaitsRunAndAreEnded(t *testing.T) {
	b := plannedBench(t)
	s := b.do(job.StartWait(job.WaitStarted{Kind: "soak", Minutes: 30}))
	if w := s.Waits[0]; w.Over(b.now) || !w.Over(b.now.Add(31*time.Minute)) {
		t.Errorf("wait %+v", w)
	}
	s = b.do(job.EndWait(s.Waits[0].Key, "loose already"))
	if !s.Waits[0].Over(b.now) {
		t.Error("ended, and still running")
	}
	b.refused(job.CodeAlready, job.EndWait(s.Waits[0].Key, ""))
}

func TestAMissingToolBlocksUntilSomethingIsSaidOfIt(t *testing.T) {
	b := together(t)
	b.do(job.CountTools(job.ToolsCounted{Counted: 11, Missing: []string{"10 mm socket"}}))
	b.refused(job.CodeRefused, job.ReleaseJob(job.Released{Who: "M. Carter"}))
	b.do(job.CountTools(job.ToolsCounted{Counted: 11, Missing: []string{"10 mm socket"}, Declared: map[string]string{"10 mm socket": "lent out before"}}))
	b.do(job.ReleaseJob(job.Released{Who: "M. Carter"}))
}

func TestCautionsComeWithTheStep(t *testing.T) {
	b := plannedBench(t)
	s := b.state()
	c := s.Cautions("down/raised")
	if len(c) != 1 || c[0].ID != "jack" || c[0].Held || c[0].HoldText() == "" {
		t.Fatalf("cautions of raising: %+v", c)
	}
	s = b.do(job.DoStep(job.StepDone{Step: "down/raised", Held: []string{"jack"}}))
	c = s.Cautions("down/tray")
	if len(c) != 1 || c[0].ID != "jack" || !c[0].Held {
		t.Errorf("cautions under the raised van: %+v, want jack, held", c)
	}
	ids := ""
	for _, c := range s.Cautions("down/pipe") {
		ids += c.ID + " "
	}
	if ids != "jack coolant fluids " {
		t.Errorf("cautions of the pipe: %s", ids)
	}
	s = b.do(job.PauseJob(job.Paused{}), job.GoOn(time.Time{}))
	if c := s.Cautions("down/tray"); len(c) != 1 || c[0].Held {
		t.Error("after a pause the stands are not looked at again")
	}
}

func TestThePauseSheetSaysWhatIsLooseAndWhatMustNotBeStarted(t *testing.T) {
	b := plannedBench(t)
	if d := job.PauseSheet(b.state()); len(d.Loose)+len(d.MustNotStart) > 0 {
		t.Errorf("nothing is open, and the sheet says %+v", d)
	}
	s := b.do(doStep("down/raised"), doStep("down/tray"), job.SetAside(job.StepDone{Step: "down/pipe", Counts: counts["pipe"]}), job.Begin("work/cooler/reseal"))
	d := job.PauseSheet(s)
	if want := []string{"Oil cooler (begun, not finished)", "Charge pipe (aside)", "Undertray (off)"}; !slices.Equal(d.Loose, want) {
		t.Errorf("loose %v, want %v", d.Loose, want)
	}
	if want := []string{"Do not start the engine: open or empty are coolant, air intake", "Do not drive or move it"}; !slices.Equal(d.MustNotStart, want) {
		t.Errorf("must not start %v, want %v", d.MustNotStart, want)
	}
}

func TestAnExplicitNoneOfFastenersIsKnown(t *testing.T) {
	b := plannedBench(t)
	s := b.do(doStep("down/raised"), job.SayNone("down/raised:fasteners"))
	if !s.StepByID("down/raised").NoGroups || !s.StepByID("up/raised").NoGroups || s.StepByID("down/tray").NoGroups {
		t.Error("the none is not where it was said")
	}
}

func TestWhatWasHotIsNotWarnedOfOnTheWayBack(t *testing.T) {
	s := apart(t).state()
	var ids []string
	for _, c := range s.Cautions("up/pipe") {
		ids = append(ids, c.ID)
	}
	if !slices.Equal(ids, []string{"jack"}) {
		t.Errorf("cautions %v, want the raised van alone", ids)
	}
}
