package web

import (
	"strings"
	"testing"

	"lastbolt/job"
	"lastbolt/plan/access"
	"lastbolt/plan/opening"
)

// The plan's page names each step that is waited for, how long, and what the
// hands do meanwhile; a plan that never waits has no such card.
func TestThePlanSaysWhatAWaitIsUsedFor(t *testing.T) {
	m := &access.Map{Positions: []access.Position{{ID: "below", Name: "From below"}}}
	step := func(name string, planned *opening.Step) *job.Step {
		return &job.Step{ID: "down/x", Name: name, Phase: opening.Down, Opens: true, Planned: planned}
	}
	for name, tt := range map[string]struct {
		step *job.Step
		want string // what stands beneath, "" for no line
	}{
		"place and tool":     {step("Cover", &opening.Step{Idle: 15, AheadHands: "below", AheadTool: "13 mm socket"}), "meanwhile change place: From below, take the 13 mm socket"},
		"tool only":          {step("Cover", &opening.Step{Idle: 15, AheadTool: "13 mm socket"}), "meanwhile take the 13 mm socket"},
		"nothing":            {step("Cover", &opening.Step{Idle: 15}), "nothing else is left to do meanwhile"},
		"no wait":            {step("Cover", &opening.Step{}), ""},
		"no plan foresaw it": {step("Cover", nil), ""},
	} {
		t.Run(name, func(t *testing.T) {
			c := waitsCard(&job.State{Steps: []*job.Step{tt.step}}, m)
			if tt.want == "" {
				if len(c.Lines) != 0 {
					t.Fatalf("got %+v, want no line", c.Lines)
				}
				return
			}
			if len(c.Lines) != 1 || c.Lines[0].Beneath != tt.want || c.Lines[0].Tag != "wait 15 min" || !strings.Contains(c.Lines[0].Name, "Cover") {
				t.Fatalf("got %+v, want one line of the cover, 15 min, %q", c.Lines, tt.want)
			}
		})
	}
}
