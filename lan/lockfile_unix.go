//go:build unix

package lan

import (
	"os"

	"golang.org/x/sys/unix"
)

func waitForLock(f *os.File) error {
	for {
		if err := unix.Flock(int(f.Fd()), unix.LOCK_EX); err != unix.EINTR {
			return err
		}
	}
}
