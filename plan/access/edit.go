package access

import (
	"encoding"
	"encoding/json"
	"fmt"
	"reflect"
	"slices"
	"strconv"
	"strings"
)

// Item gives the item with the id, or nil. The pointer is into the map: it is
// good until Items changes.
func (m *Map) Item(id string) *Item {
	for i := range m.Items {
		if m.Items[i].ID == id {
			return &m.Items[i]
		}
	}
	return nil
}

// Position gives the position with the id, or nil.
func (m *Map) Position(id string) *Position {
	for i := range m.Positions {
		if m.Positions[i].ID == id {
			return &m.Positions[i]
		}
	}
	return nil
}

// PositionName is what the map calls a position, or its id where the map does
// not have it.
func (m *Map) PositionName(id string) string {
	if p := m.Position(id); p != nil {
		return p.Name
	}
	return id
}

// Way gives the way with the id, or nil.
func (it *Item) Way(id string) *Way {
	for i := range it.Ways {
		if it.Ways[i].ID == id {
			return &it.Ways[i]
		}
	}
	return nil
}

// WorkFor gives the work for an action, or nil.
func (it *Item) WorkFor(a Action) *Work {
	for i := range it.Work {
		if it.Work[i].Action == a {
			return &it.Work[i]
		}
	}
	return nil
}

// Title is the way's name, or what its kind says: "Off", "Set aside".
func (w *Way) Title() string {
	switch {
	case w.Name != "":
		return w.Name
	case w.kind() == Aside:
		return "Set aside"
	}
	return "Off"
}

// EndsItself reports a condition that passes without hands once it was brought
// about this way, as an engine that was left to cool: nothing of it is to be
// tightened, filled or renewed, and its way back takes no minutes.
func (it *Item) EndsItself(w *Way) bool {
	return it.Kind == Condition && !it.Repeats && w.Minutes.On == Span{} && len(w.Fasteners.Items) == 0 &&
		len(w.Fluids.Items) == 0 && len(w.SingleUse.Items) == 0 && len(w.Opens) == 0 && w.Back.Wait == nil
}

// IsAside reports a way that sets the item aside with its lines connected.
func (w *Way) IsAside() bool { return w.kind() == Aside }

// Clone gives a copy that shares nothing with the map.
func (m *Map) Clone() *Map {
	text, err := json.Marshal(m)
	if err == nil {
		out := new(Map)
		if err = json.Unmarshal(text, out); err == nil {
			return out
		}
	}
	// Only a figure that is no number, or an unreadable quantity, gets here,
	// and no function of this package makes one.
	panic("access: cannot copy the map: " + err.Error())
}

// Put adds the item, or replaces the one that has its id.
func (m *Map) Put(it Item) {
	if old := m.Item(it.ID); old != nil {
		*old = it
		return
	}
	m.Items = append(m.Items, it)
}

// Remove takes an item out. It refuses while something else mentions it, and
// says what.
func (m *Map) Remove(id string) error {
	at := slices.IndexFunc(m.Items, func(it Item) bool { return it.ID == id })
	if at < 0 {
		return fmt.Errorf("there is no item %s; %s", quote(id), didYouMean(id, m.ids(), "choose one from the list"))
	}
	var users []string
	for r := range m.Refs() {
		if r.To == id && r.From != id && !slices.Contains(users, m.nameOf(r.From)) {
			users = append(users, m.nameOf(r.From))
		}
	}
	if n := len(users); n > 0 {
		if n > 4 {
			users = append(users[:3:3], fmt.Sprintf("%d more", n-3))
		}
		return fmt.Errorf("%s is still mentioned by %s; change those first", quote(m.Items[at].Name), andList(users))
	}
	m.Items = slices.Delete(m.Items, at, at+1)
	return nil
}

func (m *Map) ids() []string {
	ids := make([]string, len(m.Items))
	for i := range m.Items {
		ids[i] = m.Items[i].ID
	}
	return ids
}

func (m *Map) nameOf(id string) string {
	if it := m.Item(id); it != nil && it.Name != "" {
		return quote(it.Name)
	}
	return quote(id)
}

// Rename gives an item another id, everywhere in the map.
func (m *Map) Rename(old, id string) error {
	it := m.Item(old)
	switch {
	case it == nil:
		return fmt.Errorf("there is no item %s; %s", quote(old), didYouMean(old, m.ids(), "choose one from the list"))
	case old == id:
		return nil
	case !validID(id):
		return fmt.Errorf("%s cannot be an id; use letters, digits and hyphens only, such as %s", quote(id), quote(orItem(slug(id))))
	case m.Item(id) != nil:
		return fmt.Errorf("another item has the id %s already; choose another", quote(id))
	}
	for r := range m.Refs() {
		if r.To == old {
			r.set(id)
		}
	}
	it.ID = id
	return nil
}

// NewID makes an id from a name in any script that no item of the map has:
// "Air box" gives "air-box", then "air-box-2". A name without letters and
// digits, such as an emoji, gives "item".
func (m *Map) NewID(name string) string {
	base := orItem(slug(name))
	id := base
	for n := 2; m.Item(id) != nil; n++ {
		id = base + "-" + strconv.Itoa(n)
	}
	return id
}

// Search gives the items in which every word of the text occurs, in any field
// and any case: first those whose name or id starts with it, then those that
// have it in the name, then the rest; otherwise in map order. An empty text
// gives every item.
func (m *Map) Search(text string) []*Item {
	query := strings.Fields(strings.ToLower(text))
	var ranked [3][]*Item
	for i := range m.Items {
		it := &m.Items[i]
		name := strings.ToLower(it.Name + " " + it.ID)
		switch {
		case len(query) == 0 || strings.HasPrefix(name, strings.Join(query, " ")) || strings.HasPrefix(it.ID, slug(text)) && slug(text) != "":
			ranked[0] = append(ranked[0], it)
		case containsAll(name, query):
			ranked[1] = append(ranked[1], it)
		case containsAll(it.allText(), query):
			ranked[2] = append(ranked[2], it)
		}
	}
	return slices.Concat(ranked[0], ranked[1], ranked[2])
}

func containsAll(text string, words []string) bool {
	for _, w := range words {
		if !strings.Contains(text, w) {
			return false
		}
	}
	return true
}

// allText is everything written in an item, in lower case.
func (it *Item) allText() string {
	var b strings.Builder
	eachText(reflect.ValueOf(it).Elem(), func(s string) {
		b.WriteString(strings.ToLower(s))
		b.WriteByte('\n')
	})
	return b.String()
}

// eachText calls f with every text in a value, quantities as they are written.
func eachText(v reflect.Value, f func(string)) {
	if w, ok := v.Interface().(encoding.TextMarshaler); ok {
		text, _ := w.MarshalText()
		f(string(text))
		return
	}
	switch v.Kind() {
	case reflect.String:
		f(v.String())
	case reflect.Slice:
		for i := range v.Len() {
			eachText(v.Index(i), f)
		}
	case reflect.Pointer:
		if !v.IsNil() {
			eachText(v.Elem(), f)
		}
	case reflect.Struct:
		for i := range v.NumField() {
			eachText(v.Field(i), f)
		}
	}
}
