package postgres

import (
	"encoding/json"
	"testing"
	"testing/fstest"

	"lastbolt/keep"
	"lastbolt/store/pgtest"
	"lastbolt/store/storetest"
	"lastbolt/store/tables"
)

func TestWhatIsDueIsFoundInADatabaseOfAnOlderProgram(t *testing.T) {
	all, err := tables.Migrations(embedded)
	if err != nil {
		t.Fatal(err)
	}
	before := fstest.MapFS{}
	for _, m := range all[:4] {
		before["migrations/"+m.Name] = &fstest.MapFile{Data: []byte(m.Text)}
	}
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
