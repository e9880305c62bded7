package phone

import "testing"

func TestWhatAPhoneTakesInIsSaidBeforeItDoes(t *testing.T) {
	const rest = " The photos of jobs in hand come on top; those of released jobs stay on the computer until they are looked at."
	for want, h := range map[string]Holding{
		"": {},
		"Then it takes in all that is on the computer: 1 job, in a database of 0.2 MB." + rest:                        {Jobs: 1, InHand: 1, Bytes: 200_000},
		"Then it takes in all that is on the computer: 312 jobs, 9 of them in hand, in a database of 48.0 MB." + rest: {Jobs: 312, InHand: 9, Bytes: 48_000_000},
	} {
		if got := h.text(); got != want {
			t.Errorf("%+v: %q, want %q", h, got, want)
		}
	}
}
