package job_test

import (
	"encoding/json"
	"math/rand/v2"
	"reflect"
	"slices"
	"testing"
	"time"

	"lastbolt/job"
	"lastbolt/plan/access"
	"lastbolt/plan/opening"
)

func TestStepsGoThroughTheValley(t *testing.T) {
	b := plannedBench(t)
	s := b.state()
	if s.Stage != job.StageReady || s.Title != "Oil cooler: reseal" || s.NoReturn != 2 || !s.Invented {
		t.Fatalf("stage %q, title %q, no return %d, invented %t", s.Stage, s.Title, s.NoReturn, s.Invented)
	}
	for _, row := range []struct {
		step  string
		stage job.Stage
		open  string
		next  string
	}{
		{"down/raised", job.StageApart, "raised ", "down/tray"},
		{"down/tray", job.StageApart, "tray raised ", "down/pipe"},
		{"down/pipe", job.StageWork, "pipe tray raised ", "work/cooler/reseal"},
		{"work/cooler/reseal", job.StageBack, "pipe tray raised ", "up/pipe"},
		{"up/pipe", job.StageBack, "tray raised ", "up/tray"},
		{"up/tray", job.StageBack, "raised ", "up/raised"},
		{"up/raised", job.StageBack, "", "up/fill-coolant"},
		{"up/fill-coolant", job.StageProve, "", ""},
	} {
		s := b.do(doStep(row.step))
		next := ""
		if s.Next != nil {
			next = s.Next.ID
			if s.Next.Status != job.Now {
				t.Errorf("after %s: the next step is %q, want now", row.step, s.Next.Status)
			}
		}
		if s.Stage != row.stage || openItems(s) != row.open || next != row.next {
			t.Errorf("after %s: stage %q, open %q, next %q; want %q, %q, %q", row.step, s.Stage, openItems(s), next, row.stage, row.open, row.next)
		}
	}
	if s := b.state(); len(s.Problems) > 0 || len(s.Differences) > 0 || len(s.Drained) > 0 {
		t.Errorf("problems %v, differences %v, drained %v", s.Problems, s.Differences, s.Drained)
	}
}

func TestWhatIsOffIsOwedOnTheWayUp(t *testing.T) {
	b := plannedBench(t)
	s := b.do(doStep("down/raised"), job.SetAside(job.StepDone{Step: "down/tray", Counts: counts["tray"], Tray: "2"}))
	want := map[string]job.Status{
		"down/raised": job.Done, "down/tray": job.Aside, "down/pipe": job.Now, "work/cooler/reseal": job.ToCome,
		"up/pipe": job.ToCome, "up/tray": job.Owed, "up/raised": job.Owed, "up/fill-coolant": job.ToCome,
	}
	for id, status := range want {
		if got := s.StepByID(id).Status; got != status {
			t.Errorf("%s is %q, want %q", id, got, status)
		}
	}
	if up := s.StepByID("up/tray"); up.Tray != "2" || len(up.Groups) != 1 || up.Groups[0].Out != 6 || up.Partner != "down/tray" {
		t.Errorf("the way back does not know tray and count: %+v", up)
	}
}

func TestFoldDoesNotDependOnOrderOrRepetition(t *testing.T) {
	b := together(t)
	want := b.state()
	r := rand.New(rand.NewPCG(1, 2))
	for range 50 {
		log := append(slices.Clone(b.events), b.events[:r.IntN(len(b.events))]...)
		r.Shuffle(len(log), func(i, j int) { log[i], log[j] = log[j], log[i] })
		before := slices.Clone(log)
		got, err := job.Fold(log)
		if err != nil || !reflect.DeepEqual(got, want) {
			t.Fatalf("another order gives another state (%v)", err)
		}
		if !reflect.DeepEqual(log, before) {
			t.Fatal("Fold changed the log it was given")
		}
	}
}

