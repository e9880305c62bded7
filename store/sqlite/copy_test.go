package sqlite_test

import (
	"context"
	"os"
	"path/filepath"
	"slices"
	"testing"

	"lastbolt/fault"
	"lastbolt/keep"
	"lastbolt/store/sqlite"
	"lastbolt/store/storetest"
	"lastbolt/store/tables"
)

// A column that a copy forgets would be lost in a move.
func TestACopyTakesEveryColumnAlong(t *testing.T) {
	dir := t.TempDir()
	s := open(t, dir)
	rows, err := rawDatabase(t, dir).Query(`
		SELECT m.name || ':' || group_concat(c.name, ',' ORDER BY c.cid) FROM sqlite_schema AS m, pragma_table_info(m.name) AS c
		WHERE m.type = 'table' AND m.name NOT LIKE 'sqlite\_%' ESCAPE '\' AND m.name <> 'schema_migration' GROUP BY m.name ORDER BY 1`)
	there, err := tables.Collect(func(err error) error { return err }, rows, err, tables.ScanText)
	if err != nil {
		t.Fatal(err)
	}
	var copied []string
	for _, sum := range sumsOf(t, s) {
		copied = append(copied, sum.Table+":"+sum.Columns)
	}
	slices.Sort(copied)
	if !slices.Equal(there, copied) {
		t.Errorf("there is %v, a copy takes %v", there, copied)
	}
}

func sumsOf(t *testing.T, s *sqlite.Store) []tables.Sum {
	t.Helper()
	now, err := s.Database().Snapshot(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	defer now.Close()
	list, err := now.Sums(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	return list
}

func TestACopyIsWholeOrNotThere(t *testing.T) {
	from, to := open(t, t.TempDir()), open(t, t.TempDir())
	fill(t, from, 250) // more than two statements take, and a rest
	copying := func() error {
		_, err := tables.Copy(t.Context(), from.Database(), to.Database(), tables.CopyOptions{Resting: true})
		return err
	}

	// Something is recorded in the source while it is copied.
	busy := from.Database()
	contents := busy.Files
	busy.Files = meanwhile{contents, func() {
		if _, err := from.Append(t.Context(), storetest.Event("meanwhile", 1)); err != nil {
			t.Error(err)
		}
	}}
	_, err := tables.Copy(t.Context(), busy, to.Database(), tables.CopyOptions{Resting: true})
	fails(t, err, fault.Busy, "Something was recorded in the folder "+from.Dir()+" meanwhile")
	if jobs, err := to.Jobs(t.Context()); err != nil || len(jobs) > 0 {
		t.Fatalf("after that there are the jobs %v, %v", jobs, err)
	}

	if err := copying(); err != nil {
		t.Fatal(err)
	}
	if sent, arrived := sumsOf(t, from), sumsOf(t, to); !slices.Equal(sent, arrived) {
		t.Errorf("sent %v, arrived %v", sent, arrived)
	}
	fails(t, copying(), fault.Bad, "has something in it already")
}

func TestACopySaysWhichPhotosWereLostBefore(t *testing.T) {
	dir := t.TempDir()
	from, to := open(t, dir), open(t, t.TempDir())
	fill(t, from, 3)
	names, err := from.Names(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	cutShort(t, filepath.Join(dir, "files", names[0][:2], names[0]))
	got, err := tables.Copy(t.Context(), from.Database(), to.Database(), tables.CopyOptions{})
	if err != nil {
		t.Fatal(err)
	}
	if !slices.Equal(got.Missing, names[:1]) || got.Files != len(names) {
		t.Errorf("%d files, %v missing, want %d and %v", got.Files, got.Missing, len(names), names[:1])
	}
	if _, _, err := to.Open(t.Context(), names[0]); !fault.Is(err, fault.Damaged) {
		t.Errorf("the lost one opens with %v", err)
	}
}

// meanwhile does something whenever a content is read.
type meanwhile struct {
	keep.Contents
	do func()
}

func (m meanwhile) Read(ctx context.Context, name string) ([]byte, error) {
	m.do()
	return m.Contents.Read(ctx, name)
}

func cutShort(t *testing.T, path string) {
	t.Helper()
	if err := os.Truncate(path, 10); err != nil {
		t.Fatal(err)
	}
}
