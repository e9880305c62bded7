package sqlite

import (
	"fmt"
	"os"
	"path/filepath"
	"strconv"
	"strings"

	"lastbolt/store/folder"
)

// A lock tells whether this process was the first to open the folder. It keeps
// nobody out: SQLite does that where it matters. The system drops it when the
// process ends, however it ends. The file holds the holder's process number.
type lock struct {
	file *os.File
	ours bool
}

const lockName = "lastbolt.lock"

func takeLock(dir string) (*lock, error) {
	f, err := os.OpenFile(filepath.Join(dir, lockName), os.O_RDWR|os.O_CREATE, 0o600)
	if err != nil {
		return nil, folder.Explain(err, dir)
	}
	l := &lock{file: f, ours: tryLock(f)}
	if l.ours {
		// Only a help for the person: failing to write it is no reason to stop.
		if f.Truncate(0) == nil {
			_, _ = f.WriteAt([]byte(strconv.Itoa(os.Getpid())), 0)
		}
	}
	return l, nil
}

// other names the process that holds the lock, if it can be read.
func (l *lock) other() string {
	var text [20]byte
	n, _ := l.file.ReadAt(text[:], 0)
	pid, err := strconv.Atoi(strings.TrimSpace(string(text[:n])))
	if err != nil {
		return ""
	}
	return fmt.Sprintf(" (process %d)", pid)
}

func (l *lock) release() error {
	if l == nil {
		return nil
	}
	return l.file.Close()
}
