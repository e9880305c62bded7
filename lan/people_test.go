package lan

import (
	"io"
	"net/http"
	"net/http/httptest"
	"net/url"
	"slices"
	"strings"
	"testing"
	"time"

	"lastbolt/job"
)

// paired is a phone of the door's, by its token.
func paired(t *testing.T, d *Door, name string) string {
	t.Helper()
	code, _ := d.Code()
	token, err := d.Pair(code, name, "192.168.7.9")
	if err != nil {
		t.Fatal(err)
	}
	return token
}

// shop has an owner Ann, a mechanic Bo, and Cy who only reads; their PINs.
func shop(t *testing.T, d *Door) map[string]string {
	t.Helper()
	pins := map[string]string{"Ann": "482915", "Bo": "771924", "Cy": "306158"}
	for _, p := range []struct {
		name string
		role Role
	}{{"Ann", Owner}, {"Bo", Mechanic}, {"Cy", ReadOnly}} {
		if err := d.AddPerson(p.name, p.role, pins[p.name]); err != nil {
			t.Fatal(err)
		}
	}
	return pins
}

func (d *Door) personNamed(t *testing.T, name string) Person {
	t.Helper()
	for _, p := range d.People() {
		if p.Name == name {
			return p
		}
	}
	t.Fatalf("there is no %s", name)
	return Person{}
}

// signIn signs a person in through the page, and gives the phone's new token.
func signIn(t *testing.T, d *Door, h http.Handler, token, name, pin string) string {
	t.Helper()
	w := ask(h, "POST", "/who", token, url.Values{"person": {d.personNamed(t, name).ID}, "pin": {pin}})
	if w.Code != http.StatusSeeOther || len(w.Result().Cookies()) != 1 {
		t.Fatalf("signing in %s: status %d", name, w.Code)
	}
	return w.Result().Cookies()[0].Value
}

// ownersAlone are the pages, beside the door's own, that are the owner's to look
// at: what takes room, and backups.
func ownersAlone(path string) bool { return path == "/storage" || strings.HasPrefix(path, "/storage/") }

// Each role on every route that is mounted: the owner may do everything, a
// mechanic all but manage phones, people and storage, and who only reads asks
// for nothing that records.
func TestEveryRoleOnEveryRoute(t *testing.T) {
	d, c, _ := opened(t)
	pins := shop(t, d)
	var saw job.Person
	called := false
	h := d.Network(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) { called = true; behind(&saw).ServeHTTP(w, r) }))
	pages, own, _ := routes(d)
	for _, test := range []struct {
		name        string
		role        Role
		mayManage   bool
		mayPost     bool
		wantsRecord job.Person
	}{
		{"Ann", Owner, true, true, job.Person{Name: "Ann"}},
		{"Bo", Mechanic, false, true, job.Person{Name: "Bo"}},
		{"Cy", ReadOnly, false, false, job.Person{Name: "Cy", ReadOnly: true}},
	} {
		t.Run(string(test.role), func(t *testing.T) {
			token := signIn(t, d, h, paired(t, d, test.name), test.name, pins[test.name])
			for _, pattern := range pages {
				method, path := asked(pattern)
				if isOpen(path) {
					continue
				}
				c.at = c.at.Add(20 * time.Millisecond)
				called, saw = false, job.Person{}
				w := ask(h, method, path, token, nil)
				if may := (method == "GET" || test.mayPost) && (test.mayManage || !ownersAlone(path)); called != may || may && saw != test.wantsRecord || !may && w.Code != http.StatusForbidden {
					t.Errorf("%s %s: status %d, reached the page: %v, as %+v", method, path, w.Code, called, saw)
				}
			}
			for _, pattern := range own {
				method, path := asked(pattern)
				if path == "/phones/live" && test.mayManage {
					continue // does not end
				}
				c.at = c.at.Add(20 * time.Millisecond)
				w := ask(h, method, path, token, url.Values{"id": {"nobody"}})
				if refused := w.Code == http.StatusForbidden; refused == test.mayManage {
					t.Errorf("%s %s: status %d", method, path, w.Code)
				}
			}
		})
	}
}

