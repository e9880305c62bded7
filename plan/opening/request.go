package opening

import (
	"errors"
	"fmt"
	"slices"
	"strings"

	"lastbolt/plan/access"
)

// A BadRequest is the error of a request that names something which is not on
// its map, or asks for nothing.
type BadRequest struct{ Problem string }

func (b *BadRequest) Error() string { return b.Problem }

func bad(format string, args ...any) error {
	return &BadRequest{Problem: fmt.Sprintf(format, args...)}
}

// ErrStopped is the error of a search that ended before it had found any plan.
var ErrStopped = errors.New("the search was stopped before it had found a plan; give it more steps or more time")

// compile checks a request and turns it into a model. A request to go on from
// the middle of a job may have no targets.
func compile(req *Request, goOn bool) (*model, error) {
	if req.Map == nil {
		return nil, bad("There is no map to plan from; choose a map first.")
	}
	if len(req.Targets) == 0 && !goOn {
		return nil, bad("Choose at least one thing to do: an item of the map and what is to be done on it.")
	}
	m := newModel(req)
	if err := m.checkKeepClosed(); err != nil {
		return nil, err
	}
	for _, t := range req.Targets {
		if err := m.addTarget(t); err != nil {
			return nil, err
		}
	}
	for _, a := range req.Already {
		if err := m.addAlready(a); err != nil {
			return nil, err
		}
	}
	m.ruleOutConflicts()
	m.believe()
	return m, nil
}

func (m *model) checkKeepClosed() error {
	for _, k := range m.req.KeepClosed {
		if _, ok := m.index[k]; ok || slices.Contains(access.JointKinds, k) {
			continue
		}
		return bad("%q, to be kept closed, is neither an item of the map nor a kind of joint%s", k, m.nearest(k))
	}
	return nil
}

func (m *model) addTarget(t Target) error {
	if _, ok := m.index[t.Item]; !ok {
		return bad("There is no item %q on the map %q%s", t.Item, m.req.Map.Name, m.nearest(t.Item))
	}
	if !slices.Contains([]access.Action{access.Replace, access.Reseal, access.Inspect, access.AccessOnly}, t.Action) {
		return bad("What is to be done on %q must be replace, reseal, inspect or access only, not %q.", t.Item, t.Action)
	}
	if slices.Contains(m.targets, t) {
		return nil
	}
	i, err := m.item(t.Item)
	if err != nil {
		return &BadRequest{Problem: err.Error()}
	}
	w := mWork{item: i, place: nothing, tool: nothing}
	src := m.items[i].src
	if k := slices.IndexFunc(src.Work, func(w access.Work) bool { return w.Action == t.Action }); k >= 0 {
		w.src = &src.Work[k]
		w.minutes, w.wait = w.src.Minutes.Mean(), mean(w.src.Wait)
		w.place, w.tool = m.place(w.src.Hands), m.mainTool(w.src.Tools)
	}
	if w.src != nil && w.src.Needs != nil {
		if w.need, err = m.all(w.src.Needs); err != nil {
			return bad("item %q, work %q: %v", t.Item, t.Action, err)
		}
	} else {
		w.need = m.defaultNeed(i, t.Action)
	}
	if m.req.OnlyOwned && w.src != nil {
		if tool := m.lacking(w.src.Tools); tool != "" {
			w.banned = m.block(block{tool: tool})
		}
	}
	m.targets = append(m.targets, t)
	m.works = append(m.works, w)
	return nil
}

// defaultNeed is what an action needs when the map does not say: the item off,
// or for a look or access alone, out of the way by any way.
func (m *model) defaultNeed(item int, a access.Action) *tree {
	leaf := &tree{item: item}
	if a == access.Replace || a == access.Reseal {
		leaf.ways = m.waysNamed(item, string(access.Off))
		if leaf.ways == nil {
			leaf.ways = []int{}
		}
	}
	return &tree{item: nothing, all: true, kids: []*tree{leaf}}
}

