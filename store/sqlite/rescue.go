package sqlite

import (
	"context"
	"database/sql"
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"strings"

	"lastbolt/fault"
	"lastbolt/job"
	"lastbolt/keep"
	"lastbolt/store/folder"
	"lastbolt/store/tables"
)

// Rescued is what could be read out of a damaged folder.
type Rescued struct {
	Events, Versions, Files int
	// Jobs are the ids of the jobs read; their summaries must be made anew.
	Jobs []string
	// Trouble is what could not be read, as the database put it; empty when
	// everything could.
	Trouble []string
}

// Rescue reads what can still be read out of a folder whose database is
// damaged, and writes it to a new folder, which can then be opened. The damaged
// folder is only read, but for what SQLite keeps beside its database.
//
// Rows are read in the order of the table, and where that breaks off, backwards
// from the other end, and last one by one by their number: what is on a page that
// cannot be read, or that a file cut short no longer has, is lost unless a backup
// has it.
func Rescue(ctx context.Context, from, to string) (Rescued, error) {
	var out Rescued
	if err := mustBeNew(to); err != nil {
		return out, err
	}
	old := &Store{dir: from}
	db, err := connectDamaged(filepath.Join(from, databaseName))
	if err != nil {
		return out, old.explain(err)
	}
	defer db.Close()
	target, err := Open(to, Options{})
	if err != nil {
		return out, err
	}
	r := rescuer{ctx: ctx, db: db, out: &out}
	if readable(ctx, db) {
		err = errors.Join(r.events(target), r.documents(target))
	} else {
		out.Trouble = append(out.Trouble, "The beginning of the database is lost, and without it no record can be told from another: bring back a backup for the jobs")
	}
	err = errors.Join(err, r.files(from, target))
	if err == nil {
		out.Jobs, err = target.Jobs(ctx)
	}
	if err == nil && out.Events+out.Versions+out.Files == 0 && len(out.Trouble) > 0 {
		err = fault.New(fault.Damaged, "Nothing could be read from the folder %s (%s). Bring back a backup instead.", from, out.Trouble[0])
	}
	return out, errors.Join(err, target.Close())
}

// readable reports whether the list of tables, on the first page, can be read.
func readable(ctx context.Context, db *sql.DB) bool {
	var tables int
	err := db.QueryRowContext(ctx, "SELECT count(*) FROM sqlite_schema WHERE name IN ('event', 'document')").Scan(&tables)
	return err == nil && tables == 2
}

type rescuer struct {
	ctx context.Context
	db  *sql.DB
	out *Rescued
}

// all runs a query upwards and, when that breaks off, downwards and then row by
// row, and hands each row to take, which passes over what it has had.
func (r rescuer) all(query, order string, take func(*sql.Rows) error) error {
	for _, way := range []string{"", " DESC"} {
		err := r.rows(query+" ORDER BY "+order+way, take)
		if err == nil {
			return nil
		}
		if r.ctx.Err() != nil || fault.CodeOf(err) != fault.Internal {
			return err
		}
		text := err.Error()
		if strings.Contains(text, "Scan error") { // a page of another table, or of zeros
			text = "a row has lost what it held"
		}
		r.out.Trouble = append(r.out.Trouble, text)
	}
	return r.each(query, order, take)
}

// most rows that are looked for one by one: a job a day for a long life has
// fewer events.
const mostRescued = 5_000_000

