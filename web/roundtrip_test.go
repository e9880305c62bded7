package web

import (
	"encoding/json"
	"math"
	"net/url"
	"reflect"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"lastbolt/demo"
	"lastbolt/garage"
	"lastbolt/plan/access"
)

// formMaps are maps whose every way and work must pass through its form
// unchanged: the demo's and the starters.
func formMaps(t *testing.T) []*access.Map {
	t.Helper()
	m, err := access.Parse("demo", demo.MapYAML)
	if err != nil {
		t.Fatal(err)
	}
	maps := []*access.Map{m, everything()}
	for _, s := range access.Starters() {
		starter, err := access.FromStarter(s.ID)
		if err != nil {
			t.Fatal(err)
		}
		maps = append(maps, starter)
	}
	return maps
}

// everything is a map that uses what the others do not.
func everything() *access.Map {
	src := `format: lastbolt access map 1
id: all
name: All there is
positions: [{id: above, name: From above}]
items:
  - id: nut-and-washer
    name: Nut and washer or clip (left)
    ways: [{id: "off", minutes: {off: 1, on: 1}}, {id: swing, name: Swung up, kind: aside, minutes: {off: 1, on: 1}}]
  - {id: same-1, name: Same name, ways: [{id: "off", minutes: 	{off: 1, on: 1}}]}
  - {id: same-2, name: Same name, ways: [{id: "off", minutes: {off: 1, on: 1}}]}
  - id: arabic
    name: غطاء
    ways: [{id: "off", minutes: {off: 1, on: 1}}]
  - id: last
    name: Last 🔧
    ways:
      - id: "off"
        needs: [same-1, {any: [{all: [same-2, arabic]}, {item: nut-and-washer, way: swing}]}, {any: [nut-and-washer, {any: [same-1, same-2]}]}]
        still: [arabic]
        hands: above
        people: 2
        minutes: {off: [0, 0.25, 7.5], on: [1, 2, 3]}
        guess: true
        wait: {kind: cool, minutes: [1, 2, 3], source: common practice}
        tools: [{any: [3/8 or 1/2 drive, 3/8" ratchet]}, "\"quoted\" tool", plain]
        fasteners:
          - {id: b, name: Bolts, count: 3, thread: M8x1.25, length: 1 1/2 in, head: T40, class: "10.9", torque: {value: 22 N·m, then: then 90 degrees, source: own measurement, where: bench}, loosen_only: true, replace: true, notes: mind the long one}
          - {id: c, count: 2, torque: {source: not known}}
        single_use: none
        consumables: [{name: grease, amount: 20 ml, for: "off"}, {name: cleaner, for: back}]
        fluids: [{name: coolant, amount: "0,5 L", from: hose, reuse: true, minutes: [8, 12, 20]}, {name: oil, minutes: 4}]
        opens: [{kind: coolant, name: Hose}, {kind: belt}]
        hazards: [hot, jack]
        trouble: [{what: shears, odds: 0.333, minutes: 12.5, needs: [{name: "Clip; odd", count: 2, number: "12; 3", size: 8 x 2 mm}, {name: ring}], tools: [drill, "pick, long"]}]
        back: {after: [same-1], still: [], ride_height: true, before_filling: true, hands: above, wait: {kind: cure, minutes: 30}, wait_for: [same-2], notes: "two\nlines"}
    work:
      - {action: replace, needs: [], hands: above, minutes: [1, 2, 4], guess: true, wait: {kind: soak, minutes: 5}, tools: none, parts: [{name: it, count: 1}], consumables: none, hazards: [eyes], tests: [{name: V, unit: V, low: -1.5, high: 14.8, source: maker's document, where: p. 3}], notes: n}
`
	src = strings.ReplaceAll(src, "\t", "")
	m, found := access.Review("all", []byte(src))
	for _, p := range found {
		if p.Line == 0 || m == nil {
			panic(found.Error())
		}
	}
	return m
}

