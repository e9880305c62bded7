package lan

import (
	"net/http"
	"testing"

	"lastbolt/job"
)

func TestStorageIsTheOwnersToLookAfter(t *testing.T) {
	d, _, _ := opened(t)
	pins := shop(t, d)
	var saw job.Person
	h := d.Network(behind(&saw))
	bo := signIn(t, d, h, paired(t, d, "blue"), "Bo", pins["Bo"])
	ann := signIn(t, d, h, paired(t, d, "red"), "Ann", pins["Ann"])
	for _, row := range []struct {
		method, path, who, token string
		want                     int
	}{
		{"GET", "/storage", "the mechanic", bo, http.StatusForbidden}, {"POST", "/storage/sweep", "the mechanic", bo, http.StatusForbidden},
		{"GET", "/storage", "the owner", ann, http.StatusOK}, {"POST", "/storage/sweep", "the owner", ann, http.StatusOK},
	} {
		if got := ask(h, row.method, row.path, row.token, nil).Code; got != row.want {
			t.Errorf("%s %s by %s: %d, want %d", row.method, row.path, row.who, got, row.want)
		}
	}
}
