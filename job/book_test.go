package job_test

import (
	"bytes"
	"cmp"
	"context"
	"errors"
	"fmt"
	"slices"
	"sync"
	"testing"
	"time"

	"lastbolt/fault"
	"lastbolt/job"
)

// A memoryLog is a log in memory that can be made to fail.
type memoryLog struct {
	mu        sync.Mutex
	events    []job.Event
	summaries map[string]job.Summary
	full      error
}

func (l *memoryLog) Append(_ context.Context, events ...job.Event) (int, error) {
	l.mu.Lock()
	defer l.mu.Unlock()
	if l.full != nil {
		return 0, l.full
	}
	added := 0
	for _, e := range events {
		if !slices.ContainsFunc(l.events, func(o job.Event) bool { return o.ID == e.ID }) {
			l.events = append(l.events, e)
			added++
		}
	}
	return added, nil
}

func (l *memoryLog) Events(_ context.Context, id string) ([]job.Event, error) {
	l.mu.Lock()
	defer l.mu.Unlock()
	var out []job.Event
	for _, e := range l.events {
		if e.Job == id {
			out = append(out, e)
		}
	}
	slices.SortFunc(out, func(x, y job.Event) int { return cmp.Compare(x.ID, y.ID) })
	return out, nil
}

func (l *memoryLog) SetSummary(_ context.Context, s job.Summary) error {
	l.mu.Lock()
	defer l.mu.Unlock()
	l.summaries[s.ID] = s
	return nil
}

func (l *memoryLog) Summaries(context.Context, job.Query) ([]job.Summary, error) { return nil, nil }

func (l *memoryLog) Changed(context.Context, int64, int) ([]job.Event, int64, error) {
	return nil, 0, nil
}

func newBook() (*job.Book, *memoryLog) {
	var mu sync.Mutex
	now := morning
	clock := func() time.Time { mu.Lock(); defer mu.Unlock(); now = now.Add(1e9); return now }
	log := &memoryLog{summaries: map[string]job.Summary{}}
	ids := job.NewIDs(clock, bytes.NewReader(bytes.Repeat([]byte{7, 1, 9}, 50_000)))
	return job.NewBook(log, &job.Recorder{Now: clock, NewID: ids.New, By: "phone"}), log
}

func TestABookKeepsTheSummaryUpToDate(t *testing.T) {
	ctx := context.Background()
	book, log := newBook()
	if _, err := book.Start(ctx, job.Started{}); err == nil {
		t.Error("a job of nothing was started")
	}
	s, err := book.Start(ctx, job.Started{Vehicle: "Tern van 1.4", Complaint: "leak"})
	if err != nil {
		t.Fatal(err)
	}
	if _, err = book.Do(ctx, s.ID, job.UsePlan(smallPlan(), smallMap(), 1, nil)); err != nil {
		t.Fatal(err)
	}
	s, err = book.Do(ctx, s.ID, doStep("down/raised"))
	if err != nil {
		t.Fatal(err)
	}
	got := log.summaries[s.ID]
	if got.Owed != 1 || got.Next != "Take off: Undertray" || got.Done != 1 || got.Stage != string(job.StageApart) || !got.Touched.Equal(s.Touched) {
		t.Errorf("summary %+v", got)
	}
}

// A slowLog lets something happen between what a book has read and the summary
// it sets, as another process would.
type slowLog struct {
	*memoryLog
	meanwhile func()
}

func (l *slowLog) SetSummary(ctx context.Context, s job.Summary) error {
	if do := l.meanwhile; do != nil {
		l.meanwhile = nil
		do()
	}
	return l.memoryLog.SetSummary(ctx, s)
}

func TestTheSummaryOfTwoProcessesIsTheNewest(t *testing.T) {
	ctx := context.Background()
	first, log := newBook()
	s, err := first.Start(ctx, job.Started{Vehicle: "Tern van 1.4", Complaint: "leak"})
	if err != nil {
		t.Fatal(err)
	}
	if _, err := first.Do(ctx, s.ID, job.UsePlan(smallPlan(), smallMap(), 1, nil)); err != nil {
		t.Fatal(err)
	}
	slow := &slowLog{memoryLog: log, meanwhile: func() {
		if _, err := first.Do(ctx, s.ID, doStep("down/tray")); err != nil {
			t.Error(err)
		}
	}}
	second := job.NewBook(slow, first.Recorder)
	after, err := second.Do(ctx, s.ID, doStep("down/raised"))
	if err != nil {
		t.Fatal(err)
	}
	if got := log.summaries[s.ID]; got.Done != 2 || got.Owed != 2 || after.Progress.Done != 2 {
		t.Errorf("the summary has %d done, %d owed, and the state %d done; want 2 each", got.Done, got.Owed, after.Progress.Done)
	}
}

