package web

import (
	"fmt"
	"slices"
	"strings"

	"lastbolt/plan/access"
	"lastbolt/web/parts"
)

// What the map says of an item, in words and links.

var roleWords = map[access.RefRole]string{
	access.AsNeed: "needs it out of the way", access.AsStill: "needs it still fitted", access.AsAfter: "goes back after it",
	access.AsBackStill: "goes back while it is off", access.AsWaitFor: "makes it wait", access.AsWorkNeed: "work needs it out of the way",
}

// inWayOf lists what mentions an item, each once for what it is mentioned as.
func inWayOf(mr mapRead, id string) []rowView {
	var rows []rowView
	for ref := range mr.m.Refs() {
		if ref.To != id || ref.From == id {
			continue
		}
		from := mr.m.Item(ref.From)
		row := rowView{Href: mr.at(itemURL(mr.m.ID, ref.From, "")), Name: from.Name, Beneath: roleWords[ref.Role]}
		if !slices.ContainsFunc(rows, func(o rowView) bool { return o.Href == row.Href && o.Beneath == row.Beneath }) {
			rows = append(rows, row)
		}
	}
	return rows
}

func viewWay(mr mapRead, it *access.Item, w *access.Way) wayView {
	v := wayView{Title: wayTitle(it, w), Notes: w.Notes}
	v.add(needsGroup(mr, "First", w.Needs, "nothing"))
	v.add(itemsGroup(mr, "Still fitted while you do it", w.Still))
	v.add(timeGroup(mr.m, w))
	v.add(fastenersGroup(w.Fasteners))
	v.add(toolsGroup(w.Tools))
	v.add(piecesGroup("Renewed each time", w.SingleUse))
	v.add(consumablesGroup(w.Consumables))
	v.add(fluidsGroup(w.Fluids))
	v.add(opensGroup(w.Opens))
	v.add(hazardsGroup(w.Hazards))
	v.add(troubleGroup(w.Trouble))
	v.add(backGroup(mr, w.Back))
	return v
}

func wayTitle(it *access.Item, w *access.Way) string {
	kind := "Take it off"
	switch {
	case it.Kind == access.Condition:
		kind = "Bring it about"
	case w.IsAside():
		kind = "Set it aside"
	}
	if w.Name != "" {
		return kind + ": " + w.Name
	}
	return kind
}

func (v *wayView) add(g groupView) {
	switch {
	case len(g.Facts) > 0:
		v.Groups = append(v.Groups, g)
	case g.Unknown:
		v.Short = append(v.Short, parts.Fact{Label: g.Title, Source: parts.Unknown})
	case g.Text != "":
		v.Short = append(v.Short, parts.Fact{Label: g.Title, Value: g.Text})
	}
}

// needsGroup shows needs as words and links: all of the lines, any of those
// under one "one of".
func needsGroup(mr mapRead, title string, needs []access.Need, none string) groupView {
	g := groupView{Title: title}
	for _, n := range needs {
		g.Facts = append(g.Facts, needFacts(mr, n, "")...)
	}
	if len(g.Facts) == 0 {
		g.Text = none
	}
	return g
}

func needFacts(mr mapRead, n access.Need, label string) []parts.Fact {
	if n.Item != "" {
		return []parts.Fact{itemFact(mr, n.Item, n.Way, label)}
	}
	list, first, next := n.All, "both", "and"
	if len(n.Any) > 0 {
		list, first, next = n.Any, "either", "or"
	} else if label == "" {
		first = ""
	}
	var out []parts.Fact
	for i, one := range list {
		word := next
		if i == 0 {
			word = strings.TrimSpace(label + " " + first)
		}
		out = append(out, needFacts(mr, one, word)...)
	}
	return out
}

func itemFact(mr mapRead, id, way, label string) parts.Fact {
	f := parts.Fact{Label: label, Value: id, Href: mr.at(itemURL(mr.m.ID, id, ""))}
	it := mr.m.Item(id)
	if it == nil {
		return f
	}
	f.Value = it.Name
	state := "off"
	switch {
	case way == string(access.Aside):
		state = "aside"
	case way != "" && way != string(access.Off):
		state = way
		if w := it.Way(way); w != nil {
			state = w.Title()
		}
	case way == "" && it.Kind == access.Condition:
		state = "holds"
	case way == "":
		state = "out of the way"
	}
	if f.Label == "" {
		f.Label = state
	} else if way != "" {
		f.Label += ", " + state
	}
	return f
}

func itemsGroup(mr mapRead, title string, ids []string) groupView {
	g := groupView{Title: title}
	for _, id := range ids {
		f := itemFact(mr, id, "", "·")
		g.Facts = append(g.Facts, f)
	}
	return g
}

