package tables

import (
	"bytes"
	"context"
	"database/sql"
	"slices"
	"strings"
	"time"

	"lastbolt/fault"
)

// Copied is what a copy took along.
type Copied struct {
	Events, Summaries, Versions, Files int
	// Missing are the names of files whose content the source itself no longer
	// has whole. They are listed in the copy as they are in the source.
	Missing []string
}

// CopyOptions changes what a copy does.
type CopyOptions struct {
	// WithoutContents leaves the content of files to the caller.
	WithoutContents bool
	// Resting wants the source unchanged until the copy is done.
	Resting bool
}

// Copy puts everything that one database keeps, as it is at one instant, into
// another that keeps nothing yet: every event at its position, every version of
// every document, the lines of the list of jobs, the files. What arrived is
// read back and compared, row by row, before it is let stand: an error leaves
// the destination empty, but for contents of files that nothing refers to yet,
// which another try passes over. Only a server that is lost while it commits
// leaves open whether it has: then it is empty or whole.
//
// The faults are Bad for a destination with something in it, Busy for a source
// that did not rest, and those of both databases.
func Copy(ctx context.Context, from, to Engine, o CopyOptions) (Copied, error) {
	source, err := from.Snapshot(ctx)
	if err != nil {
		return Copied{}, err
	}
	defer source.Close()
	if err := to.mustBeEmpty(ctx); err != nil {
		return Copied{}, err
	}
	var out Copied
	if !o.WithoutContents {
		if out.Missing, err = copyContents(ctx, source, to); err != nil {
			return Copied{}, err
		}
	}
	committing, done := outlasting(ctx)
	defer done()
	err = to.Do(committing, func(tx *sql.Tx) error {
		sent, err := copyRows(ctx, source, to, tx)
		if err != nil {
			return err
		}
		arrived, err := sums(ctx, tx)
		if err != nil {
			return err
		}
		if !slices.Equal(sent, arrived) {
			return fault.New(fault.Damaged, "What arrived in the %s is not what the %s holds. Nothing was kept of it; try again, and if it happens again, have the disks and the memory looked at.", to.Name, from.Name)
		}
		out.count(sent)
		if o.Resting {
			return from.unchanged(ctx, sent)
		}
		return ctx.Err()
	})
	if err != nil {
		return Copied{}, err
	}
	return out, nil
}

// forCommit is how long a copy that nobody wants any more waits for the answer
// to its commit.
const forCommit = 10 * time.Second

// outlasting is a context that ends some time after ctx does. A server that was
// asked to commit does so whether or not anybody waits for its answer: who left
// at that instant would say that nothing is kept, while everything is.
func outlasting(ctx context.Context) (context.Context, func()) {
	late, cancel := context.WithCancel(context.WithoutCancel(ctx))
	stop := context.AfterFunc(ctx, func() { time.AfterFunc(forCommit, cancel) })
	return late, func() {
		stop()
		cancel()
	}
}

func (c *Copied) count(sums []Sum) {
	for _, s := range sums {
		*map[string]*int{"event": &c.Events, "summary": &c.Summaries, "document": &c.Versions, "file": &c.Files}[s.Table] = s.Rows
	}
}

// unchanged compares the database as it is now with what was read before.
func (e Engine) unchanged(ctx context.Context, before []Sum) error {
	s, err := e.Snapshot(ctx)
	if err != nil {
		return err
	}
	defer s.Close()
	now, err := s.Sums(ctx)
	if err != nil {
		return err
	}
	if !slices.Equal(before, now) {
		return fault.New(fault.Busy, "Something was recorded in the %s meanwhile, so nothing was kept of the copy. End every lastbolt that works there, then do it again.", e.Name)
	}
	return nil
}

func (e Engine) mustBeEmpty(ctx context.Context) error {
	s, err := e.Snapshot(ctx)
	if err != nil {
		return err
	}
	defer s.Close()
	return e.refuseFull(ctx, s.tx)
}

