//go:build unix && !aix && !solaris

package output

import (
	"errors"
	"os"
	"syscall"

	"golang.org/x/sys/unix"
)

// lock locks a file until it is closed. It does not wait.
func lock(f *os.File) error {
	for {
		err := unix.Flock(int(f.Fd()), unix.LOCK_EX|unix.LOCK_NB)
		switch {
		case errors.Is(err, unix.EINTR):
			continue
		case errors.Is(err, unix.EWOULDBLOCK):
			return errHeld
		}
		return err
	}
}

// noFollow lets opening fail where there is a link.
const noFollow = unix.O_NOFOLLOW

// noWait lets opening a pipe fail that nobody reads.
const noWait = unix.O_NONBLOCK

// sweeps says that an open file can be moved, so that one without a lock is one
// that nobody writes.
const sweeps = true

// hasOtherNames reports whether a file is under other names too, in which
// case it may be anybody's.
func hasOtherNames(info os.FileInfo) bool {
	s, ok := info.Sys().(*syscall.Stat_t)
	return ok && s.Nlink > 1
}