func spanText(s access.Span) string {
	if s.Low == s.High {
		return numberText(s.Likely) + " min"
	}
	return fmt.Sprintf("%s min, %s to %s", numberText(s.Likely), numberText(s.Low), numberText(s.High))
}

func timeGroup(m *access.Map, w *access.Way) groupView {
	g := groupView{Title: "Time and hands", Facts: []parts.Fact{timeFact("Off", w.Minutes.Off, w.Guess), timeFact("Back", w.Minutes.On, w.Guess)}}
	if w.Wait != nil {
		g.Facts = append(g.Facts, waitFact(*w.Wait))
	}
	if p := m.Position(w.Hands); p != nil {
		g.Facts = append(g.Facts, parts.Fact{Label: "Hands", Value: p.Name})
	}
	if w.People > 1 {
		g.Facts = append(g.Facts, parts.Fact{Label: "People", Value: fmt.Sprint(w.People)})
	}
	return g
}

// timeFact is minutes; those that nobody timed say so.
func timeFact(label string, s access.Span, guess bool) parts.Fact {
	f := parts.Fact{Label: label, Value: spanText(s)}
	if guess {
		f.Value += ", a guess"
	}
	return f
}

func waitFact(w access.Wait) parts.Fact {
	return parts.Fact{Label: "Wait", Value: w.Kind + ", " + spanText(w.Minutes), Note: w.Source}
}

func fastenersGroup(l access.List[access.Fastener]) groupView {
	g := groupView{Title: "Fasteners"}
	switch {
	case l.None():
		g.Text = "none"
	case len(l.Items) == 0:
		g.Unknown = true
	}
	for _, f := range l.Items {
		name := f.Name
		if name == "" {
			name = f.ID
		}
		var flags []string
		if f.Loosen {
			flags = append(flags, "cracked only")
		}
		if f.Replace {
			flags = append(flags, "new each time")
		}
		g.Facts = append(g.Facts, parts.Fact{Label: fmt.Sprintf("%d ×", f.Count), Value: strings.Join(nonEmpty(append([]string{name, threadText(f), f.Head}, append(flags, f.Notes)...)...), ", ")})
		if f.Torque.Value.IsZero() && f.Thread == "" && f.Torque.Source == "" {
			continue // a clip is not tightened
		}
		g.Facts = append(g.Facts, torqueFact(f.Torque))
	}
	return g
}

func torqueFact(t access.Torque) parts.Fact {
	f := parts.Fact{Label: "torque", Value: strings.Join(nonEmpty(t.Value.String(), t.Then), ", "), Source: sourceOf(t.Source), Note: t.Where}
	if t.Value.IsZero() {
		f.Source = parts.Unknown
	}
	return f
}

func toolsGroup(l access.List[access.Tool]) groupView {
	g := groupView{Title: "Tools"}
	var lines []string
	for _, t := range l.Items {
		lines = append(lines, toolLine(t))
	}
	switch {
	case len(lines) > 0:
		g.Text = strings.Join(lines, " · ")
	case l.None():
		g.Text = "none needed"
	default:
		g.Unknown = true
	}
	return g
}

func piecesGroup(title string, l access.List[access.Piece]) groupView {
	g := groupView{Title: title}
	for _, p := range l.Items {
		n := p.Count
		if n == 0 {
			n = 1
		}
		g.Facts = append(g.Facts, parts.Fact{Label: fmt.Sprintf("%d ×", n), Value: strings.Join(nonEmpty(p.Name, p.Size, prefixed("number ", p.Number)), ", ")})
	}
	return g.orKnown(l.Given, len(l.Items))
}

// orKnown tells an explicit none from a blank.
func (g groupView) orKnown(given bool, n int) groupView {
	switch {
	case n > 0:
	case given:
		g.Text = "none"
	default:
		g.Unknown = true
	}
	return g
}

func consumablesGroup(l access.List[access.Consumable]) groupView {
	g := groupView{Title: "Used up"}
	for _, c := range l.Items {
		when := "back"
		if c.For == "off" {
			when = "to take off"
		}
		g.Facts = append(g.Facts, parts.Fact{Label: when, Value: strings.Join(nonEmpty(c.Name, c.Amount), ", ")})
	}
	return g.orKnown(l.Given, len(l.Items))
}

func fluidsGroup(l access.List[access.Fluid]) groupView {
	g := groupView{Title: "What runs out"}
	for _, f := range l.Items {
		again := ""
		if f.Reuse {
			again = "caught clean and put back"
		}
		amount := f.Amount.String()
		if amount == "" {
			amount = "amount not known"
		}
		fill := ""
		if f.Minutes != (access.Span{}) {
			fill = "filling it " + spanText(f.Minutes)
		}
		g.Facts = append(g.Facts, parts.Fact{Label: f.Name, Value: strings.Join(nonEmpty(amount, prefixed("from ", f.From), again, fill), ", ")})
	}
	return g.orKnown(l.Given, len(l.Items))
}

