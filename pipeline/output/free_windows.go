package output

import "golang.org/x/sys/windows"

// freeAt is how many bytes may still be written below a folder, 0 where that is
// not known.
func freeAt(folder string) int64 {
	var free uint64
	name, err := windows.UTF16PtrFromString(folder)
	if err != nil || windows.GetDiskFreeSpaceEx(name, &free, nil, nil) != nil {
		return 0
	}
	return int64(free)
}
