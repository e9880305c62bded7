package web

import (
	"fmt"
	"net/http"
	"slices"

	"lastbolt/fault"
	"lastbolt/plan/access"
	"lastbolt/web/parts"
)

// The forms that change a map: its head, an item, a way, work.

func itemOnMap(r *http.Request, mr mapRead) error {
	if mr.m.Item(r.PathValue("item")) == nil {
		return noItem(r.PathValue("item"))
	}
	return nil
}

func itemPath(m *access.Map, id string) string {
	i := slices.IndexFunc(m.Items, func(it access.Item) bool { return it.ID == id })
	return fmt.Sprintf("items[%d]", i)
}

var aboutForm = mapForm{
	fill: func(_ *http.Request, mr mapRead) *typed {
		t := newTyped()
		t.Set("name", mr.m.Name)
		t.Set("about", mr.m.About)
		t.tick("invented", mr.m.Invented)
		for i, p := range mr.m.Positions {
			t.Set(rowPrefix("position", i)+"id", p.ID)
			t.Set(rowPrefix("position", i)+"name", p.Name)
		}
		t.Set("setup.position", numberText(mr.m.SetUp.Position))
		t.Set("setup.tool", numberText(mr.m.SetUp.Tool))
		for i, b := range mr.m.SetUp.Between {
			row := rowPrefix("between", i)
			t.Set(row+"from", b.From)
			t.Set(row+"to", b.To)
			t.Set(row+"minutes", numberText(b.Minutes))
		}
		return t
	},
	show: showAboutForm,
	change: func(_ *http.Request, m *access.Map, t *typed) changed {
		m.Name, m.About, m.Invented = t.line("name"), t.text("about"), t.ticked("invented")
		if m.Name == "" {
			t.refuse("name", "Write what the map is of.")
		}
		m.Positions = nil
		used := map[string]bool{}
		t.each("position", func(row string) { used[t.Get(row+"id")] = true })
		t.each("position", func(row string) {
			p := access.Position{ID: t.Get(row + "id"), Name: t.line(row + "name")}
			if p.ID == "" {
				p.ID = freeOf(used, slugOf(p.Name))
			}
			m.Positions = append(m.Positions, p)
		})
		m.SetUp = access.SetUp{Position: t.number("setup.position"), Tool: t.number("setup.tool")}
		t.each("between", func(row string) {
			m.SetUp.Between = append(m.SetUp.Between, access.Transfer{From: t.line(row + "from"), To: t.line(row + "to"), Minutes: t.number(row + "minutes")})
		})
		return changed{note: "name, places, set-up", onward: mapURL(m.ID, "")}
	},
}

func showAboutForm(_ *http.Request, mr mapRead, t *typed) editView {
	e := editView{Title: "Name, places, set-up", Action: "Keep it", Sub: "as a new version", Back: parts.Link{Label: "Back to the map", Href: mapURL(mr.m.ID, "")}}
	e.Sections = append(e.Sections, sectionView{Cells: []cell{
		{FieldInfo: t.field(parts.FieldInfo{Name: "name", Label: "Name"})},
		{FieldInfo: t.field(parts.FieldInfo{Type: "area", Name: "about", Label: "About it", Hint: "Which vehicles, which engine, what is missing."})},
		{FieldInfo: t.field(parts.FieldInfo{Type: "check", Name: "invented", Label: "Its values are made up", Hint: "Every page then says so."})},
	}})
	places := sectionView{Title: "Where the hands are", Hint: "From above, from below, in a wheel arch. Empty a line to take it out.", More: "position"}
	for i := range t.rowsToShow("position") {
		row := rowPrefix("position", i)
		f := t.row(row, fmt.Sprintf("Place %d", i+1), cell{FieldInfo: parts.FieldInfo{Name: row + "name", Label: "Name", Placeholder: "From above"}})
		f.Cells = f.Cells[:1]
		places.Rows = append(places.Rows, f)
	}
	setUp := sectionView{Title: "What changing costs", Hint: "Minutes, when the next step needs another place or another main tool.", More: "between", Cells: []cell{
		{Size: half, FieldInfo: t.field(parts.FieldInfo{Type: "number", Name: "setup.position", Label: "Another place", Unit: "min"})},
		{Size: half, FieldInfo: t.field(parts.FieldInfo{Type: "number", Name: "setup.tool", Label: "Another tool", Unit: "min"})},
	}}
	for i := range t.rowsToShow("between") {
		row := rowPrefix("between", i)
		setUp.Rows = append(setUp.Rows, t.row(row, fmt.Sprintf("Between two places %d", i+1),
			cell{Size: third, FieldInfo: parts.FieldInfo{Type: "select", Name: row + "from", Label: "From", Options: handOptions(mr.m, "choose")}},
			cell{Size: third, FieldInfo: parts.FieldInfo{Type: "select", Name: row + "to", Label: "To", Options: handOptions(mr.m, "choose")}},
			cell{Size: third, FieldInfo: parts.FieldInfo{Type: "number", Name: row + "minutes", Label: "Minutes"}}))
	}
	e.Sections = append(e.Sections, places, setUp)
	return e
}

