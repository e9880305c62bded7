package calc

import "testing"

func TestWhatWasAskedIsShownWithItsUnit(t *testing.T) {
	for _, c := range []struct {
		a    Asked
		want string
	}{
		{Asked{Input: Input{Kind: Number, Unit: "%"}, Text: "90"}, "90 %"},
		{Asked{Input: Input{Kind: Number, Unit: "%"}}, ""},
		{Asked{Input: Input{Kind: "torque", Unit: "N·m"}, Text: "25 N·m"}, "25 N·m"},
		{Asked{Input: Input{Kind: Choice, Choices: []Option{{"nbr", "nitrile"}}}, Text: "nbr"}, "nitrile"},
	} {
		if got := c.a.Show(); got != c.want {
			t.Errorf("%q is shown as %q, not %q", c.a.Text, got, c.want)
		}
	}
}
