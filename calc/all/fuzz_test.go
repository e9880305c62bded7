package all_test

import (
	"maps"
	"strings"
	"testing"

	"lastbolt/calc"
	"lastbolt/calc/all"
)

// FuzzAnyTextIsReadOrRefused gives any calculation any text for one of its
// inputs, the others as in its example: it answers, or says what is wrong.
func FuzzAnyTextIsReadOrRefused(f *testing.F) {
	var definitions []*calc.Definition
	for _, g := range all.Registry().Groups() {
		definitions = append(definitions, g.Calculations()...)
	}
	for i, d := range definitions {
		for name, text := range d.Example {
			f.Add(uint16(i), name, text)
			f.Add(uint16(i), name, "1e400 "+text)
			break
		}
	}
	f.Fuzz(func(t *testing.T, n uint16, name, text string) {
		d := definitions[int(n)%len(definitions)]
		given := maps.Clone(d.Example)
		given[name] = text
		out, err := d.Run(given)
		switch {
		case err == nil && out == nil:
			t.Fatalf("%s with %s = %q gives nothing", d.Name, name, text)
		case err != nil && (out != nil || len(strings.TrimSpace(err.Error())) < 10):
			t.Fatalf("%s with %s = %q: %v", d.Name, name, text, err)
		}
	})
}
