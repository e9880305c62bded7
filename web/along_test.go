package web_test

import (
	"strings"
	"testing"

	"lastbolt/garage"
)

// What was found necessary along the way need not be fetched where it is on the
// shelf, on the job's first page and on the list to share.
func TestWhatWasFoundNecessaryIsLookedForOnTheShelf(t *testing.T) {
	h, ids, st := demoPages(t)
	at := "/jobs/" + ids["Oil cooler reseal and belt"]
	for amount, want := range map[string]struct{ job, list string }{
		"":  {"to get", "2 Push clip 8 mm"},
		"1": {"on the shelf: 1, 1 more needed", "1 more Push clip 8 mm"},
		"5": {"on the shelf: 5", ""},
	} {
		shelf, version, err := garage.LoadShelf(t.Context(), st)
		if err != nil {
			t.Fatal(err)
		}
		shelf.Supplies = []garage.Supply{{Name: "Push clip 8 mm", Amount: amount}}
		if amount == "" {
			shelf.Supplies = nil
		}
		if _, err := garage.SaveShelf(t.Context(), st, shelf, garage.Edit{Base: version, At: noon}); err != nil {
			t.Fatal(err)
		}
		if page := get(t, h, at).Body.String(); !strings.Contains(page, want.job) {
			t.Errorf("with %q on the shelf the job's page does not say %q", amount, want.job)
		}
		list := get(t, h, at+"/ready").Body.String()
		if want.list != "" && !strings.Contains(list, want.list) || want.list == "" && strings.Contains(list, "Found necessary") {
			t.Errorf("with %q on the shelf the list to share is wrong", amount)
		}
	}
}
