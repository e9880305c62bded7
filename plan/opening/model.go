package opening

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"lastbolt/plan/access"
)

// A model is a request with names turned into numbers: only the items that the
// targets, or what is open already, can lead to.
type model struct {
	req       *Request
	index     map[string]int // item id to place in the map's list
	seen      map[string]int // item id to place in items
	items     []mItem
	ways      []mWay
	targets   []Target // merged, beside works
	works     []mWork
	places    []string // 0 is nowhere yet, then the map's positions
	move      [][]float64
	enter     []float64   // least cost of getting to a place from any other
	pathTable [][]float64 // see paths
	tools     []string    // 0 is no tool in hand
	toolID    map[string]int
	owned     map[string]bool
	fluids    []string
	joints    []string // beside fluids: the kind of joint that holds each
	blocks    []block  // what the request forbids, for the reasons of an Impossible
	spare     spare
	marks     [][]uint64 // landmarks of each item, see layLandmarks
	weights   *weights   // once they are known, see weigh
	pace      pace
}

// nothing marks a step that needs no particular place or tool.
const nothing = -1

type mItem struct {
	src     *access.Item
	ways    []int // into model.ways
	already int   // the way by which it is out of the way now; nothing if fitted
}

type mWay struct {
	item       int
	src        *access.Way
	need       *tree
	mirror     *tree // what must be out of the way while it is put back
	after      []int
	still      []int
	waitFor    []int // items whose way back waits for backWait
	down, up   float64
	trouble    float64
	troubleVar float64
	wait       float64
	backWait   float64
	place      int
	backPlace  int
	tool       int
	pair       bool
	fluids     []int
	filling    []access.Span // beside fluids: the hand minutes of filling each again
	banned     int           // index into blocks plus 1; 0 if the way may be used
	conflict   int           // an item it wants fitted that is out already, plus 1
}

func (w *mWay) minutes() float64 { return w.down + w.up + w.trouble }

type mWork struct {
	item    int
	src     *access.Work // nil when the map has no entry
	need    *tree
	minutes float64
	wait    float64
	place   int
	tool    int
	banned  int // as in mWay
}

// A tree is a Need: a leaf (kids nil, item ≥ 0) or all or any of its kids.
type tree struct {
	item int
	ways []int // the ways that will do; nil for any
	all  bool
	kids []*tree
}

// A block is one thing the request rules out.
type block struct {
	item string // an item to keep closed
	kind string // a joint kind to keep closed
	tool string // a tool that is not owned
}

func newModel(req *Request) *model {
	m := &model{
		pace: usual, req: req, index: make(map[string]int, len(req.Map.Items)), seen: map[string]int{},
		toolID: map[string]int{}, owned: map[string]bool{}, tools: []string{""},
	}
	for i := range req.Map.Items {
		m.index[req.Map.Items[i].ID] = i
	}
	for _, t := range req.Tools {
		m.owned[t] = true
	}
	m.layPlaces()
	return m
}

// layPlaces makes the table of position changes. A change may go by way of a
// third position where that is cheaper, so the table obeys the triangle
// inequality and leaving a step out never costs more.
func (m *model) layPlaces() {
	set := m.req.Map.SetUp
	n := len(m.req.Map.Positions) + 1
	m.places = make([]string, n)
	at := map[string]int{}
	for i, p := range m.req.Map.Positions {
		m.places[i+1] = p.ID
		at[p.ID] = i + 1
	}
	flat := make([]float64, n*n)
	m.move = make([][]float64, n)
	for i := range m.move {
		m.move[i] = flat[i*n : (i+1)*n]
		for j := range m.move[i] {
			if i != j && j != 0 {
				m.move[i][j] = set.Position
			}
		}
	}
	for _, b := range set.Between {
		i, iok := at[b.From]
		j, jok := at[b.To]
		if iok && jok && i != j {
			m.move[i][j] = b.Minutes
		}
	}
	for k := 1; k < n; k++ {
		for i := range n {
			for j := 1; j < n; j++ {
				m.move[i][j] = min(m.move[i][j], m.move[i][k]+m.move[k][j])
			}
		}
	}
	m.enter = make([]float64, n)
	for j := 1; j < n; j++ {
		m.enter[j] = math.Inf(1)
		for i := range n {
			if i != j {
				m.enter[j] = min(m.enter[j], m.move[i][j])
			}
		}
	}
}

