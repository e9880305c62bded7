package paper

import (
	"lastbolt/garage"
	"lastbolt/job"
)

// Print makes the paper of a job by its kind: "sheet", "labels", "boltcard",
// "belt", "tag", "record", and for any other word the ready list. Item picks
// one bolt card, empty for all.
func Print(kind, item string, s *job.State, shelf garage.Shelf, opt Options) ([]byte, error) {
	switch kind {
	case "sheet":
		return Sheet(s, opt)
	case "labels":
		return Labels(s, opt)
	case "boltcard":
		return BoltCard(s, item, opt)
	case "belt":
		return BeltRuns(s, opt)
	case "tag":
		return Tag(s, opt)
	case "record":
		return Record(s, opt)
	}
	return ReadyList(s, job.Ready(s, shelf), opt)
}
