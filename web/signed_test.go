package web

import (
	"context"
	"testing"
	"time"

	"lastbolt/garage"
	"lastbolt/job"
)

// putOnce is a place for documents that remembers the last one.
type putOnce struct {
	garage.Documents
	last *garage.Document
}

func (p putOnce) Put(_ context.Context, d garage.Document, base int) (int, error) {
	*p.last = d
	return base + 1, nil
}

func TestWhatIsSavedCarriesTheNameOfWhoActs(t *testing.T) {
	var last garage.Document
	kept := signed(signed(putOnce{last: &last}))
	for _, test := range []struct {
		name    string
		who     job.Person
		by      string // on the document already
		want    string
		refused bool
	}{
		{"nobody said", job.Person{}, "", "", false},
		{"a mechanic", job.Person{Name: "Bo"}, "", "Bo", false},
		{"a name is there already", job.Person{Name: "Bo"}, "Ann", "Ann", false},
		{"one who only looks", job.Person{Name: "Cy", ReadOnly: true}, "", "", true},
	} {
		t.Run(test.name, func(t *testing.T) {
			last = garage.Document{}
			ctx := job.WithPerson(t.Context(), test.who)
			_, err := garage.SaveShelf(ctx, kept, garage.Shelf{}, garage.Edit{At: time.Unix(0, 0), By: test.by})
			if (err != nil) != test.refused || last.By != test.want || (last.Kind == "") != test.refused {
				t.Errorf("got %+v and %v", last, err)
			}
		})
	}
}
