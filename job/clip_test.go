package job_test

import (
	"math"
	"strings"
	"testing"

	"lastbolt/job"
)

const noise = "aa000000000000000000000000000000000000000000000000000000000000bb"

// recordAsYouGo is a job without a map and with one step of work.
func recordAsYouGo(t *testing.T) *bench {
	b := newBench(t, job.Started{Title: "Whine", Complaint: "whine"})
	b.do(job.SetTargets([]job.Target{{Name: "Idler"}}, "record as you go"))
	return b
}

func TestASoundClipIsOnItsStepAndOnTheJobAndCanBeTakenBack(t *testing.T) {
	b := recordAsYouGo(t)
	step := b.state().Steps[0]
	s := b.do(
		job.AddClip(job.ClipRecorded{File: noise, Media: "audio/webm", When: job.ClipBefore, Seconds: 12.4, Note: " cold start "}),
		job.AddClip(job.ClipRecorded{File: noise, Step: step.ID, When: job.ClipAfter}),
	)
	if len(s.Clips) != 2 || len(s.StepByID(step.ID).Clips) != 1 || s.StepByID(step.ID).Clips[0].When != job.ClipAfter {
		t.Fatalf("got %d clips on the job and %d on the step, want 2 and 1", len(s.Clips), len(s.StepByID(step.ID).Clips))
	}
	if got := s.Clips[0].Say(); got != "before the repair, 12 s: cold start" {
		t.Errorf("the clip is called %q", got)
	}
	last := s.History[len(s.History)-1]
	if want := "Sound clip, after the repair · " + step.Name; last.Text != want || last.Step != step.ID {
		t.Errorf("the log says %q of step %q, want %q of %q", last.Text, last.Step, want, step.ID)
	}
	b.refused(job.CodeAlready, job.AddClip(job.ClipRecorded{File: noise, Step: step.ID}))
	if s = b.do(job.UndoLast("")); len(s.Clips) != 1 || len(s.StepByID(step.ID).Clips) != 0 {
		t.Errorf("after undo there are %d clips, %d on the step", len(s.Clips), len(s.StepByID(step.ID).Clips))
	}
	if s = b.do(job.RedoLast()); len(s.Clips) != 2 {
		t.Errorf("after redo there are %d clips, want 2", len(s.Clips))
	}
}

func TestAClipThatCannotBeRightIsRefused(t *testing.T) {
	b := recordAsYouGo(t)
	for name, row := range map[string]struct {
		d    job.ClipRecorded
		code job.Code
		says string
	}{
		"no file":          {job.ClipRecorded{}, job.CodeMissing, "no sound clip"},
		"another time":     {job.ClipRecorded{File: noise, When: "tomorrow"}, job.CodeWrong, "before"},
		"negative length":  {job.ClipRecorded{File: noise, Seconds: -1}, job.CodeWrong, "-1 seconds"},
		"length of a week": {job.ClipRecorded{File: noise, Seconds: 7 * 86400}, job.CodeWrong, "seconds"},
		"no number":        {job.ClipRecorded{File: noise, Seconds: math.NaN()}, job.CodeWrong, "NaN seconds"},
		"no such step":     {job.ClipRecorded{File: noise, Step: "down/wing"}, job.CodeUnknown, "down/wing"},
	} {
		if e := b.refused(row.code, job.AddClip(row.d)); !strings.Contains(e.Text, row.says) {
			t.Errorf("%s: %q does not say %q", name, e.Text, row.says)
		}
	}
}
