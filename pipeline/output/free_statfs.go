//go:build linux || darwin || freebsd

package output

import "golang.org/x/sys/unix"

// freeAt is how many bytes may still be written below a folder, 0 where that is
// not known.
func freeAt(folder string) int64 {
	var s unix.Statfs_t
	if err := unix.Statfs(folder, &s); err != nil {
		return 0
	}
	return int64(s.Bavail) * int64(s.Bsize)
}
