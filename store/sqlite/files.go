package sqlite

import (
	"context"
	"crypto/rand"
	"database/sql"
	"errors"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"runtime"

	"lastbolt/fault"
	"lastbolt/keep"
)

const (
	insertFile = `INSERT INTO file (name, media, size) VALUES ($1, $2, $3) ON CONFLICT (name) DO NOTHING`
	oneFile    = `SELECT media FROM file WHERE name = $1`
	allFiles   = `SELECT name FROM file ORDER BY name`
)

// filePath is where a file is under files/: a folder by the first two digits
// keeps folders short.
func filePath(name string) string { return filepath.Join(name[:2], name) }

// Keep implements garage.Files. The content is durably on disk before the
// database knows of it, so that what is listed is always there.
func (s *Store) Keep(ctx context.Context, content []byte, mediaType string) (string, error) {
	name, err := keep.File(content, mediaType)
	if err != nil {
		return "", err
	}
	if err := ctx.Err(); err != nil {
		return "", s.explain(err)
	}
	if err := s.keepContent(name, content); err != nil {
		return "", s.explain(err)
	}
	return name, s.do(ctx, func(tx *sql.Tx) error {
		_, err := tx.ExecContext(ctx, insertFile, name, mediaType, len(content))
		return err
	})
}

// keepContent writes a new file beside its place and moves it there, so that a
// file under its name is always whole. One that is there already is left alone
// if it reads back as its name says, and mended if not.
func (s *Store) keepContent(name string, content []byte) error {
	if old, err := s.readContent(name); err == nil && keep.Hash(old) == name {
		return nil
	}
	if err := s.root.Mkdir(name[:2], 0o700); err != nil && !errors.Is(err, fs.ErrExist) {
		return err
	}
	temporary := filepath.Join(name[:2], "new-"+rand.Text())
	f, err := s.root.OpenFile(temporary, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o600)
	if err != nil {
		return err
	}
	_, err = f.Write(content)
	err = errors.Join(err, f.Sync(), f.Close())
	if err == nil {
		err = s.root.Rename(temporary, filePath(name))
	}
	if err != nil {
		return errors.Join(err, s.root.Remove(temporary))
	}
	return errors.Join(s.syncUnder(name[:2]), s.syncUnder("."))
}

func (s *Store) readContent(name string) ([]byte, error) {
	f, err := s.root.Open(filePath(name))
	if err != nil {
		return nil, err
	}
	defer f.Close()
	return io.ReadAll(io.LimitReader(f, keep.MaxFile+1))
}

// Open implements garage.Files. A file that no longer reads back as it was
// kept is a Damaged fault, never shown as if it were whole.
func (s *Store) Open(ctx context.Context, name string) (content []byte, mediaType string, err error) {
	if !keep.IsHash(name) {
		return nil, "", keep.NoFile(name)
	}
	err = s.read.QueryRowContext(ctx, oneFile, name).Scan(&mediaType)
	if errors.Is(err, sql.ErrNoRows) {
		return nil, "", keep.NoFile(name)
	}
	if err != nil {
		return nil, "", s.explain(err)
	}
	content, err = s.readContent(name)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return nil, "", fault.Wrap(err, fault.Damaged, "The photo or clip %s is gone from the folder %s. Bring it back from a backup, under the same name.", name, filepath.Join(s.dir, filesName))
	case err != nil:
		return nil, "", s.explain(err)
	case keep.Hash(content) != name:
		return nil, "", fault.New(fault.Damaged, "The photo or clip %s was changed or damaged on the disk. Bring it back from a backup, under the same name.", name)
	}
	return content, mediaType, nil
}

// Names implements garage.Files.
func (s *Store) Names(ctx context.Context) ([]string, error) {
	rows, err := s.read.QueryContext(ctx, allFiles)
	return collect(s, rows, err, scanText)
}

func (s *Store) syncUnder(dir string) error {
	f, err := s.root.Open(dir)
	if err != nil {
		return err
	}
	return syncAndClose(f)
}

func syncFolder(dir string) error {
	f, err := os.Open(dir)
	if err != nil {
		return err
	}
	return syncAndClose(f)
}

// syncAndClose makes the names in a folder durable. Windows has no such call.
func syncAndClose(folder *os.File) error {
	var err error
	if runtime.GOOS != "windows" {
		err = folder.Sync()
	}
	return errors.Join(err, folder.Close())
}
