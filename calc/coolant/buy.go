package coolant

import (
	"math"

	"lastbolt/quantity"
)

// A Container is one size on sale. Cost is its price, 0 when prices do not
// matter.
type Container struct {
	Holds quantity.Volume
	Cost  float64
}

// step is how finely volumes are bought: 10 mL.
const step = 1e-5

// Buy chooses how many of each container to buy to have at least a volume: for
// the least cost where the containers have one, else for the least left over,
// then the fewest containers. need is at most 1000 L; the counts are in the
// order of the containers, which hold at least 10 mL each.
func Buy(need quantity.Volume, on []Container) []int {
	counts := make([]int, len(on))
	n := int(math.Ceil(float64(need)/step - 1e-6))
	if n <= 0 || len(on) == 0 {
		return counts
	}
	size := make([]int, len(on))
	largest := 0
	for i, c := range on {
		size[i] = int(math.Floor(float64(c.Holds)/step + 1e-6))
		largest = max(largest, size[i])
	}
	type best struct {
		cost  float64
		count int
		last  int // the container added last, -1 when none reaches
	}
	// filled[v] is the best way to buy exactly v steps.
	filled := make([]best, n+largest)
	for v := 1; v < len(filled); v++ {
		filled[v] = best{math.Inf(1), 0, -1}
		for i := range on {
			if size[i] > v || v > size[i] && filled[v-size[i]].last < 0 {
				continue
			}
			before := filled[v-size[i]]
			now := best{before.cost + on[i].Cost, before.count + 1, i}
			if now.cost < filled[v].cost || now.cost == filled[v].cost && now.count < filled[v].count {
				filled[v] = now
			}
		}
	}
	at := -1
	for v := n; v < len(filled); v++ {
		if filled[v].last >= 0 && (at < 0 || filled[v].cost < filled[at].cost) {
			at = v
		}
	}
	for at > 0 {
		i := filled[at].last
		counts[i]++
		at -= size[i]
	}
	return counts
}
