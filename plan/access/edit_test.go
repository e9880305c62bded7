package access

import (
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"
)

func starter(t failer, ids ...string) *Map {
	t.Helper()
	m, err := FromStarter(ids...)
	if err != nil {
		t.Fatal(err)
	}
	return m
}

func TestStarters(t *testing.T) {
	want := []string{"accessory-drive", "brake-corner", "cooling", "oil-filter", "starter-alternator", "suspension-arm", "valve-cover-ignition"}
	var got []string
	for _, s := range Starters() {
		got = append(got, s.ID)
		if s.Items < 8 || s.Items > 20 || s.Name == "" || s.About == "" {
			t.Errorf("starter %+v", s)
		}
	}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Error(diff)
	}
	for _, m := range loadStarters() {
		src, err := starterFiles.ReadFile("starters/" + m.ID + ".yaml")
		if err != nil {
			t.Fatal(err)
		}
		if string(m.Encode()) != string(src) {
			t.Errorf("%s.yaml is not written as Encode writes it:\n%s", m.ID, cmp.Diff(string(src), string(m.Encode())))
		}
		sameAfterWriting(t, m)
		if !strings.HasSuffix(m.About, starterNote) {
			t.Errorf("%s: about does not say what a starter is", m.ID)
		}
		noSpecification(t, m)
		for _, p := range Check(m) {
			if !strings.Contains(p.What, "torque") || !strings.Contains(p.What, "is not known") {
				t.Errorf("%s: %v", m.ID, p)
			}
		}
	}
}

// noSpecification checks that a starter states no value that only the maker's
// document can give.
func noSpecification(t *testing.T, m *Map) {
	for _, it := range m.Items {
		for _, w := range it.Ways {
			for _, f := range w.Fasteners.Items {
				if !f.Torque.Value.IsZero() || f.Thread != "" || !f.Length.IsZero() || f.Class != "" {
					t.Errorf("%s: %s: fastener %s has a value", m.ID, it.ID, f.ID)
				}
			}
			for _, f := range w.Fluids.Items {
				if !f.Amount.IsZero() {
					t.Errorf("%s: %s: %s has an amount", m.ID, it.ID, f.Name)
				}
			}
		}
		for _, w := range it.Work {
			for _, test := range w.Tests {
				if test.Low != nil || test.High != nil {
					t.Errorf("%s: %s: the test %s has limits", m.ID, it.ID, test.Name)
				}
			}
		}
	}
}

func TestStartersSayTheSameOfWhatTheyShare(t *testing.T) {
	ways := map[string]Way{}
	for _, m := range loadStarters() {
		for _, it := range m.Items {
			for _, w := range it.Ways {
				key := it.ID + "/" + w.ID
				if first, ok := ways[key]; ok {
					if diff := cmp.Diff(first, w, sameQuantity); diff != "" {
						t.Errorf("%s: %s differs from an earlier starter:\n%s", m.ID, key, diff)
					}
				}
				ways[key] = w
			}
		}
	}
}

func TestSeveralStartersMakeOneMap(t *testing.T) {
	var all []string
	sum := 0
	for _, s := range Starters() {
		all = append(all, s.ID)
		sum += s.Items
	}
	m := starter(t, append(all, all[0])...)
	sameAfterWriting(t, m)
	if errs := Check(m).Errors(); len(errs) > 0 {
		t.Errorf("faulty:\n%v", errs)
	}
	raised := 0
	for _, it := range m.Items {
		if it.ID == "raised" {
			raised++
		}
	}
	if raised != 1 || len(m.Items) >= sum || len(m.Positions) != 4 {
		t.Errorf("%d items of %d, raised %d times, %d positions", len(m.Items), sum, raised, len(m.Positions))
	}
	if got := len(m.Item("pump-pulley").Ways); got != 2 {
		t.Errorf("the pulley has %d ways, want those of both starters", got)
	}
	if strings.Count(m.About, starterNote) != 1 {
		t.Errorf("about repeats itself: %s", m.About)
	}
	if _, err := FromStarter("coolling"); err == nil || !strings.Contains(err.Error(), `did you mean "cooling"?`) {
		t.Errorf("got %v", err)
	}
	if _, err := FromStarter(); err == nil {
		t.Error("no starter at all is accepted")
	}
}

func TestRemoveRefusesWhileSomethingMentionsTheItem(t *testing.T) {
	m := starter(t, "accessory-drive")
	err := m.Remove("belt")
	if want := `"Accessory belt" is still mentioned by "Belt tensioner", "Alternator", "Idler pulley" and 5 more; change those first`; err == nil || err.Error() != want {
		t.Errorf("got  %v\nwant %s", err, want)
	}
	if err := m.Remove("blet"); err == nil || !strings.Contains(err.Error(), `did you mean "belt"`) {
		t.Errorf("got %v", err)
	}
	n := len(m.Items)
	if err := m.Remove("compressor"); err != nil || m.Item("compressor") != nil || len(m.Items) != n-1 {
		t.Errorf("got %v, %d items", err, len(m.Items))
	}
}

