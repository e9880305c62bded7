package setups

import (
	"context"
	"math"
	"math/bits"
	"testing"

	"pgregory.net/rapid"
)

// A whole is jobs of all groups in one list, for the twin.
type whole struct {
	w      World
	groups []Group
}

// twin finds the least set-ups of all groups together the slow and obvious
// way: over every state of every group at once.
func (x *whole) twin(stage []int, done []uint64, place, tool int, memo map[string]float64) float64 {
	key := ""
	finished := true
	for g := range x.groups {
		for stage[g] < len(x.groups[g].Stages) && bits.OnesCount64(done[g]) == len(x.groups[g].Stages[stage[g]]) {
			stage[g], done[g] = stage[g]+1, 0
		}
		finished = finished && stage[g] == len(x.groups[g].Stages)
		key += string(rune(stage[g])) + string(rune(done[g])) + ","
	}
	if finished {
		return 0
	}
	key += string(rune(place)) + string(rune(tool+1))
	if v, ok := memo[key]; ok {
		return v
	}
	best := math.Inf(1)
	for g := range x.groups {
		if stage[g] == len(x.groups[g].Stages) {
			continue
		}
		for j, job := range x.groups[g].Stages[stage[g]] {
			if done[g]>>j&1 != 0 {
				continue
			}
			for _, m := range job.Modes {
				if m.Pre&^done[g] != 0 {
					continue
				}
				p, u, cost := place, tool, m.Extra
				if m.Place != Any {
					cost += x.w.Move[place][m.Place]
					p = m.Place
				}
				if m.Tool != Any {
					u = m.Tool
					if u != tool {
						cost += x.w.Change
					}
				}
				st, dn := append([]int{}, stage...), append([]uint64{}, done...)
				dn[g] |= 1 << j
				best = min(best, cost+x.twin(st, dn, p, u, memo))
			}
		}
	}
	memo[key] = best
	return best
}

func (x *whole) least(stage []int, done []uint64, place, tool int) float64 {
	return x.twin(append([]int{}, stage...), append([]uint64{}, done...), place, tool, map[string]float64{})
}

func drawWhole(t *rapid.T, most int) *whole {
	x := &whole{w: World{Tools: 4, Change: float64(rapid.IntRange(0, 4).Draw(t, "change"))}}
	n := rapid.IntRange(2, 4).Draw(t, "places")
	for i := range n {
		x.w.Move = append(x.w.Move, make([]float64, n))
		for j := range n {
			if i != j {
				x.w.Move[i][j] = float64(rapid.IntRange(2, 4).Draw(t, "move")) // the triangle inequality holds
			}
		}
	}
	for range rapid.IntRange(1, most).Draw(t, "groups") {
		var g Group
		for range 3 {
			jobs := make([]Job, rapid.IntRange(0, 3).Draw(t, "jobs"))
			for j := range jobs {
				for range rapid.IntRange(1, 2).Draw(t, "modes") {
					m := Mode{Place: rapid.IntRange(-1, n-1).Draw(t, "place"), Tool: rapid.IntRange(-1, 3).Draw(t, "tool"), Extra: float64(rapid.IntRange(0, 2).Draw(t, "extra"))}
					if m.Tool == 0 {
						m.Tool = Any // 0 is what is in hand at the start
					}
					m.Pre = rapid.Uint64Range(0, 1<<j-1).Draw(t, "pre")
					jobs[j].Modes = append(jobs[j].Modes, m)
				}
			}
			g.Stages = append(g.Stages, jobs)
		}
		x.groups = append(x.groups, g)
	}
	return x
}

func (x *whole) start() ([]int, []uint64) {
	return make([]int, len(x.groups)), make([]uint64, len(x.groups))
}

func TestOneGroupAloneIsExact(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		x := drawWhole(t, 1)
		s, ok := New(x.w, x.groups, 1000)
		if !ok {
			t.Fatal("too many states")
		}
		st, dn := x.start()
		if want := x.least(st, dn, 0, 0); math.Abs(s.Value()-want) > 1e-9 {
			t.Fatalf("value %v, the twin finds %v", s.Value(), want)
		}
	})
}