func TestAPhoneAsksWhoHasItInHand(t *testing.T) {
	d, c, _ := opened(t)
	token := paired(t, d, "shared")
	if d.AddPerson("Bo", Mechanic, "771924") == nil || d.AddPerson("Ann", Owner, "123456") == nil || d.AddPerson("Ann", Owner, "4829") == nil {
		t.Error("a mechanic before any owner, or an easy or short PIN, was taken")
	}
	pins := shop(t, d)
	var saw job.Person
	h := d.Network(behind(&saw))
	status := func(token string) int { return ask(h, "GET", "/jobs", token, nil).Code }
	if got := status(token); got != http.StatusForbidden {
		t.Errorf("before anybody signed in: %d", got)
	}
	fresh := signIn(t, d, h, token, "Bo", pins["Bo"])
	if fresh == token {
		t.Error("signing in left the phone's token as it was")
	}
	if status(token) != http.StatusOK {
		t.Error("the phone is out because the answer with its new token was lost on the way")
	}
	if status(fresh) != http.StatusOK || saw != (job.Person{Name: "Bo"}) {
		t.Errorf("Bo is taken for %+v", saw)
	}
	if status(token) != http.StatusForbidden {
		t.Error("the old token is good though the new one has arrived")
	}
	c.at = c.at.Add(personTime)
	if got := status(fresh); got != http.StatusForbidden {
		t.Errorf("the next day: %d", got)
	}
	fresh = signIn(t, d, h, fresh, "Bo", pins["Bo"])
	if w := ask(h, "POST", "/who/hand-on", fresh, nil); w.Code != http.StatusSeeOther || status(fresh) != http.StatusForbidden {
		t.Errorf("handed on: status %d, then the phone is still in hand", w.Code)
	}
	bo := d.personNamed(t, "Bo").ID
	for range 5 {
		ask(h, "POST", "/who", fresh, url.Values{"person": {bo}, "pin": {"999999"}})
	}
	w := ask(h, "POST", "/who", fresh, url.Values{"person": {bo}, "pin": {pins["Bo"]}})
	if w.Code != http.StatusTooManyRequests || !strings.Contains(w.Body.String(), "Too many wrong PINs. Wait five minutes;") {
		t.Errorf("after five wrong PINs: %d", w.Code)
	}
	if err := d.ChangePerson(bo, Mechanic, "640382"); err != nil {
		t.Fatal(err)
	}
	c.at = c.at.Add(5 * time.Minute)
	signIn(t, d, h, fresh, "Bo", "640382")
}

func TestWhoIsTakenOffOrDemotedIsOutAtOnce(t *testing.T) {
	d, _, _ := opened(t)
	pins := shop(t, d)
	var saw job.Person
	h := d.Network(behind(&saw))
	bo := signIn(t, d, h, paired(t, d, "blue"), "Bo", pins["Bo"])
	ann := signIn(t, d, h, paired(t, d, "red"), "Ann", pins["Ann"])
	if err := d.ChangePerson(d.personNamed(t, "Bo").ID, ReadOnly, ""); err != nil {
		t.Fatal(err)
	}
	if w := ask(h, "POST", "/jobs/new", bo, nil); w.Code != http.StatusForbidden {
		t.Errorf("Bo only reads now, but recorded: %d", w.Code)
	}
	if err := d.RemovePerson(d.personNamed(t, "Bo").ID); err != nil {
		t.Fatal(err)
	}
	if w := ask(h, "GET", "/jobs", bo, nil); w.Code != http.StatusForbidden {
		t.Errorf("Bo was taken off, and sees a page: %d", w.Code)
	}
	annID := d.personNamed(t, "Ann").ID
	if d.RemovePerson(annID) == nil || d.ChangePerson(annID, Mechanic, "") == nil {
		t.Error("the last owner was taken off or made less")
	}
	w := ask(h, "POST", "/phones/remove-person", ann, url.Values{"id": {annID}})
	if w.Code != http.StatusUnprocessableEntity || !strings.Contains(w.Body.String(), "This is the last owner.") {
		t.Errorf("the page: status %d", w.Code)
	}
}

