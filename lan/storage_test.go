package lan

import (
	"net/http"
	"strings"
	"testing"

	"lastbolt/job"
	"lastbolt/web/parts"
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

func TestWhoIsNoOwnerIsOfferedNoPageThatIsTheOwners(t *testing.T) {
	d, _, _ := opened(t)
	pins := shop(t, d)
	h := d.Network(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		for _, href := range []string{"/storage", "/phones", "/shelf"} {
			_ = parts.SmallButton(parts.Link{Label: "There", Href: href}).Render(r.Context(), w)
		}
	}))
	for who, want := range map[string]map[string]bool{
		"Ann": {"/storage": true, "/phones": true, "/shelf": true},
		"Bo":  {"/storage": false, "/phones": false, "/shelf": true},
		"Cy":  {"/storage": false, "/phones": false, "/shelf": true},
	} {
		token := signIn(t, d, h, paired(t, d, "phone of "+who), who, pins[who])
		page := ask(h, "GET", "/jobs", token, nil).Body.String()
		for href, offered := range want {
			if got := strings.Contains(page, `href="`+href+`"`); got != offered {
				t.Errorf("%s is offered %s: %v, want %v", who, href, got, offered)
			}
		}
	}
}
