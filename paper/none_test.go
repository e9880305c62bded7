package paper

import (
	"testing"

	"lastbolt/fault"
	"lastbolt/garage"
)

// A paper that would say nothing, or something wrong, is refused in a sentence.
func TestNoPaperIsMadeOfNothing(t *testing.T) {
	for _, c := range []struct {
		kind string
		job  *jobMaker
		want bool
	}{
		{"tag", finished(t), false}, {"tag", halfApart(t), true},
		{"belt", halfApart(t), false}, {"boltcard", halfApart(t), false},
		{"record", finished(t), true},
	} {
		pdf, err := Print(c.kind, "", c.job.state(), garage.Shelf{}, Options{})
		if c.want && (err != nil || len(pdf) == 0) || !c.want && !fault.Is(err, fault.NotFound) {
			t.Errorf("%s: %d bytes, %v", c.kind, len(pdf), err)
		}
	}
}
