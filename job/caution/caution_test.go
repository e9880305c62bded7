package caution_test

import (
	"strings"
	"testing"

	"lastbolt/job/caution"
	"lastbolt/plan/access"
)

// triggers are those that maps and steps may name.
var triggers = strings.Fields("jack alone heavy coolant battery airbag aircon dust fuel running highvoltage spring tensioner wheel brake eyes chemicals fluids hot road")

func TestEveryTriggerHasItsCaution(t *testing.T) {
	for _, id := range triggers {
		got := caution.For(id)
		if len(got) != 1 || got[0].ID != id || !caution.Known(id) {
			t.Errorf("For(%q) = %v, want one caution", id, got)
		}
	}
	if n := len(caution.All()); n != len(triggers) {
		t.Errorf("%d cautions, want %d", n, len(triggers))
	}
}

func TestTheHighestWordComesFirst(t *testing.T) {
	var got []string
	for _, c := range caution.For("fluids", "hot", "coolant", "jack", "nothing of ours", "coolant") {
		got = append(got, string(c.Word))
	}
	if want := "DANGER WARNING CAUTION NOTICE"; strings.Join(got, " ") != want {
		t.Errorf("words %v, want %s", got, want)
	}
}

func TestOnlyDangerIsHeldWithItsCheckStated(t *testing.T) {
	for _, c := range caution.All() {
		if (c.Word == caution.Danger) != (c.HoldText() != "") {
			t.Errorf("%s: word %s, check %q", c.ID, c.Word, c.HoldText())
		}
		if strings.Contains(c.SourceText(), "()") || c.SourceText() == "" {
			t.Errorf("%s: source %q", c.ID, c.SourceText())
		}
	}
}

func TestJointsThatHurtHaveACaution(t *testing.T) {
	for _, kind := range []string{"coolant", "oil", "fuel", "brake fluid", "refrigerant", "exhaust", "wheel", "brake", "airbag"} {
		ids := caution.OfJoint(kind)
		if len(ids) == 0 || len(caution.For(ids...)) != len(ids) {
			t.Errorf("joint %q has cautions %v", kind, ids)
		}
	}
	known := map[string]bool{}
	for _, k := range access.JointKinds {
		known[k] = true
	}
	for _, c := range caution.All() {
		for _, k := range c.Joints {
			if !known[k] {
				t.Errorf("%s names the joint %q, which maps do not know", c.ID, k)
			}
		}
	}
}
