// Package folder keeps photos and clips as files named by the SHA-256 of their
// content, in files/ of a data folder, and says in sentences what the system
// refuses.
//
// Start with [Open]. Content is durably on disk when [Files.Keep] returns, and
// is checked against its name whenever it is read; nothing is ever overwritten.
// Which files there are, and of what media type, the database beside it knows.
package folder

import (
	"cmp"
	"context"
	"crypto/rand"
	"errors"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"runtime"
	"time"

	"lastbolt/fault"
	"lastbolt/keep"
)

// Name is the folder of the files within a data folder.
const Name = "files"

// unfinished begins the name of a file while it is being written.
const unfinished = "new-"

var _ keep.Contents = (*Files)(nil)

// Files are the photos and clips of one data folder.
type Files struct {
	dir  string   // the data folder
	root *os.Root // files/ in it
}

// Open opens the files of a data folder, which are begun where there are none.
func Open(dir string) (*Files, error) {
	path := filepath.Join(dir, Name)
	if err := Make(path); err != nil {
		return nil, err
	}
	root, err := os.OpenRoot(path)
	if err != nil {
		return nil, Explain(err, dir)
	}
	return &Files{dir, root}, nil
}

// Close ends all work on the files. A nil one may be closed too.
func (f *Files) Close() error {
	if f == nil {
		return nil
	}
	return f.root.Close()
}

// Path is where a file is under files/: a folder by the first two digits keeps
// folders short.
func Path(name string) string { return filepath.Join(name[:2], name) }

// Keep stores the content under its name, which is its hash. It is durably
// there when Keep returns.
//
// It writes a new file beside its place and moves it there, so that a file
// under its name is always whole. One that is there already is left alone if it
// reads back as its name says, and mended if not.
func (f *Files) Keep(ctx context.Context, name string, content []byte) error {
	if err := ctx.Err(); err != nil {
		return err
	}
	if old, err := f.content(name); err == nil && keep.Hash(old) == name {
		return nil
	}
	return Explain(f.write(name, content), f.dir)
}

func (f *Files) write(name string, content []byte) error {
	if err := f.root.Mkdir(name[:2], 0o700); err != nil && !errors.Is(err, fs.ErrExist) {
		return err
	}
	temporary := filepath.Join(name[:2], unfinished+rand.Text())
	file, err := f.root.OpenFile(temporary, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o600)
	if err != nil {
		return err
	}
	_, err = file.Write(content)
	err = errors.Join(err, file.Sync(), file.Close())
	if err == nil {
		err = f.root.Rename(temporary, Path(name))
	}
	if err != nil {
		return errors.Join(err, f.root.Remove(temporary))
	}
	return errors.Join(f.syncUnder(name[:2]), f.syncUnder("."))
}

func (f *Files) content(name string) ([]byte, error) {
	file, err := f.root.Open(Path(name))
	if err != nil {
		return nil, err
	}
	defer file.Close()
	return io.ReadAll(io.LimitReader(file, keep.MaxFile+1))
}

// Read returns the content of a file. One that is gone, or no longer reads back
// as it was kept, is a Damaged fault, never shown as if it were whole.
func (f *Files) Read(_ context.Context, name string) ([]byte, error) {
	content, err := f.content(name)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return nil, fault.Wrap(err, fault.Damaged, "The photo or clip %s is gone from the folder %s. Bring it back from a backup, under the same name.", name, filepath.Join(f.dir, Name))
	case err != nil:
		return nil, Explain(err, f.dir)
	case keep.Hash(content) != name:
		return nil, fault.New(fault.Damaged, "The photo or clip %s was changed or damaged on the disk. Bring it back from a backup, under the same name.", name)
	}
	return content, nil
}

// All implements keep.Contents.
func (f *Files) All(ctx context.Context) ([]keep.Content, error) {
	var out []keep.Content
	err := fs.WalkDir(f.root.FS(), ".", func(path string, entry fs.DirEntry, err error) error {
		if err = cmp.Or(err, ctx.Err()); err != nil || entry.IsDir() {
			return err
		}
		name := entry.Name()
		if !keep.IsHash(name) || filepath.FromSlash(path) != Path(name) {
			return nil
		}
		info, err := entry.Info()
		if errors.Is(err, fs.ErrNotExist) {
			return nil // taken away in between
		}
		if err == nil {
			out = append(out, keep.Content{Name: name, Bytes: info.Size(), At: info.ModTime().UTC()})
		}
		return err
	})
	return out, Explain(err, f.dir)
}

// Remove implements keep.Contents.
func (f *Files) Remove(ctx context.Context, name string) error {
	if err := ctx.Err(); err != nil {
		return err
	}
	err := f.root.Remove(Path(name))
	if errors.Is(err, fs.ErrNotExist) {
		return nil
	}
	if err == nil {
		err = f.syncUnder(name[:2])
	}
	return Explain(err, f.dir)
}

// Tidy takes away what a write that was cut short left behind before a time, and
// returns how many there were.
func (f *Files) Tidy(before time.Time) (removed int, err error) {
	left, err := fs.Glob(f.root.FS(), "*/"+unfinished+"*")
	if err != nil {
		return 0, Explain(err, f.dir)
	}
	for _, path := range left {
		info, err := f.root.Stat(path)
		if err != nil || !info.ModTime().Before(before) {
			continue // finished in between, or still being written
		}
		if err := f.root.Remove(path); err == nil {
			removed++
		}
	}
	return removed, nil
}

// Where names the place for a person.
func (f *Files) Where() string { return filepath.Join(f.dir, Name) }

func (f *Files) syncUnder(dir string) error {
	file, err := f.root.Open(dir)
	if err != nil {
		return err
	}
	return syncAndClose(file)
}

// Sync makes the names in a folder durable.
func Sync(dir string) error {
	f, err := os.Open(dir)
	if err != nil {
		return err
	}
	return syncAndClose(f)
}

// syncAndClose syncs a folder. Windows has no such call.
func syncAndClose(folder *os.File) error {
	var err error
	if runtime.GOOS != "windows" {
		err = folder.Sync()
	}
	return errors.Join(err, folder.Close())
}
