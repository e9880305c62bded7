package all_test

import (
	"testing"

	"lastbolt/calc/all"
)

// Definitions are made late, so a mistake in one would show only on its page.
func TestEveryCalculationIsSoundAndHasANameOfItsOwn(t *testing.T) {
	seen := map[string]string{}
	for _, g := range all.Registry().Groups() {
		if len(g.Calculations()) == 0 { // and each is checked when it is made
			t.Errorf("the group %q is empty", g.Name)
		}
		for _, d := range g.Calculations() {
			if other, twice := seen[d.Name]; twice {
				t.Errorf("%q is in %q and in %q", d.Name, other, g.Name)
			}
			seen[d.Name] = g.Name
		}
	}
}
