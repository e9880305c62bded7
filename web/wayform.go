package web

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"lastbolt/pattern"
	"lastbolt/plan/access"
	"lastbolt/quantity"
)

// wayTyped is the form of a way as the map has it; readWay reads the same way
// back from it.
func wayTyped(m *access.Map, w *access.Way) *typed {
	t, n := newTyped(), newNamer(m)
	t.Set("name", w.Name)
	t.Set("kind", string(access.Off))
	if w.IsAside() {
		t.Set("kind", string(access.Aside))
	}
	t.Set("needs", n.needLines(w.Needs))
	t.Set("still", n.itemLines(w.Still))
	t.Set("hands", w.Hands)
	if w.People > 0 {
		t.Set("people", strconv.Itoa(w.People))
	}
	t.setSpan("off", w.Minutes.Off)
	t.setSpan("on", w.Minutes.On)
	t.tick("guess", w.Guess)
	t.setWait("wait", w.Wait)
	t.Set("notes", w.Notes)
	t.setTools("tools", w.Tools)
	t.tick("fastener.none", w.Fasteners.None())
	for i, f := range w.Fasteners.Items {
		t.setFastener(rowPrefix("fastener", i), f)
	}
	t.tick("piece.none", w.SingleUse.None())
	for i, p := range w.SingleUse.Items {
		t.setPiece(rowPrefix("piece", i), p)
	}
	t.setConsumables(w.Consumables)
	t.tick("fluid.none", w.Fluids.None())
	for i, f := range w.Fluids.Items {
		row := rowPrefix("fluid", i)
		t.Set(row+"name", f.Name)
		t.Set(row+"amount", f.Amount.String())
		t.Set(row+"from", f.From)
		t.tick(row+"reuse", f.Reuse)
		if f.Minutes != (access.Span{}) {
			t.setSpan(row+"fill", f.Minutes)
		}
	}
	for i, j := range w.Opens {
		row := rowPrefix("opens", i)
		t.Set(row+"kind", j.Kind)
		t.Set(row+"name", j.Name)
		t.Set(row+"seal", j.Seal.Kind)
		t.Set(row+"seal.size", j.Seal.Size)
		t.Set(row+"seal.material", j.Seal.Material)
	}
	t.setHazards(w.Hazards)
	for i, tr := range w.Trouble {
		t.setTrouble(rowPrefix("trouble", i), tr)
	}
	t.setBack(n, w.Back)
	return t
}

// readWay reads a way from the form; what the form does not hold, its id,
// comes from old.
func readWay(m *access.Map, t *typed, old access.Way) access.Way {
	n := newNamer(m)
	w := access.Way{ID: old.ID, Name: t.line("name"), Needs: n.needs(t, "needs"), Still: n.items(t, "still"),
		Hands: t.line("hands"), People: t.whole("people"), Notes: t.text("notes"), Wait: t.wait("wait"), Tools: t.tools("tools")}
	if t.Get("kind") == string(access.Aside) {
		w.Kind = access.Aside
	} else {
		w.Kind = offAsBefore(old.Kind)
	}
	w.Minutes, w.Guess = access.BothWays{Off: t.span("off"), On: t.span("on")}, t.ticked("guess")
	w.Fasteners = listOf(t, "fastener", func(row string) access.Fastener { return t.fastener(row) })
	nameFasteners(w.Fasteners.Items)
	w.SingleUse = listOf(t, "piece", t.piece)
	w.Consumables = t.consumables()
	w.Fluids = listOf(t, "fluid", func(row string) access.Fluid {
		return access.Fluid{Name: t.line(row + "name"), Amount: quantityOf[quantity.Volume](t, row+"amount"), From: t.line(row + "from"),
			Reuse: t.ticked(row + "reuse"), Minutes: t.span(row + "fill")}
	})
	t.each("opens", func(row string) {
		w.Opens = append(w.Opens, access.Joint{Kind: t.line(row + "kind"), Name: t.line(row + "name"),
			Seal: access.Seal{Kind: t.line(row + "seal"), Size: t.line(row + "seal.size"), Material: t.line(row + "seal.material")}})
	})
	w.Hazards = t.hazards(old.Hazards)
	t.each("trouble", func(row string) { w.Trouble = append(w.Trouble, t.trouble(row)) })
	w.Back = t.back(n)
	return w
}

// offAsBefore keeps a kind that was left blank, which means off, blank.
func offAsBefore(old access.WayKind) access.WayKind {
	if old == access.Off {
		return access.Off
	}
	return ""
}