// From every state on the way of a random order the bound is no more than the
// least that is left, whatever the shares have become.
func TestSharesNeverCountTooMuch(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		x := drawWhole(t, 3)
		s, ok := New(x.w, x.groups, 1000)
		if !ok {
			t.Fatal("too many states")
		}
		before := s.Value()
		stage, done := x.start()
		least := x.least(stage, done, 0, 0)
		s.Improve(context.Background(), rapid.IntRange(0, 40).Draw(t, "steps"), least+1)
		if s.Value() < before-1e-9 {
			t.Fatalf("improving made %v of %v", s.Value(), before)
		}
		if rapid.Bool().Draw(t, "again") {
			next, _ := New(x.w, x.groups, 1000)
			next.Follow(s)
			s = next
		}
		x.walk(t, s, stage, done)
	})
}

func (x *whole) walk(t *rapid.T, s *Shares, stage []int, done []uint64) {
	at := make([]State, len(x.groups))
	for g := range at {
		at[g] = s.Start(g, 0)
	}
	place, tool := 0, 0
	for {
		sum, free := 0.0, 0.0
		for g := range at {
			sum += s.Left(g, at[g], place, tool)
			free += s.Left(g, at[g], place, Any)
		}
		if want := x.least(stage, done, place, tool); sum > want+1e-9 || free > sum+1e-9 {
			t.Fatalf("at %v %v: bound %v (any tool %v), the twin finds %v", stage, done, sum, free, want)
		}
		var can [][3]int
		for g := range x.groups {
			for stage[g] < len(x.groups[g].Stages) && bits.OnesCount64(done[g]) == len(x.groups[g].Stages[stage[g]]) {
				stage[g], done[g] = stage[g]+1, 0
			}
			if stage[g] == len(x.groups[g].Stages) {
				continue
			}
			for j, job := range x.groups[g].Stages[stage[g]] {
				for m, mode := range job.Modes {
					if done[g]>>j&1 == 0 && mode.Pre&^done[g] == 0 {
						can = append(can, [3]int{g, j, m})
					}
				}
			}
		}
		if len(can) == 0 {
			return
		}
		c := rapid.SampledFrom(can).Draw(t, "next")
		m := x.groups[c[0]].Stages[stage[c[0]]][c[1]].Modes[c[2]]
		at[c[0]] = s.Next(c[0], at[c[0]], c[1])
		done[c[0]] |= 1 << c[1]
		if m.Place != Any {
			place = m.Place
		}
		if m.Tool != Any {
			tool = m.Tool
		}
	}
}

func TestPlacesAloneAreExact(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		x := drawWhole(t, 1)
		x.w.Change = 0
		var stages [][]PlaceJob
		for _, st := range x.groups[0].Stages {
			var jobs []PlaceJob
			for j := range st {
				st[j].Modes = st[j].Modes[:1]
				m := &st[j].Modes[0]
				m.Extra = 0
				job := PlaceJob{Pre: []uint64{m.Pre}}
				if m.Place != Any {
					job.Places = 1 << m.Place
					if other := rapid.IntRange(-1, len(x.w.Move)-1).Draw(t, "other"); other >= 0 {
						extra := float64(rapid.IntRange(0, 9).Draw(t, "extra"))
						if extra == 0 {
							job.Places |= 1 << other
						} else {
							job.Dear = append(job.Dear, DearPlace{other, extra})
						}
						st[j].Modes = append(st[j].Modes, Mode{Place: other, Tool: Any, Pre: m.Pre, Extra: extra})
					}
				}
				jobs = append(jobs, job)
			}
			stages = append(stages, jobs)
		}
		st, dn := x.start()
		want := x.least(st, dn, 0, 0)
		if got := NewPlaces(x.w.Move, stages, 1000).Least(0, []uint64{0}, 0); math.Abs(got-want) > 1e-9 {
			t.Fatalf("least %v, the twin finds %v", got, want)
		}
		few := rapid.IntRange(0, 3).Draw(t, "few")
		if got := NewPlaces(x.w.Move, stages, few).Least(0, []uint64{0}, 0); got > want+1e-9 {
			t.Fatalf("with room for %d states the bound %v exceeds %v", few, got, want)
		}
	})
}
