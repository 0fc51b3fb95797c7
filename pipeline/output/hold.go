package output

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
)

// HeldError says that another process holds a folder.
type HeldError struct{ Folder, holder string }

func (e *HeldError) Error() string {
	return fmt.Sprintf("another desk%s is open over %s; close it first, or go on there", e.holder, e.Folder)
}

// Hold holds a folder for this process, by a lock on a file of that name in it,
// which goes with release. The system frees the lock when the process ends,
// however it ends. Where another process holds it the error is a *HeldError.
func Hold(folder, name string) (release func() error, err error) {
	path := filepath.Join(folder, name)
	for {
		f, err := os.OpenFile(path, os.O_RDWR|os.O_CREATE, 0o644)
		if err != nil {
			return nil, &Error{folder, err}
		}
		if err := lock(f); err != nil {
			holder := holderOf(f)
			f.Close()
			if errors.Is(err, errHeld) {
				return nil, &HeldError{folder, holder}
			}
			return nil, &Error{folder, err}
		}
		if !stands(f, path) {
			f.Close() // the one that held it has just let go
			continue
		}
		if _, err := f.WriteAt(fmt.Appendf(nil, "%-20d", os.Getpid()), 0); err != nil {
			f.Close()
			return nil, &Error{folder, err}
		}
		return func() error {
			open := os.Remove(path) // some systems keep a file that is open
			err := f.Close()
			if open != nil {
				err = errors.Join(err, os.Remove(path))
			}
			return err
		}, nil
	}
}