func TestEveryWayAndWorkPassesThroughItsFormUnchanged(t *testing.T) {
	ways := 0
	for _, m := range formMaps(t) {
		for i := range m.Items {
			it := &m.Items[i]
			for j := range it.Ways {
				ways++
				want := it.Ways[j]
				form := sent(wayTyped(m, &want))
				got := readWay(m, form, want)
				same(t, m.Name+", "+it.Name+", "+want.ID, form, flatWay(got), flatWay(want))
			}
			for j := range it.Work {
				want := it.Work[j]
				form := sent(workTyped(m, &want))
				got := readWork(m, form, &want)
				same(t, m.Name+", "+it.Name+", "+string(want.Action), form, got, want)
			}
		}
	}
	if ways < 100 {
		t.Errorf("only %d ways were tried", ways)
	}
}

// sent is a form after a browser has sent it: lines end with CRLF.
func sent(t *typed) *typed {
	out := newTyped()
	for name, values := range t.Values {
		for _, v := range values {
			out.Add(name, strings.ReplaceAll(v, "\n", "\r\n"))
		}
	}
	return out
}

func flatWay(w access.Way) access.Way {
	w.Notes, w.Back.Notes = strings.TrimSpace(w.Notes), strings.TrimSpace(w.Back.Notes)
	needs := w.Needs
	w.Needs = nil
	for _, n := range needs {
		w.Needs = append(w.Needs, flat(n))
	}
	return w
}

func same(t *testing.T, what string, form *typed, got, want any) {
	t.Helper()
	if len(form.wrong) > 0 {
		t.Errorf("%s: the form refuses what it was filled with: %v", what, form.wrong)
	}
	a, _ := json.Marshal(got)
	b, _ := json.Marshal(want)
	if string(a) != string(b) {
		t.Errorf("%s:\n got %s\nwant %s", what, a, b)
	}
}

func TestNeedsReadAsTheyAreSaid(t *testing.T) {
	m := everything()
	n := newNamer(m)
	leaf := func(id string) access.Need { return access.Need{Item: id} }
	for _, test := range []struct {
		text string
		want access.Need
	}{
		{"same-1", leaf("same-1")},
		{"  LAST 🔧 ", leaf("last")},
		{"Nut and washer or clip (left)", leaf("nut-and-washer")},
		{"nut-and-washer (swung up)", access.Need{Item: "nut-and-washer", Way: "swing"}},
		{"nut-and-washer (set aside)", access.Need{Item: "nut-and-washer", Way: "aside"}},
		{"same-1 or same-2", access.Need{Any: []access.Need{leaf("same-1"), leaf("same-2")}}},
		{"same-1 OR غطاء and same-2", access.Need{Any: []access.Need{leaf("same-1"), {All: []access.Need{leaf("arabic"), leaf("same-2")}}}}},
		{"(same-1 or same-2) and last", access.Need{All: []access.Need{{Any: []access.Need{leaf("same-1"), leaf("same-2")}}, leaf("last")}}},
	} {
		got, problem := n.need(test.text)
		if problem != "" || !reflect.DeepEqual(got, test.want) {
			t.Errorf("%q: got %+v, %q; want %+v", test.text, got, problem, test.want)
		}
	}
}

func TestAMisspeltNeedNamesTheNearest(t *testing.T) {
	n := newNamer(everything())
	for text, want := range map[string]string{
		"Lst 🔧":                   `Did you mean "Last 🔧"?`,
		"Same name":               "More than one thing is called",
		"last or nothing at all":  `"nothing at all"`,
		"nut-and-washer (upward)": "has no way called",
		strings.Repeat("(", 50) + "last" + strings.Repeat(")", 50): "too many brackets",
		"": "Nothing on this map is called",
	} {
		if _, problem := n.need(text); !strings.Contains(problem, want) {
			t.Errorf("%q: %q does not say %q", text, problem, want)
		}
	}
}