var addItemForm = mapForm{
	fill: func(_ *http.Request, _ mapRead) *typed {
		t := newTyped()
		t.Set("kind", string(access.Part))
		return t
	},
	show: func(_ *http.Request, mr mapRead, t *typed) editView {
		return editView{Title: "Add an item", Lead: "Something that can be moved, or a state of the vehicle that must hold. Fasteners, tools and the rest come on the next page.",
			Action: "Add it", Sub: "then its fasteners and tools", Back: parts.Link{Label: "Back to the map", Href: mapURL(mr.m.ID, "")},
			Sections: []sectionView{itemSection(mr.m, t), {Title: "To get it out of the way", Cells: append(append([]cell{
				{FieldInfo: t.field(parts.FieldInfo{Type: "area", Name: "needs", Label: "What must be out of the way, or hold, first?", Hint: "One a line, by name. \"Undertray or Left splash guard\" where either will do."})},
			}, spanCells(t, "off", "Minutes off")...), spanCells(t, "on", "Minutes back")...)}}}
	},
	change: func(_ *http.Request, m *access.Map, t *typed) changed {
		it := readItem(t, access.Item{})
		way := access.Way{ID: string(access.Off), Needs: newNamer(m).needs(t, "needs"), Minutes: access.BothWays{Off: t.span("off"), On: t.span("on")}}
		if t.line("off.low")+t.line("off.likely")+t.line("off.high") == "" {
			t.refuse("off.low", "Write how many minutes; a guess will do.")
		}
		it.ID, it.Ways = m.NewID(it.Name), []access.Way{way}
		m.Put(it)
		return changed{note: "added " + it.Name, path: itemPath(m, it.ID) + ".ways[0]", onward: itemURL(m.ID, it.ID, "way?id="+way.ID)}
	},
}

var editItemForm = mapForm{
	section: itemOnMap,
	fill: func(r *http.Request, mr mapRead) *typed {
		t, it := newTyped(), mr.m.Item(r.PathValue("item"))
		t.Set("name", it.Name)
		t.Set("kind", string(access.Part))
		if it.Kind != "" {
			t.Set("kind", string(it.Kind))
		}
		t.Set("area", it.Area)
		t.tick("repeats", it.Repeats)
		t.tick("immobile", it.Immobile)
		t.Set("critical", it.Critical)
		t.Set("notes", it.Notes)
		return t
	},
	show: func(r *http.Request, mr mapRead, t *typed) editView {
		it := mr.m.Item(r.PathValue("item"))
		return editView{Title: it.Name, Action: "Keep it", Sub: "as a new version", Sections: []sectionView{itemSection(mr.m, t)},
			Back: parts.Link{Label: "Back", Href: itemURL(mr.m.ID, it.ID, "")}}
	},
	change: func(r *http.Request, m *access.Map, t *typed) changed {
		old := m.Item(r.PathValue("item"))
		m.Put(readItem(t, *old))
		return changed{note: old.Name, path: itemPath(m, old.ID), onward: itemURL(m.ID, old.ID, "")}
	},
}

func readItem(t *typed, it access.Item) access.Item {
	it.Name, it.Area, it.Critical, it.Notes = t.line("name"), t.line("area"), t.line("critical"), t.text("notes")
	it.Repeats, it.Immobile = t.ticked("repeats"), t.ticked("immobile")
	if kind := access.Kind(t.Get("kind")); kind != access.Part || it.Kind != "" {
		it.Kind = kind
	}
	if it.Name == "" {
		t.refuse("name", "Write what you call it.")
	}
	if it.Repeats && it.Kind != access.Condition {
		t.refuse("repeats", "Only a condition can be switched on and off as often as wanted. Choose \"a condition\", or take the tick out.")
	}
	return it
}

