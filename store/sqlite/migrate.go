package sqlite

import (
	"context"
	"database/sql"
	"embed"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"time"

	"lastbolt/fault"
	"lastbolt/store/folder"
	"lastbolt/store/tables"
)

//go:embed migrations/*.sql
var embedded embed.FS

// migrate brings the database to the newest shape, one transaction a step, and
// refuses one whose recorded steps are not the beginning of ours.
func (s *Store) migrate(ctx context.Context, from fs.FS) error {
	if from == nil {
		from = embedded
	}
	all, err := tables.Migrations(from)
	if err != nil {
		return err
	}
	done, err := s.doneMigrations(ctx)
	if err != nil {
		return err
	}
	missing, ours := tables.Missing(all, done)
	if !ours {
		return fault.New(fault.NewVersion, "The folder %s was written by a newer Lastbolt, or by another build of it. Nothing was changed; open it with that one, or bring this one up to date.", s.dir)
	}
	if len(missing) > 0 && len(done) > 0 {
		if err := s.beforeMigrating(ctx, len(done)); err != nil {
			return err
		}
	}
	for _, m := range missing {
		if err := s.engine().Do(ctx, func(tx *sql.Tx) error { return take(ctx, tx, m) }); err != nil {
			return fmt.Errorf("migration %s: %w", m.Name, err)
		}
	}
	return nil
}

// take runs one step and notes it.
func take(ctx context.Context, tx *sql.Tx, m tables.Migration) error {
	if m.Number == 1 {
		const table = `CREATE TABLE schema_migration (number INTEGER PRIMARY KEY, name TEXT NOT NULL, hash TEXT NOT NULL, at TEXT NOT NULL) STRICT`
		if _, err := tx.ExecContext(ctx, table); err != nil {
			return err
		}
		if _, err := tx.ExecContext(ctx, fmt.Sprintf("PRAGMA application_id = %d", applicationID)); err != nil {
			return err
		}
	}
	if _, err := tx.ExecContext(ctx, m.Text); err != nil {
		return err
	}
	_, err := tx.ExecContext(ctx, tables.Record, m.Number, m.Name, m.Hash, tables.TimeText(time.Now()))
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
	rows, err := s.write.QueryContext(ctx, tables.Taken)
	return tables.Collect(s.explain, rows, err, tables.ScanText)
}

// beforeMigrating makes a copy of the database as it is, and refuses to change
// one that another process is working on.
func (s *Store) beforeMigrating(ctx context.Context, version int) error {
	if !s.lock.ours {
		return fault.New(fault.Busy, "The folder %s must be brought up to date for this Lastbolt, but another one%s has it open. Close the other one first.", s.dir, s.lock.other())
	}
	copies := filepath.Join(s.dir, "copies")
	if err := folder.Make(copies); err != nil {
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
	return folder.Sync(filepath.Dir(path))
}
