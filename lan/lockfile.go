package lan

import (
	"errors"
	"os"
)

// takeLock opens the file, which is made when it is not there, and waits until
// no other process of this machine, and nobody else in this one, holds it. The
// system drops the lock when the process ends, however it ends. Call free when
// done; the file stays.
func takeLock(path string) (free func() error, err error) {
	f, err := os.OpenFile(path, os.O_RDWR|os.O_CREATE, 0o600)
	if err != nil {
		return nil, err
	}
	if err := waitForLock(f); err != nil {
		return nil, errors.Join(err, f.Close())
	}
	return f.Close, nil // closing it drops the lock
}