func (m *model) place(id string) int {
	if id == "" {
		return nothing
	}
	if i := slices.Index(m.places, id); i > 0 {
		return i
	}
	return nothing
}

// mainTool is the first tool of a list, by its first owned name, or by its
// usual name when none is owned.
func (m *model) mainTool(l access.List[access.Tool]) int {
	if len(l.Items) == 0 || len(l.Items[0].Any) == 0 {
		return nothing
	}
	name := l.Items[0].Any[0]
	for _, n := range l.Items[0].Any {
		if m.owned[n] {
			name = n
			break
		}
	}
	id, ok := m.toolID[name]
	if !ok {
		id = len(m.tools)
		m.tools = append(m.tools, name)
		m.toolID[name] = id
	}
	return id
}

// lacking gives the first tool of the list of which no name is owned, "" if
// all are there.
func (m *model) lacking(l access.List[access.Tool]) string {
	for _, t := range l.Items {
		if len(t.Any) > 0 && !slices.ContainsFunc(t.Any, func(n string) bool { return m.owned[n] }) {
			return t.Any[0]
		}
	}
	return ""
}

func mean(w *access.Wait) float64 {
	if w == nil {
		return 0
	}
	return w.Minutes.Mean()
}

// troubleMinutes gives the expected minutes of what tends to go wrong, and
// their variance: each thing comes with its odds, independent of the others.
func troubleMinutes(w *access.Way) (mean, variance float64) {
	for _, t := range w.Trouble {
		mean += t.Odds * t.Minutes
		variance += t.Odds * (1 - t.Odds) * t.Minutes * t.Minutes
	}
	return mean, variance
}

// item takes an item of the map into the model, with all that its ways lead
// to, and gives its number.
func (m *model) item(id string) (int, error) {
	if i, ok := m.seen[id]; ok {
		return i, nil
	}
	at, ok := m.index[id]
	if !ok {
		return 0, fmt.Errorf("the map names the item %q, which is not on it", id)
	}
	src := &m.req.Map.Items[at]
	i := len(m.items)
	m.seen[id] = i
	m.items = append(m.items, mItem{src: src, already: nothing})
	first := len(m.ways)
	for k := range src.Ways {
		m.items[i].ways = append(m.items[i].ways, len(m.ways))
		m.ways = append(m.ways, mWay{item: i, src: &src.Ways[k]})
	}
	for k := range src.Ways {
		w, err := m.way(i, &src.Ways[k])
		if err != nil {
			return 0, fmt.Errorf("item %q, way %q: %w", id, src.Ways[k].ID, err)
		}
		m.ways[first+k] = w
	}
	return i, nil
}

func (m *model) way(item int, src *access.Way) (mWay, error) {
	w := mWay{
		item: item, src: src,
		down: src.Minutes.Off.Mean(), up: src.Minutes.On.Mean(),
		wait: mean(src.Wait), backWait: mean(src.Back.Wait),
		place: m.place(src.Hands), tool: m.mainTool(src.Tools), pair: src.People > 1,
	}
	w.trouble, w.troubleVar = troubleMinutes(src)
	w.backPlace = w.place
	if src.Back.Hands != "" {
		w.backPlace = m.place(src.Back.Hands)
	}
	w.banned = m.banned(m.items[item].src, src)
	var err error
	if w.need, err = m.all(src.Needs); err != nil {
		return w, err
	}
	var hold []int
	for _, l := range []struct {
		from []string
		to   *[]int
	}{{src.Still, &w.still}, {src.Back.After, &w.after}, {src.Back.WaitFor, &w.waitFor}, {src.Back.Still, &hold}} {
		if *l.to, err = m.known(l.from); err != nil {
			return w, err
		}
	}
	if src.Back.Still != nil {
		w.mirror = &tree{item: nothing, all: true}
		for _, h := range hold {
			w.mirror.kids = append(w.mirror.kids, &tree{item: h})
		}
	} else {
		w.mirror = w.need
	}
	if src.Back.Ground {
		w.mirror = m.grounded(w.mirror)
	}
	for _, f := range src.Fluids.Items {
		w.fluids = append(w.fluids, m.fluid(f.Name))
		w.filling = append(w.filling, f.Minutes)
	}
	return w, nil
}

func (m *model) fluid(name string) int {
	i := slices.Index(m.fluids, name)
	if i < 0 {
		i = len(m.fluids)
		m.fluids, m.joints = append(m.fluids, name), append(m.joints, jointOf(name))
	}
	return i
}

