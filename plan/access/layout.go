package access

import (
	"cmp"
	"math"
	"slices"
)

// A vertex is a box of the layered drawing, or a bend of a line that crosses a
// layer.
type vertex struct {
	item  int // place in Items; -1 for a bend
	layer int
	area  string
	y, h  float64 // centre and height
	left  []int   // neighbours one layer to the left
	right []int
}

// A route is a link with the vertices its line runs through, from left to
// right; flipped when the link itself runs from right to left.
type route struct {
	link
	via     []int
	flipped bool
}

// A layering is a drawing's graph: layers from left (first off) to right, each
// with its vertices from top to bottom. The method is that of Sugiyama,
// Tagawa and Toda (1981): layers by longest path, bends for long lines,
// sweeps to lessen crossings, then places along the layers.
type layering struct {
	v      []vertex
	layers [][]int
	routes []route
}

// newLayering lays out n items of the heights given. Items without links are
// left out: the drawing sets them apart.
func newLayering(items []int, areas []string, heights []float64, links []link) *layering {
	l := &layering{}
	at := map[int]int{}
	linked := map[int]bool{}
	for _, k := range links {
		linked[k.from], linked[k.to] = true, true
	}
	for n, i := range items {
		if linked[i] {
			at[i] = len(l.v)
			l.v = append(l.v, vertex{item: i, area: areas[n], h: heights[n]})
		}
	}
	l.setLayers(at, links)
	l.addBends(at, links)
	l.order()
	l.place()
	return l
}

// setLayers numbers the layers by the longest path, turning links that close a
// circle around, and then moves what nothing is in front of next to the first
// thing it is in front of.
func (l *layering) setLayers(at map[int]int, links []link) {
	out := make([][]int, len(l.v))
	for _, k := range links {
		out[at[k.from]] = append(out[at[k.from]], at[k.to])
	}
	const (
		fresh = iota
		walking
		done
	)
	state := make([]int, len(l.v))
	forward := make([][]int, len(l.v))
	var post []int
	var visit func(v int)
	visit = func(v int) {
		state[v] = walking
		for _, w := range out[v] {
			if state[w] == walking {
				forward[w] = append(forward[w], v)
				continue
			}
			forward[v] = append(forward[v], w)
			if state[w] == fresh {
				visit(w)
			}
		}
		state[v] = done
		post = append(post, v)
	}
	for v := range l.v {
		if state[v] == fresh {
			visit(v)
		}
	}
	hasLeft := make([]bool, len(l.v))
	for _, v := range slices.Backward(post) {
		for _, w := range forward[v] {
			l.v[w].layer = max(l.v[w].layer, l.v[v].layer+1)
			hasLeft[w] = true
		}
	}
	for v := range l.v {
		if hasLeft[v] || len(forward[v]) == 0 {
			continue
		}
		next := l.v[forward[v][0]].layer
		for _, w := range forward[v] {
			next = min(next, l.v[w].layer)
		}
		l.v[v].layer = max(0, next-1)
	}
}

const bendHeight = 10

func (l *layering) addBends(at map[int]int, links []link) {
	for _, k := range links {
		r := route{link: k}
		a, b := at[k.from], at[k.to]
		if r.flipped = l.v[a].layer > l.v[b].layer; r.flipped {
			a, b = b, a
		}
		r.via = []int{a}
		for layer := l.v[a].layer + 1; layer < l.v[b].layer; layer++ {
			l.v = append(l.v, vertex{item: -1, layer: layer, h: bendHeight, area: "\x00"})
			r.via = append(r.via, len(l.v)-1)
		}
		r.via = append(r.via, b)
		for i := 1; i < len(r.via); i++ {
			p, q := r.via[i-1], r.via[i]
			l.v[p].right = append(l.v[p].right, q)
			l.v[q].left = append(l.v[q].left, p)
		}
		l.routes = append(l.routes, r)
	}
	for v := range l.v {
		for len(l.layers) <= l.v[v].layer {
			l.layers = append(l.layers, nil)
		}
		l.layers[l.v[v].layer] = append(l.layers[l.v[v].layer], v)
	}
}

const sweeps = 40

// order sorts each layer by the mean place of the neighbours, sweeping right
// and left, and keeps the order with the fewest crossings. The items of an
// area stay together.
func (l *layering) order() {
	for i := range l.layers {
		slices.SortStableFunc(l.layers[i], func(a, b int) int { return cmp.Compare(l.v[a].area, l.v[b].area) })
	}
	best, fewest := l.copyLayers(), l.crossings()
	for s := range sweeps {
		if s%2 == 0 {
			for i := 1; i < len(l.layers); i++ {
				l.sortLayer(i, i-1)
			}
		} else {
			for i := len(l.layers) - 2; i >= 0; i-- {
				l.sortLayer(i, i+1)
			}
		}
		if n := l.crossings(); n < fewest {
			best, fewest = l.copyLayers(), n
		}
	}
	l.layers = best
}

func (l *layering) copyLayers() [][]int {
	out := make([][]int, len(l.layers))
	for i := range out {
		out[i] = slices.Clone(l.layers[i])
	}
	return out
}

func (l *layering) neighbours(v, layer int) []int {
	if layer < l.v[v].layer {
		return l.v[v].left
	}
	return l.v[v].right
}