func TestARefusedActionGivesTheStateAsItStands(t *testing.T) {
	ctx := context.Background()
	book, log := newBook()
	s, _ := book.Start(ctx, job.Started{Vehicle: "Tern van 1.4"})
	n := len(log.events)
	s, err := book.Do(ctx, s.ID, job.Begin("down/engine"))
	var e *job.Error
	if s == nil || !errors.As(err, &e) || e.Code != job.CodeUnknown || fault.CodeOf(err) != fault.NotFound || fault.Say(err) != e.Text {
		t.Errorf("state %v, error %v", s, err)
	}
	if len(log.events) != n {
		t.Error("something was recorded")
	}
	if _, err := book.Load(ctx, "nothing"); fault.CodeOf(err) != fault.NotFound {
		t.Errorf("an unknown job gives %v", err)
	}
}

func TestAFullDiskIsNotTakenForSaved(t *testing.T) {
	ctx := context.Background()
	book, log := newBook()
	s, _ := book.Start(ctx, job.Started{Vehicle: "Tern van 1.4"})
	log.full = errors.New("no space left")
	if s, err := book.Do(ctx, s.ID, job.WriteNote("", "rust")); !errors.Is(err, log.full) || s != nil {
		t.Errorf("state %v, error %v; want the log's error and no state", s, err)
	}
}

func TestTwoTabsAtOnceKeepOneRecordAndTellTheSecond(t *testing.T) {
	ctx := context.Background()
	book, _ := newBook()
	s, _ := book.Start(ctx, job.Started{Vehicle: "Tern van 1.4"})
	if _, err := book.Do(ctx, s.ID, job.UsePlan(smallPlan(), smallMap(), 1, nil)); err != nil {
		t.Fatal(err)
	}
	const tabs = 8
	errs := make([]error, tabs)
	var wg sync.WaitGroup
	for i := range tabs {
		wg.Go(func() { _, errs[i] = book.Do(ctx, s.ID, doStep("down/raised")) })
	}
	wg.Wait()
	recorded := 0
	for _, err := range errs {
		var e *job.Error
		switch {
		case err == nil:
			recorded++
		case !errors.As(err, &e) || e.Code != job.CodeAlready:
			t.Errorf("a tab is told %v", err)
		}
	}
	s, err := book.Load(ctx, s.ID)
	if err != nil || recorded != 1 || len(s.StepByID("down/raised").Records) != 1 {
		t.Errorf("%d tabs recorded, %d records (%v)", recorded, len(s.StepByID("down/raised").Records), err)
	}
}

func TestTwoTabsWithDifferentCountsLoseNeither(t *testing.T) {
	ctx := context.Background()
	book, _ := newBook()
	s, _ := book.Start(ctx, job.Started{Vehicle: "Tern van 1.4"})
	for _, a := range []job.Action{job.UsePlan(smallPlan(), smallMap(), 1, nil), doStep("down/raised"), doStep("down/tray")} {
		if _, err := book.Do(ctx, s.ID, a); err != nil {
			t.Fatal(err)
		}
	}
	s, err := book.Do(ctx, s.ID, job.DoStep(job.StepDone{Step: "down/tray", Counts: map[string]int{"screws": 5}}))
	var e *job.Error
	if !errors.As(err, &e) || e.Code != job.CodeAlready || len(s.Conflicts) != 1 {
		t.Errorf("error %v, conflicts %v", err, s.Conflicts)
	}
}

func ExampleBook() {
	ctx := context.Background()
	book, _ := newBook()
	s, _ := book.Start(ctx, job.Started{Vehicle: "Tern van 1.4", Title: "Oil cooler reseal"})
	s, _ = book.Do(ctx, s.ID, job.TakeOff(job.TakenOff{Name: "Undertray", Tray: "1"}))
	fmt.Println(s.Open[0].Name, "is off, its pieces are in tray", s.Open[0].Tray)
	fmt.Println("Undo:", s.Undo.Text)
	_, err := book.Do(ctx, s.ID, job.ReleaseJob(job.Released{Who: "M. Carter"}))
	fmt.Println(err)
	// Output:
	// Undertray is off, its pieces are in tray 1
	// Undo: Off: Undertray
	// Not released: Undertray is still off. Its pieces are in tray 1.
}

// A pickyLog takes events and the line in the list at once, but not this line.
type pickyLog struct{ *memoryLog }

func (pickyLog) AppendSummarised(context.Context, job.Summary, ...job.Event) (int, error) {
	return 0, fault.New(fault.Bad, "The year of the summary is past all years.")
}

func TestALineThatCannotBeKeptKeepsNoRecordFromBeingKept(t *testing.T) {
	book, log := newBook()
	s, err := book.Start(t.Context(), job.Started{Vehicle: "Tern van 1.4"})
	if err != nil {
		t.Fatal(err)
	}
	book.Log = pickyLog{log}
	if s, err = book.Do(t.Context(), s.ID, job.WriteNote("", "wet")); err != nil || len(s.Notes) != 1 || len(log.events) != 2 {
		t.Errorf("%v, %d events", err, len(log.events))
	}
}
