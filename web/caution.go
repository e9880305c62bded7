package web

import (
	"strings"

	"lastbolt/job"
	"lastbolt/job/caution"
	"lastbolt/plan/access"
	"lastbolt/web/parts"
)

// textsOf are the cautions that a step's type triggers: its hazards, the
// joints it opens, the condition it brings about.
func textsOf(s *job.State, st *job.Step) []caution.Text {
	triggers := append([]string(nil), st.Hazards...)
	if w := wayOf(s.Items[st.Item], st.Way); w != nil && st.Opens {
		for _, j := range w.Opens {
			triggers = append(triggers, caution.OfJoint(j.Kind)...)
		}
	}
	return caution.For(triggers...)
}

// cautionsOf splits a step's cautions: the highest DANGER or WARNING stands
// above everything, and only one of those shows; the lower words follow.
func cautionsOf(s *job.State, st *job.Step) (highest *parts.CautionInfo, rest []parts.CautionInfo) {
	for _, t := range textsOf(s, st) {
		c := parts.CautionInfo{Word: parts.Word(t.Word), Title: t.Title, Text: t.Text, Stop: strings.TrimPrefix(t.Stop, "Stop if: "), Source: t.SourceText()}
		grave := t.Word == caution.Danger || t.Word == caution.Warning
		switch {
		case grave && highest == nil:
			highest = &c
		case grave:
			rest = append(rest, parts.CautionInfo{Word: parts.WordNotice, Title: t.Title, Text: t.Text, Stop: c.Stop})
		default:
			rest = append(rest, c)
		}
	}
	return highest, rest
}

// holdCheck is the check that a DANGER asks to be confirmed by holding before
// the step is finished, and the ids of those cautions; empty where there is
// none or it was confirmed already.
func holdCheck(s *job.State, st *job.Step) (check, ids string) {
	held := map[string]bool{}
	for _, id := range st.Held {
		held[id] = true
	}
	var checks, names []string
	for _, t := range textsOf(s, st) {
		if t.Word == caution.Danger && t.Check != "" && !held[t.ID] && wantsCheck(s, st, t.ID) {
			checks = append(checks, t.Check)
			names = append(names, t.ID)
		}
	}
	return strings.Join(checks, "; "), strings.Join(names, ",")
}

// wantsCheck asks once where the danger begins: for a raised vehicle that is
// the step that raises it, not each step done under it.
func wantsCheck(s *job.State, st *job.Step, id string) bool {
	if id != "jack" {
		return st.Opens
	}
	it := s.Items[st.Item]
	return st.Opens && it != nil && it.Kind == access.Condition
}
