package published_test

import (
	"testing"

	"lastbolt/calc/all"
	"lastbolt/fault"
	"lastbolt/published"
)

func TestBundledChecksAreMet(t *testing.T) {
	registry := all.Registry()
	for _, name := range published.Bundled() {
		t.Run(name, func(t *testing.T) {
			text, err := published.Open(name)
			if err != nil {
				t.Fatal(err)
			}
			checks, err := published.Read(name, text)
			if err != nil {
				t.Fatal(fault.Say(err))
			}
			for _, c := range checks {
				if out := published.Verify(registry, c); !out.Met {
					t.Errorf("%s:%d: %s %v %s: got %s, want %s%s within %s (%s): %s", name, c.Line,
						c.Calculation, c.Inputs, c.Output, out.Got, c.Expected, c.Refused, c.Tolerance, c.Source, out.Off)
				}
			}
			t.Logf("%d checks", len(checks))
		})
	}
}
