package lan

import (
	"net/http"
	"net/http/httptest"
	"slices"
	"testing"
	"time"

	"lastbolt/exchange/replicate"
)

// What somebody recorded on a phone may still be sent when another has it in
// hand, or when they are off the list: the names of all who signed in stay with
// the phone. Nobody's who never did are among them.
func TestAPhoneKeepsTheNamesOfAllWhoSignedInOnIt(t *testing.T) {
	d, err := Open(t.TempDir(), time.Now)
	if err != nil {
		t.Fatal(err)
	}
	d.rounds = 1
	code, _ := d.Code()
	if _, err := d.Pair(code, "blue phone", "192.168.1.2"); err != nil {
		t.Fatal(err)
	}
	for _, name := range []string{"Ann", "Bo", "Cy"} {
		if err := d.AddPerson(name, Owner, "482915"); err != nil {
			t.Fatal(err)
		}
	}
	for _, i := range []int{0, 1, 0} {
		if _, err := d.SignIn(d.Devices()[0].ID, d.People()[i].ID, "482915"); err != nil {
			t.Fatal(err)
		}
	}
	if err := d.RemovePerson(d.People()[1].ID); err != nil {
		t.Fatal(err)
	}
	if got := d.Devices()[0].Names; !slices.Equal(got, []string{"Ann", "Bo"}) {
		t.Errorf("the phone may write as %q, want Ann and Bo", got)
	}
}

// The phone's own program learns from the door, not from words on a page, that
// it is not let in.
func TestTheDoorTellsAStrangersProgramThatItIsOne(t *testing.T) {
	d, err := Open(t.TempDir(), time.Now)
	if err != nil {
		t.Fatal(err)
	}
	h := d.Network(http.HandlerFunc(func(http.ResponseWriter, *http.Request) { t.Error("a stranger got through") }))
	out := httptest.NewRecorder()
	h.ServeHTTP(out, httptest.NewRequest("GET", replicate.Prefix+"events?after=0", nil))
	if out.Code != http.StatusForbidden || out.Header().Get(replicate.DoorHeader) != replicate.Stranger {
		t.Errorf("status %d, %q", out.Code, out.Header().Get(replicate.DoorHeader))
	}
}
