package output

import (
	"errors"
	"os"

	"golang.org/x/sys/windows"
)

// lock locks a file until it is closed. It does not wait. What is locked is a
// byte far behind the text, which others may then read.
func lock(f *os.File) error {
	at := &windows.Overlapped{Offset: 1 << 20}
	err := windows.LockFileEx(windows.Handle(f.Fd()), windows.LOCKFILE_EXCLUSIVE_LOCK|windows.LOCKFILE_FAIL_IMMEDIATELY, 0, 1, 0, at)
	if errors.Is(err, windows.ERROR_LOCK_VIOLATION) {
		return errHeld
	}
	return err
}

// noFollow is nothing here; the name is looked at before it is opened.
const noFollow = 0

const (
	noWait = 0
	sweeps = false
)

func hasOtherNames(os.FileInfo) bool { return false }
