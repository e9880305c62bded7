package sequence

import (
	"context"
	"math/rand/v2"
	"testing"
)

// randomMatrix has n nodes, the first first and the last last, and some pairs
// in a fixed order.
func randomMatrix(r *rand.Rand, n int) [][]int64 {
	cost := make([][]int64, n)
	for i := range cost {
		cost[i] = make([]int64, n)
		for j := range cost {
			if i != j {
				cost[i][j] = int64(r.IntN(100))
			}
			if j < i && (j == 0 || i == n-1 || r.IntN(8) == 0) {
				cost[i][j] = -1
			}
		}
	}
	return cost
}

func TestImprovingKeepsAnOrderSoundAndItsCostTrue(t *testing.T) {
	better := 0
	for seed := range uint64(60) {
		r := rand.New(rand.NewPCG(seed, 5))
		cost := randomMatrix(r, 4+r.IntN(20))
		m, err := newMatrixModel(cost)
		if err != nil {
			t.Fatal(err)
		}
		order := make([]int16, m.size()) // as numbered: what must precede comes first
		path := []int{0}
		for k := range order {
			order[k] = int16(k)
			path = append(path, m.input[k])
		}
		before, err := CheckMatrix(cost, path)
		if err != nil {
			t.Fatal(err)
		}
		order, after := m.improve(context.Background(), order, before, 300)
		path = path[:1]
		for _, s := range order {
			path = append(path, m.input[s])
		}
		if got, err := CheckMatrix(cost, path); err != nil || got != after || after > before {
			t.Fatalf("seed %d: %v before; said to be %v, is %v, %v", seed, before, after, got, err)
		}
		if after < before {
			better++
		}
	}
	if better < 50 {
		t.Errorf("%d of 60 orders became better; the test shows too little", better)
	}
}
