package job_test

import (
	"fmt"
	"testing"

	"lastbolt/job"
	"lastbolt/plan/access"
	"lastbolt/plan/opening"
)

// longJob is a job of so many things off and back, each counted.
func longJob(t testing.TB, n int) []job.Event {
	b := newBench(t, job.Started{Vehicle: "Tern van 1.4"})
	m := &access.Map{ID: "long"}
	plan := &opening.Plan{MapID: "long", NoReturn: -1}
	for i := range n {
		id := fmt.Sprint("part-", i)
		m.Items = append(m.Items, access.Item{ID: id, Name: id, Ways: []access.Way{{ID: "off", Minutes: minutes(5),
			Fasteners: list(access.Fastener{ID: "bolts", Count: 4, Thread: "M6"}), Opens: []access.Joint{{Kind: "connector"}}}}})
		plan.Steps = append(plan.Steps, opening.Step{ID: "down/" + id, Phase: opening.Down, Item: id, Name: id, Way: "off"})
	}
	for i := n - 1; i >= 0; i-- {
		id := fmt.Sprint("part-", i)
		plan.Steps = append(plan.Steps, opening.Step{ID: "up/" + id, Phase: opening.Up, Item: id, Name: id, Way: "off", Back: true})
	}
	b.do(job.UsePlan(plan, m, 1, nil))
	for _, st := range plan.Steps {
		b.events = append(b.events, b.rec.Event("job-1", job.KindBegun, job.Begun{Step: st.ID}),
			b.rec.Event("job-1", job.KindDone, job.StepDone{Step: st.ID, Counts: map[string]int{"bolts": 4}}))
	}
	return b.events
}

func BenchmarkFold(b *testing.B) {
	for _, n := range []int{10, 60, 600} {
		b.Run(fmt.Sprintf("%d things", n), func(b *testing.B) {
			events := longJob(b, n)
			b.ReportAllocs()
			for b.Loop() {
				if _, err := job.Fold(events); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
