package web

import (
	"cmp"
	"fmt"

	"lastbolt/job/caution"
	"lastbolt/plan/access"
	"lastbolt/web/parts"
)

// waySections lay the form of a way out: what is asked most stands open, the
// rest is folded with a word about what is in it.
func waySections(m *access.Map, it *access.Item, t *typed) []sectionView {
	fields := func(cells ...cell) []cell {
		for i := range cells {
			cells[i].FieldInfo = t.field(cells[i].FieldInfo)
		}
		return cells
	}
	out := []sectionView{
		{Cells: fields(
			cell{FieldInfo: parts.FieldInfo{Type: "choices", Name: "kind", Label: "How does it get out of the way?", Options: wayKinds(it)}},
			cell{FieldInfo: parts.FieldInfo{Name: "name", Label: "Name of this way", Hint: "Only where there is more than one.", Placeholder: "Front edge dropped"}},
		)},
		{Title: "Before it", Cells: fields(
			cell{FieldInfo: parts.FieldInfo{Type: "area", Name: "needs", Label: "What must be out of the way, or hold, first?", Rows: 4,
				Hint: "One a line, by name. \"Undertray or Left splash guard\" where either will do; \"Undertray (aside)\" for one way of it."}},
			cell{FieldInfo: parts.FieldInfo{Type: "area", Name: "still", Label: "What must still be fitted while you do it?", Rows: 2,
				Hint: "One a line. As the belt that holds the pulley while its bolts are cracked."}},
		)},
		{Title: "Time and hands", Cells: append(append(fields(
			cell{Size: half, FieldInfo: parts.FieldInfo{Type: "select", Name: "hands", Label: "Where are the hands?", Options: handOptions(m, "anywhere")}},
			cell{Size: half, FieldInfo: parts.FieldInfo{Type: "number", Mode: "numeric", Name: "people", Label: "People", Placeholder: "1"}},
		), spanCells(t, "off", "Minutes off")...), append(spanCells(t, "on", "Minutes back"), guessCell(t))...)},
		fastenerSection(t),
		{Title: "Tools", Folded: true, Sum: linesSum(t, "tools", "tool", "tools"), Cells: fields(
			cell{FieldInfo: parts.FieldInfo{Type: "area", Name: "tools", Label: "Tools, one a line", Hint: "\"10 mm socket or 10 mm spanner\" where either will do.", Rows: 4}},
			cell{FieldInfo: parts.FieldInfo{Type: "check", Name: "tools.none", Label: "None needed"}},
		)},
		pieceSection(t), consumableSection(t), fluidSection(t), opensSection(t), hazardSection(t), troubleSection(t), backSection(m, t),
		{Title: "Wait and notes", Folded: true, Sum: noteSum(t), Cells: append(waitCells(t, "wait", "Runs by itself once the hands are done"), fields(
			cell{FieldInfo: parts.FieldInfo{Type: "area", Name: "notes", Label: "Notes"}},
		)...)},
	}
	return out
}

func wayKinds(it *access.Item) []parts.Option {
	if it.Kind == access.Condition {
		return parts.Options("off", "brought about", "aside", "brought about in part")
	}
	return parts.Options("off", "taken off", "aside", "set aside, its lines still connected")
}

func handOptions(m *access.Map, blank string) []parts.Option {
	out := []parts.Option{{Value: "", Label: blank}}
	for _, p := range m.Positions {
		out = append(out, parts.Option{Value: p.ID, Label: p.Name})
	}
	return out
}

func spanCells(t *typed, name, label string) []cell {
	out := []cell{}
	for _, part := range []struct{ name, label string }{{".low", label + ", at best"}, {".likely", "usually"}, {".high", "at worst"}} {
		out = append(out, cell{Size: third, FieldInfo: t.field(parts.FieldInfo{Type: "number", Name: name + part.name, Label: part.label})})
	}
	return out
}

func guessCell(t *typed) cell {
	return cell{FieldInfo: t.field(parts.FieldInfo{Type: "check", Name: "guess", Label: "Nobody timed it: the minutes are a guess"})}
}

func waitCells(t *typed, name, label string) []cell {
	out := []cell{{FieldInfo: t.field(parts.FieldInfo{Name: name + ".kind", Label: label, Placeholder: "cool, drain, soak or cure",
		Options: parts.Options("cool", "cool", "drain", "drain", "soak", "soak", "cure", "cure")})}}
	out = append(out, spanCells(t, name, "Waiting")...)
	return append(out, cell{FieldInfo: t.field(parts.FieldInfo{Name: name + ".source", Label: "Where the waiting time is from"})})
}

