package tables

import (
	"context"
	"database/sql"
	"errors"
	"slices"

	"lastbolt/garage"
	"lastbolt/job"
	"lastbolt/keep"
)

// DocumentColumns are the columns that [ScanDocument] takes, in order.
const DocumentColumns = `kind, id, version, at, by, note, body`

const (
	newestVersion  = `SELECT version, at FROM document WHERE kind = $1 AND id = $2 ORDER BY version DESC LIMIT 1`
	insertDocument = `INSERT INTO document (kind, id, version, at, by, note, body) VALUES ($1, $2, $3, $4, $5, $6, $7)`
	latestDocument = `SELECT ` + DocumentColumns + ` FROM document WHERE kind = $1 AND id = $2 ORDER BY version DESC LIMIT 1`
	oneVersion     = `SELECT ` + DocumentColumns + ` FROM document WHERE kind = $1 AND id = $2 AND version = $3`
	allVersions    = `SELECT ` + DocumentColumns + ` FROM document WHERE kind = $1 AND id = $2 ORDER BY version`
	allLatest      = `
		SELECT ` + DocumentColumns + ` FROM document AS d
		WHERE kind = $1 AND version = (SELECT max(version) FROM document AS m WHERE m.kind = d.kind AND m.id = d.id)
		ORDER BY id`
	history       = `SELECT kind, id, version, at, by, note FROM document WHERE kind = $1 AND id = $2 ORDER BY version DESC`
	documentKinds = `SELECT DISTINCT kind FROM document ORDER BY kind`
)

// Put implements garage.Documents.
func (t *Tables) Put(ctx context.Context, d garage.Document, base int) (int, error) {
	d, err := keep.Document(d)
	if err != nil {
		return 0, err
	}
	d.Version = base + 1
	err = t.Do(ctx, func(tx *sql.Tx) error {
		var newest garage.Document // none: version 0
		err := tx.QueryRowContext(ctx, newestVersion, d.Kind, d.ID).Scan(&newest.Version, timeColumn{&newest.At})
		if err != nil && !errors.Is(err, sql.ErrNoRows) {
			return err
		}
		if newest.Version != base {
			return keep.Stale(d, base, newest.Version)
		}
		if base > 0 {
			d = keep.Behind(d, newest)
		}
		return putVersion(ctx, tx, d)
	})
	if err != nil {
		return 0, err
	}
	return d.Version, nil
}

func putVersion(ctx context.Context, tx *sql.Tx, d garage.Document) error {
	_, err := tx.ExecContext(ctx, insertDocument, d.Kind, d.ID, d.Version, TimeText(d.At), d.By, d.Note, d.Body)
	return err
}

func scanDocument(r row) (d garage.Document, err error) {
	return d, r.Scan(&d.Kind, &d.ID, &d.Version, timeColumn{&d.At}, &d.By, &d.Note, &d.Body)
}

// ScanDocument scans [DocumentColumns].
func ScanDocument(r *sql.Rows) (garage.Document, error) { return scanDocument(r) }

// Latest implements garage.Documents.
func (t *Tables) Latest(ctx context.Context, kind, id string) (garage.Document, error) {
	return t.document(t.Read.QueryRowContext(ctx, latestDocument, kind, id), kind, id, 0)
}

// Version implements garage.Documents.
func (t *Tables) Version(ctx context.Context, kind, id string, version int) (garage.Document, error) {
	return t.document(t.Read.QueryRowContext(ctx, oneVersion, kind, id, version), kind, id, version)
}

func (t *Tables) document(r *sql.Row, kind, id string, version int) (garage.Document, error) {
	d, err := scanDocument(r)
	if errors.Is(err, sql.ErrNoRows) {
		return garage.Document{}, keep.Unknown(kind, id, version)
	}
	return d, t.Explain(err)
}

// All implements garage.Documents.
func (t *Tables) All(ctx context.Context, kind string) ([]garage.Document, error) {
	rows, err := t.Read.QueryContext(ctx, allLatest, kind)
	return Collect(t.Explain, rows, err, ScanDocument)
}

// History implements garage.Documents.
func (t *Tables) History(ctx context.Context, kind, id string) ([]garage.Document, error) {
	rows, err := t.Read.QueryContext(ctx, history, kind, id)
	return Collect(t.Explain, rows, err, func(r *sql.Rows) (d garage.Document, err error) {
		return d, r.Scan(&d.Kind, &d.ID, &d.Version, timeColumn{&d.At}, &d.By, &d.Note)
	})
}

// Kinds implements keep.Backend.
func (t *Tables) Kinds(ctx context.Context) ([]string, error) {
	rows, err := t.Read.QueryContext(ctx, documentKinds)
	return Collect(t.Explain, rows, err, ScanText)
}

// Merge implements keep.Backend.
func (t *Tables) Merge(ctx context.Context, b keep.Batch) (keep.Merged, error) {
	b, err := b.Check()
	if err != nil {
		return keep.Merged{}, err
	}
	var out keep.Merged
	err = t.Do(ctx, func(tx *sql.Tx) (err error) {
		if out.Events, err = t.mergeEvents(ctx, tx, b.Events); err != nil {
			return err
		}
		return t.mergeDocuments(ctx, tx, b, &out)
	})
	if err != nil {
		return keep.Merged{}, err
	}
	return out, nil
}

// mergeEvents is the insert of Append, but an event that is there with another
// meaning is an error.
func (t *Tables) mergeEvents(ctx context.Context, tx *sql.Tx, events []job.Event) (added int, err error) {
	for part := range slices.Chunk(events, perInsert) {
		n, err := t.insertPart(ctx, tx, part)
		if err != nil {
			return 0, err
		}
		added += n
		if n == len(part) {
			continue
		}
		for _, e := range part {
			old, _, err := eventNamed(ctx, tx, e.ID)
			if err != nil {
				return 0, err
			}
			if !keep.Same(old, e) {
				return 0, keep.Contradiction(e)
			}
		}
	}
	return added, nil
}

func (t *Tables) mergeDocuments(ctx context.Context, tx *sql.Tx, b keep.Batch, out *keep.Merged) error {
	for _, come := range b.Histories() {
		kind, id := come[0].Kind, come[0].ID
		rows, err := tx.QueryContext(ctx, allVersions, kind, id)
		have, err := Collect(t.Explain, rows, err, ScanDocument)
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
