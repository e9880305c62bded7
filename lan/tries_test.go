package lan

import (
	"sync"
	"testing"
	"time"

	"lastbolt/fault"
)

// guesses is a shop with one phone whose PINs are tried.
type guesses struct {
	dir           string
	now           time.Time
	phone, person string
}

func (g *guesses) open(t *testing.T) *Door {
	t.Helper()
	d, err := Open(g.dir, func() time.Time { return g.now })
	if err != nil {
		t.Fatal(err)
	}
	d.rounds = 1
	return d
}

func newGuesses(t *testing.T) (*guesses, *Door) {
	t.Helper()
	g := &guesses{dir: t.TempDir(), now: time.Date(2026, 5, 20, 12, 0, 0, 0, time.UTC)}
	d := g.open(t)
	shop(t, d)
	paired(t, d, "blue")
	g.phone, g.person = d.Devices()[0].ID, d.personNamed(t, "Bo").ID
	return g, d
}

const bosPIN, wrongPIN = "771924", "918273"

func (g *guesses) try(t *testing.T, d *Door, pin string, want fault.Code) {
	t.Helper()
	_, err := d.SignIn(g.phone, g.person, pin)
	if want == "" && err != nil || want != "" && !fault.Is(err, want) {
		t.Fatalf("trying %s: got %v, want %q", pin, err, want)
	}
}

func TestARestartGivesNoNewTries(t *testing.T) {
	g, d := newGuesses(t)
	for range mostTries {
		g.try(t, d, wrongPIN, fault.Bad)
		d = g.open(t)
	}
	g.try(t, d, bosPIN, fault.Busy)
	g.now = g.now.Add(-time.Hour) // a clock set back
	g.try(t, g.open(t), bosPIN, fault.Busy)
	g.now = g.now.Add(time.Hour + triesTime)
	g.try(t, g.open(t), wrongPIN, fault.Bad)
	g.try(t, g.open(t), bosPIN, fault.Busy)
	g.now = g.now.Add(triesTime)
	g.try(t, g.open(t), bosPIN, "")
	for range mostTries { // the right one gave all of them back
		g.try(t, d, wrongPIN, fault.Bad)
	}
	g.try(t, d, bosPIN, fault.Busy)
}

func TestANewPINOfTheOwnersGivesAllTriesOfThePersonBack(t *testing.T) {
	g, d := newGuesses(t)
	for range mostTries {
		g.try(t, d, wrongPIN, fault.Bad)
	}
	if err := d.ChangePerson(g.person, Mechanic, "640382"); err != nil {
		t.Fatal(err)
	}
	_, err := d.SignIn(g.phone, g.person, "640382")
	if got, want := fault.Say(err), "Too many wrong PINs on this phone. Wait five minutes, or take another phone."; got != want {
		t.Errorf("while the phone's are still spent it says %q, want %q", got, want)
	}
	paired(t, d, "red")
	g.phone = d.Devices()[1].ID
	g.try(t, g.open(t), "640382", "")
}

func TestTwoProcessesAllowNoMoreTriesThanOne(t *testing.T) {
	g, first := newGuesses(t)
	second := g.open(t)
	var wait sync.WaitGroup
	var mu sync.Mutex
	looked := 0
	for i := range 20 {
		d := []*Door{first, second}[i%2]
		wait.Go(func() {
			if _, err := d.SignIn(g.phone, g.person, wrongPIN); fault.Is(err, fault.Bad) {
				mu.Lock()
				looked++
				mu.Unlock()
			}
		})
	}
	wait.Wait()
	if looked != mostTries {
		t.Errorf("%d PINs were looked at, want %d", looked, mostTries)
	}
}

type fullKeeper struct{ Keeper }

func (fullKeeper) Change(func([]byte) ([]byte, error)) (string, error) {
	return "", fault.New(fault.Full, "The disk is full.")
}

func TestATryThatCannotBeKeptLooksAtNoPIN(t *testing.T) {
	g, d := newGuesses(t)
	whole := d.keeper
	d.keeper = fullKeeper{whole}
	for range 2 * mostTries {
		g.try(t, d, bosPIN, fault.Full)
	}
	d.keeper = whole
	g.try(t, d, bosPIN, "")
}

func TestGuessingWakesNoPageThatWaits(t *testing.T) {
	g, d := newGuesses(t)
	other := g.open(t)
	here, there := d.changed(), other.changed()
	woken := func(c <-chan struct{}) bool {
		select {
		case <-c:
			return true
		default:
			return false
		}
	}
	g.try(t, d, wrongPIN, fault.Bad)
	other.People()
	if woken(here) || woken(there) {
		t.Error("a wrong PIN woke a page")
	}
	g.try(t, d, bosPIN, "")
	other.People()
	if !woken(here) || !woken(there) {
		t.Error("a phone in other hands woke no page")
	}
}

func TestAPINChangedWhileItIsLookedAtLetsNobodyIn(t *testing.T) {
	_, d := newGuesses(t)
	bo := d.personNamed(t, "Bo")
	d.lock()
	err := d.state.rightPIN(d.state.Devices[0].ID, bo.ID, "another hash")
	d.mu.Unlock()
	if !fault.Is(err, fault.Bad) {
		t.Errorf("got %v, want a refusal", err)
	}
}

func TestAWrongPINSaysHowManyTriesAreLeft(t *testing.T) {
	g, d := newGuesses(t)
	say := func() string { _, err := d.SignIn(g.phone, g.person, wrongPIN); return fault.Say(err) }
	for _, want := range []string{
		"This is not the PIN. 4 more tries, then one in five minutes.",
		"This is not the PIN. 3 more tries, then one in five minutes.",
		"This is not the PIN. 2 more tries, then one in five minutes.",
		"This is not the PIN. One more try, then one in five minutes.",
		"This is not the PIN. The next try is in five minutes.",
		"Too many wrong PINs. Wait five minutes; sooner, it takes a new one from the owner and another phone.",
	} {
		if got := say(); got != want {
			t.Errorf("it says %q, want %q", got, want)
		}
	}
	paired(t, d, "red")
	g.phone = d.Devices()[1].ID
	if got, want := say(), "Too many wrong PINs for this name. Wait five minutes, or ask the owner for a new one."; got != want {
		t.Errorf("on another phone it says %q, want %q", got, want)
	}
}
