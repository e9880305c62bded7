package cli_test

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"lastbolt/job"
	"lastbolt/store/sqlite"
)

func TestThatThereAreMoreJobsIsSaidOnlyWhenThereAre(t *testing.T) {
	dir := t.TempDir()
	st, err := sqlite.Open(dir, sqlite.Options{})
	if err != nil {
		t.Fatal(err)
	}
	at := time.Date(2026, 5, 20, 12, 0, 0, 0, time.UTC)
	err = st.SetSummary(t.Context(), job.Summary{ID: "oldest", Touched: at.AddDate(-1, 0, 0)})
	if err != nil {
		t.Fatal(err)
	}
	for i := range 999 {
		if err := st.SetSummary(t.Context(), job.Summary{ID: fmt.Sprintf("job-%04d", i), Touched: at}); err != nil {
			t.Fatal(err)
		}
	}
	list := func(want, wantSaid string, args ...string) {
		t.Helper()
		code, out, said := run(t, append([]string{"jobs", "--dir", dir}, args...)...)
		if code != 0 || !strings.Contains(out, want) || !strings.Contains(said, wantSaid) || wantSaid == "" && said != "" {
			t.Errorf("jobs %v: got code %d, said %q, want %q said and %q listed", args, code, said, wantSaid, want)
		}
	}
	list("oldest", "")
	if err := st.SetSummary(t.Context(), job.Summary{ID: "one more", Touched: at}); err != nil {
		t.Fatal(err)
	}
	list("one more", "There are more than these 1000 jobs: --from 1000 lists")
	list("oldest", "", "--from", "1000")
	list("", "There are no more than 1001 jobs", "--from", "1001")
	if err := st.Close(); err != nil {
		t.Fatal(err)
	}
}