func linesSum(t *typed, name, one, many string) string {
	if t.ticked(name + ".none") {
		return "none"
	}
	if n := len(t.lines(name)); n > 0 {
		return plural(n, one, many)
	}
	return "not known"
}

func rowsSum(t *typed, list, one, many string) string {
	if n := t.rows(list); n > 0 && t.rowFilled(rowPrefix(list, 0)) {
		return plural(n, one, many)
	}
	if t.ticked(list + ".none") {
		return "none"
	}
	return "not known"
}

func noteSum(t *typed) string {
	return cmp.Or(firstLine(t.line("wait.kind")), firstLine(t.text("notes")))
}

func sourceOptions() []parts.Option {
	out := []parts.Option{{Value: "", Label: "not said"}}
	for _, s := range access.Sources {
		out = append(out, parts.Option{Value: string(s), Label: string(s)})
	}
	return out
}

func noneCell(t *typed, list, label string) cell {
	return cell{FieldInfo: t.field(parts.FieldInfo{Type: "check", Name: list + ".none", Label: label})}
}

func fastenerSection(t *typed) sectionView {
	s := sectionView{Title: "Fasteners", Folded: true, More: "fastener", Sum: rowsSum(t, "fastener", "group", "groups"),
		Hint:  "One group for all that are alike. No lines and no tick means: not known.",
		Cells: []cell{noneCell(t, "fastener", "It has none")}}
	for i := range t.rowsToShow("fastener") {
		row := rowPrefix("fastener", i)
		s.Rows = append(s.Rows, t.row(row, fmt.Sprintf("Group %d", i+1),
			cell{Size: third, FieldInfo: parts.FieldInfo{Type: "number", Mode: "numeric", Name: row + "count", Label: "Count"}},
			cell{Size: rest, FieldInfo: parts.FieldInfo{Name: row + "name", Label: "What", Placeholder: "Tray bolts"}},
			cell{Size: third, FieldInfo: parts.FieldInfo{Name: row + "thread", Label: "Thread", Placeholder: "M…"}},
			cell{Size: third, FieldInfo: parts.FieldInfo{Name: row + "length", Label: "Length", Placeholder: "… mm"}},
			cell{Size: third, FieldInfo: parts.FieldInfo{Name: row + "class", Label: "Class"}},
			cell{Size: half, FieldInfo: parts.FieldInfo{Name: row + "head", Label: "Head", Placeholder: "as in 10 mm hex"}},
			cell{Size: half, FieldInfo: parts.FieldInfo{Name: row + "torque", Label: "Torque", Placeholder: "as in 8 N·m"}},
			cell{Size: half, FieldInfo: parts.FieldInfo{Name: row + "then", Label: "And then", Placeholder: "as in then 90°"}},
			cell{Size: half, FieldInfo: parts.FieldInfo{Type: "select", Name: row + "source", Label: "Torque is from", Options: sourceOptions()}},
			cell{FieldInfo: parts.FieldInfo{Name: row + "where", Label: "Which document, which page"}},
			cell{Size: half, FieldInfo: parts.FieldInfo{Type: "check", Name: row + "loosen", Label: "Cracked only"}},
			cell{Size: half, FieldInfo: parts.FieldInfo{Type: "check", Name: row + "replace", Label: "New each time"}},
			cell{FieldInfo: parts.FieldInfo{Type: "area", Name: row + "at", Label: "Where each is", Rows: 1, Hint: "A line for each, from the left and the top edge of the part: 20 x 15 mm. For the bolt map; blank where nobody measured."}},
			cell{FieldInfo: parts.FieldInfo{Type: "area", Name: row + "notes", Label: "Notes", Rows: 1}}))
	}
	return s
}

func pieceSection(t *typed) sectionView {
	s := sectionView{Title: "Renewed each time", Folded: true, More: "piece", Sum: rowsSum(t, "piece", "piece", "pieces"),
		Hint: "Seals, washers, gaskets, clips.", Cells: []cell{noneCell(t, "piece", "Nothing has to be renewed")}}
	for i := range t.rowsToShow("piece") {
		row := rowPrefix("piece", i)
		s.Rows = append(s.Rows, t.row(row, fmt.Sprintf("Piece %d", i+1),
			cell{Size: third, FieldInfo: parts.FieldInfo{Type: "number", Mode: "numeric", Name: row + "count", Label: "Count", Placeholder: "1"}},
			cell{Size: rest, FieldInfo: parts.FieldInfo{Name: row + "name", Label: "What", Placeholder: "Sealing washer"}},
			cell{Size: half, FieldInfo: parts.FieldInfo{Name: row + "size", Label: "Size", Placeholder: "as in 14 × 20 mm"}},
			cell{Size: half, FieldInfo: parts.FieldInfo{Name: row + "number", Label: "Part number"}}))
	}
	return s
}