// known gives the numbers of the items named.
func (m *model) known(ids []string) ([]int, error) {
	out := make([]int, 0, len(ids))
	for _, id := range ids {
		i, err := m.item(id)
		if err != nil {
			return nil, err
		}
		out = append(out, i)
	}
	return out, nil
}

func (m *model) all(needs []access.Need) (*tree, error) {
	t := &tree{item: nothing, all: true}
	for _, n := range needs {
		k, err := m.need(n)
		if err != nil {
			return nil, err
		}
		if k.item == nothing && k.all {
			t.kids = append(t.kids, k.kids...)
			continue
		}
		t.kids = append(t.kids, k)
	}
	return t, nil
}

func (m *model) need(n access.Need) (*tree, error) {
	switch {
	case n.Item != "":
		i, err := m.item(n.Item)
		if err != nil {
			return nil, err
		}
		t := &tree{item: i}
		if n.Way != "" {
			t.ways = m.waysNamed(i, n.Way)
			if len(t.ways) == 0 {
				return nil, fmt.Errorf("it needs %q out of the way by %q, but that item has no such way", n.Item, n.Way)
			}
		}
		return t, nil
	case n.Any != nil:
		t := &tree{item: nothing}
		for _, a := range n.Any {
			k, err := m.need(a)
			if err != nil {
				return nil, err
			}
			t.kids = append(t.kids, k)
		}
		if len(t.kids) == 1 {
			return t.kids[0], nil
		}
		return t, nil
	default:
		return m.all(n.All)
	}
}

// waysNamed gives the ways of an item with that id, or else of that kind.
func (m *model) waysNamed(item int, name string) []int {
	var byKind []int
	for k := range m.items[item].src.Ways {
		w := &m.items[item].src.Ways[k]
		if w.ID == name {
			return []int{m.items[item].ways[k]}
		}
		if kindOf(w) == access.WayKind(name) {
			byKind = append(byKind, m.items[item].ways[k])
		}
	}
	return byKind
}

func kindOf(w *access.Way) access.WayKind {
	if w.Kind == "" {
		return access.Off
	}
	return w.Kind
}

// grounded is a need without its conditions that repeat: at ride height all of
// them are ended.
func (m *model) grounded(t *tree) *tree {
	if t.item != nothing {
		if m.items[t.item].src.Repeats {
			return &tree{item: nothing, all: true}
		}
		return t
	}
	g := &tree{item: nothing, all: t.all}
	for _, k := range t.kids {
		g.kids = append(g.kids, m.grounded(k))
	}
	return g
}

// banned gives the block that rules a way out, plus 1.
func (m *model) banned(item *access.Item, w *access.Way) int {
	for _, k := range m.req.KeepClosed {
		if k == item.ID {
			return m.block(block{item: k})
		}
		for _, j := range w.Opens {
			if j.Kind == k {
				return m.block(block{kind: k})
			}
		}
	}
	if m.req.OnlyOwned {
		if t := m.lacking(w.Tools); t != "" {
			return m.block(block{tool: t})
		}
	}
	return 0
}

func (m *model) block(b block) int {
	i := slices.Index(m.blocks, b)
	if i < 0 {
		i = len(m.blocks)
		m.blocks = append(m.blocks, b)
	}
	return i + 1
}

// closes reports whether putting a way back closes what holds a fluid: the
// way lets that fluid out, or opens a joint of its kind.
func (m *model) closes(w *mWay, fluid int) bool {
	if slices.Contains(w.fluids, fluid) {
		return true
	}
	kind := m.joints[fluid]
	return kind != "" && slices.ContainsFunc(w.src.Opens, func(j access.Joint) bool { return j.Kind == kind })
}

// jointOf is the kind of joint that holds a fluid: the longest of the kinds
// that the fluid's name contains ("engine oil": oil), "" for none.
func jointOf(fluid string) string {
	found := ""
	for _, k := range access.JointKinds {
		if len(k) > len(found) && slices.Contains(kindsIn(fluid), k) {
			found = k
		}
	}
	return found
}

// kindsIn lists the runs of words of a name.
func kindsIn(name string) []string {
	words := strings.Fields(strings.ToLower(name))
	var out []string
	for i := range words {
		for j := i + 1; j <= len(words); j++ {
			out = append(out, strings.Join(words[i:j], " "))
		}
	}
	return out
}
