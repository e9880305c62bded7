package sequence

import (
	"context"
	"math/rand/v2"
	"slices"
)

// An improver is a model that can make an order cheaper without proving
// anything.
type improver interface {
	// improve gives an order no dearer than the one given, and its cost, after
	// so many kicks.
	improve(ctx context.Context, order []int16, cost int64, kicks int) ([]int16, int64)
}

// Local search of an order: after so many kicks without a best, patience, it is
// disturbed thoroughly, and every few times that begins from the best.
const (
	patience = 250
	fromBest = 4
)

// improve exchanges neighbouring stretches of the order as long as that makes
// it cheaper, disturbs it by a few such exchanges at random, and so on
// (exchange of stretches under precedence: Gambardella & Dorigo, INFORMS
// Journal on Computing 12 (2000) 237; iterated local search; both from memory).
func (m *matrixModel) improve(ctx context.Context, order []int16, cost int64, kicks int) ([]int16, int64) {
	path := []int{0}
	for _, s := range order {
		path = append(path, int(s)+1)
	}
	x := exchange{m: m, rand: rand.New(rand.NewPCG(1, uint64(len(path))))}
	best, least := slices.Clone(path), cost
	kept, turn := slices.Clone(path), cost // what a kick starts from
	now, stale, rounds := cost, 0, 0
	for k := range kicks {
		if k&15 == 0 && ctx.Err() != nil {
			break
		}
		now -= x.descend(path)
		if stale++; now < least {
			best, least, stale = append(best[:0], path...), now, 0
		}
		switch {
		case stale > patience:
			if rounds++; rounds%fromBest == 0 {
				path, now = append(path[:0], best...), least
			}
			now -= x.kick(path, 3*len(path))
			stale, turn = 0, now
		case now > turn:
			path, now = append(path[:0], kept...), turn
		default:
			kept, turn = append(kept[:0], path...), now
		}
		now -= x.kick(path, 1+x.rand.IntN(3))
	}
	out := make([]int16, len(order))
	for k, v := range best[1:] {
		out[k] = int16(v - 1)
	}
	return out, least
}

// exchange is local search on a path of nodes; the first and last stay.
type exchange struct {
	m    *matrixModel
	rand *rand.Rand
}

// descend makes exchanges as long as they gain, and gives the gain.
func (x *exchange) descend(path []int) int64 {
	var sum int64
	for {
		gain := x.best(path)
		if sum += gain; gain == 0 {
			return sum
		}
	}
}

// best makes the exchange that gains most, and gives its gain.
func (x *exchange) best(path []int) int64 {
	var most int64
	var at [3]int
	for i := 1; i < len(path)-2; i++ {
		left := set{}
		for j := i; j < len(path)-2; j++ {
			left.add(path[j] - 1)
			for k := j + 1; k < len(path)-1 && !x.m.needsAny(path[k], &left); k++ {
				if g := x.gain(path, i, j, k); g > most {
					most, at = g, [3]int{i, j, k}
				}
			}
		}
	}
	if most > 0 {
		swap(path, at[0], at[1], at[2])
	}
	return most
}

// needsAny reports that one of a set must come before a node.
func (m *matrixModel) needsAny(node int, s *set) bool {
	for w := range m.words {
		if m.before[node-1][w]&s[w] != 0 {
			return true
		}
	}
	return false
}

// gain is what it saves to exchange the stretches i to j and j+1 to k.
func (x *exchange) gain(path []int, i, j, k int) int64 {
	c := x.m.cost
	a, b, d, e, f, g := path[i-1], path[i], path[j], path[j+1], path[k], path[k+1]
	return c[a][b] + c[d][e] + c[f][g] - c[a][e] - c[f][b] - c[d][g]
}

// swap exchanges the stretches i to j and j+1 to k.
func swap(path []int, i, j, k int) {
	left := slices.Clone(path[i : j+1])
	copy(path[i:], path[j+1:k+1])
	copy(path[i+k-j:], left)
}

// kick exchanges stretches at random so many times, where that is allowed, and
// gives the gain, mostly negative.
func (x *exchange) kick(path []int, times int) int64 {
	var sum int64
	for range times {
		if len(path) < 5 {
			return 0
		}
		i := 1 + x.rand.IntN(len(path)-3)
		j := min(len(path)-3, i+x.rand.IntN(6))
		k := min(len(path)-2, j+1+x.rand.IntN(6))
		left := set{}
		for _, v := range path[i : j+1] {
			left.add(v - 1)
		}
		if !slices.ContainsFunc(path[j+1:k+1], func(v int) bool { return x.m.needsAny(v, &left) }) {
			sum += x.gain(path, i, j, k)
			swap(path, i, j, k)
		}
	}
	return sum
}
