package cli_test

import (
	"testing"
	"time"

	"lastbolt/fault"
	"lastbolt/lan"
	"lastbolt/store/pgtest"
	"lastbolt/store/postgres"
)

func TestProcessesOnOnePostgreSQLAllowNoMorePINsThanOneAndNoneAfterARestart(t *testing.T) {
	url, err := pgtest.Start(t).Fresh()
	if err != nil {
		t.Fatal(err)
	}
	at := time.Date(2026, 5, 20, 12, 0, 0, 0, time.UTC)
	process := func() *lan.Door {
		t.Helper()
		st, err := postgres.Open(t.Context(), url, t.TempDir(), postgres.Options{})
		if err != nil {
			t.Fatal(err)
		}
		t.Cleanup(func() { _ = st.Close() })
		d, err := lan.OpenKept(t.TempDir(), st.Private("door"), func() time.Time { return at })
		if err != nil {
			t.Fatal(err)
		}
		return d
	}
	first := process()
	if err := first.AddPerson("Ann", lan.Owner, "482915"); err != nil {
		t.Fatal(err)
	}
	code, _ := first.Code()
	if _, err := first.Pair(code, "blue", "192.168.7.9"); err != nil {
		t.Fatal(err)
	}
	phone, ann := first.Devices()[0].ID, first.People()[0].ID
	second := process()
	for i := range 5 {
		if _, err := []*lan.Door{first, second}[i%2].SignIn(phone, ann, "918273"); !fault.Is(err, fault.Bad) {
			t.Fatalf("try %d: got %v, want that it is not the PIN", i+1, err)
		}
	}
	for name, d := range map[string]*lan.Door{"first": first, "second": second, "restarted": process()} {
		if _, err := d.SignIn(phone, ann, "482915"); !fault.Is(err, fault.Busy) {
			t.Errorf("the %s process: got %v, want that there were too many", name, err)
		}
	}
	at = at.Add(5 * time.Minute)
	if _, err := second.SignIn(phone, ann, "482915"); err != nil {
		t.Errorf("five minutes later: %v", err)
	}
}
