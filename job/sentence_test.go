package job

import "testing"

// Two counts of one step are told apart, in the order of the step's page.
func TestCountsOfSeveralGroupsNameTheirPieces(t *testing.T) {
	screws, clips := Group{ID: "s-screws", Name: "Liner screws"}, Group{ID: "a-clips", Name: "Push clips"}
	b := &builder{byID: map[string]*Step{
		"two": {Name: "Arch liner, right", Opens: true, Groups: []Group{screws, clips}},
		"one": {Name: "Belt shield", Opens: true, Groups: []Group{screws}},
	}}
	for _, row := range []struct {
		done StepDone
		want string
	}{
		{StepDone{Step: "two", Counts: map[string]int{"a-clips": 1, "s-screws": 6}, Tray: "B"}, "Off: Arch liner, right, 6 liner screws out, 1 push clip out, tray B"},
		{StepDone{Step: "one", Counts: map[string]int{"s-screws": 3}}, "Off: Belt shield, 3 out"},
	} {
		if got := b.doneText(row.done, ""); got != row.want {
			t.Errorf("got %q, want %q", got, row.want)
		}
	}
}

func TestAJobIsNamedAfterAllThatIsToBeDone(t *testing.T) {
	cooler, belt, hose := Target{Name: "Oil cooler", Action: "reseal"}, Target{Name: "Drive belt", Action: "replace"}, Target{Item: "hose"}
	for _, row := range []struct {
		complaint string
		targets   []Target
		want      string
	}{
		{"Oil leak", nil, "Oil leak"},
		{"Oil leak", []Target{cooler}, "Oil cooler: reseal"},
		{"Oil leak", []Target{cooler, belt}, "Oil cooler: reseal, Drive belt: replace"},
		{"Oil leak", []Target{belt, cooler, hose}, "Drive belt: replace and 2 more"},
		{"Oil leak", []Target{{Name: "Oil leak"}}, "Oil leak"},
	} {
		b := &builder{s: &State{Complaint: row.complaint, Targets: row.targets}}
		if got := b.title(); got != row.want {
			t.Errorf("got %q, want %q", got, row.want)
		}
	}
}
