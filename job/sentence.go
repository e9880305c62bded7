package job

import (
	"cmp"
	"fmt"
	"maps"
	"slices"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"

	"lastbolt/plan/access"
	"lastbolt/plan/opening"
)

func sortedKeys[V any](m map[string]V) []string { return slices.Sorted(maps.Keys(m)) }

// countText is a count in words: "4 out", "3 back".
func countText(n int, st *Step, g Group) string {
	switch {
	case g.Loosen && st.Closes:
		return strconv.Itoa(n) + " tight"
	case g.Loosen:
		return strconv.Itoa(n) + " loosened"
	case st.Closes:
		return strconv.Itoa(n) + " back"
	default:
		return strconv.Itoa(n) + " out"
	}
}

// PiecesWord names the pieces of a group as a hand counts them: a small first
// letter, and one of them where n is one ("Push clips": "push clip").
func PiecesWord(name string, n int) string {
	name = strings.TrimSpace(name)
	if name == "" {
		name = "fasteners"
	}
	if r := []rune(name); len(r) > 1 && unicode.IsUpper(r[0]) && unicode.IsLower(r[1]) { // not "M6 bolts"
		name = string(unicode.ToLower(r[0])) + string(r[1:])
	}
	if n != 1 {
		return name
	}
	head, rest, cut := strings.Cut(name, ",")
	for _, many := range []string{"fasteners", "bolts", "nuts", "screws", "clips", "studs", "rivets", "pins", "pieces"} {
		if strings.HasSuffix(strings.ToLower(head), many) {
			head = head[:len(head)-1]
			break
		}
	}
	if cut {
		head += "," + rest
	}
	return head
}

func (b *builder) stepName(id string) string {
	if st := b.byID[id]; st != nil {
		return st.Name
	}
	_, item, _ := strings.Cut(id, "/")
	return b.name(cmp.Or(item, id, "the job"))
}

func (b *builder) doneText(d StepDone, verb string) string {
	st := b.byID[d.Step]
	if st == nil {
		return "Done: " + b.stepName(d.Step)
	}
	counted := sortedKeys(d.Counts)
	place := func(id string) int { return slices.IndexFunc(st.Groups, func(o Group) bool { return o.ID == id }) }
	slices.SortStableFunc(counted, func(a, b string) int { return place(a) - place(b) }) // as the step's page lists them
	var counts []string
	for _, id := range counted {
		n, g := d.Counts[id], Group{ID: id, Name: id}
		if i := place(id); i >= 0 {
			g = st.Groups[i]
		}
		text := countText(n, st, g)
		if len(counted) > 1 {
			figure, done, _ := strings.Cut(text, " ")
			text = figure + " " + PiecesWord(g.Name, n) + " " + done
		}
		counts = append(counts, text)
	}
	switch {
	case verb != "":
	case st.Condition && st.Closes:
		verb = "Ended"
	case st.Condition, st.Loosens():
		verb = "Done"
	case st.Opens:
		verb = "Off"
	case st.Closes:
		verb = "Back"
	default:
		verb = "Done"
	}
	text := verb + ": " + st.Name
	if len(counts) > 0 {
		text += ", " + strings.Join(counts, ", ")
	}
	if d.Tray != "" {
		text += ", tray " + d.Tray
	}
	return text
}

func clip(s string) string {
	s = strings.Join(strings.Fields(s), " ")
	if utf8.RuneCountInString(s) > 80 {
		s = string([]rune(s)[:79]) + "…"
	}
	return strings.ToValidUTF8(s, "\uFFFD")
}

// plannedText counts what the hands have to do: a condition that ends by itself
// is in the plan and is no step of the job.
func plannedText(_ *builder, d Planned) string {
	byItself := func(p opening.Step) bool {
		_, closes := direction(p)
		return closes && slices.ContainsFunc(d.Items, func(it access.Item) bool { return it.ID == p.Item && endsItself(&it, p.Way) })
	}
	return fmt.Sprintf("Planned: %d steps", len(slices.DeleteFunc(slices.Clone(d.Plan.Steps), byItself)))
}

func (b *builder) troubleText(d TroubleMet) string {
	text := capital(clip(d.What))
	if d.Step != "" {
		text += ": " + b.stepName(d.Step)
	}
	return text
}

func takenOffText(_ *builder, d TakenOff) string {
	verb := "Off"
	switch {
	case d.NotYet:
		verb = "In the way"
	case d.Aside:
		verb = "Set aside"
	}
	text := verb + ": " + clip(cmp.Or(d.Name, d.Item))
	for _, f := range d.Fasteners {
		text += fmt.Sprintf(", %d %s", f.Count, PiecesWord(cmp.Or(f.Name, f.ID), f.Count))
	}
	return text
}

func capital(s string) string {
	if s == "" {
		return s
	}
	r := []rune(s)
	return strings.ToUpper(string(r[:1])) + string(r[1:])
}