func (l *layering) sortLayer(layer, by int) {
	pos := map[int]float64{}
	for p, v := range l.layers[by] {
		pos[v] = float64(p) / float64(len(l.layers[by]))
	}
	key := map[int]float64{}
	type sum struct{ total, n float64 }
	areas := map[string]sum{}
	for p, v := range l.layers[layer] {
		near := l.neighbours(v, by)
		k := float64(p) / float64(len(l.layers[layer]))
		if len(near) > 0 {
			k = 0
			for _, w := range near {
				k += pos[w] / float64(len(near))
			}
		}
		key[v] = k
		s := areas[l.v[v].area]
		areas[l.v[v].area] = sum{s.total + k, s.n + 1}
	}
	group := func(v int) float64 {
		if l.v[v].item < 0 {
			return key[v]
		}
		s := areas[l.v[v].area]
		return s.total / s.n
	}
	slices.SortStableFunc(l.layers[layer], func(a, b int) int {
		return cmp.Or(cmp.Compare(group(a), group(b)), cmp.Compare(l.v[a].area, l.v[b].area), cmp.Compare(key[a], key[b]))
	})
}

// crossings counts the pairs of lines that cross between layers.
func (l *layering) crossings() int {
	count := 0
	for i := 1; i < len(l.layers); i++ {
		pos := map[int]int{}
		for p, v := range l.layers[i] {
			pos[v] = p
		}
		// Ends on the right in the order of the ends on the left: each pair
		// out of order is a crossing. A Fenwick tree counts them.
		tree := make([]int, len(l.layers[i])+1)
		seen := 0
		for _, v := range l.layers[i-1] {
			ends := make([]int, 0, len(l.v[v].right))
			for _, w := range l.v[v].right {
				ends = append(ends, pos[w])
			}
			for _, e := range ends {
				before := 0
				for k := e + 1; k > 0; k -= k & -k {
					before += tree[k]
				}
				count += seen - before
			}
			for _, e := range ends {
				seen++
				for k := e + 1; k < len(tree); k += k & -k {
					tree[k]++
				}
			}
		}
	}
	return count
}

// The gaps between boxes of one layer, in px; more where the area changes, for
// its label.
const (
	gapBox  = 12
	gapArea = 30
	gapBend = 6
)

// starts reports that an area's label stands above vertex k of a layer.
func (l *layering) starts(layer []int, k int) bool {
	v := l.v[layer[k]]
	if v.item < 0 || v.area == "" {
		return false
	}
	for p := k - 1; p >= 0; p-- {
		if u := l.v[layer[p]]; u.item >= 0 {
			return u.area != v.area
		}
	}
	return true
}

func (l *layering) gap(layer []int, k int) float64 {
	a, b := l.v[layer[k-1]], l.v[layer[k]]
	g := (a.h + b.h) / 2
	switch {
	case l.starts(layer, k):
		return g + gapArea
	case a.item < 0 || b.item < 0:
		return g + gapBend
	}
	return g + gapBox
}

// place sets the heights at which things stand: as near to their neighbours as
// the order and the gaps allow, sweeping to and fro.
func (l *layering) place() {
	for _, layer := range l.layers {
		y := 0.0
		for k, v := range layer {
			if k > 0 {
				y += l.gap(layer, k)
			}
			l.v[v].y = y
		}
		for _, v := range layer {
			l.v[v].y -= y / 2
		}
	}
	for s := range 24 {
		for i := range l.layers {
			if s%2 == 1 {
				i = len(l.layers) - 1 - i
			}
			l.settle(l.layers[i], s)
		}
	}
	top := math.Inf(1)
	for i := range l.v {
		top = min(top, l.v[i].y-l.v[i].h/2-gapArea)
	}
	for i := range l.v {
		l.v[i].y -= top
	}
}

// settle moves one layer to the least sum of squared distances from where its
// neighbours pull, keeping order and gaps: isotonic regression by pooling
// adjacent violators, after taking the gaps off.
func (l *layering) settle(layer []int, sweep int) {
	type pool struct {
		sum, weight float64
		n           int
	}
	var pools []pool
	offsets := make([]float64, len(layer))
	for k, v := range layer {
		if k > 0 {
			offsets[k] = offsets[k-1] + l.gap(layer, k)
		}
		want, weight := l.pull(v, sweep)
		pools = append(pools, pool{weight * (want - offsets[k]), weight, 1})
		for n := len(pools); n > 1 && pools[n-1].sum/pools[n-1].weight < pools[n-2].sum/pools[n-2].weight; n = len(pools) {
			p, q := pools[n-2], pools[n-1]
			pools = append(pools[:n-2], pool{p.sum + q.sum, p.weight + q.weight, p.n + q.n})
		}
	}
	k := 0
	for _, p := range pools {
		for range p.n {
			l.v[layer[k]].y = p.sum/p.weight + offsets[k]
			k++
		}
	}
}

// pull gives the height that a vertex's neighbours want it at, and how strongly.
// Bends pull hard, so that long lines run straight.
func (l *layering) pull(v, sweep int) (want, weight float64) {
	near := slices.Concat(l.v[v].left, l.v[v].right)
	if sweep < 8 { // first one side only, to spread the drawing out
		near = l.neighbours(v, l.v[v].layer-1+2*(sweep%2))
	}
	if len(near) == 0 {
		return l.v[v].y, 0.1
	}
	for _, w := range near {
		s := 1.0
		if l.v[v].item < 0 {
			s = 2
			if l.v[w].item < 0 {
				s = 8
			}
		}
		want += s * l.v[w].y
		weight += s
	}
	return want / weight, weight
}
