package tables

import (
	"context"
	"database/sql"
	"errors"
	"time"

	"lastbolt/keep"
)

// FileNames is the query of the files' names, for a copy that is only read.
const FileNames = `SELECT name FROM file ORDER BY name`

const (
	touchFile  = `UPDATE file SET kept = $1 WHERE name = $2`
	insertFile = `INSERT INTO file (name, media, size, kept) VALUES ($1, $2, $3, $4) ON CONFLICT (name) DO UPDATE SET kept = excluded.kept`
	oneFile    = `SELECT media FROM file WHERE name = $1`
)

// Keep implements garage.Files. The content is durably on disk before the
// database knows of it, so that what is listed is always there. A file that is
// known already is first noted as wanted again: a sweep that has not taken it
// by then leaves it, and one that has is over, so that it is written anew.
func (t *Tables) Keep(ctx context.Context, content []byte, mediaType string) (string, error) {
	name, err := keep.File(content, mediaType)
	if err != nil {
		return "", err
	}
	turn := &t.keeping[name[0]%16]
	turn.Lock()
	defer turn.Unlock()
	if _, err := t.Write.ExecContext(ctx, touchFile, TimeText(time.Now()), name); err != nil {
		return "", t.Explain(err)
	}
	if err := t.Files.Keep(ctx, name, content); err != nil {
		return "", t.Explain(err)
	}
	_, err = t.Write.ExecContext(ctx, insertFile, name, mediaType, len(content), TimeText(time.Now()))
	return name, t.Explain(err)
}

// Open implements garage.Files. A file that no longer reads back as it was
// kept is a Damaged fault, never shown as if it were whole.
func (t *Tables) Open(ctx context.Context, name string) (content []byte, mediaType string, err error) {
	if !keep.IsHash(name) {
		return nil, "", keep.NoFile(name)
	}
	err = t.Read.QueryRowContext(ctx, oneFile, name).Scan(&mediaType)
	if errors.Is(err, sql.ErrNoRows) {
		return nil, "", keep.NoFile(name)
	}
	if err != nil {
		return nil, "", t.Explain(err)
	}
	content, err = t.Files.Read(ctx, name)
	if err != nil {
		return nil, "", t.Explain(err)
	}
	return content, mediaType, nil
}

// Names implements garage.Files.
func (t *Tables) Names(ctx context.Context) ([]string, error) {
	rows, err := t.Read.QueryContext(ctx, FileNames)
	return Collect(t.Explain, rows, err, ScanText)
}