func TestEveryPrefixOfALogIsAState(t *testing.T) {
	b := together(t)
	for n := 1; n <= len(b.events); n++ {
		s, err := job.Fold(b.events[:n])
		if err != nil || len(s.Problems) > 0 {
			t.Fatalf("the first %d events: %v, %v", n, err, s.Problems)
		}
		for _, r := range s.Open {
			if up := s.StepByID(r.Up); up == nil || up.IsDone() {
				t.Fatalf("after %d events nothing closes %s", n, r.Item)
			}
		}
	}
}

// plain is a state without what undo itself adds: history and the time last
// touched.
func plain(s *job.State) job.State {
	c := *s
	c.History, c.Touched, c.Redo = nil, time.Time{}, nil
	return c
}

// A begin only starts the minutes; nobody who taps undo means it.
func TestUndoPassesOverABegin(t *testing.T) {
	b := plannedBench(t)
	before := b.do(doStep("down/raised"))
	after := b.do(job.Begin("down/tray"))
	if before.Undo == nil || after.Undo == nil || *after.Undo != *before.Undo {
		t.Errorf("undo would take back %+v after a begin, want %+v", after.Undo, before.Undo)
	}
}

func TestUndoTakesBackTheBeginsThatFollowed(t *testing.T) {
	b := plannedBench(t)
	before := b.do(doStep("down/raised"))
	after := b.do(doStep("down/tray"), job.Begin("down/pipe"))
	undone := b.do(job.UndoLast(after.Undo.Event))
	if !reflect.DeepEqual(plain(undone), plain(before)) {
		t.Errorf("after undo the next step is %+v, want %+v", undone.Next, before.Next)
	}
	if again := b.do(job.RedoLast()); !reflect.DeepEqual(plain(again), plain(after)) {
		t.Errorf("after redo the next step is %+v, want %+v", again.Next, after.Next)
	}
}

func TestUndoRestoresTheStateBefore(t *testing.T) {
	for name, action := range map[string]job.Action{
		"a step":      doStep("down/pipe"),
		"an aside":    job.SetAside(job.StepDone{Step: "down/pipe", Counts: counts["pipe"]}),
		"a thing met": job.MeetInTheWay("down/pipe", job.TakenOff{Name: "Bracket", NotYet: true}),
		"a thing off": job.TakeOff(job.TakenOff{Name: "Bracket", Fasteners: []access.Fastener{{Name: "bolts", Count: 2}}}),
		"trouble":     job.HadTrouble(job.TroubleMet{Step: "down/tray", What: "broken clip", Needs: []job.Wanted{{Name: "clip"}}}),
		"a note":      job.WriteNote("", "rust"),
		"a photo":     job.AddPhoto(job.PhotoTaken{Step: "down/tray", File: "ab"}),
		"a pause":     job.PauseJob(job.Paused{Why: "rain"}),
		"a new plan":  job.UsePlan(smallPlan(), smallMap(), 4, nil),
		"a mark":      job.Mark("tools:jack", "jack", job.Have, ""),
		"a none":      job.SayNone("parts"),
		"a wait":      job.StartWait(job.WaitStarted{Kind: "soak", Minutes: 10}),
		"tools":       job.CountTools(job.ToolsCounted{Counted: 3}),
		"found":       job.LeaveFound(job.FoundNotDone{What: "worn tyre"}),
	} {
		t.Run(name, func(t *testing.T) {
			b := plannedBench(t)
			before := b.do(doStep("down/raised"), doStep("down/tray"))
			after := b.do(action)
			if after.Undo == nil || after.Undo.Event == before.Undo.Event || after.Undo.Text == "" {
				t.Fatalf("undo would take back %+v", after.Undo)
			}
			undone := b.do(job.UndoLast(after.Undo.Event))
			if got, want := plain(undone), plain(before); !reflect.DeepEqual(got, want) {
				t.Errorf("after undo: %+v\nwant %+v", got, want)
			}
			if undone.Redo == nil || undone.Redo.Text != after.Undo.Text {
				t.Errorf("redo would bring back %+v", undone.Redo)
			}
			if again := b.do(job.RedoLast()); !reflect.DeepEqual(plain(again), plain(after)) {
				t.Errorf("after redo: %+v\nwant %+v", plain(again), plain(after))
			}
		})
	}
}