// listOf reads a list that can be given, none, or blank for not known.
func listOf[T any](t *typed, list string, read func(row string) T) access.List[T] {
	var l access.List[T]
	t.each(list, func(row string) { l.Items = append(l.Items, read(row)) })
	l.Given = t.given(list, len(l.Items))
	return l
}

func (t *typed) given(list string, n int) bool {
	if n > 0 && t.ticked(list+".none") {
		t.refuse(list+".none", "None is ticked, and something stands in the lines. Take one of the two out.")
	}
	return n > 0 || t.ticked(list+".none")
}

func (t *typed) setTools(name string, l access.List[access.Tool]) {
	var lines []string
	for _, tool := range l.Items {
		lines = append(lines, toolLine(tool))
	}
	t.Set(name, strings.Join(lines, "\n"))
	t.tick(name+".none", l.None())
}

func (t *typed) tools(name string) access.List[access.Tool] {
	var l access.List[access.Tool]
	for _, line := range t.lines(name) {
		if tool := readTool(line); len(tool.Any) > 0 {
			l.Items = append(l.Items, tool)
		}
	}
	l.Given = t.given(name, len(l.Items))
	return l
}

func (t *typed) setWait(name string, w *access.Wait) {
	if w == nil {
		return
	}
	t.Set(name+".kind", w.Kind)
	t.setSpan(name, w.Minutes)
	t.Set(name+".source", w.Source)
}

func (t *typed) wait(name string) *access.Wait {
	filled := false
	for _, f := range []string{".kind", ".low", ".likely", ".high", ".source"} {
		filled = filled || t.line(name+f) != ""
	}
	if !filled {
		return nil
	}
	w := &access.Wait{Kind: t.line(name + ".kind"), Minutes: t.span(name), Source: t.line(name + ".source")}
	if w.Kind == "" {
		t.refuse(name+".kind", "Say what for: cool, drain, soak or cure. Or empty its minutes.")
	}
	return w
}

func (t *typed) setFastener(row string, f access.Fastener) {
	t.Set(row+"id", f.ID)
	t.Set(row+"name", f.Name)
	if f.Count != 0 {
		t.Set(row+"count", strconv.Itoa(f.Count))
	}
	t.Set(row+"thread", f.Thread)
	t.Set(row+"length", f.Length.String())
	t.Set(row+"head", f.Head)
	t.Set(row+"class", f.Class)
	t.Set(row+"torque", f.Torque.Value.String())
	t.Set(row+"then", f.Torque.Then)
	t.Set(row+"source", string(f.Torque.Source))
	t.Set(row+"where", f.Torque.Where)
	t.tick(row+"loosen", f.Loosen)
	t.tick(row+"replace", f.Replace)
	t.Set(row+"notes", f.Notes)
	t.Set(row+"at", spotsText(f.At))
}

func (t *typed) fastener(row string) access.Fastener {
	f := access.Fastener{ID: t.line(row + "id"), Name: t.line(row + "name"), Count: t.whole(row + "count"), Thread: t.line(row + "thread"),
		Length: quantityOf[quantity.Length](t, row+"length"), Head: t.line(row + "head"), Class: t.line(row + "class"),
		Loosen: t.ticked(row + "loosen"), Replace: t.ticked(row + "replace"), Notes: t.text(row + "notes")}
	f.Torque = access.Torque{Value: quantityOf[quantity.Torque](t, row+"torque"), Then: t.line(row + "then"),
		Source: access.Source(t.line(row + "source")), Where: t.line(row + "where")}
	f.At = spotsTyped(t, row+"at")
	if t.line(row+"count") == "" {
		t.refuse(row+"count", "Count them: how many are there?")
	}
	return f
}

// nameFasteners gives new groups an id that no other of the way has.
func nameFasteners(list []access.Fastener) {
	used := map[string]bool{}
	for _, f := range list {
		used[f.ID] = true
	}
	for i := range list {
		if list[i].ID != "" {
			continue
		}
		base := "fasteners"
		if list[i].Name != "" {
			base = slugOf(list[i].Name)
		}
		list[i].ID = freeOf(used, base)
	}
}

func (t *typed) setPiece(row string, p access.Piece) {
	t.Set(row+"name", p.Name)
	if p.Count != 0 {
		t.Set(row+"count", strconv.Itoa(p.Count))
	}
	t.Set(row+"number", p.Number)
	t.Set(row+"size", p.Size)
}

func (t *typed) piece(row string) access.Piece {
	return access.Piece{Name: t.line(row + "name"), Count: t.whole(row + "count"), Number: t.line(row + "number"), Size: t.line(row + "size")}
}

