package folder

import "golang.org/x/sys/windows"

// Space is how many bytes are free for this user on the disk that holds a
// folder, and how large the disk is.
func Space(dir string) (free, total int64, err error) {
	name, err := windows.UTF16PtrFromString(dir)
	if err != nil {
		return 0, 0, err
	}
	var forUser, all, unused uint64
	if err := windows.GetDiskFreeSpaceEx(name, &forUser, &all, &unused); err != nil {
		return 0, 0, Explain(err, dir)
	}
	return int64(forUser), int64(all), nil
}
