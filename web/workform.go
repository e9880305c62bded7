package web

import (
	"fmt"
	"net/http"
	"slices"
	"strconv"
	"strings"

	"lastbolt/fault"
	"lastbolt/plan/access"
	"lastbolt/web/parts"
)

// workAsked is the work that the address names, or nil for a new one.
func workAsked(r *http.Request, it *access.Item) *access.Work {
	return it.WorkFor(access.Action(r.URL.Query().Get("action")))
}

var workForm = mapForm{
	section: func(r *http.Request, mr mapRead) error {
		if err := itemOnMap(r, mr); err != nil {
			return err
		}
		if r.URL.Query().Get("action") != "" && workAsked(r, mr.m.Item(r.PathValue("item"))) == nil {
			return fault.New(fault.NotFound, "This work is on the map no more. Older versions keep it.")
		}
		return nil
	},
	fill: func(r *http.Request, mr mapRead) *typed {
		if w := workAsked(r, mr.m.Item(r.PathValue("item"))); w != nil {
			return workTyped(mr.m, w)
		}
		t := newTyped()
		t.Set("action", string(access.Replace))
		t.Set("needs.mode", "itself")
		return t
	},
	show: showWorkForm,
	change: func(r *http.Request, m *access.Map, t *typed) changed {
		it := m.Item(r.PathValue("item"))
		w := readWork(m, t, workAsked(r, it))
		at := slices.IndexFunc(it.Work, func(o access.Work) bool { return o.Action == access.Action(r.URL.Query().Get("action")) })
		if same := slices.IndexFunc(it.Work, func(o access.Work) bool { return o.Action == w.Action }); same >= 0 && same != at {
			t.refuse("action", "There is work for %q already. Edit that one, or choose another.", w.Action)
		}
		if at < 0 {
			at = len(it.Work)
			it.Work = append(it.Work, w)
		} else {
			it.Work[at] = w
		}
		return changed{note: it.Name + ": " + string(w.Action), path: fmt.Sprintf("%s.work[%d]", itemPath(m, it.ID), at), onward: itemURL(m.ID, it.ID, "")}
	},
}

func workTyped(m *access.Map, w *access.Work) *typed {
	t, n := newTyped(), newNamer(m)
	t.Set("action", string(w.Action))
	t.Set("needs.mode", "itself")
	if w.Needs != nil {
		t.Set("needs.mode", "these")
		t.Set("needs", n.needLines(w.Needs))
	}
	t.Set("hands", w.Hands)
	t.setSpan("minutes", w.Minutes)
	t.tick("guess", w.Guess)
	t.setWait("wait", w.Wait)
	t.setTools("tools", w.Tools)
	t.tick("piece.none", w.Parts.None())
	for i, p := range w.Parts.Items {
		t.setPiece(rowPrefix("piece", i), p)
	}
	t.setConsumables(w.Consumables)
	t.setHazards(w.Hazards)
	for i, test := range w.Tests {
		row := rowPrefix("test", i)
		t.Set(row+"name", test.Name)
		t.Set(row+"unit", test.Unit)
		t.setLimit(row+"low", test.Low)
		t.setLimit(row+"high", test.High)
		t.Set(row+"source", string(test.Source))
		t.Set(row+"where", test.Where)
	}
	t.Set("notes", w.Notes)
	return t
}

func readWork(m *access.Map, t *typed, old *access.Work) access.Work {
	n := newNamer(m)
	w := access.Work{Action: access.Action(t.line("action")), Hands: t.line("hands"), Minutes: t.span("minutes"), Guess: t.ticked("guess"), Wait: t.wait("wait"),
		Tools: t.tools("tools"), Parts: listOf(t, "piece", t.piece), Consumables: t.consumables(), Notes: t.text("notes")}
	switch needs := n.needs(t, "needs"); {
	case t.Get("needs.mode") == "these":
		if w.Needs = needs; needs == nil {
			w.Needs = []access.Need{}
		}
	case len(needs) > 0:
		t.refuse("needs.mode", "Things are named below, and \"the item itself\" is chosen. Choose \"only these\", or empty the lines.")
	}
	var hazards []string
	if old != nil {
		hazards = old.Hazards
	}
	w.Hazards = t.hazards(hazards)
	t.each("test", func(row string) {
		w.Tests = append(w.Tests, access.Test{Name: t.line(row + "name"), Unit: t.line(row + "unit"), Low: t.limit(row + "low"), High: t.limit(row + "high"),
			Source: access.Source(t.line(row + "source")), Where: t.line(row + "where")})
	})
	return w
}

