// Package lockfile holds a file of the system against other processes of this
// machine, and against other holders in this one.
//
// Start with [Take]. The system drops a lock when its process ends, however it
// ends. The package keeps nobody from the file itself: it is for those who ask.
package lockfile

import (
	"errors"
	"os"
)

// Take opens the file, which is made when it is not there, and waits until
// nobody else holds it. Call free when done; the file stays.
func Take(path string) (free func() error, err error) {
	f, err := os.OpenFile(path, os.O_RDWR|os.O_CREATE, 0o600)
	if err != nil {
		return nil, err
	}
	if err := wait(f); err != nil {
		return nil, errors.Join(err, f.Close())
	}
	return f.Close, nil // closing it drops the lock
}