func (e Engine) refuseFull(ctx context.Context, tx *sql.Tx) error {
	full, err := occupied(ctx, tx)
	if err != nil {
		return e.Explain(err)
	}
	if full != "" {
		return fault.New(fault.Bad, "The %s has something in it already, and nothing is overwritten or mixed in. Name an empty one.", e.Name)
	}
	return nil
}

// copyRows puts all rows in, and sums up what it has put.
func copyRows(ctx context.Context, from *Snapshot, to Engine, tx *sql.Tx) ([]Sum, error) {
	if to.Patient != "" {
		if _, err := tx.ExecContext(ctx, to.Patient); err != nil {
			return nil, err
		}
	}
	if err := to.refuseFull(ctx, tx); err != nil {
		return nil, err
	}
	var out []Sum
	for _, t := range kept {
		sum := newSummer(t)
		rows := &rowBuffer{table: t, overriding: to.Overriding, tx: tx}
		err := t.each(ctx, from.tx, func(row []any) error {
			if err := sum.add(row); err != nil {
				return err
			}
			// What the destination says is explained here, as its own.
			return to.Explain(rows.add(ctx, row))
		})
		if err == nil {
			err = to.Explain(rows.flush(ctx))
		}
		if err != nil {
			return nil, from.engine.Explain(err)
		}
		out = append(out, sum.sum())
	}
	if to.Filled != "" {
		if _, err := tx.ExecContext(ctx, to.Filled); err != nil {
			return nil, err
		}
	}
	return out, nil
}

// mostBuffered is how many bytes of rows wait for one statement: a document may
// have many.
const mostBuffered = 4 << 20

// A rowBuffer inserts many rows with one statement.
type rowBuffer struct {
	table      table
	overriding string
	tx         *sql.Tx
	rows       int
	bytes      int
	values     []any
}

func (b *rowBuffer) add(ctx context.Context, row []any) error {
	for _, v := range row {
		switch v := v.(type) {
		case string:
			b.bytes += len(v)
		case []byte:
			b.bytes += len(v)
		}
	}
	b.values = append(b.values, row...)
	if b.rows++; b.rows < perInsert && b.bytes < mostBuffered {
		return nil
	}
	return b.flush(ctx)
}

func (b *rowBuffer) flush(ctx context.Context) error {
	if b.rows == 0 {
		return nil
	}
	var text strings.Builder
	text.WriteString("INSERT INTO " + b.table.name + " (" + strings.Join(b.table.columns, ", ") + ") " + b.overriding + " VALUES ")
	width := len(b.table.columns)
	for i := range b.values {
		switch {
		case i == 0:
			text.WriteString("(")
		case i%width == 0:
			text.WriteString("), (")
		default:
			text.WriteString(", ")
		}
		text.WriteString(param(i + 1))
	}
	text.WriteString(")")
	_, err := b.tx.ExecContext(ctx, text.String(), b.values...)
	b.rows, b.bytes, b.values = 0, 0, b.values[:0]
	return err
}

// copyContents copies the content of every file and reads it back. It returns
// the names of those that the source does not have whole.
func copyContents(ctx context.Context, from *Snapshot, to Engine) (missing []string, err error) {
	names, err := from.FileNames(ctx)
	if err != nil {
		return nil, err
	}
	for _, name := range names {
		content, err := from.engine.Files.Read(ctx, name)
		if fault.Is(err, fault.Damaged) {
			missing = append(missing, name)
			continue
		}
		if err != nil {
			return nil, from.engine.Explain(err)
		}
		if err := to.Files.Keep(ctx, name, content); err != nil {
			return nil, to.Explain(err)
		}
		if back, err := to.Files.Read(ctx, name); err != nil || !bytes.Equal(back, content) {
			return nil, fault.Wrap(err, fault.Damaged, "The photo or clip %s does not read back whole from where it was copied to. Try again, and if it happens again, have the disk looked at.", name)
		}
	}
	return missing, nil
}
