package opening

// layLandmarks computes for every item the items that are out of the way in
// every plan in which it is: the greatest solution of
//
//	L(item) = {item} ∪ ⋂ over its ways of ⋃ over what the way needs of L
//
// where an any counts with what all its kids have in common. (The landmarks of
// delete-free planning; Zhu & Givan 2003, from memory.) With them a choice
// knows early what it will cost.
func (m *model) layLandmarks(c *choice) {
	words := (len(m.items) + 63) / 64
	m.marks = make([][]uint64, len(m.items))
	flat := make([]uint64, words*len(m.items))
	for i := range m.marks {
		m.marks[i] = flat[i*words : (i+1)*words]
		if m.items[i].already == nothing {
			for w := range m.marks[i] {
				m.marks[i][w] = ^uint64(0)
			}
		}
	}
	for changed := true; changed; {
		changed = false
		for i := range m.items {
			if m.items[i].already != nothing {
				continue
			}
			meet := m.common(c, i, words)
			set(meet, i)
			for w, x := range meet {
				if m.marks[i][w]&^x != 0 {
					m.marks[i][w] &= x
					changed = true
				}
			}
		}
	}
}

// common is what all ways of an item that are not ruled out have in common.
func (m *model) common(c *choice, item, words int) []uint64 {
	meet := ones(words)
	for _, k := range m.items[item].ways {
		if !c.banned(k) {
			join := make([]uint64, words)
			m.implied(m.ways[k].need, join)
			for w := range meet {
				meet[w] &= join[w]
			}
		}
	}
	return meet
}

func ones(words int) []uint64 {
	b := make([]uint64, words)
	for w := range b {
		b[w] = ^uint64(0)
	}
	return b
}

// implied adds what a need implies.
func (m *model) implied(t *tree, into []uint64) {
	if t.item != nothing {
		for w, x := range m.marks[t.item] {
			into[w] |= x
		}
		return
	}
	if t.all {
		for _, k := range t.kids {
			m.implied(k, into)
		}
		return
	}
	meet := ones(len(into))
	for _, k := range t.kids {
		join := make([]uint64, len(into))
		m.implied(k, join)
		for w := range meet {
			meet[w] &= join[w]
		}
	}
	for w, x := range meet {
		into[w] |= x
	}
}

// wantMarks puts the landmarks of an item in the plan, and reports whether
// that changed anything.
func (m *model) wantMarks(c *choice, item int) bool {
	changed := false
	for i := range m.items {
		if c.way[i] == fitted && has(m.marks[item], i) {
			c.way[i] = wanted
			changed = true
		}
	}
	return changed
}