func TestAPINIsChangedByWhoKnowsIt(t *testing.T) {
	d, _, _ := opened(t)
	pins := shop(t, d)
	var saw job.Person
	h := d.Network(behind(&saw))
	one := signIn(t, d, h, paired(t, d, "blue"), "Bo", pins["Bo"])
	two := signIn(t, d, h, paired(t, d, "red"), "Bo", pins["Bo"])
	for _, test := range []struct {
		name, old, new string
		want           int
	}{
		{"a wrong one", "111222", "640382", http.StatusUnprocessableEntity},
		{"to an easy one", pins["Bo"], "654321", http.StatusUnprocessableEntity},
		{"to letters", pins["Bo"], "abcdefg", http.StatusUnprocessableEntity},
		{"rightly", pins["Bo"], "640382", http.StatusSeeOther},
	} {
		if w := ask(h, "POST", "/who/pin", one, url.Values{"old": {test.old}, "pin": {test.new}}); w.Code != test.want {
			t.Errorf("%s: status %d, want %d", test.name, w.Code, test.want)
		}
	}
	if ask(h, "GET", "/jobs", one, nil).Code != http.StatusOK || ask(h, "GET", "/jobs", two, nil).Code != http.StatusForbidden {
		t.Error("the phone where it was changed must stay in hand, the other must ask")
	}
	signIn(t, d, h, two, "Bo", "640382")
}

// The owner's page of codes hears of a new phone without being loaded again.
func TestThePageOfCodesHearsOfANewPhone(t *testing.T) {
	d, _, _ := opened(t)
	var saw job.Person
	s := httptest.NewServer(d.Local(behind(&saw)))
	defer s.Close()
	answer, err := http.Get(s.URL + "/phones/live")
	if err != nil {
		t.Fatal(err)
	}
	defer answer.Body.Close()
	said := make(chan string, 8)
	go func() {
		buf := make([]byte, 256)
		for {
			n, err := answer.Body.Read(buf)
			if err != nil {
				close(said)
				return
			}
			said <- string(buf[:n])
		}
	}()
	if first := <-said; !strings.Contains(first, "here") {
		t.Fatalf("the stream begins with %q", first)
	}
	paired(t, d, "blue")
	for text := range said {
		if strings.Contains(text, "event: change") {
			break
		}
	}
	page, err := http.Get(s.URL + "/phones/pair")
	if err != nil {
		t.Fatal(err)
	}
	defer page.Body.Close()
	if text, err := io.ReadAll(page.Body); err != nil || !strings.Contains(string(text), "blue is paired.") {
		t.Errorf("the page does not name the phone: %v", err)
	}
}

func TestTheFirstPINsAnybodyWouldTryAreRefused(t *testing.T) {
	for pin, good := range map[string]bool{
		"482915": true, "771924": true, "112358": true, "48291": false, "4829151234567": false, "48a915": false, "": false,
		"111111": false, "123456": false, "654321": false, "234567": false, "123123": false, "474747": false, "1212121": false, "99887766": true,
	} {
		if err := checkPIN(pin); (err == nil) != good {
			t.Errorf("%q: %v", pin, err)
		}
	}
}

// A PIN is kept as a slow hash with a salt of its own.
func TestAPINIsKeptSlowly(t *testing.T) {
	one, err := hashPIN("482915", pinRounds)
	if err != nil {
		t.Fatal(err)
	}
	two, _ := hashPIN("482915", pinRounds)
	if one == two || strings.Contains(one, "482915") || !strings.HasPrefix(one, "pbkdf2-sha256$600000$") {
		t.Errorf("kept as %q and %q", one, two)
	}
	if !isPIN(one, "482915") || isPIN(one, "482916") || isPIN("", "") || isPIN("pbkdf2-sha256$1$$", "") {
		t.Error("the hash tells PINs apart wrongly")
	}
}

// Tokens and codes have the bits that the comments say, and none comes twice.
func TestSecretsAreMadeAtRandom(t *testing.T) {
	seen := map[string]bool{}
	letters := map[rune]int{}
	for range 2000 {
		code, token := newCode(), newToken()
		if len(code) != codeLength || strings.Trim(code, codeLetters) != "" || len(token) < 52 || seen[code] || seen[token] {
			t.Fatalf("code %q, token %q", code, token)
		}
		seen[code], seen[token] = true, true
		for _, r := range code {
			letters[r]++
		}
	}
	counts := []int{}
	for _, n := range letters {
		counts = append(counts, n)
	}
	// 20,000 letters over 31: 645 each, with a deviation of 25; eight of them is
	// far outside chance.
	if len(letters) != len(codeLetters) || slices.Min(counts) < 445 || slices.Max(counts) > 845 {
		t.Errorf("the letters are not evenly spread: %v", letters)
	}
}
