package access

import (
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"
)

func TestAnyMapSurvivesWriting(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		m := drawMap(t)
		if errs := Check(m).Errors(); len(errs) > 0 {
			t.Fatalf("the drawn map is faulty:\n%v", errs)
		}
		sameAfterWriting(t, m)
	})
}

func FuzzParse(f *testing.F) {
	for _, pattern := range []string{"testdata/broken/*.yaml", "starters/*.yaml", "../../demo/*.yaml"} {
		files, _ := filepath.Glob(pattern)
		for _, file := range files {
			src, err := os.ReadFile(file)
			if err != nil {
				f.Fatal(err)
			}
			f.Add(src)
		}
	}
	f.Fuzz(func(t *testing.T, src []byte) {
		m, err := Parse("f.yaml", src)
		if err == nil {
			sameAfterWriting(t, m)
			return
		}
		for _, p := range err.(Problems) {
			if p.Line < 1 || p.Column < 1 || p.What == "" || p.Mend == "" || strings.ContainsAny(p.What+p.Mend, "\n\r") {
				t.Fatalf("incomplete problem: %+v", p)
			}
		}
	})
}

// randomTangle draws a small map of items that need each other in any
// direction.
func randomTangle(rng *rand.Rand) *Map {
	m := &Map{Format: Format, ID: "m", Name: "M"}
	n := 2 + rng.IntN(6)
	for i := range n {
		it := Item{ID: fmt.Sprint("i", i), Name: "I"}
		for j := range 1 + rng.IntN(2) {
			w := Way{ID: fmt.Sprint("w", j)}
			for range rng.IntN(3) {
				need := Need{Item: fmt.Sprint("i", rng.IntN(n))}
				if rng.IntN(4) == 0 {
					need.Way = "w0"
				}
				if rng.IntN(3) == 0 {
					need = Need{Any: []Need{need, {All: []Need{{Item: fmt.Sprint("i", rng.IntN(n))}, {Item: fmt.Sprint("i", rng.IntN(n))}}}}}
				}
				w.Needs = append(w.Needs, need)
			}
			it.Ways = append(it.Ways, w)
		}
		m.Items = append(m.Items, it)
	}
	return m
}

// slowReach is the obvious twin: repeat until nothing new comes off.
func slowReach(m *Map, barred string) map[string]bool {
	off := map[string]bool{} // "item" and "item/way"
	var holds func(n *Need) bool
	holds = func(n *Need) bool {
		switch {
		case n.Item != "" && n.Way != "":
			return n.Item != barred && off[n.Item+"/"+n.Way]
		case n.Item != "":
			return off[n.Item]
		case len(n.Any) > 0:
			for i := range n.Any {
				if holds(&n.Any[i]) {
					return true
				}
			}
			return false
		}
		for i := range n.All {
			if !holds(&n.All[i]) {
				return false
			}
		}
		return true
	}
	for changed := true; changed; {
		changed = false
		for i := range m.Items {
			for j := range m.Items[i].Ways {
				w := &m.Items[i].Ways[j]
				key := m.Items[i].ID + "/" + w.ID
				if !off[key] && holds(&Need{All: w.Needs}) {
					off[key], changed = true, true
					if m.Items[i].ID != barred {
						off[m.Items[i].ID] = true
					}
				}
			}
		}
	}
	return off
}

func TestWhatCanComeOffAgreesWithTheObviousTwin(t *testing.T) {
	for seed := range uint64(3000) {
		m := randomTangle(rand.New(rand.NewPCG(seed, 1)))
		items := map[string]int{}
		for i := range m.Items {
			items[m.Items[i].ID] = i
		}
		r := newReach(m, items)
		all := slowReach(m, "")
		circles := Check(m).Errors()
		stuck := 0
		for i := range m.Items {
			for j := range m.Items[i].Ways {
				key := m.Items[i].ID + "/" + m.Items[i].Ways[j].ID
				if r.open[r.ways[i][j]] != all[key] {
					t.Fatalf("seed %d: %s: got %v, want %v\n%s", seed, key, !all[key], all[key], m.Encode())
				}
				if !all[key] {
					stuck++
				}
				for barred := range m.Items {
					want := slowReach(m, m.Items[barred].ID)[key]
					if got, ok := r.passableWithout(r.ways[i][j], int32(barred)); !ok || got != want {
						t.Fatalf("seed %d: %s without %s: got %v, want %v\n%s", seed, key, m.Items[barred].ID, got, want, m.Encode())
					}
				}
			}
		}
		if (stuck > 0) != (len(circles) > 0) {
			t.Fatalf("seed %d: %d ways are stuck, and the errors are:\n%v\n%s", seed, stuck, circles, m.Encode())
		}
	}
}

func generated(n int, needs func(i int) string) []byte {
	var b strings.Builder
	b.WriteString("format: " + Format + "\nid: big\nname: Big\nitems:\n")
	for i := range n {
		fmt.Fprintf(&b, "  - id: item-%d\n    name: Item %d\n    ways: [{id: w, fasteners: none, minutes: {off: [1, 2, 3], on: 1}%s}]\n", i, i, needs(i))
	}
	return []byte(b.String())
}

// One whose reading grew with the square of its size would not end within the
// time that a run of tests has.
func TestLargeFilesAreReadOrRefused(t *testing.T) {
	if testing.Short() {
		t.Skip("reads 30 MB of files")
	}
	chain := func(i int) string {
		if i == 0 {
			return ""
		}
		return fmt.Sprintf(", needs: [item-%d]", i-1)
	}
	tests := []struct {
		name string
		src  []byte
		want string // part of the error; "" for none
	}{
		{"20,000 items in one chain", generated(MaxItems, chain), ""},
		{"100,000 items", generated(100_000, chain), "MB a map may have"},
		{"100,000 items in as few bytes as can be", []byte("format: " + Format + "\nid: m\nname: M\nitems: [" + strings.Repeat("{id: a, name: A},", 100_000) + "]\n"), "more than the 20000"},
		{"4,000 unknown items", generated(4000, func(i int) string { return fmt.Sprintf(", needs: [itme-%d]", i) }), "not an item"},
		{"20,000 items in one circle", generated(MaxItems, func(i int) string { return fmt.Sprintf(", needs: [item-%d]", (i+1)%MaxItems) }), "circular need"},
		{"4,000 behind one circle", generated(4000, func(i int) string { return fmt.Sprintf(", needs: [item-%d]", max(1, i)-1) }), "needs itself"},
		{"4,000, each with the next still fitted", generated(4000, func(i int) string { return chain(i) + fmt.Sprintf(", still: [item-%d]", (i+1)%4000) }), "is to be still fitted"},
		{"4 MB of opening brackets", []byte(strings.Repeat("[", MaxBytes)), "nested"},
		{"4 MB of dashes", []byte(strings.Repeat("- ", MaxBytes/2)), "nested"},
		{"4 MB of one line", []byte("name: " + strings.Repeat("a", MaxBytes-10)), "longer than"},
		{"4 MB of colons", []byte(strings.Repeat("a: ", MaxBytes/3)), "a second colon"},
		{"4 MB of blank lines in a text", []byte("about: |\n a" + strings.Repeat("\n", MaxBytes-20) + " b\n"), "blank lines"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			start := time.Now()
			_, err := Parse("big.yaml", tt.src)
			t.Logf("%d bytes in %v", len(tt.src), time.Since(start))
			if tt.want != "" && (err == nil || !strings.Contains(err.Error(), tt.want)) {
				t.Errorf("got %.500v, want an error with %q", err, tt.want)
			}
			if err != nil {
				t.Logf("%.300v", err)
			}
		})
	}
}
