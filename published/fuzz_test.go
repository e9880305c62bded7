package published_test

import (
	"testing"

	"lastbolt/calc/all"
	"lastbolt/published"
)

func FuzzReadNeverPanics(f *testing.F) {
	f.Add("- calculation: convert\n  inputs: {value: 1 in, quantity: length, to: mm}\n  expected: 25.4\n  tolerance: 1 %\n  source: s\n  known: published\n")
	f.Add("- calculation: convert\n  inputs: {value: [1, 2]}\n  output: result[2].x.low\n  refused: no\n  source: s\n  known: from memory\n")
	f.Add("{}")
	f.Add("- - -")
	registry := all.Registry()
	f.Fuzz(func(t *testing.T, text string) {
		checks, err := published.Read("f.yaml", []byte(text))
		if err != nil {
			return
		}
		for _, c := range checks {
			if out := published.Verify(registry, c); out.Met && c.Source == "" {
				t.Errorf("a check without a source is met: %+v", c)
			}
		}
	})
}
