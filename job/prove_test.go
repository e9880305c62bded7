package job_test

import (
	"slices"
	"strings"
	"testing"
	"time"

	"lastbolt/job"
	"lastbolt/plan/access"
)

func TestTestsAreMadeOfWhatWasOpened(t *testing.T) {
	if n := len(plannedBench(t).state().Tests); n > 0 {
		t.Errorf("%d tests before anything is opened", n)
	}
	var ids []string
	for _, test := range together(t).state().Tests {
		ids = append(ids, test.ID)
		if test.Source == "" || test.How == "" || (test.Unit == "") != (len(test.Words) > 0) {
			t.Errorf("%s says neither how nor what to answer: %+v", test.ID, test)
		}
	}
	want := []string{"joint/tray/guard", "joint/pipe/coolant", "joint/pipe/air-intake", "tight/pipe/bolts", "work/cooler/reseal/oil-pressure-hot-idle"}
	if !slices.Equal(ids, want) {
		t.Errorf("tests %v, want %v", ids, want)
	}
}

func TestAValueIsWrittenNotTicked(t *testing.T) {
	b := together(t)
	const pressure, coolant = "work/cooler/reseal/oil-pressure-hot-idle", "joint/pipe/coolant"
	for _, row := range []struct {
		test, value string
		code        job.Code
	}{
		{pressure, "", job.CodeMissing}, {pressure, "ok", job.CodeWrong}, {pressure, "NaN", job.CodeWrong},
		{pressure, "Inf", job.CodeWrong}, {coolant, "yes", job.CodeWrong}, {coolant, " ", job.CodeMissing},
	} {
		b.refused(row.code, job.RecordTest(row.test, row.value, ""))
	}
	for _, row := range []struct {
		test, value string
		pass        bool
	}{
		{pressure, "0.8 bar", false}, {pressure, "1,4", true}, {coolant, "drips", false}, {coolant, "Dry after 10 min at idle", true},
	} {
		got := b.do(job.RecordTest(row.test, row.value, "")).TestByID(row.test)
		if got.Passed() != row.pass {
			t.Errorf("%s with %q: passed %t", row.test, row.value, got.Passed())
		}
	}
	if n := len(b.state().TestByID(coolant).Readings); n != 2 {
		t.Errorf("%d readings kept, want both", n)
	}
}

func TestAReadingFromBeforeItWasOpenedAgainProvesNothing(t *testing.T) {
	b := together(t)
	b.do(job.RecordTest("joint/tray/guard", "on, nothing touches", ""))
	b.do(job.UsePlan(smallPlan(), smallMap(), 3, nil), doStep("down/raised"), doStep("down/tray"))
	s := b.do(doStep("up/tray"), doStep("up/raised"))
	if got := s.TestByID("joint/tray/guard"); got.Passed() || len(got.Earlier) != 1 {
		t.Errorf("passed %t with %d earlier readings", got.Passed(), len(got.Earlier))
	}
}

func TestADangerTestBlocksTheRelease(t *testing.T) {
	m := smallMap()
	m.Items[1].Critical = "brakes"
	b := newBench(t, job.Started{Vehicle: "Tern van 1.4"})
	b.do(job.UsePlan(smallPlan(), m, 3, nil))
	for _, id := range []string{"down/raised", "down/tray", "down/pipe", "work/cooler/reseal", "up/pipe", "up/tray", "up/raised", "up/fill-coolant"} {
		b.do(doStep(id))
	}
	e := b.refused(job.CodeRefused, job.ReleaseJob(job.Released{Who: "M. Carter"}))
	if len(e.Open) != 1 || e.Open[0].Test != "critical/brakes" {
		t.Fatalf("open %+v, want the second look at the tray", e.Open)
	}
	b.do(job.RecordTest("critical/brakes", "looked again, holds", ""))
	b.do(job.ReleaseJob(job.Released{Who: "M. Carter"}))
}

func TestATorqueWrittenWhilePuttingBackIsItsProof(t *testing.T) {
	b := apart(t)
	s := b.do(job.DoStep(job.StepDone{Step: "up/pipe", Counts: counts["pipe"],
		Tightened: []job.Tightened{{Group: "bolts", Value: "8 N·m", Source: access.Maker, With: "wrench 3"}}}))
	if got := s.TestByID("tight/pipe/bolts"); !got.Passed() || got.Readings[0].Value != "8 N·m" {
		t.Errorf("test %+v", got)
	}
}