// each looks for every row by its number: a page that is missing costs only the
// rows on it. Numbers are given one after the other, so that the size the file
// once had bounds them.
func (r rescuer) each(query, order string, take func(*sql.Rows) error) error {
	var pages, size int64
	err := errors.Join(
		r.db.QueryRowContext(r.ctx, "PRAGMA page_count").Scan(&pages),
		r.db.QueryRowContext(r.ctx, "PRAGMA page_size").Scan(&size))
	if err != nil {
		return nil // the trouble is told already
	}
	one, err := r.db.PrepareContext(r.ctx, query+" WHERE "+order+" = ?")
	if err != nil {
		return nil
	}
	defer one.Close()
	const smallest = 20 // bytes of a row
	for n := int64(1); n <= min(pages*size/smallest, mostRescued) && r.ctx.Err() == nil; n++ {
		rows, err := one.QueryContext(r.ctx, n)
		if err != nil {
			continue
		}
		for err == nil && rows.Next() {
			err = take(rows)
		}
		if closing := rows.Close(); err == nil && closing == nil {
			continue
		}
		if err != nil && fault.CodeOf(err) != fault.Internal {
			return err // of the new folder
		}
	}
	return r.ctx.Err()
}

func (r rescuer) rows(query string, take func(*sql.Rows) error) error {
	rows, err := r.db.QueryContext(r.ctx, query)
	if err != nil {
		return err
	}
	defer rows.Close()
	for rows.Next() {
		if err := take(rows); err != nil {
			return err
		}
	}
	return rows.Err()
}

func (r rescuer) events(to *Store) error {
	const perBatch = 500
	var batch []job.Event
	flush := func() error {
		n, err := to.Append(r.ctx, batch...)
		r.out.Events += n
		batch = batch[:0]
		return err
	}
	var position int64
	scan := tables.ScanEvent(&position)
	err := r.all(`SELECT `+tables.EventColumns+` FROM event NOT INDEXED`, "position", func(rows *sql.Rows) error {
		e, err := scan(rows)
		if err != nil {
			return err
		}
		if _, err := keep.Event(e); err != nil {
			r.out.Trouble = append(r.out.Trouble, fault.Say(err))
			return nil
		}
		if batch = append(batch, e); len(batch) == perBatch {
			return flush()
		}
		return nil
	})
	return errors.Join(err, flush())
}

func (r rescuer) documents(to *Store) error {
	type key struct {
		kind, id string
		version  int
	}
	seen := map[key]bool{} // the second reading comes by the same rows again
	var batch keep.Batch
	err := r.all(`SELECT `+tables.DocumentColumns+` FROM document NOT INDEXED`, "rowid", func(rows *sql.Rows) error {
		d, err := tables.ScanDocument(rows)
		if err != nil {
			return err
		}
		if _, err := keep.Document(d); err != nil {
			r.out.Trouble = append(r.out.Trouble, fault.Say(err))
			return nil
		}
		if k := (key{d.Kind, d.ID, d.Version}); !seen[k] {
			seen[k] = true
			batch.Documents = append(batch.Documents, d)
		}
		return nil
	})
	if err != nil {
		return err
	}
	merged, err := to.Merge(r.ctx, batch)
	r.out.Versions = merged.Versions
	return err
}

// files keeps every file that still reads as its name says, with the media
// type the database gives, or a general one.
func (r rescuer) files(from string, to *Store) error {
	media := map[string]string{}
	var err error
	if readable(r.ctx, r.db) {
		err = r.all(`SELECT name, media FROM file NOT INDEXED`, "rowid", func(rows *sql.Rows) error {
			var name, is string
			err := rows.Scan(&name, &is)
			media[name] = is
			return err
		})
	}
	if err != nil {
		return err
	}
	err = filepath.WalkDir(filepath.Join(from, folder.Name), func(path string, entry fs.DirEntry, err error) error {
		if err != nil || !entry.Type().IsRegular() || !keep.IsHash(entry.Name()) {
			return err
		}
		content, err := os.ReadFile(path)
		if err != nil {
			return err
		}
		if keep.Hash(content) != entry.Name() {
			r.out.Trouble = append(r.out.Trouble, "the photo or clip "+entry.Name()+" is damaged")
			return nil
		}
		is, known := media[entry.Name()]
		if !known {
			is = "application/octet-stream"
		}
		r.out.Files++
		_, err = to.Keep(r.ctx, content, is)
		return err
	})
	if errors.Is(err, fs.ErrNotExist) {
		return nil
	}
	return err
}
