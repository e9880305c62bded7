package access

import (
	"bytes"
	"reflect"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

const commented = `# Written at the bench, corrected on the road.
format: lastbolt access map 1
id: corner   # of the old van
name: "Corner"
items:
  # The tray first:
  # it hides the rest.
  - id: tray
    name: Tray      # eight screws, two short
    ways:
      - id: "off"
        # never with the engine hot
        minutes: {off: [3, 5, 9], on: [4, 6, 10]}

  # The hose "with # in it"
  - id: hose
    name: "Hose # 2"
    ways:
      - {id: "off", needs: [tray], minutes: {off: 2, on: 3}}
# the end
`

func TestAChangeLeavesTheRestAsItWasWritten(t *testing.T) {
	was, err := Parse("corner.yaml", []byte(commented))
	if err != nil {
		t.Fatal(err)
	}
	rewrite := func(m, was *Map, old string) string {
		t.Helper()
		text, back, err := m.Rewrite(was, []byte(old))
		if err != nil || !sameMap(back, m) {
			t.Fatalf("%v\n%s", err, text)
		}
		return string(text)
	}
	m := was.Clone()
	if got := rewrite(m, was, commented); got != commented {
		t.Errorf("nothing changed, and the text did:\n%s", got)
	}
	m.Items[0].Name = "Undertray"
	got := rewrite(m, was, commented)
	hose := commented[strings.Index(commented, "\n  # The hose"):]
	head := commented[:strings.Index(commented, "  # The tray")]
	if !strings.HasSuffix(got, hose) || !strings.HasPrefix(got, head) {
		t.Errorf("head or hose changed with the tray:\n%s", got)
	}
	for _, words := range []string{"# The tray first:", "# it hides the rest.", "# eight screws, two short", "# never with the engine hot", "name: Undertray"} {
		if strings.Count(got, words) != 1 {
			t.Errorf("%q is there %d times, want once:\n%s", words, strings.Count(got, words), got)
		}
	}
	was = m.Clone()
	m.Name = "Corner of the van"
	m.Items = append(m.Items[1:], Item{ID: "clip", Name: "Clip", Ways: []Way{{ID: "off"}}})
	m.Items[0].Ways[0].Needs = nil
	got = rewrite(m, was, got)
	for _, words := range []string{"# Written at the bench", "# of the old van", `# The hose "with # in it"`, "id: clip", "# the end"} {
		if strings.Count(got, words) != 1 {
			t.Errorf("%q is there %d times, want once:\n%s", words, strings.Count(got, words), got)
		}
	}
	if strings.Contains(got, "tray") {
		t.Errorf("the tray was taken out, and is still there:\n%s", got)
	}
}

func TestLayoutsOfAnyKindGiveTheSameMap(t *testing.T) {
	for name, text := range map[string]string{
		"dashes at the edge": "format: lastbolt access map 1\nid: a\nname: A\nitems:\n- id: x # one\n  name: X\n  ways: [{id: w, minutes: {off: 1, on: 1}}]\n# two\n- id: y\n  name: Y\n  ways: [{id: w, minutes: {off: 1, on: 1}}]\n",
		"far in":             "format: lastbolt access map 1\nid: a\nname: A\nitems:\n      - id: x\n        name: X\n        ways: [{id: w, minutes: {off: 1, on: 1}}]\n",
		"fields after":       "format: lastbolt access map 1\nid: a\nitems:\n  - id: x\n    name: X\n    ways: [{id: w, minutes: {off: 1, on: 1}}]\nname: A # last\n",
		"in one line":        "{format: lastbolt access map 1, id: a, name: A, items: [{id: x, name: X, ways: [{id: w, minutes: {off: 1, on: 1}}]}]}\n",
		"without a last end": "format: lastbolt access map 1\nid: a\nname: A\nitems:\n  - id: x\n    name: X\n    ways: [{id: w, minutes: {off: 1, on: 1}}]",
		"not a map":          "just words",
	} {
		was, err := Parse("a.yaml", []byte(text))
		if err != nil {
			was = &Map{Format: Format, ID: "a", Name: "A", Items: []Item{{ID: "x", Name: "X", Ways: []Way{{ID: "w"}}}}}
		}
		m := was.Clone()
		m.Items[0].Name = "Changed"
		m.Items = append(m.Items, Item{ID: "z", Name: "Z", Ways: []Way{{ID: "w"}}})
		got, back, err := m.Rewrite(was, []byte(text))
		if err != nil || len(back.Items) != len(m.Items) || back.Items[0].Name != "Changed" {
			t.Errorf("%s: %v\n%s", name, err, got)
		}
	}
}

// Whatever changes, the text says what the map says.
func TestARewrittenMapReadsBackEqual(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		one, other := drawMap(t), drawMap(t)
		old := one.Encode()
		mixed := *other
		mixed.Items = append(append([]Item{}, one.Items[:len(one.Items)/2]...), other.Items...)
		want, problem := Parse("", mixed.Encode()) // two of one id, or a need of what is not there
		lines := bytes.Split(old, []byte("\n"))
		for i := range lines {
			if strings.HasPrefix(string(lines[i]), "  - id:") {
				lines[i] = append([]byte("  # a comment\n"), lines[i]...)
			}
		}
		text, got, err := mixed.Rewrite(one, bytes.Join(lines, []byte("\n")))
		if (err == nil) != (problem == nil) {
			t.Fatalf("%v, want %v", err, problem)
		}
		if err == nil && !reflect.DeepEqual(got, want) {
			t.Fatalf("another map:\n%s", text)
		}
	})
}

func BenchmarkRewriteStarter(b *testing.B) {
	was, err := FromStarter("brake-corner", "cooling", "accessory-drive")
	if err != nil {
		b.Fatal(err)
	}
	old := was.Encode()
	m := was.Clone()
	m.Items[3].Name = "Changed"
	for b.Loop() {
		if _, _, err := m.Rewrite(was, old); err != nil {
			b.Fatal(err)
		}
	}
}