func TestUndoGoesBackStepByStepAndForwardAgain(t *testing.T) {
	b := plannedBench(t)
	b.do(doStep("down/raised"), doStep("down/tray"), doStep("down/pipe"))
	s := b.do(job.UndoLast(""), job.UndoLast(""))
	if got := openItems(s); got != "raised " {
		t.Errorf("after two undos %q is open, want the van raised", got)
	}
	s = b.do(job.RedoLast())
	if got := openItems(s); got != "tray raised " {
		t.Errorf("after one redo %q is open, want tray and raised", got)
	}
	s = b.do(job.RedoLast())
	if got := openItems(s); got != "pipe tray raised " {
		t.Errorf("after two redos %q is open", got)
	}
	if s.Redo != nil {
		t.Errorf("there is more to bring back: %+v", s.Redo)
	}
}

func TestASecondTapOnUndoTakesBackNothingMore(t *testing.T) {
	b := plannedBench(t)
	s := b.do(doStep("down/raised"), doStep("down/tray"))
	b.do(job.UndoLast(s.Undo.Event))
	b.refused(job.CodeAlready, job.UndoLast(s.Undo.Event))
	if got := openItems(b.state()); got != "raised " {
		t.Errorf("%q is open, want the van raised", got)
	}
}

func TestWhatUndoTakesAwayNeverHidesWhatIsOff(t *testing.T) {
	b := plannedBench(t)
	plan := b.events[1].ID
	b.do(doStep("down/raised"), doStep("down/tray"))
	b.events = append(b.events, b.rec.Event("job-1", job.KindUndo, job.Undone{Event: plan}))
	s := b.state()
	if got := openItems(s); got != "tray raised " {
		t.Errorf("without the plan %q is open, want tray and raised", got)
	}
	for _, r := range s.Open {
		if s.StepByID(r.Up) == nil {
			t.Errorf("nothing puts %s back", r.Item)
		}
	}
	if len(s.Problems) == 0 {
		t.Error("steps without a plan are not told of")
	}
}

func TestUnknownKindsAreKept(t *testing.T) {
	b := plannedBench(t)
	e := job.Event{ID: b.rec.NewID(), Job: "job-1", Kind: "smelled", At: b.clock(), Data: json.RawMessage(`{"of":"coolant"}`)}
	b.events = append(b.events, e)
	s := b.state()
	if len(s.Kept) != 1 || !reflect.DeepEqual(s.Kept[0], e) {
		t.Errorf("kept %+v, want %+v", s.Kept, e)
	}
	if last := s.History[len(s.History)-1]; last.Kind != "smelled" || last.Text == "" {
		t.Errorf("the history ends with %+v", last)
	}
}

func TestBrokenRecordsBecomeProblems(t *testing.T) {
	for name, e := range map[string]job.Event{
		"wrong type":      {Kind: job.KindDone, Data: json.RawMessage(`{"step": 4}`)},
		"not JSON":        {Kind: job.KindPlanned, Data: json.RawMessage(`{"plan":`)},
		"no such step":    {Kind: job.KindDone, Data: json.RawMessage(`{"step": "nowhere"}`)},
		"no step":         {Kind: job.KindDone},
		"a count below 0": {Kind: job.KindDone, Data: json.RawMessage(`{"step": "down/raised", "counts": {"x": -4}}`)},
		"put back twice":  {Kind: job.KindDone, Data: json.RawMessage(`{"step": "up/pipe"}`)},
		"no wait":         {Kind: job.KindWaitEnded, Data: json.RawMessage(`{"wait": "w"}`)},
		"another job":     {Kind: job.KindNote, Job: "job-2", Data: json.RawMessage(`{"text": "x"}`)},
		"nothing off":     {Kind: job.KindTakenOff, Data: json.RawMessage(`{}`)},
		"started twice":   {Kind: job.KindStarted, Data: json.RawMessage(`{}`)},
	} {
		t.Run(name, func(t *testing.T) {
			b := plannedBench(t)
			e.ID, e.At = b.rec.NewID(), b.clock()
			if e.Job == "" {
				e.Job = "job-1"
			}
			b.events = append(b.events, e)
			s := b.state()
			if len(s.Problems) != 1 || s.Problems[0].Event != e.ID {
				t.Errorf("problems %+v, want one of event %s", s.Problems, e.ID)
			}
		})
	}
}

