//go:build unix && !aix && !solaris

package output

import (
	"errors"
	"os"

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
