package web

import (
	"strings"

	"lastbolt/job"
	"lastbolt/job/caution"
	"lastbolt/web/parts"
)

// cautionsOf splits a step's cautions: the highest DANGER or WARNING stands
// above everything, and only one of those shows as such; the rest follow as
// CAUTION, which is quieter.
func cautionsOf(s *job.State, st *job.Step) (highest *parts.CautionInfo, rest []parts.CautionInfo) {
	for _, t := range s.Cautions(st.ID) {
		c := parts.CautionInfo{Word: parts.Word(t.Word), Title: t.Title, Do: t.Do, Text: t.Text.Text, Stop: t.Stop, Source: t.SourceText()}
		grave := t.Word == caution.Danger || t.Word == caution.Warning
		switch {
		case grave && highest == nil && !t.Held:
			highest = &c
		case grave:
			c.Word, c.Source = parts.WordCaution, "" // NOTICE is for what hurts nobody
			rest = append(rest, c)
		default:
			rest = append(rest, c)
		}
	}
	return highest, rest
}

// holdCheck is the checks of DANGERs that are to be confirmed by holding before
// the step is finished, and the ids of those cautions; empty where there is
// none or all are confirmed.
func holdCheck(s *job.State, st *job.Step) (check, ids string) {
	var checks, names []string
	for _, t := range s.Cautions(st.ID) {
		if t.Word == caution.Danger && t.Check != "" && !t.Held {
			checks = append(checks, t.Check)
			names = append(names, t.ID)
		}
	}
	return strings.Join(checks, " "), strings.Join(names, ",")
}
