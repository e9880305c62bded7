package job_test

import (
	"errors"
	"fmt"
	"reflect"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"lastbolt/calc/tighten"
	"lastbolt/job"
	"lastbolt/plan/access"
	"lastbolt/quantity"
)

// anyTurn is something a hand might try on the cover's bolts, in turn or not.
func anyTurn(rt *rapid.T, s *job.State) job.Action {
	m := s.BoltMap("cover")
	if m.Next != nil && rapid.IntRange(0, 9).Draw(rt, "in turn") < 8 {
		turn := map[job.BoltPhase]job.Turn{job.PhaseCrack: job.Cracked, job.PhaseOut: job.TakenOut, job.PhaseRunIn: job.RunIn, job.PhaseTighten: job.Clicked, job.PhaseCheck: job.Checked}[m.Phase]
		return job.TurnBolts(job.BoltTurned{Item: "cover", Bolts: []string{m.Next.ID}, Turn: turn, Pass: m.Pass})
	}
	switch rapid.IntRange(0, 5).Draw(rt, "what") {
	case 0:
		return job.UndoLast("")
	case 1, 2:
		if m.Step == nil {
			return job.UndoLast("")
		}
		return job.DoStep(s.BoltsDone(m))
	case 3:
		at := job.Point{X: rapid.Float64Range(0, 1).Draw(rt, "x"), Y: rapid.Float64Range(0, 1).Draw(rt, "y")}
		return job.SetBolt(job.BoltSet{Item: "cover", At: &at})
	}
	d := job.BoltTurned{Item: "cover", Turn: rapid.SampledFrom([]job.Turn{job.Cracked, job.TakenOut, job.Stuck, job.RunIn, job.Clicked, job.Checked, "bent"}).Draw(rt, "turn"),
		Pass: rapid.IntRange(-1, 4).Draw(rt, "pass")}
	if len(m.Bolts) > 0 {
		d.Bolts = []string{rapid.SampledFrom(m.Bolts).Draw(rt, "bolt").ID}
	}
	if rapid.Bool().Draw(rt, "measured") {
		d.Length = *mm(rapid.SampledFrom([]string{"25 mm", "35 mm", "50 mm"}).Draw(rt, "length"))
	}
	return job.TurnBolts(d)
}

// Whatever is tried, in whatever order: no bolt is tightened before all are in,
// no pass begins before the last has ended, the step is finished only with every
// bolt through, and what comes off is counted back.
func TestBoltMapsKeepTheirOrderWhateverIsTried(t *testing.T) {
	ready := map[string]*bench{"": nil, "brakes": nil}
	for critical := range ready {
		b := coverBench(t, critical, access.Maker, false)
		b.mapped(2)
		b.do(job.ChooseWrench(small()))
		ready[critical] = b
	}
	rapid.Check(t, func(rt *rapid.T) {
		b := *ready[rapid.SampledFrom([]string{"", "brakes"}).Draw(rt, "critical")]
		b.events = slices.Clone(b.events)
		for range rapid.IntRange(1, 60).Draw(rt, "tries") {
			s := b.state()
			events, err := anyTurn(rt, s)(b.rec, s)
			var refused *job.Error
			if err != nil && !errors.As(err, &refused) {
				rt.Fatalf("not a refusal: %v", err)
			}
			b.events = append(b.events, events...)
			s = b.state()
			if why := brokenMap(s); why != "" {
				rt.Fatalf("after %d events: %s", len(b.events), why)
			}
		}
		s := b.state()
		twice, err := job.Fold(slices.Concat(b.events[len(b.events)/2:], b.events))
		if err != nil || !reflect.DeepEqual(twice.BoltMaps, s.BoltMaps) {
			rt.Fatalf("the same events twice give another map: %v", err)
		}
	})
}

// brokenMap says what rule a map breaks, empty for none.
func brokenMap(s *job.State) string {
	m := s.BoltMap("cover")
	if m == nil {
		return ""
	}
	numbers := map[int]bool{}
	for _, x := range m.Bolts {
		if numbers[x.N] {
			return fmt.Sprintf("two bolts have number %d", x.N)
		}
		numbers[x.N] = true
		for _, y := range m.Bolts {
			if x.Pass > y.Pass+1 && y.Pass == 0 && !added(m, y) {
				return fmt.Sprintf("bolt %d has had pass %d and bolt %d none", x.N, x.Pass, y.N)
			}
		}
	}
	up := s.StepByID("up/cover")
	if up != nil && up.IsDone() {
		late := slices.ContainsFunc(m.Bolts, func(b *job.Bolt) bool { return added(m, b) }) // more back than out is then a true difference
		if m.Phase != job.PhaseDone || len(s.Differences) > 0 && !late {
			return fmt.Sprintf("the step is done, the map is in phase %q, differences %v", m.Phase, s.Differences)
		}
	}
	return ""
}

// added reports a bolt put on the map after its order was worked out.
func added(m *job.BoltMap, b *job.Bolt) bool {
	return m.Order == nil || !slices.Contains(m.Order.Loosen, b.ID)
}

// Any number of bolts the engine takes gets an order; more are refused with a
// sentence, and so is an empty map.
func TestOrdersOfAnyNumberOfBolts(t *testing.T) {
	for _, n := range []int{0, 1, 2, 3, 9, tighten.MaxBolts + 1, 500} {
		t.Run(fmt.Sprint(n), func(t *testing.T) {
			m := &job.BoltMap{Item: "cover", Aspect: 1, From: &job.Point{}, To: &job.Point{X: 1}, Distance: quantity.MustParse[quantity.Length]("300 mm")}
			for i := range n {
				m.Bolts = append(m.Bolts, &job.Bolt{ID: fmt.Sprint(i), N: i + 1, At: job.Point{X: 0.002 * float64(i+1), Y: 0.5}}) // all in a line
			}
			o, err := job.WorkOutBolts(t.Context(), m, 2, false)
			if n == 0 || n > tighten.MaxBolts {
				var refused *job.Error
				if !errors.As(err, &refused) {
					t.Fatalf("got %v, want a refusal", err)
				}
				return
			}
			if err != nil {
				t.Fatal(err)
			}
			orders := [][]string{o.Loosen, o.Check}
			for _, p := range o.Passes {
				orders = append(orders, p.Order)
			}
			for _, order := range orders {
				sorted := slices.Clone(order)
				slices.Sort(sorted)
				if len(slices.Compact(sorted)) != n {
					t.Errorf("%v does not name %d bolts once", order, n)
				}
			}
		})
	}
}
