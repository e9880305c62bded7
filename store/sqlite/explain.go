package sqlite

import (
	"bytes"
	"context"
	"errors"
	"io"
	"io/fs"
	"os"
	"path/filepath"

	driver "modernc.org/sqlite"
	lib "modernc.org/sqlite/lib"

	"lastbolt/fault"
	"lastbolt/store/folder"
)

// explain turns what SQLite or the system says into a sentence for a person. A
// fault is passed on as it is; what it does not know becomes an Internal one
// only where it is shown.
func (s *Store) explain(err error) error {
	if err == nil {
		return nil
	}
	if _, ok := errors.AsType[*fault.Error](err); ok {
		return err
	}
	if errors.Is(err, context.Canceled) || errors.Is(err, context.DeadlineExceeded) {
		return fault.Wrap(err, fault.Cancelled, "It was stopped before it was done. Nothing was half saved; try again.")
	}
	if e, ok := errors.AsType[*driver.Error](err); ok {
		return s.explainCode(e)
	}
	return folder.Explain(err, s.dir)
}

// explainCode goes by the primary result code, the low byte
// (sqlite.org/rescode.html).
func (s *Store) explainCode(e *driver.Error) error {
	switch e.Code() & 0xff {
	case lib.SQLITE_FULL:
		return folder.Full(e, s.dir)
	case lib.SQLITE_READONLY, lib.SQLITE_PERM:
		return folder.ReadOnly(e, s.dir)
	case lib.SQLITE_CANTOPEN:
		if !folder.Writable(s.dir) {
			return folder.ReadOnly(e, s.dir)
		}
		return fault.Wrap(e, fault.ReadOnly, "The database in %s cannot be opened. See that the folder and the files in it belong to you.", s.dir)
	case lib.SQLITE_CORRUPT, lib.SQLITE_NOTADB:
		return s.damaged(e)
	case lib.SQLITE_BUSY, lib.SQLITE_LOCKED:
		return fault.Wrap(e, fault.Busy, "Another program has been writing to the folder %s for a while. Nothing was saved this time; close the other one, or try again.", s.dir)
	case lib.SQLITE_INTERRUPT:
		return fault.Wrap(e, fault.Cancelled, "It was stopped before it was done. Nothing was half saved; try again.")
	case lib.SQLITE_IOERR:
		return fault.Wrap(e, fault.Full, "The disk did not take or give what was asked of it, in the folder %s. Nothing was saved this time; see that the disk has room and is well, then try again.", s.dir)
	}
	return e
}

func (s *Store) damaged(cause error) error {
	return fault.Wrap(cause, fault.Damaged,
		"The database in %s is damaged. Nothing in it was changed. Keep the folder under another name; then bring back the newest backup, or take out of it what can still be read (lastbolt backup restore, lastbolt backup rescue).", s.dir)
}

// looksRight reads the header of a database that is there, before SQLite is
// let near it: a file of another kind is refused in clear words.
func looksRight(path string) error {
	f, err := os.Open(path)
	if errors.Is(err, fs.ErrNotExist) {
		return nil
	}
	if err != nil {
		return folder.Explain(err, filepath.Dir(path))
	}
	defer f.Close()
	var header [72]byte
	n, err := io.ReadFull(f, header[:])
	if n == 0 && errors.Is(err, io.EOF) {
		return nil // made and not yet written: SQLite begins it
	}
	s := &Store{dir: filepath.Dir(path)}
	if err != nil || !bytes.HasPrefix(header[:], []byte("SQLite format 3\x00")) {
		return s.damaged(errors.New("the file's header is not that of a database"))
	}
	// The id is in bytes 68 to 71 (sqlite.org/fileformat2.html, 1.3); it is 0
	// until the first migration is through.
	id := uint32(header[68])<<24 | uint32(header[69])<<16 | uint32(header[70])<<8 | uint32(header[71])
	if id != applicationID && id != 0 {
		return notOurs(path)
	}
	return nil
}

func notOurs(path string) error {
	return fault.New(fault.Bad, "The file %s is another program's database. Choose another folder.", path)
}