func (m *model) addAlready(a string) error {
	id, way, named := strings.Cut(a, "/")
	if _, ok := m.index[id]; !ok {
		return bad("There is no item %q on the map, said to be out of the way already%s", id, m.nearest(id))
	}
	i, err := m.item(id)
	if err != nil {
		return &BadRequest{Problem: err.Error()}
	}
	it := &m.items[i]
	if len(it.ways) == 0 {
		return bad("%s cannot be out of the way: the map has no way to move it.", it.src.Name)
	}
	if it.already != nothing {
		return nil
	}
	it.already = it.ways[0]
	if named {
		k := slices.IndexFunc(it.src.Ways, func(w access.Way) bool { return w.ID == way })
		if k < 0 {
			return bad("%q is said to be out of the way by %q, but its ways are %s.", id, way, wayNames(it.src))
		}
		it.already = it.ways[k]
	}
	return nil
}

func wayNames(it *access.Item) string {
	var names []string
	for i := range it.Ways {
		names = append(names, it.Ways[i].ID)
	}
	return strings.Join(names, ", ")
}

// ruleOutConflicts marks the ways that want something fitted which is out of
// the way already: nothing goes back before the work is done. A condition that
// repeats may still be brought about once it is back.
func (m *model) ruleOutConflicts() {
	for k := range m.ways {
		w := &m.ways[k]
		for _, s := range w.still {
			if m.items[s].already != nothing && !m.items[s].src.Repeats && m.items[w.item].already != k && !m.items[w.item].src.Repeats {
				w.conflict = s + 1
			}
		}
	}
}

// believe takes the present state for granted where the map doubts it:
// something is out of the way that needs an item which is not, so it will go
// back without that item too. Conditions that repeat come and go, and are still
// wanted.
func (m *model) believe() {
	for i := range m.items {
		if a := m.items[i].already; a != nothing {
			m.ways[a].mirror = m.believed(m.ways[a].mirror)
		}
	}
}

func (m *model) believed(t *tree) *tree {
	if t.item != nothing {
		it := &m.items[t.item]
		if it.src.Repeats || it.already != nothing && (t.ways == nil || slices.Contains(t.ways, it.already)) {
			return t
		}
		return &tree{item: nothing, all: true}
	}
	b := &tree{item: nothing, all: t.all}
	for _, k := range t.kids {
		b.kids = append(b.kids, m.believed(k))
	}
	return b
}

// nearest ends a sentence about an unknown name with the names most like it.
func (m *model) nearest(name string) string {
	type near struct {
		id   string
		away int
	}
	var all []near
	for i := range m.req.Map.Items {
		id := m.req.Map.Items[i].ID
		d := distance(strings.ToLower(name), id)
		if strings.Contains(id, strings.ToLower(name)) || strings.Contains(strings.ToLower(m.req.Map.Items[i].Name), strings.ToLower(name)) {
			d = min(d, 1)
		}
		if d <= max(2, len(name)/2) {
			all = append(all, near{id, d})
		}
	}
	if len(all) == 0 {
		return "."
	}
	slices.SortStableFunc(all, func(a, b near) int { return a.away - b.away })
	var ids []string
	for _, n := range all[:min(3, len(all))] {
		ids = append(ids, n.id)
	}
	return "; the nearest are " + strings.Join(ids, ", ") + "."
}

// distance is the Levenshtein distance of two words, in bytes.
func distance(a, b string) int {
	row := make([]int, len(b)+1)
	for j := range row {
		row[j] = j
	}
	for i := range len(a) {
		diagonal := row[0]
		row[0] = i + 1
		for j := range len(b) {
			next := diagonal
			if a[i] != b[j] {
				next = 1 + min(diagonal, row[j], row[j+1])
			}
			diagonal, row[j+1] = row[j+1], next
		}
	}
	return row[len(b)]
}
