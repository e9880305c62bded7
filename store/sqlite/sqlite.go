// Package sqlite keeps everything in one folder: lastbolt.db, an SQLite
// database in WAL mode, and files/, photos and clips named by the SHA-256 of
// their content.
//
// Start with [Open]. [Store.Backup] copies a folder in use, [VerifyBackup] and
// [Restore] bring a copy back, [Rescue] takes what can still be read out of a
// damaged database. An event is acknowledged only once it is durably on disk:
// the database runs with synchronous=FULL, so neither a killed process nor a
// cut of power loses what was acknowledged, as far as the disk keeps its word.
// The package never deletes or overwrites anything recorded.
//
// Writes go one after another through one connection, where callers wait in
// turn; reads go through others and never wait for a write. Two processes may
// work on one folder: SQLite keeps them apart, and [Store.Notice] says so.
package sqlite

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"io/fs"
	"net/url"
	"os"
	"path/filepath"
	"time"

	_ "modernc.org/sqlite" // the driver "sqlite"

	"lastbolt/fault"
	"lastbolt/keep"
	"lastbolt/store/folder"
	"lastbolt/store/tables"
)

const (
	databaseName = "lastbolt.db"
	readers      = 4
)

// applicationID marks our database files in their header (SQLite's
// application_id pragma): "LBLT" in ASCII.
const applicationID = 0x4c424c54

// Options changes how a folder is opened. The zero value is right for a server.
type Options struct {
	// CheckFor bounds the look over the database's pages at the start; 0 means
	// 50 ms, a negative time none at all. A large database is then not looked
	// over to the end: [Store.Checked] tells, and [Store.Check] finishes it.
	CheckFor time.Duration
	// Files hold the content of photos and clips; nil means files/ in the
	// folder. The store closes them.
	Files keep.Contents

	migrations fs.FS  // tests only: other migrations than the embedded ones
	pragmas    string // tests only: further settings for the connections
}

// A Store is an open folder. Close it when done.
type Store struct {
	*tables.Tables
	dir     string
	write   *sql.DB // one connection: callers queue for it in turn
	read    *sql.DB
	files   keep.Contents
	lock    *lock
	checked bool
	eye     eye
	passing string // a folder to be removed at the end; empty for one that stays
}

var _ keep.Backend = (*Store)(nil)

// Open opens the folder, which is made when it is not there, and brings its
// database up to date; a copy of the database is put into copies/ before an
// existing one is changed. The faults are ReadOnly, Full, Damaged, NewVersion
// and Busy, and Bad for a folder that holds something else; each says how to
// go on, and leaves the folder as it was.
func Open(dir string, o Options) (*Store, error) {
	s := &Store{dir: dir, files: o.Files}
	if err := s.open(o); err != nil {
		return nil, errors.Join(err, s.Close())
	}
	return s, nil
}

func (s *Store) open(o Options) (err error) {
	ctx := context.Background()
	if err := folder.Make(s.dir); err != nil {
		return err
	}
	if s.lock, err = takeLock(s.dir); err != nil {
		return err
	}
	if s.files == nil {
		if s.files, err = folder.Open(s.dir); err != nil {
			s.files = nil
			return err
		}
	}
	path := filepath.Join(s.dir, databaseName)
	if err := looksRight(path); err != nil {
		return err
	}
	if s.write, err = connect(path, o.pragmas, 1); err != nil {
		return s.explain(err)
	}
	if s.checked, err = s.quickCheck(ctx, o.CheckFor); err != nil {
		return err
	}
	if err := s.migrate(ctx, o.migrations); err != nil {
		return err
	}
	if s.read, err = connect(path, o.pragmas+"&_pragma=query_only(1)", readers); err != nil {
		return s.explain(err)
	}
	s.Tables, err = tables.New(ctx, s.engine())
	return err
}

func (s *Store) engine() tables.Engine {
	return tables.Engine{Name: "folder " + s.dir, Write: s.write, Read: s.read, Files: s.files, Explain: s.explain}
}

