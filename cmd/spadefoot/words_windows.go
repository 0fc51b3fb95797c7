package main

import (
	"errors"

	"golang.org/x/sys/windows"
)

// heldOpen reports whether another program keeps a file for itself, as
// spreadsheet programs do.
func heldOpen(err error) bool {
	return errors.Is(err, windows.ERROR_SHARING_VIOLATION) || errors.Is(err, windows.ERROR_LOCK_VIOLATION)
}
