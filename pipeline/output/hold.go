package output

import (
	"errors"
	"fmt"
	"path/filepath"
)

// HeldError says that another process holds a folder.
type HeldError struct{ Folder, holder string }

func (e *HeldError) Error() string {
	return fmt.Sprintf("another desk%s is open for %s; close it first, or continue there", e.holder, e.Folder)
}

// Hold holds a folder for this process, by a lock on a file of that name in it,
// which goes with release. The system frees the lock when the process ends,
// however it ends. Where another process holds it the error is a *HeldError.
func Hold(folder, name string) (release func() error, err error) {
	path := filepath.Join(folder, name)
	for {
		f, err := takeLock(path)
		if held, is := errors.AsType[*heldError](err); is {
			return nil, &HeldError{folder, held.holder}
		}
		if err != nil {
			return nil, &Error{folder, err}
		}
		if f == nil {
			continue
		}
		if err := sign(f); err != nil {
			f.Close()
			return nil, &Error{folder, err}
		}
		return func() error { return dropLock(f, path) }, nil
	}
}
