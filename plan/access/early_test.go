package access

import (
	"fmt"
	"strings"
	"testing"

	"lastbolt/fault"
)

// A map with too many items is refused without being read: reading it takes
// longer than anybody waits.
func TestTooManyItemsAreRefusedEarly(t *testing.T) {
	items := func(n int, indent, more string) string {
		return "format: " + Format + "\nid: big\nname: Big\nitems:\n" + strings.Repeat(indent+"- id: x\n"+indent+"  name: X\n"+more, n)
	}
	way := "    ways:\n      - id: \"off\"\n        minutes: {off: 1, on: 1}\n"
	for name, row := range map[string]struct {
		text string
		want int // items counted as too many, 0 for none
	}{
		"many":                     {items(MaxItems+5, "  ", way), MaxItems + 5},
		"many, dashes at the edge": {items(MaxItems+1, "", ""), MaxItems + 1},
		"many, a line each":        {"format: x\nid: big\nname: Big\nitems:\n" + strings.Repeat("  - {id: x}\n", MaxItems+7), MaxItems + 7},
		"as many as may be":        {items(MaxItems, "  ", ""), 0},
		"many dashes in one item":  {items(1, "  ", "    ways:\n"+strings.Repeat("      - id: y\n", MaxItems+1)), 0},
		"many positions":           {"positions:\n" + strings.Repeat("  - id: x\n", MaxItems+1) + "items:\n  - id: x\n", 0},
		"a list after the items":   {items(3, "  ", "") + "positions:\n" + strings.Repeat("  - id: x\n", MaxItems+1), 0},
		"comments between":         {items(3, "  ", "# more\n\n"), 0},
		"in one line":              {"items: [{id: x}]\n", 0},
		"none":                     {"items:", 0},
	} {
		p := tooMany([]byte(row.text))
		if (p != nil) != (row.want > 0) {
			t.Errorf("%s: %v", name, p)
		}
		if p != nil && (!strings.Contains(p.What, fmt.Sprint("the map has ", row.want, " items")) || p.Line != 4) {
			t.Errorf("%s: line %d, %s; want line 4 and %d items", name, p.Line, p.What, row.want)
		}
	}
}

func TestADrawingWithLinksIsAGroup(t *testing.T) {
	m, err := FromStarter("cooling")
	if err != nil {
		t.Fatal(err)
	}
	link := func(id string) string { return "/" + id }
	for role, opt := range map[string]DrawOptions{"img": {}, "group": {Link: link}} {
		for what, svg := range map[string][]byte{"the map": Draw(m, opt), "around an item": Around(m, m.Items[0].ID, opt)} {
			if !strings.Contains(string(svg), `role="`+role+`"`) {
				t.Errorf("%s, links %t: the role is not %s", what, opt.Link != nil, role)
			}
		}
	}
}

func TestAStarterThatThereIsNotIsSaidInASentence(t *testing.T) {
	for _, ids := range [][]string{{"coolling"}, nil} {
		_, err := FromStarter(ids...)
		if text := fault.Say(err); text[0] < 'A' || text[0] > 'Z' || !strings.ContainsAny(text[len(text)-1:], ".?") {
			t.Errorf("%q is not a sentence", text)
		}
	}
}
