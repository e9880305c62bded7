package job

import (
	"testing"

	"lastbolt/plan/access"
)

// Wheel nuts are cracked on the ground, come out with the wheel, and are
// tightened once: on the ground.
func TestPiecesCrackedByAnotherItemAreProvedTightOnce(t *testing.T) {
	nuts := func(loosen bool) []Group {
		return []Group{{ID: "n", Name: "Wheel nuts", Want: 5, Loosen: loosen, Fastener: access.Fastener{Thread: "M12x1.5"}}}
	}
	crack := &cycle{item: "nuts", down: &Step{Name: "Wheel nuts", Groups: nuts(true), way: &access.Way{}}}
	wheel := &cycle{item: "wheel", down: &Step{Name: "Wheel", Groups: nuts(false), way: &access.Way{Needs: []access.Need{{Item: "nuts"}}}}, up: &Step{}}
	other := &cycle{item: "other", down: &Step{Name: "Other wheel", Groups: nuts(false), way: &access.Way{}}}
	var got []string
	for _, test := range testsOf(&State{}, []*cycle{crack, wheel, other}, nil) {
		got = append(got, test.ID)
	}
	if len(got) != 2 || got[0] != "tight/nuts/n" || got[1] != "tight/other/n" {
		t.Errorf("got %q, want one test of the nuts, and one of the wheel whose nuts nobody cracked", got)
	}
}
