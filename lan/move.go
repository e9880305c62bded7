package lan

import (
	"bytes"
	"errors"
	"io/fs"
	"os"
	"path/filepath"

	"lastbolt/fault"
)

// Move takes the phones and people of one place over to another that has none
// yet, and reports whether there were any. Another list there is left as it is,
// and is a Stale fault.
func Move(from, to Keeper) (moved bool, err error) {
	list, _, err := from.Load()
	if err != nil || list == nil {
		return false, err
	}
	_, err = to.Change(func(there []byte) ([]byte, error) {
		if there != nil && !bytes.Equal(there, list) {
			return nil, fault.New(fault.Stale, "The new place has a list of phones and people of its own already, which was left as it is.")
		}
		return list, nil
	})
	return err == nil, err
}

// CopyAuthority takes the authority kept in one folder over to another that
// has none, so that phones go on trusting it. Where there is none, nothing is
// to do.
func CopyAuthority(from, to string) error {
	const name = authorityName + ".pem"
	content, err := readSecret(filepath.Join(from, name))
	if errors.Is(err, fs.ErrNotExist) {
		return nil
	}
	if err != nil {
		return err
	}
	if _, err := os.Stat(filepath.Join(to, name)); !errors.Is(err, fs.ErrNotExist) {
		return err
	}
	if err := os.MkdirAll(to, 0o700); err != nil {
		return unwritable(to, err)
	}
	return writeSecret(filepath.Join(to, name), content)
}
