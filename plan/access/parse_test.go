package access

import (
	"errors"
	"flag"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

var update = flag.Bool("update", false, "rewrite the expected texts")

// Each testdata/broken/NAME.yaml has the lines it must be refused with in
// NAME.want, advice left out.
func TestEveryBrokenFileIsExplained(t *testing.T) {
	files, err := filepath.Glob("testdata/broken/*.yaml")
	if err != nil || len(files) < 40 {
		t.Fatalf("found %d broken files: %v", len(files), err)
	}
	for _, file := range files {
		name := strings.TrimSuffix(filepath.Base(file), ".yaml")
		t.Run(name, func(t *testing.T) {
			src, err := os.ReadFile(file)
			if err != nil {
				t.Fatal(err)
			}
			m, err := Parse(name+".yaml", src)
			if err == nil || m != nil {
				t.Fatalf("Parse gave %v, %v; want no map and an error", m, err)
			}
			var found Problems
			if !errors.As(err, &found) {
				t.Fatalf("the error is a %T", err)
			}
			for _, p := range found {
				if p.Line < 1 || p.Column < 1 || p.What == "" || p.Mend == "" {
					t.Errorf("incomplete: %+v", p)
				}
			}
			want := strings.TrimSuffix(file, ".yaml") + ".want"
			got := err.Error() + "\n"
			if *update {
				if err := os.WriteFile(want, []byte(got), 0o644); err != nil {
					t.Fatal(err)
				}
				return
			}
			expected, err := os.ReadFile(want)
			if err != nil {
				t.Fatal(err)
			}
			if got != string(expected) {
				t.Errorf("got\n%swant\n%s", got, expected)
			}
		})
	}
}

func TestAdviceComesWithItsPlace(t *testing.T) {
	src := `format: lastbolt access map 1
id: m
name: M
items:
  - id: shield
    name: Shield
    ways:
      - {id: w, minutes: {off: [1, 2, 3], on: [1, 2, 3]}, tools: [10 mm socket, ratchet wrench], fasteners: none}
      - {id: v, needs: [belt], minutes: {off: [1, 2, 3], on: [1, 2, 3]}, tools: [10 mm socket, ratchet wrnech, 13 mm socket], fasteners: none}
  - id: belt
    name: Belt
    critical: timing
    ways:
      - id: w
        needs: [shield]
        minutes: {off: 5, on: 5}
        tools: [ratchet wrench]
        fasteners: [{id: f, count: 1, thread: M8}, {id: g, count: 1, torque: {value: 8 N·m}}]
  - id: cover
    name: Cover
    ways: [{id: w, minutes: {off: [1, 2, 3], on: [1, 2, 3]}}]
`
	m, found := Review("m.yaml", []byte(src))
	want := `m.yaml:9:17: "Shield" (way "v") can never be used: what it needs asks for "shield" out of the way already: shield (way v) → belt → shield; change its needs, or take the way out
m.yaml:9:96: the tool "ratchet wrnech" is one letter away from "ratchet wrench"; write it the same way if it is the same tool
m.yaml:16:9: "Belt" has one figure for its minutes, as if they were certain; write low, likely and high, as in [3, 5, 9]
m.yaml:18:21: the torque of "f" is not known, and it matters for timing; look it up in the maker's document before a job
m.yaml:18:70: nothing says where the torque of "g" comes from, so it is never shown as a specification; add source: and one of maker's document, published table, own measurement, computed, common practice or not known
m.yaml:21:12: "Cover" does not say which fasteners it has; list them with their counts, or write fasteners: none`
	if got := found.Error(); got != want {
		t.Errorf("got\n%s\nwant\n%s", got, want)
	}
	if m == nil || len(found.Errors()) != 0 {
		t.Errorf("advice is taken for errors: %v", found.Errors())
	}
	if _, err := Parse("m.yaml", []byte(src)); err != nil {
		t.Errorf("Parse refuses a map with advice only: %v", err)
	}
}

func TestWorkThatNothingReachesIsAdvisedAbout(t *testing.T) {
	m := &Map{Format: Format, ID: "m", Name: "M", Items: []Item{
		{ID: "a", Name: "A", Ways: []Way{{ID: "w", Needs: []Need{{Item: "b"}}}}, Work: []Work{{Action: Replace}, {Action: Inspect, Needs: []Need{}}}},
		{ID: "b", Name: "B", Ways: []Way{{ID: "w", Needs: []Need{{Item: "a"}}}}},
	}}
	var got []string
	for _, p := range Check(m).Advice() {
		if strings.Contains(p.What, "work") {
			got = append(got, p.String())
		}
	}
	if len(got) != 1 || !strings.HasPrefix(got[0], `items[0].work[0]: the work "replace" on "A" can never be reached`) {
		t.Errorf("got %q", got)
	}
}

func TestReadingGoesOnAfterAFault(t *testing.T) {
	m, found := Review("m.yaml", []byte("format: lastbolt access map 1\nid: m\nname: [M]\nitems:\n  - {id: a, name: A, colour: red, ways: [{id: w, minutes: {off: 1, on: 2}}]}\n"))
	if len(found.Errors()) != 2 || m == nil || m.Item("a") == nil || m.Item("a").Ways[0].Minutes.On.High != 2 {
		t.Errorf("got %+v\n%v", m, found)
	}
}
