package web

import (
	"strings"

	"lastbolt/pattern"
	"lastbolt/plan/access"
)

// placeProblems puts each problem of a changed map beside the field it comes
// from; those that belong to no field of this form are given back.
func (t *typed) placeProblems(m *access.Map, path string, problems access.Problems) []problemView {
	var elsewhere []problemView
	for _, p := range problems {
		text := capital(calledByName(m, p.What)) + "."
		if mend := plainMend(p.Mend); mend != "" {
			text += " " + capital(calledByName(m, mend)) + "."
		}
		text = strings.ReplaceAll(text, "?.", "?")
		rel, here := strings.CutPrefix(p.Path, path)
		if field := t.fieldOf(strings.TrimPrefix(rel, ".")); here && path != "" && field != "" {
			t.refuse(field, "%s", text)
			continue
		}
		elsewhere = append(elsewhere, problemView{What: text, Where: placeInMap(m, p.Path)})
	}
	return elsewhere
}

// fileTalk is what a mend says to somebody who writes the file by hand.
var fileTalk = pattern.Of(`[\[\]{}…]|^(add|write) [a-z_]+:( |$)|^add (it to|kind|source|an item)|leave the field out|under back|wait_for|back\.|\bstill:`)

func plainMend(mend string) string {
	if fileTalk().MatchString(mend) {
		return ""
	}
	return mend
}

var quotedID = pattern.Of(`"([^"]+)"`)

// calledByName writes items by their names where a sentence has their ids.
func calledByName(m *access.Map, text string) string {
	text = quotedID().ReplaceAllStringFunc(text, func(q string) string {
		if it := m.Item(q[1 : len(q)-1]); it != nil && it.Name != "" {
			return `"` + it.Name + `"`
		}
		return q
	})
	return strings.NewReplacer(" (still)", "", " (needs)", "", " (after)", "").Replace(text)
}

// Lists of a way or work in the map's file, and their rows in the form.
var listFields = map[string]string{
	"fasteners": "fastener", "single_use": "piece", "parts": "piece", "consumables": "consumable", "fluids": "fluid",
	"opens": "opens", "trouble": "trouble", "tests": "test", "positions": "position", "between": "between",
}

// Fields whose name in the form is not the file's.
var plainFields = map[string]string{
	"minutes.off": "off.low", "minutes.on": "on.low", "minutes": "minutes.low", "wait.minutes": "wait.low", "wait": "wait.kind",
	"back.ride_height": "back.ground", "back.before_filling": "back.filling", "back.wait.minutes": "back.wait.low", "back.wait": "back.wait.kind",
	"back.wait_for": "back.waitfor", "set_up.position": "setup.position", "set_up.tool": "setup.tool",
	"torque.value": "torque", "torque.source": "source", "torque.then": "then", "torque.where": "where",
}

// fieldOf gives the form's field for a path within a way, work or item:
// "fasteners[1].count" is the count of the second row that was read.
func (t *typed) fieldOf(path string) string {
	path = strings.TrimPrefix(path, "set_up.between")
	head := path
	if i := strings.IndexByte(path, '['); i >= 0 {
		head = path[:i]
	}
	list, isList := listFields[head]
	if i, rest, ok := indexOf(path, head); isList && ok {
		var rows []string
		t.each(list, func(row string) { rows = append(rows, row) })
		if i >= len(rows) {
			return ""
		}
		field := formName(strings.TrimPrefix(rest, "."))
		if field == "minutes.low" { // of a fluid: filling it; of trouble: one figure
			field = map[string]string{"fluid": "fill.low", "trouble": "minutes"}[list]
		}
		if !t.Has(rows[i] + field) {
			field = map[string]string{"fastener": "name", "trouble": "what", "opens": "kind"}[list]
			if field == "" {
				field = "name"
			}
		}
		return rows[i] + field
	}
	if isList {
		return list + ".none"
	}
	return formName(head)
}

func formName(field string) string {
	if i := strings.IndexByte(field, '['); i >= 0 {
		field = field[:i]
	}
	if name, ok := plainFields[field]; ok {
		return name
	}
	return field
}
