package tables_test

import (
	"database/sql"
	"fmt"
	"strings"
	"testing"
	"time"

	"lastbolt/job"
	"lastbolt/keep"
	"lastbolt/store/pgtest"
	"lastbolt/store/postgres"
	"lastbolt/store/sqlite"
	"lastbolt/store/storetest"
	"lastbolt/store/tables"
)

// Without the index each look at the list of jobs would read the line of every
// job there ever was.
func TestWhatIsDueIsFoundByItsIndex(t *testing.T) {
	t.Run("SQLite", func(t *testing.T) {
		s, err := sqlite.Open(t.TempDir(), sqlite.Options{})
		if err != nil {
			t.Fatal(err)
		}
		defer s.Close()
		dueByIndex(t, s, s.Database(), "EXPLAIN QUERY PLAN ", "USING INDEX summary_by_due", "SCAN")
	})
	t.Run("PostgreSQL", func(t *testing.T) {
		url, err := pgtest.Start(t).Fresh()
		if err != nil {
			t.Fatal(err)
		}
		s, err := postgres.Open(t.Context(), url, t.TempDir(), postgres.Options{})
		if err != nil {
			t.Fatal(err)
		}
		defer s.Close()
		dueByIndex(t, s, s.Database(), "EXPLAIN ", "summary_by_due", "Seq Scan")
	})
}

func dueByIndex(t *testing.T, b keep.Backend, e tables.Engine, explain, want, not string) {
	err := e.Do(t.Context(), func(tx *sql.Tx) error {
		for i := range 2000 {
			due := ""
			if i%100 == 0 {
				due = tables.TimeText(storetest.At.Add(time.Duration(i) * time.Hour))
			}
			_, err := tx.ExecContext(t.Context(), `INSERT INTO summary (id, stage, vehicle, touched, released, search, line, due) VALUES ($1, '', '', $2, $2, '', '{}', $3)`,
				fmt.Sprint("job-", i), tables.TimeText(storetest.At.Add(time.Duration(i)*time.Minute)), due)
			if err != nil {
				return err
			}
		}
		_, err := tx.ExecContext(t.Context(), "ANALYZE")
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	q := job.Query{Closed: true, DueBy: storetest.At.AddDate(1, 0, 0), Limit: 21}
	if list, err := b.Summaries(t.Context(), q); err != nil || len(list) != 20 {
		t.Fatalf("%d are due, %v", len(list), err)
	}
	text, args := tables.SummariesQuery(q)
	rows, err := e.Read.QueryContext(t.Context(), explain+text, args...)
	if err != nil {
		t.Fatal(err)
	}
	defer rows.Close()
	columns, err := rows.Columns()
	if err != nil {
		t.Fatal(err)
	}
	var plan strings.Builder
	for rows.Next() {
		values, to := make([]any, len(columns)), make([]any, len(columns))
		for i := range values {
			to[i] = &values[i]
		}
		if err := rows.Scan(to...); err != nil {
			t.Fatal(err)
		}
		fmt.Fprintln(&plan, values[len(values)-1])
	}
	if err := rows.Err(); err != nil {
		t.Fatal(err)
	}
	if got := plan.String(); !strings.Contains(got, want) || strings.Contains(got, not) {
		t.Errorf("the plan is\n%swant %q in it and no %q", got, want, not)
	}
}
