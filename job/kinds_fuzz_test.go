package job_test

import (
	"encoding/json"
	"reflect"
	"slices"
	"testing"
	"time"

	"lastbolt/job"
	"lastbolt/plan/access"
)

// FuzzAnyDataOfAnyKindFolds puts records with any data behind a job with a plan,
// a bolt map and something off: the fold goes through, and gives the same in any
// order.
func FuzzAnyDataOfAnyKindFolds(f *testing.F) {
	base := coverApart(f, "", access.Maker, 2).events
	jobs := [][]job.Event{base, together(f).events}
	for _, events := range jobs {
		for _, e := range events {
			f.Add(string(e.Kind), []byte(e.Data), string(job.KindUndo), []byte(`{"event":"`+e.ID+`"}`))
		}
	}
	for _, kind := range []job.Kind{
		job.KindStarted, job.KindRenamed, job.KindOdometer, job.KindTargets, job.KindPlanned, job.KindWayBack, job.KindNone, job.KindGot,
		job.KindListed, job.KindBegun, job.KindDone, job.KindAside, job.KindTakenOff, job.KindInTheWay, job.KindTrouble, job.KindNote,
		job.KindPhoto, job.KindUndo, job.KindExplained, job.KindResolved, job.KindToolsCounted, job.KindWaitStarted, job.KindWaitEnded,
		job.KindTest, job.KindFoundNotDone, job.KindPaused, job.KindResumed, job.KindReconfirmed, job.KindReleased, job.KindAmended,
		job.KindFollowUpDone, job.KindWorkedOut, job.KindBoltMap, job.KindBolt, job.KindBoltTorque, job.KindBoltOrder, job.KindBoltTurned,
		job.KindBoltMarks, job.KindWrench, job.KindSeal, job.KindFluid, job.KindCaught, job.KindFilled, job.KindLevel, job.KindBeltRun,
		job.KindBeltPulley, job.KindBeltRouting, job.KindBeltSeated, job.KindClip,
	} {
		f.Add(string(kind), []byte(`{"item":"cover","step":"down/cover","fluid":"coolant","joint":"joint/cover/oil","event":"x","minutes":1e300,"x":-1e308}`), string(kind), []byte(`{"item":"cover"}`))
	}
	f.Fuzz(func(t *testing.T, kind string, data []byte, kind2 string, data2 []byte) {
		if !json.Valid(data) || !json.Valid(data2) || len(data)+len(data2) > 1<<14 {
			return // a store takes neither
		}
		last := base[len(base)-1]
		events := append(slices.Clone(base),
			job.Event{ID: last.ID + "1", Job: last.Job, Kind: job.Kind(kind), At: last.At.Add(time.Minute), By: "a", Data: data},
			job.Event{ID: last.ID + "2", Job: last.Job, Kind: job.Kind(kind2), At: last.At.Add(time.Hour), By: "b", Data: data2})
		s, err := job.Fold(events)
		if err != nil {
			t.Fatal(err)
		}
		slices.Reverse(events)
		again, err := job.Fold(events)
		if err != nil || !reflect.DeepEqual(s, again) {
			t.Fatal("another order gives another state")
		}
		if len(s.History) != len(events) {
			t.Fatalf("%d lines of history, want all %d", len(s.History), len(events))
		}
		if _, err := json.Marshal(job.Summarise(s)); err != nil {
			t.Fatal(err)
		}
		s.OpenItems(last.At)
		job.Resume(s, last.At, time.Minute)
		job.ToMap(s)
	})
}
