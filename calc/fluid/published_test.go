package fluid_test

import (
	"testing"

	"lastbolt/calc"
	"lastbolt/calc/fluid"
	"lastbolt/published"
)

func TestEveryPublishedValueIsMet(t *testing.T) {
	text, err := published.Open("fluid.yaml")
	if err != nil {
		t.Fatal(err)
	}
	checks, err := published.Read("fluid.yaml", text)
	if err != nil {
		t.Fatal(err)
	}
	registry := calc.NewRegistry(fluid.Group)
	for _, c := range checks {
		if o := published.Verify(registry, c); !o.Met {
			t.Errorf("fluid.yaml:%d: %s %s: got %q, want %q%s, off by %s", c.Line, c.Calculation, c.Output, o.Got, c.Expected, c.Refused, o.Off)
		}
	}
}