func TestRenameReachesEveryMention(t *testing.T) {
	m := starter(t, "accessory-drive", "brake-corner")
	before := 0
	for r := range m.Refs() {
		if r.To == "wheel" {
			before++
		}
	}
	if err := m.Rename("wheel", "wheel-left"); err != nil {
		t.Fatal(err)
	}
	after := 0
	for r := range m.Refs() {
		switch r.To {
		case "wheel":
			t.Errorf("%+v still says wheel", r)
		case "wheel-left":
			after++
		}
	}
	if before == 0 || before != after {
		t.Errorf("%d mentions before, %d after", before, after)
	}
	if errs := Check(m).Errors(); len(errs) > 0 {
		t.Errorf("faulty:\n%v", errs)
	}
	for _, bad := range [][2]string{{"wheel", "x"}, {"belt", "raised"}, {"belt", "a b"}} {
		if err := m.Rename(bad[0], bad[1]); err == nil {
			t.Errorf("renaming %s to %s is accepted", bad[0], bad[1])
		}
	}
}

func TestNewID(t *testing.T) {
	m := &Map{Items: []Item{{ID: "air-box"}, {ID: "item"}, {ID: "item-2"}}}
	tests := []struct{ name, want string }{
		{"Air box", "air-box-2"},
		{"  Bolt M8×1,25 (left) ", "bolt-m8-1-25-left"},
		{"Kühlerlüfter", "kühlerlüfter"},
		{"Воздушный фильтр", "воздушный-фильтр"},
		{"غطاء المحرك", "غطاء-المحرك"},
		{"エアボックス", "エアボックス"},
		{"हवा", "हवा"},
		{"🔧", "item-3"},
		{"❤️ hose", "hose"},
		{"", "item-3"},
		{strings.Repeat("long name ", 20), "long-name-long-name-long-name-long-name-long-name"},
	}
	for _, tt := range tests {
		if got := m.NewID(tt.name); got != tt.want {
			t.Errorf("NewID(%q) = %q, want %q", tt.name, got, tt.want)
		}
	}
}

func TestNewIDIsAlwaysValidAndNew(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		m := &Map{}
		for range 4 {
			name := rapid.String().Draw(t, "name")
			id := m.NewID(name)
			if !validID(id) || m.Item(id) != nil {
				t.Fatalf("NewID(%q) = %q", name, id)
			}
			m.Put(Item{ID: id})
		}
	})
}

func TestSearch(t *testing.T) {
	m := starter(t, "accessory-drive")
	tests := []struct{ text, first string }{
		{"accessory", "belt"},
		{"belt", "belt"}, // by its id, before the tensioner by its name
		{"alternator cab", "alternator-cables"},
		{"CHARGE", "alternator-cables"},
		{"kinks", "compressor"},
		{"recovery unit", "compressor"},
		{"zzz", ""},
	}
	for _, tt := range tests {
		got := m.Search(tt.text)
		switch {
		case tt.first == "" && len(got) > 0:
			t.Errorf("Search(%q) found %s", tt.text, got[0].ID)
		case tt.first != "" && (len(got) == 0 || got[0].ID != tt.first):
			t.Errorf("Search(%q) = %v, want %s first", tt.text, got, tt.first)
		}
	}
	if got := m.Search("  "); len(got) != len(m.Items) {
		t.Errorf("an empty search gives %d of %d", len(got), len(m.Items))
	}
}

func TestACloneSharesNothing(t *testing.T) {
	m := starter(t, "cooling")
	c := m.Clone()
	if diff := cmp.Diff(m, c, sameQuantity); diff != "" {
		t.Fatal(diff)
	}
	c.Items[0].Ways[0].Tools.Items[0].Any[0] = "changed"
	if m.Items[0].Ways[0].Tools.Items[0].Any[0] == "changed" {
		t.Error("the clone shares its tools")
	}
}

func TestMergeKeepsWhatIsThereAndRefusesAClash(t *testing.T) {
	m := &Map{Items: []Item{{ID: "belt", Name: "Mine", Ways: []Way{{ID: "a", Notes: "mine"}}}}}
	o := &Map{Items: []Item{{ID: "belt", Name: "Other", Area: "front", Ways: []Way{{ID: "a", Notes: "other"}, {ID: "b", Notes: "mine"}, {ID: "c", Notes: "new"}}}}}
	if err := m.Merge(o); err != nil {
		t.Fatal(err)
	}
	it := m.Item("belt")
	if it.Name != "Mine" || it.Area != "front" || it.Way("a").Notes != "mine" || it.Way("b") != nil || it.Way("c") == nil {
		t.Errorf("got %+v", it)
	}
	if err := m.Merge(&Map{Items: []Item{{ID: "new"}, {ID: "belt", Kind: Condition}}}); err == nil || m.Item("new") != nil {
		t.Errorf("a part and a condition of one id: %v, %d items", err, len(m.Items))
	}
}
