package lan

import (
	"bytes"
	"encoding/json"
	"slices"
	"time"

	"lastbolt/fault"
)

// Wrong PINs are counted by person and by phone: so many at once, then one each
// so often.
const (
	mostTries = 5
	triesTime = 5 * time.Minute
)

// Tries are the PINs that may still be tried, as they were left at an instant.
// They are kept with the person and the phone they are of, so that neither a
// restart nor another process gives new ones; nil is all of them.
type Tries struct {
	Left float64   `json:"left"`
	At   time.Time `json:"at"`
}

// spent takes one try, and tells whether there was one. A clock set back gives
// no tries and takes none.
func (t *Tries) spent(now time.Time) (*Tries, bool) {
	left := float64(mostTries)
	if t != nil {
		past := max(now.Sub(t.At), 0)
		left = min(left, t.Left+float64(past)/float64(triesTime))
	}
	if left < 1 {
		return t, false
	}
	return &Tries{left - 1, now.UTC()}, true
}

// spendTry takes a try of the phone and one of the person, and gives what is
// kept of the person's PIN and how many tries are left after this one. It is
// durably taken before the PIN is looked at, so
// that no end of the program in between makes a guess free.
func (d *Door) spendTry(device, person string) (hash string, left int, err error) {
	d.lock()
	defer d.mu.Unlock()
	now := d.now()
	err = d.change(func(s *state) error {
		x := slices.IndexFunc(s.Devices, func(x Device) bool { return x.ID == device })
		if x < 0 {
			return fault.New(fault.Bad, "This phone is not on the list any more.")
		}
		left = mostTries
		take := func(t **Tries) (ok bool) {
			*t, ok = (*t).spent(now)
			left = min(left, int((*t).Left))
			return ok
		}
		phone, name := take(&s.Devices[x].Tries), true
		if p := s.person(person); p != nil {
			name, hash = take(&p.Tries), p.PIN
		}
		return outOfTries(phone, name) // with an error the change is dropped
	})
	return hash, left, err
}

// outOfTries says which tries are used up, and what helps: a new PIN does not
// help a phone, nor another phone a name.
func outOfTries(phone, name bool) error {
	switch {
	case phone && name:
		return nil
	case name:
		return fault.New(fault.Busy, "Too many wrong PINs on this phone. Wait five minutes, or take another phone.")
	case phone:
		return fault.New(fault.Busy, "Too many wrong PINs for this name. Wait five minutes, or ask the owner for a new one.")
	}
	return fault.New(fault.Busy, "Too many wrong PINs. Wait five minutes; sooner, it takes a new one from the owner and another phone.")
}

// notThePIN says that a PIN was wrong, and how many more may be tried.
func notThePIN(left int) error {
	switch left {
	case 0:
		return fault.New(fault.Bad, "This is not the PIN. The next try is in five minutes.")
	case 1:
		return fault.New(fault.Bad, "This is not the PIN. One more try, then one in five minutes.")
	}
	return fault.New(fault.Bad, "This is not the PIN. %d more tries, then one in five minutes.", left)
}

// person is the one with the id, nil where there is none.
func (s *state) person(id string) *Person {
	i := slices.IndexFunc(s.People, func(p Person) bool { return p.ID == id })
	if i < 0 {
		return nil
	}
	return &s.People[i]
}

// rightPIN gives all tries back to the phone and the person whose PIN was right.
// It refuses when the PIN was changed while it was looked at.
func (s *state) rightPIN(device, person, hash string) error {
	p := s.person(person)
	if p == nil || p.PIN != hash {
		return fault.New(fault.Bad, "This is not the PIN.")
	}
	p.Tries = nil
	for i := range s.Devices {
		if s.Devices[i].ID == device {
			s.Devices[i].Tries = nil
		}
	}
	return nil
}

// looksLike tells whether two lists show the same on every page: tries are on
// none, so that guessing wakes no page that waits for changes.
func (s *state) looksLike(other state) bool {
	a, err := json.Marshal(s.withoutTries())
	b, err2 := json.Marshal(other.withoutTries())
	return err == nil && err2 == nil && bytes.Equal(a, b)
}

func (s *state) withoutTries() state {
	out := state{slices.Clone(s.Devices), slices.Clone(s.People)}
	for i := range out.Devices {
		out.Devices[i].Tries = nil
	}
	for i := range out.People {
		out.People[i].Tries = nil
	}
	return out
}
