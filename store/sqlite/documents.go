package sqlite

import (
	"context"
	"database/sql"
	"errors"
	"strconv"

	"lastbolt/garage"
	"lastbolt/job"
	"lastbolt/keep"
)

const (
	documentColumns = `kind, id, version, at, by, note, body`

	newestVersion  = `SELECT coalesce(max(version), 0) FROM document WHERE kind = $1 AND id = $2`
	insertDocument = `INSERT INTO document (kind, id, version, at, by, note, body) VALUES ($1, $2, $3, $4, $5, $6, $7)`
	latestDocument = `SELECT ` + documentColumns + ` FROM document WHERE kind = $1 AND id = $2 ORDER BY version DESC LIMIT 1`
	oneVersion     = `SELECT ` + documentColumns + ` FROM document WHERE kind = $1 AND id = $2 AND version = $3`
	allVersions    = `SELECT ` + documentColumns + ` FROM document WHERE kind = $1 AND id = $2 ORDER BY version`
	allLatest      = `
		SELECT ` + documentColumns + ` FROM document AS d
		WHERE kind = $1 AND version = (SELECT max(version) FROM document AS m WHERE m.kind = d.kind AND m.id = d.id)
		ORDER BY id`
	history       = `SELECT kind, id, version, at, by, note FROM document WHERE kind = $1 AND id = $2 ORDER BY version DESC`
	documentKinds = `SELECT DISTINCT kind FROM document ORDER BY kind`
)

func param(n int) string { return "$" + strconv.Itoa(n) }

// Put implements garage.Documents.
func (s *Store) Put(ctx context.Context, d garage.Document, base int) (int, error) {
	d, err := keep.Document(d)
	if err != nil {
		return 0, err
	}
	d.Version = base + 1
	err = s.do(ctx, func(tx *sql.Tx) error {
		var have int
		if err := tx.QueryRowContext(ctx, newestVersion, d.Kind, d.ID).Scan(&have); err != nil {
			return err
		}
		if have != base {
			return keep.Stale(d, base, have)
		}
		return putVersion(ctx, tx, d)
	})
	if err != nil {
		return 0, err
	}
	return d.Version, nil
}

func putVersion(ctx context.Context, tx *sql.Tx, d garage.Document) error {
	_, err := tx.ExecContext(ctx, insertDocument, d.Kind, d.ID, d.Version, timeText(d.At), d.By, d.Note, d.Body)
	return err
}

type row interface{ Scan(...any) error }

func scanDocument(r row) (d garage.Document, err error) {
	return d, r.Scan(&d.Kind, &d.ID, &d.Version, timeColumn{&d.At}, &d.By, &d.Note, &d.Body)
}

func scanDocuments(r *sql.Rows) (garage.Document, error) { return scanDocument(r) }

// Latest implements garage.Documents.
func (s *Store) Latest(ctx context.Context, kind, id string) (garage.Document, error) {
	d, err := scanDocument(s.read.QueryRowContext(ctx, latestDocument, kind, id))
	if errors.Is(err, sql.ErrNoRows) {
		return garage.Document{}, keep.Unknown(kind, id, 0)
	}
	return d, s.explain(err)
}

// Version implements garage.Documents.
func (s *Store) Version(ctx context.Context, kind, id string, version int) (garage.Document, error) {
	d, err := scanDocument(s.read.QueryRowContext(ctx, oneVersion, kind, id, version))
	if errors.Is(err, sql.ErrNoRows) {
		return garage.Document{}, keep.Unknown(kind, id, version)
	}
	return d, s.explain(err)
}

// All implements garage.Documents.
func (s *Store) All(ctx context.Context, kind string) ([]garage.Document, error) {
	rows, err := s.read.QueryContext(ctx, allLatest, kind)
	return collect(s, rows, err, scanDocuments)
}

// History implements garage.Documents.
func (s *Store) History(ctx context.Context, kind, id string) ([]garage.Document, error) {
	rows, err := s.read.QueryContext(ctx, history, kind, id)
	return collect(s, rows, err, func(r *sql.Rows) (d garage.Document, err error) {
		return d, r.Scan(&d.Kind, &d.ID, &d.Version, timeColumn{&d.At}, &d.By, &d.Note)
	})
}

// Kinds implements keep.Backend.
func (s *Store) Kinds(ctx context.Context) ([]string, error) {
	rows, err := s.read.QueryContext(ctx, documentKinds)
	return collect(s, rows, err, scanText)
}

// Merge implements keep.Backend.
func (s *Store) Merge(ctx context.Context, b keep.Batch) (keep.Merged, error) {
	b, err := b.Check()
	if err != nil {
		return keep.Merged{}, err
	}
	var out keep.Merged
	err = s.do(ctx, func(tx *sql.Tx) (err error) {
		if out.Events, err = s.mergeEvents(ctx, tx, b.Events); err != nil {
			return err
		}
		return s.mergeDocuments(ctx, tx, b, &out)
	})
	if err != nil {
		return keep.Merged{}, err
	}
	return out, nil
}

// mergeEvents is insertEvents, but an event that is there with another meaning is an
// error.
func (s *Store) mergeEvents(ctx context.Context, tx *sql.Tx, events []job.Event) (added int, err error) {
	insert := tx.StmtContext(ctx, s.text.insert)
	for i, e := range events {
		n, err := insertEvents(ctx, insert, events[i:i+1])
		if err != nil {
			return 0, err
		}
		added += n
		if n == 1 {
			continue
		}
		old, _, err := eventNamed(ctx, tx, e.ID)
		if err != nil {
			return 0, err
		}
		if !keep.Same(old, e) {
			return 0, keep.Contradiction(e)
		}
	}
	return added, nil
}

func (s *Store) mergeDocuments(ctx context.Context, tx *sql.Tx, b keep.Batch, out *keep.Merged) error {
	for _, come := range b.Histories() {
		kind, id := come[0].Kind, come[0].ID
		rows, err := tx.QueryContext(ctx, allVersions, kind, id)
		have, err := collect(s, rows, err, scanDocuments)
		if err != nil {
			return err
		}
		add, diverged := keep.MergeHistory(have, come)
		for _, d := range add {
			if err := putVersion(ctx, tx, d); err != nil {
				return err
			}
		}
		out.Note(kind, id, len(add), diverged)
	}
	return nil
}
