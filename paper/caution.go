package paper

import (
	"strings"

	"lastbolt/job"
)

// cautions are the panels of a step.
func (p *stepper) cautions(st *job.Step) []block {
	if len(st.Hazards) == 0 {
		return nil
	}
	return []block{p.framed(p.para(styleBold, "Take care: "+strings.Join(st.Hazards, ", "), p.inner()-4, 2), p.inner(), 0.6)}
}
