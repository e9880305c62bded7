package web

import (
	"fmt"
	"reflect"
	"slices"
	"strings"

	"lastbolt/garage"
	"lastbolt/plan/access"
)

// Needs are written one a line, as a mechanic says them:
//
//	Undertray
//	Battery earth off or Engine cold
//	(Left hose and Right hose) or Cooler (set aside)
//
// An item's name and its id both do. A way or kind of way stands behind the
// item in brackets. Where a name could be read two ways, ids are written.

// A namer finds a map's items by name or id.
type namer struct {
	m      *access.Map
	byName map[string][]*access.Item
}

func newNamer(m *access.Map) *namer {
	n := &namer{m: m, byName: map[string][]*access.Item{}}
	for i := range m.Items {
		key := garage.PlainName(m.Items[i].Name)
		n.byName[key] = append(n.byName[key], &m.Items[i])
	}
	return n
}

// find gives the item that a text means: an id, or a name that only one has.
func (n *namer) find(text string) *access.Item {
	if it := n.m.Item(text); it != nil {
		return it
	}
	key := garage.PlainName(text)
	if same := n.byName[key]; len(same) == 1 {
		return same[0]
	}
	for i := range n.m.Items {
		if strings.ToLower(n.m.Items[i].ID) == key {
			return &n.m.Items[i]
		}
	}
	return nil
}

// call is the shortest text that find understands as this item.
func (n *namer) call(id string) string {
	it := n.m.Item(id)
	if it == nil || it.Name == "" || strings.ContainsAny(it.Name, "\n\r") || strings.TrimSpace(it.Name) != it.Name || n.find(it.Name) != it {
		return id
	}
	return it.Name
}

// notHere says that nothing is called so, with the nearest names.
func (n *namer) notHere(text string) string {
	if same := n.byName[garage.PlainName(text)]; len(same) > 1 {
		var ids []string
		for _, it := range same {
			ids = append(ids, it.ID)
		}
		return fmt.Sprintf("More than one thing is called %q. Write which one by its id: %s.", text, strings.Join(ids, ", "))
	}
	var names []string
	for i := range n.m.Items {
		names = append(names, n.m.Items[i].Name)
	}
	near := access.Nearest(text, names)
	if len(near) == 0 {
		return fmt.Sprintf("Nothing on this map is called %q. Look at the list of items, or add it first.", text)
	}
	for i := range near {
		near[i] = fmt.Sprintf("%q", near[i])
	}
	return fmt.Sprintf("Nothing on this map is called %q. Did you mean %s?", text, strings.Join(near, " or "))
}

// items reads names one a line as ids.
func (n *namer) items(t *typed, field string) []string {
	var ids []string
	for _, line := range t.lines(field) {
		it := n.find(line)
		if it == nil {
			t.refuse(field, "%s", n.notHere(line))
			continue
		}
		ids = append(ids, it.ID)
	}
	return ids
}

func (n *namer) itemLines(ids []string) string {
	var lines []string
	for _, id := range ids {
		lines = append(lines, n.call(id))
	}
	return strings.Join(lines, "\n")
}

// needs reads needs one a line.
func (n *namer) needs(t *typed, field string) []access.Need {
	var out []access.Need
	for _, line := range t.lines(field) {
		need, problem := n.need(line)
		if problem != "" {
			t.refuse(field, "%s", problem)
			continue
		}
		out = append(out, need)
	}
	return out
}

// mostBrackets bounds how deep a typed need may go; more is a slip.
const mostBrackets = 20

func (n *namer) need(text string) (access.Need, string) { return n.needIn(text, 0) }

func (n *namer) needIn(text string, deep int) (need access.Need, problem string) {
	text = strings.TrimSpace(text)
	if deep > mostBrackets {
		return need, "There are too many brackets in one line. Write it as several lines."
	}
	if leaf, ok := n.leaf(text); ok {
		return leaf, ""
	}
	for _, word := range []string{" or ", " and "} {
		split := splitOutside(text, word)
		if len(split) < 2 {
			continue
		}
		var list []access.Need
		for _, part := range split {
			one, problem := n.needIn(part, deep+1)
			if problem != "" {
				return need, problem
			}
			list = append(list, one)
		}
		if word == " or " {
			return access.Need{Any: list}, ""
		}
		return access.Need{All: list}, ""
	}
	if inner, ok := unbracket(text); ok {
		return n.needIn(inner, deep+1)
	}
	return need, n.problemOf(text)
}

// leaf reads an item, or an item and in brackets its way.
func (n *namer) leaf(text string) (access.Need, bool) {
	if it := n.find(text); it != nil {
		return access.Need{Item: it.ID}, true
	}
	name, way, ok := cutWay(text)
	it := n.find(name)
	if !ok || it == nil {
		return access.Need{}, false
	}
	id, ok := wayMeant(it, way)
	return access.Need{Item: it.ID, Way: id}, ok
}