func TestAPlanMadeAgainKeepsWhatIsDone(t *testing.T) {
	b := plannedBench(t)
	b.do(doStep("down/raised"), doStep("down/tray"))
	shorter := smallPlan()
	shorter.Steps = slices.DeleteFunc(shorter.Steps, func(p opening.Step) bool {
		return p.ID == "down/raised" || p.ID == "down/tray" // the planner was told that both are so
	})
	s := b.do(job.UsePlan(shorter, smallMap(), 3, []string{"raised/lift", "tray/off"}))
	if got := openItems(s); got != "tray raised " {
		t.Errorf("%q is open", got)
	}
	if st := s.StepByID("down/tray"); st == nil || !st.IsDone() {
		t.Error("the finished step is gone")
	}
	if s.Next.ID != "down/pipe" || len(s.Problems) > 0 {
		t.Errorf("next %s, problems %v", s.Next.ID, s.Problems)
	}
}

func TestWhatIsOpenedAgainIsANewStep(t *testing.T) {
	b := together(t)
	s := b.do(job.UsePlan(smallPlan(), smallMap(), 3, nil))
	if s.Next == nil || s.Next.ID != "down/raised" || s.Next.IsDone() {
		t.Fatalf("next is %+v, want the van raised again", s.Next)
	}
	s = b.do(doStep("down/raised"), doStep("down/tray"))
	if got := openItems(s); got != "tray raised " {
		t.Errorf("%q is open", got)
	}
	if old := s.StepByID("down/tray@1"); old == nil || !old.IsDone() {
		t.Error("the first time is no longer shown")
	}
}

func FuzzFoldIsTotal(f *testing.F) {
	log, err := json.Marshal(together(f).events)
	if err != nil {
		f.Fatal(err)
	}
	f.Add(log)
	f.Add([]byte(`[{"id":"1","job":"a","kind":"undo","data":{"event":"2"}},{"id":"2","job":"a","kind":"undo","data":{"event":"1"}}]`))
	f.Add([]byte(`[{"id":"1","job":"a","kind":"taken-off","data":{"step":"x","item":"x","in_way_of":["x"]}},{"id":"2","job":"a","kind":"done","data":{"step":"up/x"}}]`))
	f.Add([]byte(`[{"id":"1","job":"a","kind":"planned","data":{"plan":{"steps":[{"id":"up/a","item":"a","back":true},{"id":"down/a","item":"a"}]},"already":["a/b","a"]}}]`))
	f.Fuzz(func(t *testing.T, data []byte) {
		var events []job.Event
		if json.Unmarshal(data, &events) != nil || len(events) == 0 || len(events) > 200 {
			return
		}
		s, err := job.Fold(events)
		if err != nil {
			t.Fatal(err)
		}
		slices.Reverse(events)
		again, err := job.Fold(events)
		if err != nil {
			t.Fatal(err)
		}
		if !reflect.DeepEqual(s, again) {
			t.Fatal("another order gives another state")
		}
		for _, r := range s.Open {
			if up := s.StepByID(r.Up); up == nil || up.IsDone() {
				t.Fatalf("nothing closes %q", r.Item)
			}
		}
		job.Summarise(s)
		s.OpenItems(morning)
		job.Resume(s, morning, time.Minute)
	})
}
