package lan

import (
	"crypto/rand"
	"slices"
	"strings"
	"time"

	"lastbolt/fault"
	"lastbolt/job"
)

// People are those who share the phones; none while one owner works alone.
func (d *Door) People() []Person {
	d.lock()
	defer d.mu.Unlock()
	return slices.Clone(d.state.People)
}

// AddPerson adds one. The first is the owner: else nobody could add the next
// from a phone.
func (d *Door) AddPerson(name string, role Role, pin string) error {
	name = plainName(name)
	if name == "" {
		return fault.New(fault.Bad, "Write the person's name.")
	}
	if !slices.Contains([]Role{Owner, Mechanic, ReadOnly}, role) {
		return fault.New(fault.Bad, "Choose what the person may do: owner, mechanic or read only.")
	}
	if err := checkPIN(pin); err != nil {
		return err
	}
	hash, err := hashPIN(pin, d.rounds)
	if err != nil {
		return err
	}
	d.lock()
	defer d.mu.Unlock()
	return d.change(func(s *state) error {
		if len(s.People) == 0 && role != Owner {
			return fault.New(fault.Bad, "Add the owner first: from then on every phone asks who has it in hand.")
		}
		if slices.ContainsFunc(s.People, func(p Person) bool { return strings.EqualFold(p.Name, name) }) {
			return fault.New(fault.Bad, "There is a %s already. Write another name, so that the record tells them apart.", name)
		}
		s.People = append(s.People, Person{ID: rand.Text()[:10], Name: name, Role: role, PIN: hash})
		return nil
	})
}

// RemovePerson takes a person off; what they recorded keeps their name, and the
// phones they have in hand ask anew.
func (d *Door) RemovePerson(id string) error {
	d.lock()
	defer d.mu.Unlock()
	return d.change(func(s *state) error {
		s.People = slices.DeleteFunc(s.People, func(p Person) bool { return p.ID == id })
		s.handOn(func(x Device) bool { return x.Person == id })
		return s.hasOwner()
	})
}

// ChangePerson gives a person another role and, unless it is empty, another
// PIN; the phones they have in hand then ask anew. It is the owner's to do.
func (d *Door) ChangePerson(id string, role Role, pin string) error {
	if !slices.Contains([]Role{Owner, Mechanic, ReadOnly}, role) {
		return fault.New(fault.Bad, "Choose what the person may do: owner, mechanic or read only.")
	}
	hash := ""
	if pin != "" {
		if err := checkPIN(pin); err != nil {
			return err
		}
		var err error
		if hash, err = hashPIN(pin, d.rounds); err != nil {
			return err
		}
	}
	d.lock()
	defer d.mu.Unlock()
	return d.change(func(s *state) error {
		i := slices.IndexFunc(s.People, func(p Person) bool { return p.ID == id })
		if i < 0 {
			return fault.New(fault.Bad, "This person is not on the list any more. Load the page again.")
		}
		s.People[i].Role = role
		if hash != "" {
			s.People[i].PIN = hash
			s.handOn(func(x Device) bool { return x.Person == id })
			s.People[i].Tries = nil
		}
		return s.hasOwner()
	})
}

// hasOwner refuses people without an owner among them.
func (s *state) hasOwner() error {
	if len(s.People) > 0 && !slices.ContainsFunc(s.People, func(p Person) bool { return p.Role == Owner }) {
		return fault.New(fault.Bad, "This is the last owner. Take the others off first, or make somebody else an owner.")
	}
	return nil
}

// handOn takes phones out of the hands of who signed in last.
func (s *state) handOn(which func(Device) bool) {
	for i, x := range s.Devices {
		if which(x) {
			s.Devices[i].Person, s.Devices[i].Until = "", time.Time{}
		}
	}
}

// checkPINOf tells whether it is the person's PIN, and gives what is kept of it.
// Tries are limited by person and by phone; who was right says so to
// [state.rightPIN] in the change that follows.
func (d *Door) checkPINOf(device, person, pin string) (hash string, err error) {
	hash, left, err := d.spendTry(device, person)
	if err != nil {
		return "", err
	}
	if !isPIN(hash, pin) { // outside the lock: it is slow on purpose
		return "", notThePIN(left)
	}
	return hash, nil
}

// SignIn puts a phone in a person's hand for some hours, and gives the phone's
// new token.
func (d *Door) SignIn(device, person, pin string) (token string, err error) {
	kept, err := d.checkPINOf(device, person, pin)
	if err != nil {
		return "", err
	}
	token = newToken()
	d.lock()
	defer d.mu.Unlock()
	return token, d.change(func(s *state) error {
		if err := s.rightPIN(device, person, kept); err != nil {
			return err
		}
		for i := range s.Devices {
			if x := &s.Devices[i]; x.ID == device {
				x.Person, x.Until, x.Fresh = person, d.now().Add(personTime).UTC(), tokenHash(token)
				x.Names = withName(x.Names, s.nameOf(person))
			}
		}
		return nil
	})
}

// nameOf is a person's name, empty for one who is not on the list.
func (s *state) nameOf(person string) string {
	for _, p := range s.People {
		if p.ID == person {
			return p.Name
		}
	}
	return ""
}

func withName(names []string, name string) []string {
	if name == "" || slices.Contains(names, name) {
		return names
	}
	return append(slices.Clone(names), name)
}

// HandOn takes the phone out of the hand of who has it: it asks again.
func (d *Door) HandOn(device string) error {
	d.lock()
	defer d.mu.Unlock()
	return d.change(func(s *state) error { s.handOn(func(x Device) bool { return x.ID == device }); return nil })
}

// ChangePIN lets who has the phone in hand change their own PIN; the other
// phones they have in hand ask anew.
func (d *Door) ChangePIN(x Device, old, pin string) error {
	p, known := d.who(x)
	if !known || p.ID == "" {
		return fault.New(fault.Bad, "Say first who has this phone in hand.")
	}
	if err := checkPIN(pin); err != nil {
		return err
	}
	kept, err := d.checkPINOf(x.ID, p.ID, old)
	if err != nil {
		return err
	}
	hash, err := hashPIN(pin, d.rounds)
	if err != nil {
		return err
	}
	d.lock()
	defer d.mu.Unlock()
	return d.change(func(s *state) error {
		if err := s.rightPIN(x.ID, p.ID, kept); err != nil {
			return err
		}
		s.person(p.ID).PIN = hash
		s.handOn(func(other Device) bool { return other.Person == p.ID && other.ID != x.ID })
		return nil
	})
}

// who has a device in hand. While there are no people it is the owner; else
// known is false until somebody has signed in.
func (d *Door) who(x Device) (p Person, known bool) {
	d.lock()
	defer d.mu.Unlock()
	if len(d.state.People) == 0 {
		return Person{Role: Owner}, true
	}
	i := slices.IndexFunc(d.state.People, func(p Person) bool { return p.ID == x.Person })
	if i < 0 || !d.now().Before(x.Until) {
		return Person{}, false
	}
	return d.state.People[i], true
}

func recorded(p Person) job.Person { return job.Person{Name: p.Name, ReadOnly: p.Role == ReadOnly} }