// connect returns a pool of at most n connections. Every setting is in the
// data source name, so that each connection has it.
func connect(path, more string, n int) (*sql.DB, error) {
	name := "file:" + escapePath(path) + "?_pragma=busy_timeout(5000)&_pragma=journal_mode(wal)&_pragma=synchronous(full)" +
		"&_pragma=foreign_keys(1)&_txlock=immediate" + more
	db, err := sql.Open("sqlite", name)
	if err != nil {
		return nil, err
	}
	db.SetMaxOpenConns(n)
	db.SetMaxIdleConns(n)
	return db, nil
}

// connectReading opens a database only to read it. A finished copy, which
// nobody writes to, needs no files beside it.
func connectReading(path string, finished bool) (*sql.DB, error) {
	name := "file:" + escapePath(path) + "?mode=ro"
	if finished {
		name += "&immutable=1"
	}
	return sql.Open("sqlite", name)
}

// connectDamaged opens a database only to read it, also one whose file is
// shorter than it says: with this setting SQLite reads the pages that there are.
func connectDamaged(path string) (*sql.DB, error) {
	db, err := sql.Open("sqlite", "file:"+escapePath(path)+"?mode=ro&_pragma=writable_schema(1)")
	if err == nil {
		db.SetMaxOpenConns(1)
	}
	return db, err
}

// escapePath writes a path for a file: URI, whose query begins at the first
// question mark.
func escapePath(path string) string {
	return (&url.URL{Path: filepath.ToSlash(path)}).EscapedPath()
}

// Close ends all work on the folder.
func (s *Store) Close() error {
	s.eye.close()
	errs := []error{s.Tables.Close()}
	for _, db := range []*sql.DB{s.read, s.write} {
		if db != nil {
			errs = append(errs, db.Close())
		}
	}
	if s.files != nil {
		errs = append(errs, s.files.Close())
	}
	errs = append(errs, s.lock.release())
	if s.passing != "" {
		errs = append(errs, os.RemoveAll(s.passing))
	}
	return errors.Join(errs...)
}

// Dir is the folder.
func (s *Store) Dir() string { return s.dir }

// Bytes is what the database takes on the disk.
func (s *Store) Bytes(context.Context) (sum int64, err error) {
	for _, name := range []string{databaseName, databaseName + "-wal"} {
		info, err := os.Stat(filepath.Join(s.dir, name))
		if errors.Is(err, fs.ErrNotExist) {
			continue
		}
		if err != nil {
			return 0, s.explain(err)
		}
		sum += info.Size()
	}
	return sum, nil
}

// Notice is a sentence for the person who starts a server when another process
// has the folder open as well, and empty otherwise.
func (s *Store) Notice() string {
	if s.lock.ours {
		return ""
	}
	return fmt.Sprintf("Another Lastbolt%s has the folder %s open too. Nothing gets lost that way.", s.lock.other(), s.dir)
}

// Checked reports whether the look over the database at the start got to the
// end in its time.
func (s *Store) Checked() bool { return s.checked }

// Check looks over the whole database, page by page, and returns a Damaged
// fault when something is wrong. It reads everything: minutes for gigabytes.
func (s *Store) Check(ctx context.Context) error { return s.check(ctx, s.read) }

func (s *Store) check(ctx context.Context, db *sql.DB) error {
	var says string
	if err := db.QueryRowContext(ctx, "PRAGMA quick_check(1)").Scan(&says); err != nil {
		return s.explain(err)
	}
	if says != "ok" {
		return s.damaged(errors.New(says))
	}
	return nil
}

func (s *Store) quickCheck(ctx context.Context, limit time.Duration) (whole bool, err error) {
	if limit < 0 {
		return false, nil
	}
	if limit == 0 {
		limit = 50 * time.Millisecond
	}
	bounded, cancel := context.WithTimeout(ctx, limit)
	defer cancel()
	// Connect first: making a new database may take longer than the check.
	if err := s.write.PingContext(ctx); err != nil {
		return false, s.explain(err)
	}
	err = s.check(bounded, s.write)
	if fault.Is(err, fault.Cancelled) {
		return false, nil
	}
	return err == nil, err
}