func itemSection(m *access.Map, t *typed) sectionView {
	var areas, systems []parts.Option
	for i := range m.Items {
		areas = addOption(areas, m.Items[i].Area)
	}
	for _, s := range []string{"brakes", "steering", "wheels", "suspension", "restraint", "fuel", "timing"} {
		systems = addOption(systems, s)
	}
	s := sectionView{}
	for _, c := range []cell{
		{FieldInfo: parts.FieldInfo{Name: "name", Label: "What is it?", Placeholder: "Undertray"}},
		{FieldInfo: parts.FieldInfo{Type: "choices", Name: "kind", Label: "It is", Options: parts.Options("part", "a part that can be moved", "condition", "a condition of the vehicle: raised, cold, drained")}},
		{Size: half, FieldInfo: parts.FieldInfo{Name: "area", Label: "Area", Placeholder: "belt side", Options: areas}},
		{Size: half, FieldInfo: parts.FieldInfo{Name: "critical", Label: "Safety system", Placeholder: "brakes", Options: systems}},
		{FieldInfo: parts.FieldInfo{Type: "check", Name: "immobile", Label: "The vehicle cannot be driven while it is off"}},
		{FieldInfo: parts.FieldInfo{Type: "check", Name: "repeats", Label: "A condition that can be switched as often as wanted"}},
		{FieldInfo: parts.FieldInfo{Type: "area", Name: "notes", Label: "Notes"}},
	} {
		s.Cells = append(s.Cells, cell{Size: c.Size, FieldInfo: t.field(c.FieldInfo)})
	}
	return s
}

func addOption(list []parts.Option, value string) []parts.Option {
	if value == "" || slices.ContainsFunc(list, func(o parts.Option) bool { return o.Value == value }) {
		return list
	}
	return append(list, parts.Option{Value: value, Label: value})
}

// wayAsked is the way that the address names, or nil for a new one.
func wayAsked(r *http.Request, it *access.Item) *access.Way {
	id := r.URL.Query().Get("id")
	if id == "" {
		return nil
	}
	return it.Way(id)
}

var wayForm = mapForm{
	section: func(r *http.Request, mr mapRead) error {
		if err := itemOnMap(r, mr); err != nil {
			return err
		}
		if r.URL.Query().Get("id") != "" && wayAsked(r, mr.m.Item(r.PathValue("item"))) == nil {
			return fault.New(fault.NotFound, "This way is on the map no more. Older versions keep it.")
		}
		return nil
	},
	fill: func(r *http.Request, mr mapRead) *typed {
		if w := wayAsked(r, mr.m.Item(r.PathValue("item"))); w != nil {
			return wayTyped(mr.m, w)
		}
		t := newTyped()
		t.Set("kind", string(access.Off))
		t.Set("back.mode", "mirror")
		return t
	},
	show: func(r *http.Request, mr mapRead, t *typed) editView {
		it := mr.m.Item(r.PathValue("item"))
		e := editView{Title: it.Name, Lead: "A new way to get it out of the way.", Action: "Keep this way", Sub: "as a new version of the map",
			Sections: waySections(mr.m, it, t), Back: parts.Link{Label: "Back", Href: itemURL(mr.m.ID, it.ID, "")}}
		if w := wayAsked(r, it); w != nil {
			e.Lead = wayTitle(it, w) + "."
		}
		return e
	},
	change: func(r *http.Request, m *access.Map, t *typed) changed {
		it := m.Item(r.PathValue("item"))
		at := len(it.Ways)
		if w := wayAsked(r, it); w != nil {
			at = slices.IndexFunc(it.Ways, func(o access.Way) bool { return o.ID == w.ID })
			it.Ways[at] = readWay(m, t, *w)
		} else {
			w := readWay(m, t, access.Way{})
			w.ID = newWayID(it, &w)
			it.Ways = append(it.Ways, w)
		}
		return changed{note: it.Name, path: fmt.Sprintf("%s.ways[%d]", itemPath(m, it.ID), at), onward: itemURL(m.ID, it.ID, "")}
	},
}

// newWayID makes an id from the way's name or kind; "off" and "aside" are only
// for ways of that kind, since a need may mean the kind by them.
func newWayID(it *access.Item, w *access.Way) string {
	used := map[string]bool{}
	for _, other := range it.Ways {
		used[other.ID] = true
	}
	base := slugOf(w.Name)
	if w.Name == "" || base == string(access.Off) || base == string(access.Aside) {
		base = string(access.Off)
		if w.IsAside() {
			base = string(access.Aside)
		}
	}
	return freeOf(used, base)
}
