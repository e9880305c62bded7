package lan

import (
	"crypto/rand"
	"errors"
	"io/fs"
	"os"
	"runtime"

	"lastbolt/fault"
)

// writeSecret replaces a file that only its owner may read: written beside its
// place, durably, then moved there.
func writeSecret(path string, content []byte) error {
	temporary := path + ".new-" + rand.Text()
	f, err := os.OpenFile(temporary, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o600)
	if err != nil {
		return unwritable(path, err)
	}
	_, err = f.Write(content)
	err = errors.Join(err, f.Sync(), f.Close())
	if err == nil {
		err = os.Rename(temporary, path)
	}
	if err != nil {
		return unwritable(path, errors.Join(err, os.Remove(temporary)))
	}
	return nil
}

func unwritable(path string, err error) error {
	return fault.Wrap(err, fault.ReadOnly, "The file %s could not be written: look whether the disk is full or the folder belongs to somebody else", path)
}

// readSecret reads a file of secrets, and refuses one that others may read:
// it would be no secret any more. Windows keeps no such bits.
func readSecret(path string) ([]byte, error) {
	info, err := os.Stat(path)
	if errors.Is(err, fs.ErrNotExist) {
		return nil, err
	}
	if err != nil {
		return nil, fault.Wrap(err, fault.ReadOnly, "The file %s cannot be read: look whom it belongs to", path)
	}
	if runtime.GOOS != "windows" && info.Mode().Perm()&0o077 != 0 {
		return nil, fault.New(fault.Bad, "Others on this machine can read the secrets in %s. If nobody else had them, run: chmod 600 %s. Otherwise move its folder away and pair every phone anew.", path, path)
	}
	content, err := os.ReadFile(path)
	if err != nil {
		return nil, fault.Wrap(err, fault.ReadOnly, "The file %s cannot be read: look whom it belongs to", path)
	}
	return content, nil
}
