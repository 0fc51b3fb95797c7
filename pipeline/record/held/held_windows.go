// Package held detects files that another program has locked.
package held

import (
	"errors"

	"golang.org/x/sys/windows"
)

// Is reports whether a file could not be opened or read since another program
// keeps it for itself, as spreadsheet programs do.
func Is(err error) bool {
	return errors.Is(err, windows.ERROR_SHARING_VIOLATION) || errors.Is(err, windows.ERROR_LOCK_VIOLATION)
}
