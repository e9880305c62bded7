//go:build !linux && !darwin && !freebsd && !windows

package folder

// Space is not known on this system: a total of 0 says so.
func Space(string) (free, total int64, err error) { return 0, 0, nil }
