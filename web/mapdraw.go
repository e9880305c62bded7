package web

import (
	"strconv"

	"lastbolt/plan/access"
)

// slugOf makes a name into an id: "Air box" gives "air-box"; a name without
// letters and digits gives "item".
func slugOf(name string) string { return new(access.Map).NewID(name) }

// freeOf is an id that is not used yet, and uses it.
func freeOf(used map[string]bool, base string) string {
	id := base
	for n := 2; used[id]; n++ {
		id = base + "-" + strconv.Itoa(n)
	}
	used[id] = true
	return id
}

func drawMap(m *access.Map) string { return "" }

func drawAround(m *access.Map, id string) string { return "" }
