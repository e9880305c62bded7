// Package tables is what the stores on an SQL database have in common: the same
// tables, one SQL text for every database, and how rows become events,
// documents and summaries.
//
// Start with [Engine], which a store fills in, and [New], which makes of it
// everything a [keep.Backend] does. What differs between databases stays with
// their own packages: opening, settings, the tables' definitions, and what an
// error means. Parameters are written $1, $2, which both databases take.
//
// Writes that read first happen in a transaction of [Engine.Do], one after
// another. An engine sees to it that a position in the log, once given, is
// never undercut by an event that becomes visible later.
package tables

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"sync"
	"time"

	"lastbolt/keep"
)

// An Engine is one database, as its own package opened it.
type Engine struct {
	Name        string // what a sentence calls it, as in folder lastbolt-data
	Write, Read *sql.DB
	Files       keep.Contents
	// Explain turns an error of the database into a fault.
	Explain func(error) error
	// Turn is run first in every transaction, to wait until no other one
	// writes; empty where beginning a transaction does that.
	Turn string
	// Patient is run first in a transaction that takes long, so that the
	// server does not end it; empty where there is no such server.
	Patient string
	// Overriding is what an INSERT says that brings positions along, and Filled
	// is run after it, so that new positions go on from there; both may be
	// empty.
	Overriding, Filled string
}

// Tables does what a store does, on an engine.
type Tables struct {
	Engine
	insert, known, count *sql.Stmt

	queue   queue
	keeping [16]sync.Mutex // by the first letter of a file's name: the same file is kept one after the other
}

var _ keep.Backend = (*Tables)(nil)

// New prepares an engine whose tables are there. Close it before the engine's
// databases are closed.
func New(ctx context.Context, e Engine) (*Tables, error) {
	t := &Tables{Engine: e}
	for _, p := range []struct {
		to   **sql.Stmt
		on   *sql.DB
		text string
	}{
		{&t.insert, e.Write, insertEvent}, {&t.known, e.Read, eventsOfJob}, {&t.count, e.Read, eventCount},
	} {
		st, err := p.on.PrepareContext(ctx, p.text)
		if err != nil {
			return nil, errors.Join(e.Explain(err), t.Close())
		}
		*p.to = st
	}
	return t, nil
}

// Database is the engine that the tables are on.
func (t *Tables) Database() Engine { return t.Engine }

// Close lets go of what New prepared. A nil one may be closed too.
func (t *Tables) Close() error {
	if t == nil {
		return nil
	}
	var errs []error
	for _, s := range []*sql.Stmt{t.insert, t.known, t.count} {
		if s != nil {
			errs = append(errs, s.Close())
		}
	}
	return errors.Join(errs...)
}

// Do runs f in one transaction that nobody else writes beside.
func (e Engine) Do(ctx context.Context, f func(*sql.Tx) error) error {
	tx, err := e.Write.BeginTx(ctx, nil)
	if err != nil {
		return e.Explain(err)
	}
	defer tx.Rollback() // does nothing once committed
	if e.Turn != "" {
		if _, err := tx.ExecContext(ctx, e.Turn); err != nil {
			return e.Explain(err)
		}
	}
	if err := f(tx); err != nil {
		return e.Explain(err)
	}
	return e.Explain(tx.Commit())
}

// timeLayout sorts as text the way the times do, for the years 1 to 9999.
const timeLayout = "2006-01-02T15:04:05.000000000Z"

// TimeText writes a time for a column; the zero time is empty text.
func TimeText(t time.Time) string {
	if t.IsZero() {
		return ""
	}
	return t.UTC().Format(timeLayout)
}

// timeColumn reads what TimeText wrote.
type timeColumn struct{ to *time.Time }

// Scan implements sql.Scanner.
func (c timeColumn) Scan(from any) (err error) {
	text, ok := from.(string)
	switch {
	case !ok:
		return fmt.Errorf("a time column holds a %T", from)
	case text == "":
		*c.to = time.Time{}
	default:
		*c.to, err = time.Parse(timeLayout, text)
	}
	return err
}

// Collect reads all rows and closes them. It takes the results of Query as
// they come.
func Collect[T any](explain func(error) error, rows *sql.Rows, err error, scan func(*sql.Rows) (T, error)) ([]T, error) {
	if err != nil {
		return nil, explain(err)
	}
	defer rows.Close()
	var out []T
	for rows.Next() {
		v, err := scan(rows)
		if err != nil {
			return nil, explain(err)
		}
		out = append(out, v)
	}
	return out, explain(rows.Err())
}

// ScanText scans a row of one text.
func ScanText(r *sql.Rows) (text string, err error) { return text, r.Scan(&text) }