func (t *typed) setLimit(name string, f *float64) {
	if f != nil {
		t.Set(name, numberText(*f))
	}
}

// limit reads a limit of a test, which may be below zero; blank is none.
func (t *typed) limit(name string) *float64 {
	text := t.line(name)
	if text == "" {
		return nil
	}
	digits := strings.TrimPrefix(strings.TrimPrefix(text, "-"), "−")
	if !plainNumber().MatchString(digits) {
		t.refuse(name, "%q is not a number. Write it as in 13.5; the unit has its own field.", text)
		return nil
	}
	f, _ := strconv.ParseFloat(strings.Replace(digits, ",", ".", 1), 64)
	if digits != text {
		f = -f
	}
	return &f
}

func showWorkForm(r *http.Request, mr mapRead, t *typed) editView {
	it := mr.m.Item(r.PathValue("item"))
	var actions []parts.Option
	for _, a := range access.Actions {
		actions = append(actions, parts.Option{Value: string(a), Label: string(a)})
	}
	fields := func(cells ...cell) []cell {
		for i := range cells {
			cells[i].FieldInfo = t.field(cells[i].FieldInfo)
		}
		return cells
	}
	e := editView{Title: it.Name, Lead: "What is done on it once it can be got at.", Action: "Keep this work", Sub: "as a new version of the map",
		Back: parts.Link{Label: "Back", Href: itemURL(mr.m.ID, it.ID, "")}}
	pieces, used := pieceSection(t), consumableSection(t)
	pieces.Title, pieces.Hint = "Parts", "The new part itself, its seal, its clips."
	e.Sections = []sectionView{
		{Cells: append(append(fields(
			cell{FieldInfo: parts.FieldInfo{Type: "choices", Name: "action", Label: "What is done?", Options: actions}},
			cell{FieldInfo: parts.FieldInfo{Type: "choices", Name: "needs.mode", Label: "What must be out of the way for it?",
				Options: parts.Options("itself", "the item itself", "these", "only these (nothing, if the lines are empty)")}},
			cell{FieldInfo: parts.FieldInfo{Type: "area", Name: "needs", Label: "Out of the way, one a line", Rows: 2}},
			cell{FieldInfo: parts.FieldInfo{Type: "select", Name: "hands", Label: "Where are the hands?", Options: handOptions(mr.m, "anywhere")}},
		), append(spanCells(t, "minutes", "Minutes"), guessCell(t))...), waitCells(t, "wait", "Runs by itself once the hands are done")...)},
		{Title: "Tools", Folded: true, Sum: linesSum(t, "tools", "tool", "tools"), Cells: fields(
			cell{FieldInfo: parts.FieldInfo{Type: "area", Name: "tools", Label: "Tools, one a line", Rows: 4}},
			cell{FieldInfo: parts.FieldInfo{Type: "check", Name: "tools.none", Label: "None needed"}})},
		pieces, used, hazardSection(t), testSection(t),
		{Title: "Notes", Folded: true, Sum: firstLine(t.text("notes")), Cells: fields(cell{FieldInfo: parts.FieldInfo{Type: "area", Name: "notes", Label: "Notes"}})},
	}
	return e
}

func testSection(t *typed) sectionView {
	s := sectionView{Title: "Tests afterwards", Folded: true, More: "test", Sum: countSum(t.filledRows("test"), "test", "tests"),
		Hint: "A value that proves the repair, with its limits."}
	for i := range t.rowsToShow("test") {
		row := rowPrefix("test", i)
		s.Rows = append(s.Rows, t.row(row, fmt.Sprintf("Test %d", i+1),
			cell{FieldInfo: parts.FieldInfo{Name: row + "name", Label: "What is measured", Placeholder: "Voltage with the engine running"}},
			cell{Size: third, FieldInfo: parts.FieldInfo{Name: row + "low", Label: "At least"}},
			cell{Size: third, FieldInfo: parts.FieldInfo{Name: row + "high", Label: "At most"}},
			cell{Size: third, FieldInfo: parts.FieldInfo{Name: row + "unit", Label: "Unit", Placeholder: "V"}},
			cell{Size: half, FieldInfo: parts.FieldInfo{Type: "select", Name: row + "source", Label: "Limits are from", Options: sourceOptions()}},
			cell{Size: half, FieldInfo: parts.FieldInfo{Name: row + "where", Label: "Document, page"}}))
	}
	return s
}
