package folder

import (
	"errors"
	"io/fs"
	"os"
	"syscall"

	"lastbolt/fault"
)

// Explain turns what the system says of a data folder into a sentence for a
// person. A fault is passed on as it is, and so is what it does not know.
func Explain(err error, dir string) error {
	if _, ok := errors.AsType[*fault.Error](err); ok {
		return err
	}
	switch {
	case err == nil:
		return nil
	case errors.Is(err, syscall.ENOSPC), errors.Is(err, syscall.EDQUOT), errors.Is(err, syscall.EFBIG):
		return Full(err, dir)
	case errors.Is(err, fs.ErrPermission), errors.Is(err, syscall.EROFS):
		return ReadOnly(err, dir)
	case errors.Is(err, syscall.ENOTDIR):
		return fault.Wrap(err, fault.Bad, "%s is a file, not a folder. Choose a folder to keep things in.", dir)
	}
	return err
}

// Full says that the disk has no room left.
func Full(cause error, dir string) error {
	return fault.Wrap(cause, fault.Full, "There is no room left on the disk that holds %s. Nothing was saved this time; make room, then do it again.", dir)
}

// ReadOnly says that the folder may not be written to.
func ReadOnly(cause error, dir string) error {
	return fault.Wrap(cause, fault.ReadOnly, "The folder %s cannot be written to. Give yourself the right to write there, or choose another folder.", dir)
}

// Writable tries whether a file can be made in the folder.
func Writable(dir string) bool {
	f, err := os.CreateTemp(dir, "try-*")
	if err != nil {
		return false
	}
	f.Close()
	return os.Remove(f.Name()) == nil
}

// Make makes a folder, and those above it, where it is not there yet.
func Make(dir string) error { return Explain(os.MkdirAll(dir, 0o700), dir) }
