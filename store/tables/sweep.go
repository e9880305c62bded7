package tables

import (
	"bytes"
	"context"
	"database/sql"
	"time"

	"lastbolt/keep"
)

var _ keep.Sweeper = (*Tables)(nil)

const (
	storedFiles = `SELECT name, media, size, kept FROM file ORDER BY name`
	adoptFile   = `INSERT INTO file (name, media, size, kept) VALUES ($1, $2, $3, $4)
		ON CONFLICT (name) DO UPDATE SET kept = excluded.kept WHERE file.kept = ''`
	forgetFile = `DELETE FROM file WHERE name = $1 AND kept <> '' AND kept < $2`
	newEvents  = `SELECT data FROM event WHERE position > $1`
	allBodies  = `SELECT body FROM document`
)

// Stored implements keep.Sweeper.
func (t *Tables) Stored(ctx context.Context) ([]keep.Stored, error) {
	rows, err := t.Read.QueryContext(ctx, storedFiles)
	return Collect(t.Explain, rows, err, func(r *sql.Rows) (s keep.Stored, err error) {
		return s, r.Scan(&s.Name, &s.Media, &s.Bytes, timeColumn{&s.Kept})
	})
}

// Contents implements keep.Sweeper.
func (t *Tables) Contents(ctx context.Context) ([]keep.Content, error) {
	all, err := t.Files.All(ctx)
	return all, t.Explain(err)
}

// Adopt implements keep.Sweeper.
func (t *Tables) Adopt(ctx context.Context, name, mediaType string, bytes int64) error {
	_, err := t.Write.ExecContext(ctx, adoptFile, name, mediaType, bytes, TimeText(time.Now()))
	return t.Explain(err)
}

// Forget implements keep.Sweeper. The content goes while the transaction holds
// everybody else off; if that fails the files stay listed, and the next sweep
// takes them.
func (t *Tables) Forget(ctx context.Context, names []string, before time.Time, position int64) (gone []string, err error) {
	err = t.Do(ctx, func(tx *sql.Tx) error {
		gone = nil
		wanted, err := mentioned(ctx, tx, names, position)
		if err != nil {
			return err
		}
		for _, name := range names {
			if wanted[name] {
				continue
			}
			result, err := tx.ExecContext(ctx, forgetFile, name, TimeText(before))
			if err != nil {
				return err
			}
			if n, err := result.RowsAffected(); err != nil || n == 0 {
				continue
			}
			if err := t.Files.Remove(ctx, name); err != nil {
				return err
			}
			gone = append(gone, name)
		}
		return nil
	})
	return gone, err
}

// mentioned are those of the names that new events or any document hold.
func mentioned(ctx context.Context, tx *sql.Tx, names []string, position int64) (map[string]bool, error) {
	wanted := map[string]bool{}
	look := func(query string, args ...any) error {
		rows, err := tx.QueryContext(ctx, query, args...)
		if err != nil {
			return err
		}
		defer rows.Close()
		var text sql.RawBytes
		for rows.Next() {
			if err := rows.Scan(&text); err != nil {
				return err
			}
			for _, name := range names {
				if !wanted[name] && bytes.Contains(text, []byte(name)) {
					wanted[name] = true
				}
			}
		}
		return rows.Err()
	}
	if err := look(newEvents, position); err != nil {
		return nil, err
	}
	return wanted, look(allBodies)
}
