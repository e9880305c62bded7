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

// drawMap is the drawing of a map; its boxes lead to the items.
func drawMap(mr mapRead) string {
	return string(access.Draw(mr.m, access.DrawOptions{Link: mr.itemLink}))
}

func drawAround(mr mapRead, id string) string {
	return string(access.Around(mr.m, id, access.DrawOptions{Link: mr.itemLink}))
}

func (m mapRead) itemLink(id string) string { return m.at(itemURL(m.m.ID, id, "")) }
