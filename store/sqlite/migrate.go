package sqlite

import (
	"context"
	"database/sql"
	"embed"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"time"

	"lastbolt/fault"
	"lastbolt/keep"
)

//go:embed migrations/*.sql
var embedded embed.FS

// A migration is one numbered step of the database's shape: 0001_start.sql.
type migration struct {
	number int
	name   string
	text   string
	hash   string
}

func readMigrations(from fs.FS) ([]migration, error) {
	if from == nil {
		from = embedded
	}
	names, err := fs.Glob(from, "migrations/*.sql") // sorted
	if err != nil {
		return nil, err
	}
	var out []migration
	for _, path := range names {
		text, err := fs.ReadFile(from, path)
		if err != nil {
			return nil, err
		}
		name := filepath.Base(path)
		digits, _, _ := strings.Cut(name, "_")
		number, err := strconv.Atoi(digits)
		if err != nil || number != len(out)+1 {
			return nil, fmt.Errorf("migration %s: want number %04d", name, len(out)+1)
		}
		out = append(out, migration{number, name, string(text), keep.Hash(text)})
	}
	return out, nil
}

// migrate brings the database to the newest shape, one transaction a step, and
// refuses one whose recorded steps are not the beginning of ours.
func (s *Store) migrate(ctx context.Context, from fs.FS) error {
	all, err := readMigrations(from)
	if err != nil {
		return err
	}
	done, err := s.doneMigrations(ctx)
	if err != nil {
		return err
	}
	for i, hash := range done {
		if i >= len(all) || all[i].hash != hash {
			return fault.New(fault.NewVersion, "The folder %s was written by a newer Lastbolt, or by another build of it. Nothing was changed; open it with that one, or bring this one up to date.", s.dir)
		}
	}
	if len(done) == len(all) {
		return nil
	}
	if len(done) > 0 {
		if err := s.beforeMigrating(ctx, len(done)); err != nil {
			return err
		}
	}
	for _, m := range all[len(done):] {
		if err := s.do(ctx, func(tx *sql.Tx) error { return m.run(ctx, tx) }); err != nil {
			return fmt.Errorf("migration %s: %w", m.name, err)
		}
	}
	return nil
}

func (m migration) run(ctx context.Context, tx *sql.Tx) error {
	if m.number == 1 {
		const table = `CREATE TABLE schema_migration (number INTEGER PRIMARY KEY, name TEXT NOT NULL, hash TEXT NOT NULL, at TEXT NOT NULL) STRICT`
		if _, err := tx.ExecContext(ctx, table); err != nil {
			return err
		}
		if _, err := tx.ExecContext(ctx, fmt.Sprintf("PRAGMA application_id = %d", applicationID)); err != nil {
			return err
		}
	}
	if _, err := tx.ExecContext(ctx, m.text); err != nil {
		return err
	}
	_, err := tx.ExecContext(ctx, `INSERT INTO schema_migration (number, name, hash, at) VALUES ($1, $2, $3, $4)`,
		m.number, m.name, m.hash, timeText(time.Now()))
	return err
}

// doneMigrations returns the hashes of the steps taken, in order.
func (s *Store) doneMigrations(ctx context.Context) ([]string, error) {
	var there, others int
	const look = `SELECT coalesce(sum(name = 'schema_migration'), 0), count(*) FROM sqlite_master WHERE type = 'table'`
	if err := s.write.QueryRowContext(ctx, look).Scan(&there, &others); err != nil {
		return nil, s.explain(err)
	}
	switch {
	case there == 0 && others > 0:
		return nil, notOurs(filepath.Join(s.dir, databaseName))
	case there == 0:
		return nil, nil
	}
	rows, err := s.write.QueryContext(ctx, `SELECT hash FROM schema_migration ORDER BY number`)
	return collect(s, rows, err, func(r *sql.Rows) (hash string, err error) { return hash, r.Scan(&hash) })
}

// beforeMigrating makes a copy of the database as it is, and refuses to change
// one that another process is working on.
func (s *Store) beforeMigrating(ctx context.Context, version int) error {
	if !s.lock.ours {
		return fault.New(fault.Busy, "The folder %s must be brought up to date for this Lastbolt, but another one%s has it open. Close the other one first.", s.dir, s.lock.other())
	}
	copies := filepath.Join(s.dir, "copies")
	if err := makeFolder(copies); err != nil {
		return err
	}
	name := fmt.Sprintf("lastbolt-%04d-%s.db", version, time.Now().UTC().Format("20060102T150405.000"))
	return s.copyDatabase(ctx, filepath.Join(copies, name))
}

// copyDatabase writes a consistent copy of the database to a new file, and
// returns once it is durably there.
func (s *Store) copyDatabase(ctx context.Context, path string) error {
	// A connection of its own: the readers' may not write, not even elsewhere,
	// and the writer's would hold everybody up.
	db, err := connect(filepath.Join(s.dir, databaseName), "", 1)
	if err != nil {
		return s.explain(err)
	}
	defer db.Close()
	if _, err := db.ExecContext(ctx, `VACUUM INTO $1`, path); err != nil {
		return s.explain(err)
	}
	f, err := os.OpenFile(path, os.O_RDWR, 0)
	if err != nil {
		return s.explain(err)
	}
	defer f.Close()
	if err := f.Sync(); err != nil {
		return s.explain(err)
	}
	return syncFolder(filepath.Dir(path))
}
