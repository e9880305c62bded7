package sqlite

import (
	"os"

	"golang.org/x/sys/windows"
)

// tryLock locks one byte far behind the process number, so that others can
// still read that.
func tryLock(f *os.File) bool {
	const far = 1 << 30
	at := &windows.Overlapped{Offset: far}
	return windows.LockFileEx(windows.Handle(f.Fd()), windows.LOCKFILE_EXCLUSIVE_LOCK|windows.LOCKFILE_FAIL_IMMEDIATELY, 0, 1, 0, at) == nil
}
