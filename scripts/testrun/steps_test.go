package main

import (
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
)

func TestChooseTakesDefaultsOrNames(t *testing.T) {
	all := []step{{name: "a"}, {name: "b"}, {name: "c", extra: true}}
	tests := []struct {
		name string
		args []string
		want string
	}{
		{"no name: all but the extra ones", nil, "a b"},
		{"names: in the table's order", []string{"c", "a"}, "a c"},
	}
	for _, test := range tests {
		t.Run(test.name, func(t *testing.T) {
			chosen, err := choose(all, test.args)
			if err != nil {
				t.Fatal(err)
			}
			var names []string
			for _, s := range chosen {
				names = append(names, s.name)
			}
			if got := strings.Join(names, " "); got != test.want {
				t.Errorf("got %q, want %q", got, test.want)
			}
		})
	}
	if _, err := choose(all, []string{"d"}); err == nil || !strings.Contains(err.Error(), `"d"`) {
		t.Errorf("an unknown step gave %v, want an error naming it", err)
	}
}

func TestEveryDefaultStepIsAMakeTarget(t *testing.T) {
	makefile, err := os.ReadFile("../../Makefile")
	if err != nil {
		t.Fatal(err)
	}
	for _, s := range steps() {
		if !strings.Contains(string(makefile), "\n"+s.name+": ") {
			t.Errorf("the Makefile has no target %q", s.name)
		}
	}
}

func TestInRooms(t *testing.T) {
	tests := []struct {
		path string
		want bool
	}{
		{"lastbolt/web", true},
		{"lastbolt/web/ui", true},
		{"lastbolt/webs", false},
		{"lastbolt/cmd/web", false},
	}
	for _, test := range tests {
		if got := inRooms(test.path, []string{"web"}); got != test.want {
			t.Errorf("inRooms(%q) = %v, want %v", test.path, got, test.want)
		}
	}
}

func TestFingerprintsSeeEveryKindOfChange(t *testing.T) {
	dir := t.TempDir()
	write := func(name, text string) {
		t.Helper()
		path := filepath.Join(dir, filepath.FromSlash(name))
		if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(path, []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	prints := func() map[string]fingerprint {
		t.Helper()
		p, err := fingerprints(dir, func(path string) bool { return strings.HasSuffix(path, "_templ.go") })
		if err != nil {
			t.Fatal(err)
		}
		return p
	}
	write("same_templ.go", "a")
	write("sub/gone_templ.go", "a")
	write("sub/edited_templ.go", "a")
	write("other.go", "a")
	before := prints()
	if len(before) != 3 {
		t.Fatalf("%d files fingerprinted, want 3", len(before))
	}
	write("sub/edited_templ.go", "b")
	write("new_templ.go", "b")
	write("other.go", "b")
	write(".cache/hidden_templ.go", "b")
	if err := os.Remove(filepath.Join(dir, "sub", "gone_templ.go")); err != nil {
		t.Fatal(err)
	}
	want := []string{"new_templ.go", "sub/edited_templ.go", "sub/gone_templ.go"}
	if got := differing(before, prints()); !slices.Equal(got, want) {
		t.Errorf("changed files %v, want %v", got, want)
	}
}

func TestAptLineNamesEachPackageOnce(t *testing.T) {
	missing := missingNeeds(func(program string) bool { return !strings.HasPrefix(program, "pdf") })
	if len(missing) != 2 {
		t.Fatalf("%d needs missing, want the two of poppler-utils", len(missing))
	}
	if line := aptLine(missing); strings.Count(line, "poppler-utils") != 1 {
		t.Errorf("poppler-utils is not named exactly once in %q", line)
	}
}
