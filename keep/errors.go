package keep

import (
	"lastbolt/fault"
	"lastbolt/garage"
	"lastbolt/job"
)

// Unknown says which document, or which version of it (0: any), is not there.
func Unknown(kind, id string, version int) error {
	if version == 0 {
		return fault.Wrap(garage.ErrUnknown, fault.NotFound, "There is no %s %q here.", kind, short(id))
	}
	return fault.Wrap(garage.ErrUnknown, fault.NotFound, "There is no version %d of the %s %q here.", version, kind, short(id))
}

// NoFile says that no file has the name.
func NoFile(name string) error {
	return fault.Wrap(garage.ErrUnknown, fault.NotFound, "There is no photo or clip %q here.", short(name))
}

// Stale says that the edit of d began from another version than the one that
// is there.
func Stale(d garage.Document, base, have int) error {
	switch {
	case have == 0:
		return fault.Wrap(garage.ErrStale, fault.Stale, "The %s %q is not here, so it cannot be changed. Save it as a new one.", d.Kind, short(d.ID))
	case base == 0:
		return fault.Wrap(garage.ErrStale, fault.Stale, "There is a %s %q already. Choose another id, or open that one and change it.", d.Kind, short(d.ID))
	}
	return fault.Wrap(garage.ErrStale, fault.Stale,
		"The %s %q was changed in the meantime: this edit began from version %d, and version %d is there now. Load it again, then make the change once more.",
		d.Kind, short(d.ID), base, have)
}

// Contradiction says that an event to be taken in has the id of one that says
// something else.
func Contradiction(e job.Event) error {
	return fault.New(fault.Bad, "The event %q of job %q is here already and says something else; one of the two was changed after it was recorded. Nothing was taken in.",
		short(e.ID), short(e.Job))
}

// Summary returns s as it is stored, or what is wrong with it.
func Summary(s job.Summary) (job.Summary, error) {
	if wrong := name("id", s.ID); wrong != "" {
		return s, fault.New(fault.Bad, "The summary of job %q cannot be stored: %s.", short(s.ID), wrong)
	}
	var wrong [4]string
	s.Due, wrong[0] = utc(s.Due)
	s.Touched, wrong[1] = utc(s.Touched)
	s.Started, wrong[2] = utc(s.Started)
	s.Released, wrong[3] = utc(s.Released)
	if w := first(wrong[:]...); w != "" {
		return s, fault.New(fault.Bad, "The summary of job %q cannot be stored: %s.", short(s.ID), w)
	}
	return s, nil
}
