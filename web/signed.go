package web

import (
	"context"

	"lastbolt/fault"
	"lastbolt/garage"
	"lastbolt/job"
)

// signed puts the name of who acts on what is saved of vehicles, maps and the
// shelf, and lets nobody save who may only look: what [job.Book] does for jobs.
func signed(d garage.Documents) garage.Documents {
	if s, already := d.(signedDocuments); already {
		return s
	}
	return signedDocuments{d}
}

type signedDocuments struct{ garage.Documents }

func (s signedDocuments) Put(ctx context.Context, d garage.Document, base int) (int, error) {
	who := job.PersonOf(ctx)
	if who.ReadOnly {
		return 0, fault.New(fault.Bad, "You may look at everything here but change nothing. Ask the owner for another role.")
	}
	if d.By == "" {
		d.By = who.Name
	}
	return s.Documents.Put(ctx, d, base)
}