func (t *typed) setConsumables(l access.List[access.Consumable]) {
	t.tick("consumable.none", l.None())
	for i, c := range l.Items {
		row := rowPrefix("consumable", i)
		t.Set(row+"name", c.Name)
		t.Set(row+"amount", c.Amount)
		t.Set(row+"for", c.For)
	}
}

func (t *typed) consumables() access.List[access.Consumable] {
	return listOf(t, "consumable", func(row string) access.Consumable {
		return access.Consumable{Name: t.line(row + "name"), Amount: t.line(row + "amount"), For: t.line(row + "for")}
	})
}

func (t *typed) setHazards(ids []string) {
	for _, id := range ids {
		t.Set("hazard:"+id, "yes")
	}
}

// hazards reads the ticks: those that were there keep their order, new ones
// follow.
func (t *typed) hazards(old []string) []string {
	var out []string
	for _, id := range append(slices.Clone(old), access.HazardIDs...) {
		if t.ticked("hazard:"+id) && !slices.Contains(out, id) {
			out = append(out, id)
		}
	}
	return out
}

func (t *typed) setTrouble(row string, tr access.Trouble) {
	t.Set(row+"what", tr.What)
	t.Set(row+"odds", oddsPercent(tr.Odds))
	if tr.Minutes != 0 {
		t.Set(row+"minutes", numberText(tr.Minutes))
	}
	var lines []string
	for _, p := range tr.Needs {
		lines = append(lines, pieceLine(p))
	}
	t.Set(row+"needs", strings.Join(lines, "\n"))
	t.Set(row+"tools", strings.Join(tr.Tools, "\n"))
}

func (t *typed) trouble(row string) access.Trouble {
	tr := access.Trouble{What: t.line(row + "what"), Odds: t.odds(row + "odds"), Minutes: t.number(row + "minutes"), Tools: t.lines(row + "tools")}
	for _, line := range t.lines(row + "needs") {
		tr.Needs = append(tr.Needs, readPiece(line))
	}
	if t.line(row+"odds") == "" {
		t.refuse(row+"odds", "Say how often, as in 1 in 8. A guess will do.")
	}
	return tr
}

var pieceParts = pattern.Of(`^(?:(\d{1,3}) ?[x×] )?(.*?)(?:; size (.*?))?(?:; number (.*))?$`)

// pieceLine writes a piece: "2 x Hose clip; size 38 mm; number 12-34".
func pieceLine(p access.Piece) string {
	line := p.Name
	if p.Count != 0 {
		line = fmt.Sprintf("%d x %s", p.Count, p.Name)
	}
	if p.Size != "" {
		line += "; size " + p.Size
	}
	if p.Number != "" {
		line += "; number " + p.Number
	}
	return line
}

func readPiece(line string) access.Piece {
	found := pieceParts().FindStringSubmatch(line)
	if found == nil || found[2] == "" {
		return access.Piece{Name: line}
	}
	count, _ := strconv.Atoi(found[1]) // three digits at most, or blank
	return access.Piece{Name: found[2], Count: count, Size: found[3], Number: found[4]}
}

func (t *typed) setBack(n *namer, b access.Back) {
	t.Set("back.after", n.itemLines(b.After))
	t.Set("back.mode", "mirror")
	if b.Still != nil {
		t.Set("back.mode", "these")
		t.Set("back.still", n.itemLines(b.Still))
	}
	t.tick("back.ground", b.Ground)
	t.tick("back.filling", b.BeforeFilling)
	t.Set("back.hands", b.Hands)
	t.setWait("back.wait", b.Wait)
	t.Set("back.waitfor", n.itemLines(b.WaitFor))
	t.Set("back.notes", b.Notes)
}

func (t *typed) back(n *namer) access.Back {
	b := access.Back{After: n.items(t, "back.after"), Ground: t.ticked("back.ground"), BeforeFilling: t.ticked("back.filling"),
		Hands: t.line("back.hands"), Wait: t.wait("back.wait"), WaitFor: n.items(t, "back.waitfor"), Notes: t.text("back.notes")}
	switch still := n.items(t, "back.still"); {
	case t.Get("back.mode") == "these":
		b.Still = still
		if still == nil {
			b.Still = []string{}
		}
	case len(still) > 0:
		t.refuse("back.mode", "Things are named below, and \"as for taking off\" is chosen. Choose \"only these\", or empty the lines.")
	}
	if b.Wait == nil && len(b.WaitFor) > 0 {
		t.refuse("back.waitfor", "There is no wait to wait for. Write what it is for and its minutes.")
	}
	return b
}
