package job

import (
	"cmp"
	"strconv"
	"unicode"

	"lastbolt/plan/access"
	"lastbolt/plan/opening"
)

func isWord(r rune) bool { return unicode.IsLetter(r) || unicode.IsDigit(r) || unicode.IsMark(r) }

func listKey(event string, i int) string { return event + "/" + strconv.Itoa(i) }

// takenOff puts a step that no plan foresaw into the row, at the place where
// it was met, and the step that puts it back into the way up.
func (b *builder) takenOff(e Event, d TakenOff) {
	if d.Item == "" || d.Step == "" {
		b.problem(e.ID, "it does not say what was taken off")
		return
	}
	b.remember(d)
	for _, of := range d.InWayOf {
		b.link(d.Item, of)
	}
	st := b.byID[d.Step]
	if st == nil {
		st = &Step{ID: d.Step, Phase: opening.Down, Item: d.Item, Name: b.name(d.Item), Unplanned: true, Opens: true}
		b.describe(st, d)
		b.insert(st, b.spot(d.Before))
		b.partner(st, d)
	}
	if d.NotYet {
		return
	}
	rec := StepDone{Step: d.Step, Way: d.Way, Tray: d.Tray, Minutes: d.Minutes, Note: d.Note, Fasteners: d.Fasteners}
	b.finish(e, rec, d.Aside)
}

// remember keeps the thing as an item, so that a map can be made of the job.
func (b *builder) remember(d TakenOff) {
	b.names[d.Item] = cmp.Or(b.names[d.Item], d.Name)
	if b.s.Items[d.Item] != nil {
		return
	}
	if d.Known != nil && d.Known.ID == d.Item {
		it := *d.Known
		b.s.Items[d.Item] = &it
		return
	}
	way := access.Way{ID: "off", Kind: access.Off, Opens: d.Opens, Hazards: d.Hazards}
	if d.Aside {
		way.ID, way.Kind = "aside", access.Aside
	}
	way.Fasteners = access.List[access.Fastener]{Given: d.NoneOff || len(d.Fasteners) > 0, Items: d.Fasteners}
	way.SingleUse = access.List[access.Piece]{Given: len(d.SingleUse) > 0, Items: d.SingleUse}
	for _, t := range d.Tools {
		way.Tools.Given = true
		way.Tools.Items = append(way.Tools.Items, access.Tool{Any: []string{t}})
	}
	b.s.Items[d.Item] = &access.Item{ID: d.Item, Name: cmp.Or(d.Name, d.Item), Ways: []access.Way{way}}
}

// describe fills the step from the map's way or from what was recorded.
func (b *builder) describe(st *Step, d TakenOff) {
	it := b.s.Items[d.Item]
	st.Critical, st.AsideWay, st.Way = it.Critical, d.Aside, d.Way
	w := findWay(it, d.Way)
	st.setWay(w)
	if d.Known == nil && !d.NotYet {
		for i := range st.Groups { // counted, not known from a map
			st.Groups[i].Want, st.Groups[i].Fastener.Count = 0, 0
		}
	} else if w != nil {
		st.Expected = w.Minutes.Off.Mean()
	}
}

// spot is where to put a step that was met at another: before it, if it is
// still to be done and on the way down.
func (b *builder) spot(before string) string {
	if o := b.byID[before]; o != nil && o.Phase == opening.Down && !o.IsDone() {
		return before
	}
	for _, o := range b.steps {
		if o.Phase == opening.Down && !o.IsDone() {
			if before == "" {
				return o.ID
			}
			break
		}
	}
	return ""
}

// partner makes the step that puts it back: directly after the thing it was in
// the way of is back, or first of all.
func (b *builder) partner(st *Step, d TakenOff) {
	id := "up/" + st.ID[min(len("down/"), len(st.ID)):]
	if b.byID[id] != nil {
		return
	}
	up := &Step{ID: id, Phase: opening.Up, Item: st.Item, Name: st.Name, Unplanned: true, Closes: true,
		Critical: st.Critical, Way: st.Way, AsideWay: st.AsideWay, Hazards: st.Hazards, way: st.way}
	if st.way != nil && d.Known != nil {
		up.Expected = st.way.Minutes.On.Mean()
	}
	at := ""
	if o := b.byID[d.Before]; o != nil && o.Opens {
		for i, s := range b.steps {
			if s.Closes && s.Item == o.Item && !s.IsDone() && i+1 < len(b.steps) {
				at = b.steps[i+1].ID
			}
		}
	}
	b.insert(up, at)
}
