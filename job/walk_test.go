package job_test

import (
	"context"
	"fmt"
	"reflect"
	"slices"
	"testing"
	"time"

	"pgregory.net/rapid"

	"lastbolt/job"
	"lastbolt/plan/access"
)

// A walk is a job done at random, with a plain account beside it of what is
// off: a list of moves, of which undo takes the last away.
type walk struct {
	*bench
	moves  []move
	undone []move
	n      int
}

type move struct {
	item string // empty: a record that moves nothing
	off  bool
}

func (w *walk) off() map[string]bool {
	off := map[string]bool{}
	for _, m := range w.moves {
		if m.off {
			off[m.item] = true
		} else {
			delete(off, m.item)
		}
	}
	return off
}

func (w *walk) moved(m move) { w.moves, w.undone = append(w.moves, m), nil }

func (w *walk) next(rt *rapid.T, s *job.State) {
	st := s.Next
	if st == nil {
		return
	}
	if rapid.Bool().Draw(rt, "any step") {
		st = rapid.SampledFrom(s.Steps).Draw(rt, "step")
	}
	if st.IsDone() || st.Closes && s.Ring(st.Item) == nil {
		return
	}
	d := job.StepDone{Step: st.ID, Counts: map[string]int{}}
	for _, g := range st.Groups {
		d.Counts[g.ID] = rapid.IntRange(0, 6).Draw(rt, "count")
	}
	action := job.DoStep(d)
	if st.Opens && rapid.Bool().Draw(rt, "aside") {
		action = job.SetAside(d)
	}
	w.do(action)
	if st.Opens || st.Closes {
		w.moved(move{st.Item, st.Opens})
	} else {
		w.moved(move{})
	}
}

// step does one thing at random.
func (w *walk) step(rt *rapid.T) {
	s := w.state()
	w.n++
	switch rapid.IntRange(0, 10).Draw(rt, "what") {
	case 0, 1, 2, 3:
		w.next(rt, s)
	case 4:
		s = w.do(job.TakeOff(job.TakenOff{Name: fmt.Sprint("thing ", w.n%3), Fasteners: []access.Fastener{{Name: "bolts", Count: 2}}}))
		w.moved(move{s.Open[0].Item, true})
	case 5:
		if s.Next != nil && s.Next.Opens {
			w.do(job.MeetInTheWay(s.Next.ID, job.TakenOff{Name: "bracket", NotYet: true}))
			w.moved(move{})
		}
	case 6:
		if s.Undo != nil && len(w.moves) > 0 {
			w.do(job.UndoLast(s.Undo.Event))
			last := len(w.moves) - 1
			w.undone, w.moves = append(w.undone, w.moves[last]), w.moves[:last]
		}
	case 7:
		if n := len(w.undone); n > 0 && s.Redo != nil {
			w.do(job.RedoLast())
			w.moves, w.undone = append(w.moves, w.undone[n-1]), w.undone[:n-1]
		}
	case 8:
		w.do(job.UsePlan(smallPlan(), smallMap(), w.n, nil))
		w.moved(move{})
	case 10:
		if len(s.Open) > 0 {
			plan, err := job.PlanBack(context.Background(), s, smallMap(), nil)
			if err != nil {
				rt.Fatalf("no way back from %v: %v", s.Open, err)
			}
			w.do(job.TurnBack("enough", plan, smallMap(), 1))
			w.moved(move{})
		}
	case 9:
		w.do(job.WriteNote("", "note"))
		w.moved(move{})
	}
}

func (w *walk) check(rt *rapid.T) {
	s := w.state()
	var got []string
	for _, r := range s.Open {
		got = append(got, r.Item)
		up := s.StepByID(r.Up)
		if up == nil || up.IsDone() || !up.Closes || up.Item != r.Item {
			rt.Fatalf("nothing closes %s: %+v", r.Item, up)
		}
	}
	var want []string
	for item := range w.off() {
		want = append(want, item)
	}
	slices.Sort(got)
	slices.Sort(want)
	if !slices.Equal(got, want) {
		rt.Fatalf("open %v, want %v", got, want)
	}
	if len(s.Problems) > 0 {
		rt.Fatalf("problems %+v", s.Problems)
	}
	ids := map[string]bool{}
	for _, st := range s.Steps {
		if ids[st.ID] {
			rt.Fatalf("two steps are called %s", st.ID)
		}
		ids[st.ID] = true
	}
	if len(s.Open) > 0 && !s.IsReleased() {
		if _, err := job.ReleaseJob(job.Released{Who: "x"})(w.rec, s); err == nil {
			rt.Fatal("released with something off")
		}
	}
}

func TestNoRingIsEverLost(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		w := walk{bench: newBench(t, job.Started{Vehicle: "Tern van 1.4"})}
		w.do(job.UsePlan(smallPlan(), smallMap(), 1, nil))
		w.moved(move{})
		for range rapid.IntRange(1, 25).Draw(rt, "length") {
			w.step(rt)
			w.check(rt)
		}
		shuffled := rapid.Permutation(w.events).Draw(rt, "order")
		again, err := job.Fold(append(shuffled, shuffled[0]))
		if err != nil || !reflect.DeepEqual(again, w.state()) {
			rt.Fatalf("another order gives another state (%v)", err)
		}
		cut := rapid.IntRange(1, len(w.events)).Draw(rt, "cut")
		if s, err := job.Fold(w.events[:cut]); err != nil || len(s.Problems) > 0 {
			rt.Fatalf("cut off after %d: %v, %+v", cut, err, s)
		}
	})
}

// A device that was away records on an older plan; its records come in later.
func TestTwoDevicesEndWithOneState(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		a := plannedBench(t)
		b := plannedBench(t)
		b.rec.By, b.events = "tablet", slices.Clone(a.events)
		b.now = b.now.Add(time.Duration(rapid.IntRange(0, 60).Draw(rt, "later")) * time.Second)
		for i, side := range []*bench{a, b} {
			w := walk{bench: side, n: i}
			for range rapid.IntRange(0, 10).Draw(rt, "length") {
				w.step(rt)
			}
		}
		both := append(slices.Clone(a.events), b.events[2:]...)
		one, err := job.Fold(both)
		if err != nil {
			rt.Fatal(err)
		}
		slices.Reverse(both)
		other, err := job.Fold(both)
		if err != nil || !reflect.DeepEqual(one, other) {
			rt.Fatalf("the devices differ (%v)", err)
		}
		if want := len(a.events) + len(b.events) - 2; len(one.History) != want {
			rt.Fatalf("%d lines of history, want all %d", len(one.History), want)
		}
		for _, r := range one.Open {
			if up := one.StepByID(r.Up); up == nil || up.IsDone() {
				rt.Fatalf("nothing closes %s", r.Item)
			}
		}
	})
}
