package setups

import (
	"math"
	"math/bits"
	"slices"
)

// A PlaceJob is a job of which only the places it can be done at count.
type PlaceJob struct {
	Places uint64      // by bit: where it costs nothing more; 0 for any place
	Dear   []DearPlace // where it costs extra minutes
	Pre    []uint64    // jobs of the stage that come first, by bit
}

// A DearPlace is a place where a job costs extra minutes.
type DearPlace struct {
	Place int // or Any
	Extra float64
}

// Places is the exact least of the changes of place alone. Whatever can be
// done where the hands are is done at once, so states are the few sets of jobs
// closed under that. They are found as they are asked for, and remembered.
type Places struct {
	move   [][]float64
	stages []placeStage
	words  int
	key    []placeKey
	value  []float64
	sets   []uint64
	slots  []int32 // hash table into key and value, + 1
	most   int
	detour float64 // minutes for which the hands can go anywhere and back
	stack  []uint64
}

type placeStage struct {
	all  []uint64
	at   [][]uint64 // by place: its jobs, those of any place included
	pre  []uint64   // by job, words in a row
	able []uint64   // by job: its places
	dear []dearJob
}

type dearJob struct {
	job int
	DearPlace
}

type placeKey struct {
	at    int32 // of the first word in sets
	stage int16
	place int16
}

// NewPlaces takes the jobs stage by stage, and remembers up to most states;
// beyond them the bound is coarser.
func NewPlaces(move [][]float64, stages [][]PlaceJob, most int) *Places {
	x := &Places{move: move, most: most, slots: make([]int32, 1<<10)}
	for _, row := range move {
		x.detour = max(x.detour, 2*slices.Max(row))
	}
	for _, jobs := range stages {
		x.words = max(x.words, (len(jobs)+63)/64)
	}
	for _, jobs := range stages {
		x.stages = append(x.stages, x.layStage(jobs))
	}
	return x
}

func (x *Places) layStage(jobs []PlaceJob) placeStage {
	st := placeStage{all: make([]uint64, x.words), pre: make([]uint64, len(jobs)*x.words)}
	for range x.move {
		st.at = append(st.at, make([]uint64, x.words))
	}
	for i := range jobs {
		able := jobs[i].Places
		if able == 0 {
			able = math.MaxUint64
		}
		for _, d := range jobs[i].Dear {
			if d.Extra < x.detour {
				st.dear = append(st.dear, dearJob{i, d})
			}
		}
		st.able = append(st.able, able)
		st.all[i>>6] |= 1 << (i & 63)
		for p := range st.at {
			if able>>p&1 != 0 {
				st.at[p][i>>6] |= 1 << (i & 63)
			}
		}
		copy(st.pre[i*x.words:], jobs[i].Pre)
	}
	return st
}

// Least is the least minutes of moves from a state of a stage to the end. Done
// are the jobs of the stage that are done, by bit; other bits do not count.
func (x *Places) Least(stage int, done []uint64, place int) float64 {
	x.stack = append(x.stack[:0], x.stages[stage].all...)
	for w := range x.stack {
		if w >= len(done) {
			x.stack[w] = 0
		} else {
			x.stack[w] &= done[w]
		}
	}
	return x.from(stage, 0, place)
}

// from is least for the set at a place of the stack, which it may change.
func (x *Places) from(stage, at, place int) float64 {
	n := x.words
	for {
		if stage == len(x.stages) {
			return 0
		}
		s := x.stack[at : at+n]
		x.close(stage, s, place)
		if !same(s, x.stages[stage].all) {
			break
		}
		clear(s)
		stage++
	}
	k, found := x.find(stage, x.stack[at:at+n], place)
	if found {
		return x.value[k]
	}
	if k < 0 {
		return x.rough(stage, x.stack[at:at+n], place)
	}
	best := math.Inf(1)
	for q := range x.move {
		if q == place || !x.useful(stage, x.stack[at:at+n], q) {
			continue
		}
		x.stack = append(x.stack[:at+n], x.stack[at:at+n]...)
		best = min(best, x.move[place][q]+x.from(stage, at+n, q))
	}
	for d := range x.stages[stage].dear {
		j := &x.stages[stage].dear[d]
		if s := x.stack[at : at+n]; x.open(stage, j.job, s) {
			to := place
			if j.Place != Any {
				to = j.Place
			}
			x.stack = append(x.stack[:at+n], s...)
			x.stack[at+n+j.job>>6] |= 1 << (j.job & 63)
			best = min(best, x.move[place][to]+j.Extra+x.from(stage, at+n, to))
		}
	}
	if math.IsInf(best, 1) {
		best = 0 // stuck in a circle, which has no order
	}
	x.value[k] = best
	return best
}

