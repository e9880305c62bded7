//go:build linux || darwin || freebsd

package folder

import "golang.org/x/sys/unix"

// Space is how many bytes are free for this user on the disk that holds a
// folder, and how large the disk is.
func Space(dir string) (free, total int64, err error) {
	var s unix.Statfs_t
	if err := unix.Statfs(dir, &s); err != nil {
		return 0, 0, Explain(err, dir)
	}
	block := int64(s.Bsize)
	return int64(s.Bavail) * block, int64(s.Blocks) * block, nil
}
