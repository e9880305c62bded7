package sqlite

import (
	"encoding/json"
	"fmt"
	"path/filepath"
	"testing"
	"testing/fstest"

	"lastbolt/keep"
	"lastbolt/store/storetest"
	"lastbolt/store/tables"
)

// first are the first n embedded migrations.
func first(t *testing.T, n int) fstest.MapFS {
	t.Helper()
	all := steps(t)
	for name := range all {
		if name >= fmt.Sprintf("migrations/%04d_", n+1) {
			delete(all, name)
		}
	}
	return all
}

// beforeDue makes a folder of the shape before the column of what is due, with
// lines written as the program of then wrote them.
func beforeDue(t *testing.T, dir string) {
	t.Helper()
	s, err := Open(dir, Options{migrations: first(t, 2)})
	if err == nil {
		err = s.Close()
	}
	if err != nil {
		t.Fatal(err)
	}
	db, err := connect(filepath.Join(dir, databaseName), "", 1)
	if err != nil {
		t.Fatal(err)
	}
	defer db.Close()
	for _, line := range storetest.LinesBeforeDue() {
		text, err := json.Marshal(line)
		if err != nil {
			t.Fatal(err)
		}
		_, err = db.Exec(`INSERT INTO summary (id, stage, vehicle, touched, released, search, line) VALUES ($1, '', '', $2, $3, $4, $5)`,
			line.ID, tables.TimeText(line.Touched), tables.TimeText(line.Released), keep.SearchText(line), string(text))
		if err != nil {
			t.Fatal(err)
		}
	}
}

func TestWhatIsDueIsFoundInAFolderOfAnOlderProgram(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "data")
	beforeDue(t, dir)
	s, err := Open(dir, Options{})
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	storetest.CheckDueAfter(t, s)
}

func TestTheJobsOfAMapAreFoundInAFolderOfAnOlderProgram(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "data")
	s, err := Open(dir, Options{migrations: first(t, 3)})
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
	if s, err = Open(dir, Options{}); err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	storetest.CheckMapsAfter(t, s)
}

func TestABackupOfAnOlderProgramComesBackWithWhatIsDue(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "data")
	beforeDue(t, dir)
	s, err := Open(dir, Options{migrations: first(t, 2)})
	if err != nil {
		t.Fatal(err)
	}
	backup, restored := filepath.Join(t.TempDir(), "backup"), filepath.Join(t.TempDir(), "restored")
	_, err = s.Backup(t.Context(), backup, BackupOptions{})
	if err == nil {
		err = s.Close()
	}
	if err == nil {
		err = Restore(t.Context(), backup, restored)
	}
	if err != nil {
		t.Fatal(err)
	}
	if s, err = Open(restored, Options{}); err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	storetest.CheckDueAfter(t, s)
}
