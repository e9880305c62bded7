package job

import (
	"cmp"
	"fmt"
	"maps"
	"slices"
	"strconv"
	"strings"
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
	var counts []string
	for _, id := range sortedKeys(d.Counts) {
		g := Group{ID: id, Name: id}
		if i := slices.IndexFunc(st.Groups, func(o Group) bool { return o.ID == id }); i >= 0 {
			g = st.Groups[i]
		}
		counts = append(counts, countText(d.Counts[id], st, g))
	}
	switch {
	case verb != "":
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
	r := []rune(strings.Join(strings.Fields(s), " "))
	if len(r) > 80 {
		return string(r[:79]) + "…"
	}
	return string(r)
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
		text += fmt.Sprintf(", %d %s", f.Count, cmp.Or(f.Name, f.ID))
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