func consumableSection(t *typed) sectionView {
	s := sectionView{Title: "Used up", Folded: true, More: "consumable", Sum: rowsSum(t, "consumable", "thing", "things"),
		Hint: "Grease, thread lock, cleaner, sealant.", Cells: []cell{noneCell(t, "consumable", "Nothing is used up")}}
	for i := range t.rowsToShow("consumable") {
		row := rowPrefix("consumable", i)
		s.Rows = append(s.Rows, t.row(row, fmt.Sprintf("Thing %d", i+1),
			cell{FieldInfo: parts.FieldInfo{Name: row + "name", Label: "What", Placeholder: "Copper-free grease"}},
			cell{Size: half, FieldInfo: parts.FieldInfo{Name: row + "amount", Label: "How much", Placeholder: "as in 20 ml"}},
			cell{Size: half, FieldInfo: parts.FieldInfo{Type: "select", Name: row + "for", Label: "Wanted", Options: parts.Options("", "on the way back", "back", "back, said so", "off", "to take it off")}}))
	}
	return s
}

func fluidSection(t *typed) sectionView {
	s := sectionView{Title: "What runs out", Folded: true, More: "fluid", Sum: rowsSum(t, "fluid", "fluid", "fluids"),
		Cells: []cell{noneCell(t, "fluid", "Nothing runs out")}}
	for i := range t.rowsToShow("fluid") {
		row := rowPrefix("fluid", i)
		s.Rows = append(s.Rows, t.row(row, fmt.Sprintf("Fluid %d", i+1),
			cell{Size: half, FieldInfo: parts.FieldInfo{Name: row + "name", Label: "What", Placeholder: "coolant"}},
			cell{Size: half, FieldInfo: parts.FieldInfo{Name: row + "amount", Label: "How much", Placeholder: "as in 3.2 L"}},
			cell{FieldInfo: parts.FieldInfo{Name: row + "from", Label: "From where", Placeholder: "lower hose"}},
			cell{FieldInfo: parts.FieldInfo{Type: "check", Name: row + "reuse", Label: "Caught clean and put back"}},
			cell{Size: third, FieldInfo: parts.FieldInfo{Type: "number", Name: row + "fill.low", Label: "Minutes to fill it, at best"}},
			cell{Size: third, FieldInfo: parts.FieldInfo{Type: "number", Name: row + "fill.likely", Label: "usually"}},
			cell{Size: third, FieldInfo: parts.FieldInfo{Type: "number", Name: row + "fill.high", Label: "at worst"}}))
	}
	return s
}

func opensSection(t *typed) sectionView {
	s := sectionView{Title: "What it opens", Folded: true, More: "opens", Sum: countSum(t.filledRows("opens"), "joint", "joints"),
		Hint: "Each is tested after the job and looked at again: joints, connectors, guards."}
	kinds := []parts.Option{{Value: "", Label: "nothing"}}
	kinds = append(kinds, options(jointKinds()...)...)
	seals := append([]parts.Option{{Value: "", Label: "not known"}}, options(access.SealKinds...)...)
	materials := append([]parts.Option{{Value: "", Label: "not known"}}, options(access.SealMaterials...)...)
	for i := range t.rowsToShow("opens") {
		row := rowPrefix("opens", i)
		s.Rows = append(s.Rows, t.row(row, fmt.Sprintf("Joint %d", i+1),
			cell{Size: half, FieldInfo: parts.FieldInfo{Type: "select", Name: row + "kind", Label: "Kind", Options: kinds}},
			cell{Size: half, FieldInfo: parts.FieldInfo{Name: row + "name", Label: "Which", Placeholder: "Lower hose"}},
			cell{Size: third, FieldInfo: parts.FieldInfo{Type: "select", Name: row + "seal", Label: "Sealed by", Options: seals}},
			cell{Size: third, FieldInfo: parts.FieldInfo{Name: row + "seal.size", Label: "Its size", Placeholder: "20x2.65"}},
			cell{Size: third, FieldInfo: parts.FieldInfo{Type: "select", Name: row + "seal.material", Label: "Its material", Options: materials}}))
	}
	return s
}