// cutWay parts "Undertray (aside)" at its last bracket.
func cutWay(text string) (name, way string, ok bool) {
	at := strings.LastIndex(text, " (")
	if at < 0 || !strings.HasSuffix(text, ")") {
		return text, "", false
	}
	return strings.TrimSpace(text[:at]), strings.TrimSpace(text[at+2 : len(text)-1]), true
}

// wayMeant gives the id or kind of a way by what somebody wrote.
func wayMeant(it *access.Item, text string) (string, bool) {
	for i := range it.Ways {
		if it.Ways[i].ID == text {
			return text, true
		}
	}
	key := garage.PlainName(text)
	switch key {
	case "off", "taken off", "fully off":
		return string(access.Off), true
	case "aside", "set aside":
		return string(access.Aside), true
	}
	for i := range it.Ways {
		if garage.PlainName(it.Ways[i].Name) == key || strings.ToLower(it.Ways[i].ID) == key {
			return it.Ways[i].ID, true
		}
	}
	return "", false
}

func (n *namer) problemOf(text string) string {
	name, way, ok := cutWay(text)
	if it := n.find(name); ok && it != nil {
		var ways []string
		for i := range it.Ways {
			ways = append(ways, fmt.Sprintf("%q", it.Ways[i].ID))
		}
		return fmt.Sprintf("%q has no way called %q. It has %s; off and aside stand for any of that kind.", it.Name, way, strings.Join(ways, " and "))
	}
	return n.notHere(text)
}

// splitOutside splits at a word that is not inside brackets.
func splitOutside(text, word string) []string {
	var out []string
	deep, from := 0, 0
	for i := 0; i < len(text); i++ {
		switch text[i] {
		case '(':
			deep++
		case ')':
			deep--
		}
		if deep == 0 && len(text)-i >= len(word) && strings.EqualFold(text[i:i+len(word)], word) {
			out = append(out, text[from:i])
			from = i + len(word)
			i = from - 1
		}
	}
	return append(out, text[from:])
}

func unbracket(text string) (string, bool) {
	if !strings.HasPrefix(text, "(") || !strings.HasSuffix(text, ")") {
		return "", false
	}
	deep := 0
	for i := range len(text) {
		switch text[i] {
		case '(':
			deep++
		case ')':
			deep--
		}
		if deep == 0 && i < len(text)-1 {
			return "", false
		}
	}
	return text[1 : len(text)-1], true
}

// needLine writes a need so that need reads it back.
func (n *namer) needLine(need access.Need) string {
	need = flat(need)
	for _, call := range []func(access.Need) string{n.calledLeaf, idLeaf} {
		text := needText(need, call, false)
		if back, problem := n.need(text); problem == "" && reflect.DeepEqual(flat(back), need) {
			return text
		}
	}
	return needText(need, idLeaf, false)
}

func (n *namer) needLines(needs []access.Need) string {
	var lines []string
	for _, need := range needs {
		lines = append(lines, n.needLine(need))
	}
	return strings.Join(lines, "\n")
}

func (n *namer) calledLeaf(need access.Need) string {
	text := n.call(need.Item)
	if need.Way != "" {
		text += " (" + need.Way + ")"
	}
	return text
}

func idLeaf(need access.Need) string {
	if need.Way != "" {
		return need.Item + " (" + need.Way + ")"
	}
	return need.Item
}

func needText(need access.Need, leaf func(access.Need) string, inside bool) string {
	list, word := need.All, " and "
	if len(need.Any) > 0 {
		list, word = need.Any, " or "
	}
	if len(list) == 0 {
		return leaf(need)
	}
	var words []string
	for _, one := range list {
		words = append(words, needText(one, leaf, true))
	}
	text := strings.Join(words, word)
	if inside {
		text = "(" + text + ")"
	}
	return text
}

// flat takes lists of one apart: they say the same as the one.
func flat(need access.Need) access.Need {
	for _, list := range []*[]access.Need{&need.All, &need.Any} {
		if len(*list) == 1 {
			return flat((*list)[0])
		}
		*list = slices.Clone(*list)
		for i := range *list {
			(*list)[i] = flat((*list)[i])
		}
	}
	return need
}

// toolLine writes a tool: "10 mm socket or 10 mm spanner".
func toolLine(t access.Tool) string {
	var names []string
	for _, name := range t.Any {
		if strings.Contains(name, " or ") || strings.HasPrefix(name, `"`) {
			name = `"` + name + `"`
		}
		names = append(names, name)
	}
	return strings.Join(names, " or ")
}

// readTool reads it back. A name with "or" in it stands in quotes.
func readTool(line string) access.Tool {
	var t access.Tool
	split := strings.Split(line, " or ")
	for i := 0; i < len(split); i++ {
		name := strings.TrimSpace(split[i])
		if strings.HasPrefix(name, `"`) {
			for j := i; j < len(split); j++ {
				whole := strings.TrimSpace(strings.Join(split[i:j+1], " or "))
				if len(whole) > 1 && strings.HasSuffix(whole, `"`) {
					name, i = whole[1:len(whole)-1], j
					break
				}
			}
		}
		if name != "" {
			t.Any = append(t.Any, name)
		}
	}
	return t
}
