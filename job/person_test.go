package job_test

import (
	"errors"
	"testing"
	"time"

	"lastbolt/job"
	"lastbolt/store/memory"
)

// A shared phone records who did what; the one who works alone is not named.
func TestWhatIsRecordedCarriesTheNameOfWhoActs(t *testing.T) {
	n := 0
	st := memory.New()
	book := job.NewBook(st, &job.Recorder{Now: func() time.Time { return time.Date(2031, 5, 4, 9, 0, 0, 0, time.UTC) }, NewID: func() string {
		n++
		return "01900000-0000-7000-8000-00000000000" + string(rune('0'+n))
	}})
	ann := job.WithPerson(t.Context(), job.Person{Name: "Ann"})
	s, err := book.Start(ann, job.Started{Vehicle: "Tern van 1.4", Complaint: "squeals"})
	if err != nil {
		t.Fatal(err)
	}
	if _, err := book.Do(t.Context(), s.ID, job.ReadOdometer("84,200 km")); err != nil {
		t.Fatal(err)
	}
	looking := job.WithPerson(t.Context(), job.Person{Name: "Bo", ReadOnly: true})
	for name, err := range map[string]error{
		"do":     second(book.Do(looking, s.ID, job.ReadOdometer("84,300 km"))),
		"start":  second(book.Start(looking, job.Started{Vehicle: "another"})),
		"record": second(book.Record(looking, job.Event{ID: "x", Job: s.ID})),
	} {
		var refused *job.Error
		if !errors.As(err, &refused) || refused.Code != job.CodeRefused {
			t.Errorf("%s by one who may only look: got %v, want it refused", name, err)
		}
	}
	events, err := st.Events(t.Context(), s.ID)
	if err != nil {
		t.Fatal(err)
	}
	if len(events) != 2 || events[0].By != "Ann" || events[1].By != "" {
		t.Errorf("got %+v, want one event by Ann and one by nobody named", events)
	}
}

func second[T any](_ T, err error) error { return err }
