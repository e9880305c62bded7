package postgres

import (
	"encoding/json"
	"fmt"
	"testing"
	"testing/fstest"

	"lastbolt/keep"
	"lastbolt/store/pgtest"
	"lastbolt/store/storetest"
	"lastbolt/store/tables"
)

// first are the first n embedded migrations.
func first(t *testing.T, n int) fstest.MapFS {
	t.Helper()
	all, err := tables.Migrations(embedded)
	if err != nil {
		t.Fatal(err)
	}
	out := fstest.MapFS{}
	for _, m := range all[:n] {
		out["migrations/"+m.Name] = &fstest.MapFile{Data: []byte(m.Text)}
	}
	return out
}

func TestTheJobsOfAMapAreFoundInADatabaseOfAnOlderProgram(t *testing.T) {
	url, err := pgtest.Start(t).Fresh()
	if err != nil {
		t.Fatal(err)
	}
	s, err := Open(t.Context(), url, t.TempDir(), Options{migrations: first(t, 5)})
	if err != nil {
		t.Fatal(err)
	}
	events := storetest.EventsBeforeMaps()
	if _, err := s.Append(t.Context(), events...); err != nil {
		t.Fatal(err)
	}
	for _, e := range events {
		_, err := s.write.ExecContext(t.Context(), `INSERT INTO summary (id, stage, vehicle, touched, released, search, line) VALUES ($1, '', '', '', '', '', $2) ON CONFLICT DO NOTHING`,
			e.Job, fmt.Sprintf(`{"id":%q}`, e.Job))
		if err != nil {
			t.Fatal(err)
		}
	}
	if err := s.Close(); err != nil {
		t.Fatal(err)
	}
	if s, err = Open(t.Context(), url, t.TempDir(), Options{}); err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	storetest.CheckMapsAfter(t, s)
}

func TestWhatIsDueIsFoundInADatabaseOfAnOlderProgram(t *testing.T) {
	before := first(t, 4)
	url, err := pgtest.Start(t).Fresh()
	if err != nil {
		t.Fatal(err)
	}
	s, err := Open(t.Context(), url, t.TempDir(), Options{migrations: before})
	if err != nil {
		t.Fatal(err)
	}
	for _, line := range storetest.LinesBeforeDue() {
		text, err := json.Marshal(line)
		if err != nil {
			t.Fatal(err)
		}
		_, err = s.write.ExecContext(t.Context(),
			`INSERT INTO summary (id, stage, vehicle, touched, released, search, line) VALUES ($1, '', '', $2, $3, $4, $5)`,
			line.ID, tables.TimeText(line.Touched), tables.TimeText(line.Released), keep.SearchText(line), string(text))
		if err != nil {
			t.Fatal(err)
		}
	}
	if err := s.Close(); err != nil {
		t.Fatal(err)
	}
	if s, err = Open(t.Context(), url, t.TempDir(), Options{}); err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	storetest.CheckDueAfter(t, s)
}
