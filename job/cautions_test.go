package job

import (
	"slices"
	"testing"

	"lastbolt/plan/access"
)

// The check that is held speaks of the spring at hand: a map that says "spring"
// of a belt's way means the tensioner, of anything else a coil spring.
func TestTheSpringOfABeltIsItsTensioner(t *testing.T) {
	step := func(kind string) *Step {
		return &Step{ID: kind, Opens: true, Hazards: []string{"eyes", "spring"}, way: &access.Way{Opens: []access.Joint{{Kind: kind}}}}
	}
	s := &State{Steps: []*Step{step("belt"), step("suspension")}}
	for kind, want := range map[string]string{"belt": "tensioner", "suspension": "spring"} {
		var got []string
		for _, c := range s.Cautions(kind) {
			if c.HoldText() != "" {
				got = append(got, c.ID)
			}
		}
		if !slices.Equal(got, []string{want}) {
			t.Errorf("%s: held %q, want %q", kind, got, want)
		}
	}
}
