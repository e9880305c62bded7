package coolant_test

import (
	"testing"

	"lastbolt/calc"
	"lastbolt/calc/coolant"
	"lastbolt/published"
)

func TestEveryPublishedValueIsMet(t *testing.T) {
	text, err := published.Open("coolant.yaml")
	if err != nil {
		t.Fatal(err)
	}
	checks, err := published.Read("coolant.yaml", text)
	if err != nil {
		t.Fatal(err)
	}
	registry := calc.NewRegistry(coolant.Group)
	for _, c := range checks {
		if o := published.Verify(registry, c); !o.Met {
			t.Errorf("coolant.yaml:%d: %s %s: got %q, want %q%s, off by %s", c.Line, c.Calculation, c.Output, o.Got, c.Expected, c.Refused, o.Off)
		}
	}
}