func TestAnyNeedIsWrittenSoThatItReadsBack(t *testing.T) {
	m := everything()
	n := newNamer(m)
	rapid.Check(t, func(rt *rapid.T) {
		want := flat(drawNeed(rt, m, 0))
		text := n.needLine(want)
		got, problem := n.need(text)
		if problem != "" || !reflect.DeepEqual(flat(got), want) {
			rt.Fatalf("%q reads as %+v (%s), want %+v", text, got, problem, want)
		}
	})
}

func drawNeed(rt *rapid.T, m *access.Map, deep int) access.Need {
	if deep < 4 && rapid.IntRange(0, 2).Draw(rt, "kind") > 0 {
		var list []access.Need
		for range rapid.IntRange(1, 3).Draw(rt, "n") {
			list = append(list, drawNeed(rt, m, deep+1))
		}
		if rapid.Bool().Draw(rt, "any") {
			return access.Need{Any: list}
		}
		return access.Need{All: list}
	}
	it := &m.Items[rapid.IntRange(0, len(m.Items)-1).Draw(rt, "item")]
	need := access.Need{Item: it.ID}
	if rapid.Bool().Draw(rt, "way") {
		need.Way = it.Ways[rapid.IntRange(0, len(it.Ways)-1).Draw(rt, "which")].ID
	}
	return need
}

func TestTheShelfReadsBackFromItsText(t *testing.T) {
	line := rapid.StringMatching(`[a-zA-Z0-9=\- ():ÄШخ🔧,/"]{1,12}`)
	rapid.Check(t, func(rt *rapid.T) {
		var s garage.Shelf
		s.Tools = rapid.SliceOfN(rapid.OneOf(line, rapid.SampledFrom([]string{"Tools:", "supplies", "- x", "a = b"})), 0, 6).Draw(rt, "tools")
		for _, name := range rapid.SliceOfN(rapid.OneOf(line, rapid.SampledFrom([]string{"Supplies:", "a = b", "a ="})), 0, 6).Draw(rt, "supplies") {
			s.Supplies = append(s.Supplies, garage.Supply{Name: name, Amount: rapid.SampledFrom([]string{"", "1 L", "200 ml"}).Draw(rt, "amount")})
		}
		if err := s.Tidy(); err != nil {
			rt.Fatal(err)
		}
		got := readShelf(shelfText(s))
		if err := got.Tidy(); err != nil {
			rt.Fatal(err)
		}
		if !reflect.DeepEqual(got, s) {
			rt.Fatalf("%q reads as %+v, want %+v", shelfText(s), got, s)
		}
	})
}

func TestOddsAreReadInEveryWayTheyAreSaid(t *testing.T) {
	for text, want := range map[string]float64{"1 in 8": 0.125, "12 %": 0.12, "12%": 0.12, "0.08": 0.08, "33,3 %": 0.333, "0": 0, "100 %": 1, "": 0} {
		form := &typed{url.Values{"o": {text}}, map[string]string{}}
		if got := form.odds("o"); got != want || len(form.wrong) > 0 {
			t.Errorf("%q: %v, %v; want %v", text, got, form.wrong, want)
		}
	}
	for _, text := range []string{"often", "12", "-1 %", "1 in 0", "1 in", "1e-2", "120 %", "1/8", "0x1"} {
		form := &typed{url.Values{"o": {text}}, map[string]string{}}
		if form.odds("o"); form.wrong["o"] == "" {
			t.Errorf("%q passes for odds", text)
		}
	}
	rapid.Check(t, func(rt *rapid.T) {
		want := math.Round(rapid.Float64Range(0, 1).Draw(rt, "odds")*1e6) / 1e6
		form := &typed{url.Values{"o": {oddsPercent(want)}}, map[string]string{}}
		if got := form.odds("o"); got != want || len(form.wrong) > 0 {
			rt.Fatalf("%v is written %q and reads %v", want, oddsPercent(want), got)
		}
	})
}