// useful reports whether a job can be done at a place.
func (x *Places) useful(stage int, s []uint64, place int) bool {
	st := &x.stages[stage]
	for w, m := range st.at[place] {
		for rest := m &^ s[w]; rest != 0; rest &= rest - 1 {
			if x.ready(st, w<<6+bits.TrailingZeros64(rest), s) {
				return true
			}
		}
	}
	return false
}

// open reports whether a job can be done next.
func (x *Places) open(stage, i int, s []uint64) bool {
	return s[i>>6]>>(i&63)&1 == 0 && x.ready(&x.stages[stage], i, s)
}

func (x *Places) ready(st *placeStage, i int, s []uint64) bool {
	for w, m := range st.pre[i*x.words : (i+1)*x.words] {
		if m&^s[w] != 0 {
			return false
		}
	}
	return true
}

// close does everything that needs no move.
func (x *Places) close(stage int, s []uint64, place int) {
	st := &x.stages[stage]
	for changed := true; changed; {
		changed = false
		for w, m := range st.at[place] {
			for rest := m &^ s[w]; rest != 0; rest &= rest - 1 {
				if x.ready(st, w<<6+bits.TrailingZeros64(rest), s) {
					s[w] |= rest & -rest
					changed = true
				}
			}
		}
	}
}

// rough bounds the moves to the end of a stage by the dearest job left.
func (x *Places) rough(stage int, s []uint64, place int) float64 {
	st := &x.stages[stage]
	most := 0.0
	for w, m := range st.all {
		for rest := m &^ s[w]; rest != 0; rest &= rest - 1 {
			most = max(most, x.reach(st, w<<6+bits.TrailingZeros64(rest), place))
		}
	}
	return most
}

// reach is the least minutes to do a job from a place.
func (x *Places) reach(st *placeStage, job, place int) float64 {
	least := math.Inf(1)
	for able := st.able[job]; able != 0; able &= able - 1 {
		if q := bits.TrailingZeros64(able); q < len(x.move) {
			least = min(least, x.move[place][q])
		}
	}
	for d := range st.dear {
		switch j := &st.dear[d]; {
		case j.job != job:
		case j.Place == Any:
			least = min(least, j.Extra)
		default:
			least = min(least, j.Extra+x.move[place][j.Place])
		}
	}
	return least
}

// find looks a state up and enters it if it is new; -1 if there is no room.
func (x *Places) find(stage int, s []uint64, place int) (at int, found bool) {
	if len(x.key)*2 >= len(x.slots) {
		x.grow()
	}
	h := placeHash(stage, s, place) & uint64(len(x.slots)-1)
	for ; x.slots[h] != 0; h = (h + 1) & uint64(len(x.slots)-1) {
		k := &x.key[x.slots[h]-1]
		if int(k.stage) == stage && int(k.place) == place && same(x.sets[k.at:int(k.at)+len(s)], s) {
			return int(x.slots[h] - 1), true
		}
	}
	if len(x.key) >= x.most {
		return -1, false
	}
	x.key = append(x.key, placeKey{int32(len(x.sets)), int16(stage), int16(place)})
	x.value = append(x.value, 0)
	x.sets = append(x.sets, s...)
	x.slots[h] = int32(len(x.key))
	return len(x.key) - 1, false
}

func (x *Places) grow() {
	x.slots = make([]int32, 2*len(x.slots))
	for i := range x.key {
		k := &x.key[i]
		h := placeHash(int(k.stage), x.sets[k.at:int(k.at)+x.words], int(k.place)) & uint64(len(x.slots)-1)
		for x.slots[h] != 0 {
			h = (h + 1) & uint64(len(x.slots)-1)
		}
		x.slots[h] = int32(i + 1)
	}
}

func same(a, b []uint64) bool {
	for i := range a {
		if a[i] != b[i] {
			return false
		}
	}
	return true
}

func placeHash(stage int, s []uint64, place int) uint64 {
	h := uint64(stage)<<32 ^ uint64(uint32(place))
	for _, w := range s {
		h = bits.RotateLeft64((h^w)*0x9e3779b97f4a7c15, 29)
	}
	h *= 0xbf58476d1ce4e5b9
	return h ^ h>>32
}