func TestFollowUpsComeFromWhatWasOpenedAndClosed(t *testing.T) {
	s := apart(t).state()
	for _, f := range s.FollowUps {
		if !f.Due.IsZero() {
			t.Errorf("%s is due %v while it is still open", f.ID, f.Due)
		}
	}
	b := together(t)
	s = b.state()
	due := map[string]job.FollowUp{}
	for _, f := range s.FollowUps {
		due[f.ID] = f
		if f.Source != access.CommonPractice || f.Due.IsZero() {
			t.Errorf("%s: source %q, due %v", f.ID, f.Source, f.Due)
		}
	}
	level := due["coolant/level"]
	if level.Estimated || level.Due.Sub(s.StepByID("up/pipe").Finished) != 24*time.Hour {
		t.Errorf("the level is due %v", level.Due)
	}
	leak := due["coolant/leak"]
	if !leak.Estimated || !strings.Contains(leak.DueText(), "500 km") || !strings.Contains(leak.DueText(), "an estimate") {
		t.Errorf("the look for leaks: %q", leak.DueText())
	}
	b.refused(job.CodeMissing, job.LookAgain(job.FollowUpDone{FollowUp: level.ID}))
	b.refused(job.CodeUnknown, job.LookAgain(job.FollowUpDone{FollowUp: "x", Found: "dry"}))
	s = b.do(job.LookAgain(job.FollowUpDone{FollowUp: level.ID, Found: "at the mark"}))
	ics := string(job.Calendar(morning, s))
	if strings.Contains(ics, "coolant/level") || !strings.Contains(ics, "coolant/leak") {
		t.Errorf("the calendar has what is done, or lacks what is open:\n%s", ics)
	}
	if !strings.Contains(strings.ReplaceAll(ics, "\r\n ", ""), "The date is an estimate that takes 40 km a day") {
		t.Errorf("the calendar does not say that the date is an estimate:\n%s", ics)
	}
}

func TestTheWheelIsTightenedAgain(t *testing.T) {
	b := newBench(t, job.Started{Vehicle: "Tern van 1.4"})
	s := b.do(job.TakeOff(job.TakenOff{Name: "Front wheel", Opens: []access.Joint{{Kind: "wheel"}}, Fasteners: []access.Fastener{{Name: "nuts", Count: 4}}}))
	s = b.do(job.DoStep(job.StepDone{Step: s.Open[0].Up, Counts: map[string]int{"nuts": 4}}))
	if len(s.FollowUps) != 1 || !strings.Contains(s.FollowUps[0].DueText(), "50 to 100 km") {
		t.Errorf("follow-ups %+v", s.FollowUps)
	}
	if open := s.OpenTests(); len(open) != 1 || !open[0].Danger {
		t.Errorf("tests %+v, want the wheel", open)
	}
}

func TestAFollowUpIsOpenAgainAfterItsPlaceWasOpenedAgain(t *testing.T) {
	b := together(t)
	done := func(s *job.State) bool {
		for _, f := range s.FollowUps {
			if f.ID == "guard/fixings" {
				return f.Done != nil
			}
		}
		t.Fatalf("no look at the guard in %+v", s.FollowUps)
		return false
	}
	if s := b.do(job.LookAgain(job.FollowUpDone{FollowUp: "guard/fixings", Found: "all in"})); !done(s) {
		t.Error("looked at, and still open")
	}
	s := b.do(job.UsePlan(smallPlan(), smallMap(), 3, nil), doStep("down/raised"), doStep("down/tray"), doStep("up/tray"))
	if done(s) {
		t.Error("it was opened again since, and needs no look")
	}
}

func TestOneLookGoesOverAWholeSafetySystem(t *testing.T) {
	m := smallMap()
	m.Items[1].Critical, m.Items[2].Critical = "brakes", "brakes"
	b := newBench(t, job.Started{Vehicle: "Tern van 1.4"})
	s := b.do(job.UsePlan(smallPlan(), m, 3, nil), doStep("down/raised"), doStep("down/tray"), doStep("down/pipe"))
	if got := s.TestByID("critical/brakes"); got == nil || got.From != "Undertray, Charge pipe" {
		t.Errorf("test %+v", got)
	}
}
