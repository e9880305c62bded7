package postgres_test

import (
	"errors"
	"fmt"
	"slices"
	"sync"
	"testing"
	"time"

	"github.com/jackc/pgx/v5"

	"lastbolt/store/pgtest"
)

func TestProcessesShareWhatIsPrivateAndNoneUndoesAnothers(t *testing.T) {
	server := pgtest.Start(t)
	url := fresh(t, server)
	first, second := open(t, url, t.TempDir()).Private("door"), open(t, url, t.TempDir()).Private("door")
	if content, version, err := first.Load(); content != nil || version != "" || err != nil {
		t.Fatalf("at first %q of version %q, %v", content, version, err)
	}
	refusal := errors.New("no")
	if _, err := first.Change(func([]byte) ([]byte, error) { return nil, refusal }); err != refusal {
		t.Errorf("a refused change says %v", err)
	}
	var wait sync.WaitGroup
	const each = 25
	for _, p := range []interface {
		Change(func([]byte) ([]byte, error)) (string, error)
	}{first, second} {
		wait.Go(func() {
			for range each {
				if _, err := p.Change(func(old []byte) ([]byte, error) { return append(slices.Clone(old), 'x'), nil }); err != nil {
					t.Error(err)
				}
			}
		})
	}
	wait.Wait()
	time.Sleep(600 * time.Millisecond) // what one has read may be half a second old
	for _, p := range []interface {
		Load() ([]byte, string, error)
	}{first, second} {
		content, version, err := p.Load()
		if len(content) != 2*each || version != fmt.Sprint(2*each) || err != nil {
			t.Errorf("%d changes of version %s, %v, want %d", len(content), version, err, 2*each)
		}
	}
}

// A column that a copy forgets would be lost in a backup and in a move.
func TestACopyTakesEveryColumnAlongButWhatIsPrivate(t *testing.T) {
	url := fresh(t, pgtest.Start(t))
	s := open(t, url, t.TempDir())
	c, err := pgx.Connect(t.Context(), url)
	if err != nil {
		t.Fatal(err)
	}
	defer c.Close(t.Context())
	rows, err := c.Query(t.Context(), `
		SELECT table_name || ':' || string_agg(column_name, ',' ORDER BY ordinal_position) FROM information_schema.columns
		WHERE table_schema = current_schema() AND table_name NOT IN ('schema_migration', 'private') GROUP BY table_name ORDER BY 1`)
	if err != nil {
		t.Fatal(err)
	}
	there, err := pgx.CollectRows(rows, pgx.RowTo[string])
	if err != nil {
		t.Fatal(err)
	}
	now, err := s.Database().Snapshot(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	defer now.Close()
	sums, err := now.Sums(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	var copied []string
	for _, sum := range sums {
		copied = append(copied, sum.Table+":"+sum.Columns)
	}
	slices.Sort(copied)
	if !slices.Equal(there, copied) {
		t.Errorf("there is %v, a copy takes %v", there, copied)
	}
}