func (t *typed) filledRows(list string) int {
	n := 0
	t.each(list, func(string) { n++ })
	return n
}

// hazardName is a hazard in plain words: the title of its caution.
func hazardName(id string) string {
	if texts := caution.For(id); len(texts) > 0 && texts[0].Title != "" {
		return texts[0].Title
	}
	return id
}

func hazardSection(t *typed) sectionView {
	s := sectionView{Title: "What can hurt", Folded: true, Ticks: true, Hint: "The caution of each is shown at the step."}
	n := 0
	for _, id := range access.HazardIDs {
		if t.ticked("hazard:" + id) {
			n++
		}
		s.Cells = append(s.Cells, cell{FieldInfo: t.field(parts.FieldInfo{Type: "check", Name: "hazard:" + id, Label: hazardName(id)})})
	}
	s.Sum = countSum(n, "hazard", "hazards")
	return s
}

func troubleSection(t *typed) sectionView {
	s := sectionView{Title: "What tends to go wrong", Folded: true, More: "trouble", Sum: countSum(t.filledRows("trouble"), "trouble", "troubles")}
	for i := range t.rowsToShow("trouble") {
		row := rowPrefix("trouble", i)
		s.Rows = append(s.Rows, t.row(row, fmt.Sprintf("Trouble %d", i+1),
			cell{FieldInfo: parts.FieldInfo{Name: row + "what", Label: "What goes wrong", Placeholder: "Clip breaks"}},
			cell{Size: half, FieldInfo: parts.FieldInfo{Name: row + "odds", Label: "How often", Placeholder: "as in 1 in 8"}},
			cell{Size: half, FieldInfo: parts.FieldInfo{Type: "number", Name: row + "minutes", Label: "Minutes it costs"}},
			cell{FieldInfo: parts.FieldInfo{Type: "area", Name: row + "needs", Label: "What it then needs, one a line", Placeholder: "2 x Hose clip; size 38 mm", Rows: 2}},
			cell{FieldInfo: parts.FieldInfo{Type: "area", Name: row + "tools", Label: "Tools it then needs, one a line", Rows: 2}}))
	}
	return s
}

func backSection(m *access.Map, t *typed) sectionView {
	s := sectionView{Title: "The way back", Folded: true, Sum: backSum(t)}
	for _, c := range []cell{
		{FieldInfo: parts.FieldInfo{Type: "area", Name: "back.after", Label: "What must be back on before it? One a line", Rows: 2}},
		{FieldInfo: parts.FieldInfo{Type: "choices", Name: "back.mode", Label: "What must still be off while it goes back?",
			Options: parts.Options("mirror", "the same as for taking it off", "these", "only these (none, if the lines below are empty)")}},
		{FieldInfo: parts.FieldInfo{Type: "area", Name: "back.still", Label: "Still off, one a line", Rows: 2}},
		{FieldInfo: parts.FieldInfo{Type: "check", Name: "back.ground", Label: "Tightened at ride height, wheels on the ground"}},
		{FieldInfo: parts.FieldInfo{Type: "check", Name: "back.filling", Label: "Back on before any fluid goes in"}},
		{FieldInfo: parts.FieldInfo{Type: "select", Name: "back.hands", Label: "Where are the hands then?", Options: handOptions(m, "the same as for taking off")}},
	} {
		s.Cells = append(s.Cells, cell{Size: c.Size, FieldInfo: t.field(c.FieldInfo)})
	}
	s.Cells = append(s.Cells, waitCells(t, "back.wait", "Must cure, soak or cool before what follows")...)
	for _, c := range []cell{
		{FieldInfo: parts.FieldInfo{Type: "area", Name: "back.waitfor", Label: "What may not follow before that? One a line", Hint: "Empty: no filling, and no release.", Rows: 2}},
		{FieldInfo: parts.FieldInfo{Type: "area", Name: "back.notes", Label: "Notes for the way back", Rows: 2}},
	} {
		s.Cells = append(s.Cells, cell{FieldInfo: t.field(c.FieldInfo)})
	}
	return s
}

func backSum(t *typed) string {
	for _, name := range []string{"back.after", "back.still", "back.ground", "back.filling", "back.hands", "back.wait.kind", "back.notes"} {
		if t.line(name) != "" {
			return "has rules of its own"
		}
	}
	return "the mirror of taking off"
}
