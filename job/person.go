package job

import "context"

// A Person is who is at the screen, as far as the host knows. The zero Person
// is the one who works alone and may do everything.
type Person struct {
	Name     string // goes into [Event.By] when it is not empty
	ReadOnly bool   // may look at everything and record nothing
}

type personKey struct{}

// WithPerson says who acts in ctx; [Book] puts the name on what is recorded
// and lets nobody record who may only look.
func WithPerson(ctx context.Context, p Person) context.Context {
	return context.WithValue(ctx, personKey{}, p)
}

// PersonOf is who acts in ctx; the zero Person where nobody said.
func PersonOf(ctx context.Context) Person {
	p, _ := ctx.Value(personKey{}).(Person)
	return p
}

// OnlyLooks says why somebody who may only look can change nothing.
const OnlyLooks = "You may look at everything here but record nothing. Ask the owner for another role."

// may refuses who may only look.
func may(ctx context.Context) error {
	if PersonOf(ctx).ReadOnly {
		return refuse(CodeRefused, OnlyLooks)
	}
	return nil
}

// behind is a recorder for one action on the state: its ids sort behind every
// record that the state is made of.
func (r *Recorder) behind(s *State) *Recorder {
	if r == nil || len(s.History) == 0 {
		return r
	}
	last := s.History[len(s.History)-1].Event // in order of id
	after := *r
	after.NewID = func() string {
		last = following(r.NewID(), last)
		return last
	}
	return &after
}

// recorder is the book's recorder, in the name of who acts.
func (b *Book) recorder(ctx context.Context) *Recorder {
	name := PersonOf(ctx).Name
	if name == "" || b.Recorder == nil {
		return b.Recorder
	}
	r := *b.Recorder
	r.By = name
	return &r
}