func opensGroup(joints []access.Joint) groupView {
	g := groupView{Title: "What it opens"}
	for _, j := range joints {
		seal := strings.Join(nonEmpty(j.Seal.Kind, j.Seal.Size, j.Seal.Material), " ")
		g.Facts = append(g.Facts, parts.Fact{Label: j.Kind, Value: strings.Join(nonEmpty(j.Name, prefixed("sealed by ", seal)), ", ")})
	}
	return g
}

func hazardsGroup(ids []string) groupView {
	g := groupView{Title: "What can hurt"}
	var names []string
	for _, id := range ids {
		names = append(names, hazardName(id))
	}
	g.Text = strings.Join(names, " · ")
	return g
}

func troubleGroup(list []access.Trouble) groupView {
	g := groupView{Title: "What tends to go wrong"}
	for _, t := range list {
		needs := append([]string{t.What}, extraMinutes(t.Minutes)...)
		for _, p := range t.Needs {
			needs = append(needs, "needs "+pieceLine(p))
		}
		for _, tool := range t.Tools {
			needs = append(needs, "with "+tool)
		}
		g.Facts = append(g.Facts, parts.Fact{Label: oddsText(t.Odds), Value: strings.Join(needs, ", ")})
	}
	return g
}

func extraMinutes(f float64) []string {
	if f == 0 {
		return nil
	}
	return []string{"+" + numberText(f) + " min"}
}

func backGroup(mr mapRead, b access.Back) groupView {
	g := groupView{Title: "The way back"}
	for _, id := range b.After {
		g.Facts = append(g.Facts, itemFact(mr, id, "", "after"))
	}
	for _, id := range b.Still {
		g.Facts = append(g.Facts, itemFact(mr, id, "", "still off"))
	}
	if b.Still != nil && len(b.Still) == 0 {
		g.Facts = append(g.Facts, parts.Fact{Label: "still off", Value: "nothing has to be"})
	}
	if b.Ground {
		g.Facts = append(g.Facts, parts.Fact{Label: "stands", Value: "at ride height, wheels on the ground"})
	}
	if b.BeforeFilling {
		g.Facts = append(g.Facts, parts.Fact{Label: "before", Value: "any fluid goes in"})
	}
	if p := mr.m.Position(b.Hands); p != nil {
		g.Facts = append(g.Facts, parts.Fact{Label: "hands", Value: p.Name})
	}
	if b.Wait != nil {
		g.Facts = append(g.Facts, waitFact(*b.Wait))
		if len(b.WaitFor) == 0 {
			g.Facts = append(g.Facts, parts.Fact{Label: "before", Value: "filling and release"})
		}
	}
	for _, id := range b.WaitFor {
		g.Facts = append(g.Facts, itemFact(mr, id, "", "waits"))
	}
	if b.Notes != "" {
		g.Facts = append(g.Facts, parts.Fact{Label: "note", Value: b.Notes})
	}
	return g
}

func viewWork(mr mapRead, w *access.Work) wayView {
	v := wayView{Title: "Work: " + string(w.Action), Notes: w.Notes}
	if w.Needs != nil {
		v.add(needsGroup(mr, "First", w.Needs, "nothing"))
	}
	time := groupView{Title: "Time and hands", Facts: []parts.Fact{timeFact("Work", w.Minutes, w.Guess)}}
	if w.Wait != nil {
		time.Facts = append(time.Facts, waitFact(*w.Wait))
	}
	if p := mr.m.Position(w.Hands); p != nil {
		time.Facts = append(time.Facts, parts.Fact{Label: "Hands", Value: p.Name})
	}
	v.add(time)
	v.add(toolsGroup(w.Tools))
	v.add(piecesGroup("Parts", w.Parts))
	v.add(consumablesGroup(w.Consumables))
	v.add(hazardsGroup(w.Hazards))
	tests := groupView{Title: "Tests afterwards"}
	for _, t := range w.Tests {
		tests.Facts = append(tests.Facts, parts.Fact{Label: t.Name, Value: limitsText(t), Source: sourceIfSaid(t.Source), Note: t.Where})
	}
	v.add(tests)
	return v
}

func sourceIfSaid(s access.Source) parts.Source {
	if s == "" {
		return parts.NoSource
	}
	return sourceOf(s)
}

func limitsText(t access.Test) string {
	switch {
	case t.Low != nil && t.High != nil:
		return fmt.Sprintf("%s to %s %s", numberText(*t.Low), numberText(*t.High), t.Unit)
	case t.Low != nil:
		return fmt.Sprintf("at least %s %s", numberText(*t.Low), t.Unit)
	case t.High != nil:
		return fmt.Sprintf("at most %s %s", numberText(*t.High), t.Unit)
	}
	return "write down the value" + prefixed(" in ", t.Unit)
}
