//go:build unix

package lockfile

import (
	"os"

	"golang.org/x/sys/unix"
)

func wait(f *os.File) error {
	for {
		if err := unix.Flock(int(f.Fd()), unix.LOCK_EX); err != unix.EINTR {
			return err
		}
	}
}
