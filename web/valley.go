package web

import (
	"lastbolt/job"
	"lastbolt/web/draw"
	"lastbolt/web/valley"
)

// valleyOf is the picture of a job: each knot leads to its step's own page.
func valleyOf(s *job.State) draw.Valley {
	return valley.Of(s, stepTitle, func(st *job.Step) string { return stepURL(s.ID, st.ID) })
}
