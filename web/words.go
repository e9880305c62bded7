package web

import (
	"fmt"
	"math"
	"net/url"
	"strings"
	"time"

	"lastbolt/job"
	"lastbolt/plan/access"
	"lastbolt/plan/opening"
	"lastbolt/web/parts"
)

// stepURL is the page of one step. Step ids hold slashes, so they travel as a
// query and not as a path.
func stepURL(jobID, stepID string) string {
	return "/jobs/" + url.PathEscape(jobID) + "/step?id=" + url.QueryEscape(stepID)
}

func jobURL(jobID, rest string) string {
	u := "/jobs/" + url.PathEscape(jobID)
	if rest != "" {
		u += "/" + rest
	}
	return u
}

// minutesText prints minutes as a person says them: "45 s", "12 min",
// "1 h 05 min".
func minutesText(m float64) string {
	switch {
	case m <= 0:
		return "0 min"
	case m < 1:
		return fmt.Sprintf("%.0f s", math.Round(m*60))
	case m < 60:
		return fmt.Sprintf("%.0f min", math.Round(m))
	}
	whole := int(math.Round(m))
	return fmt.Sprintf("%d h %02d min", whole/60, whole%60)
}

// when prints an instant for a list: the day and the time, in the host's zone.
func (h *Host) when(t time.Time) string {
	if t.IsZero() {
		return ""
	}
	return t.In(h.zone()).Format("2 Jan 2006, 15:04")
}

func (h *Host) day(t time.Time) string {
	if t.IsZero() {
		return ""
	}
	return t.In(h.zone()).Format("2 Jan 2006")
}

func plural(n int, one, many string) string {
	if n == 1 {
		return fmt.Sprintf("%d %s", n, one)
	}
	return fmt.Sprintf("%d %s", n, many)
}

func sourceOf(s access.Source) parts.Source {
	switch s {
	case access.Maker:
		return parts.Maker
	case access.Published:
		return parts.Published
	case access.Measured:
		return parts.Measured
	case access.Computed:
		return parts.Computed
	case access.CommonPractice:
		return parts.Practice
	}
	return parts.Unknown
}

// stepTitle is a step's name as something to do: what is filled, what ends.
func stepTitle(st *job.Step) string {
	switch {
	case st.Fluid != "":
		return "Fill: " + st.Name
	case st.Closes && st.Condition:
		return "End: " + st.Name
	case st.Loosens():
		return st.Verb() + ": " + st.Name
	}
	return st.Name
}

// place is the one line above a step's name: "5 of 7 down · from above".
func place(s *job.State, st *job.Step) string {
	n, total := 0, 0
	for _, other := range s.Steps {
		if other.Phase != st.Phase {
			continue
		}
		total++
		if other.ID == st.ID {
			n = total
		}
	}
	word := map[opening.Phase]string{opening.Down: "down", opening.Bottom: "at the bottom", opening.Up: "up"}[st.Phase]
	line := fmt.Sprintf("%d of %d %s", n, total, word)
	if st.Unplanned && s.Plan != nil {
		line += " · not in the plan"
	}
	return line
}

// fastenerWord names the pieces of a group as a hand counts them.
func fastenerWord(g job.Group, n int) string { return job.PiecesWord(g.Name, n) }

// groupText is what was counted of a group: "4 wheel nuts", and that they were
// left in where they were only cracked.
func groupText(g job.Group) string {
	text := fmt.Sprintf("%d %s", g.Out, fastenerWord(g, g.Out))
	if g.Loosen {
		text += " loosened"
	}
	return text
}

// headSize is the size on the tool, from the head's description: "10 mm".
func headSize(f access.Fastener) string {
	if f.Head == "" {
		return ""
	}
	return f.Head
}

// threadText is thread, length and class in one line.
func threadText(f access.Fastener) string {
	var p []string
	if f.Thread != "" {
		p = append(p, f.Thread)
	}
	if !f.Length.IsZero() {
		p = append(p, f.Length.String()+" long")
	}
	if f.Class != "" {
		p = append(p, "class "+f.Class)
	}
	return strings.Join(p, ", ")
}

var stageNames = map[job.Stage]string{
	job.StagePlan: "Plan", job.StageReady: "Get ready", job.StageApart: "Take apart", job.StageWork: "The work",
	job.StageBack: "Put back", job.StageProve: "Prove", job.StageRelease: "Release", job.StageReleased: "Released",
}

func stageName(s job.Stage) string {
	if n, ok := stageNames[s]; ok {
		return n
	}
	return string(s)
}
