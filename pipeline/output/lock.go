package output

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strconv"
	"strings"
)

// errHeld says that another process, or another run of this one, has a lock.
var errHeld = errors.New("the lock is held")

// lockSize is what the lock holds: the number of the process, and blanks.
const lockSize = 20

// take takes the output folder for this run alone. The system frees the lock
// when the process ends, however it ends, so that no lock outlives its run.
func (o *Folder) take() error {
	for again := range 100 {
		taken, err := o.tryTake()
		if taken || err != nil && (again == 99 || !errors.Is(err, fs.ErrNotExist)) {
			return err
		}
	}
	return errors.New("other runs keep using this folder; give another folder")
}

// tryTake reports false where the folder went meanwhile, with a run that ended.
func (o *Folder) tryTake() (bool, error) {
	if err := o.make(); err != nil {
		return false, err
	}
	path := filepath.Join(o.run, lockName)
	f, err := takeLock(path)
	if held, is := errors.AsType[*heldError](err); is {
		return false, fmt.Errorf("another run%s is writing to this folder; wait until it has finished, or give another folder", held.holder)
	}
	if err != nil || f == nil {
		return false, err
	}
	o.lock = f
	return true, sign(f)
}

// heldError says that another process has a lock, and which, as far as that is
// known.
type heldError struct{ holder string }

func (e *heldError) Error() string { return errHeld.Error() }

// takeLock opens the file of a lock and locks it. It gives no file where the one
// that had the lock has just released it.
func takeLock(path string) (*os.File, error) {
	f, err := openLock(path)
	if err != nil {
		return nil, err
	}
	if err := lock(f); err != nil {
		holder := holderOf(f)
		f.Close()
		if errors.Is(err, errHeld) {
			return nil, &heldError{holder}
		}
		return nil, fmt.Errorf("the folder cannot be locked: %w", err)
	}
	if !stands(f, path) {
		f.Close()
		return nil, nil
	}
	return f, nil
}

// sign writes the number of the process into the file of a lock.
func sign(f *os.File) error {
	_, err := f.WriteAt(fmt.Appendf(nil, "%-*d", lockSize, os.Getpid()), 0)
	return err
}

// dropLock takes a lock away while it is held, so that nobody else finds the file
// and believes it theirs.
func dropLock(f *os.File, path string) error {
	open := os.Remove(path) // some systems keep a file that is open
	err := f.Close()
	if open != nil {
		err = errors.Join(err, os.Remove(path))
	}
	return err
}

// make makes the output folder and the folder of the run.
func (o *Folder) make() error {
	err := os.MkdirAll(filepath.Dir(filepath.Clean(o.dir)), 0o755)
	if err != nil {
		return err
	}
	if err = os.Mkdir(o.dir, 0o755); err == nil {
		o.made = true
	} else if !errors.Is(err, fs.ErrExist) {
		return err
	}
	if err = os.Mkdir(o.run, 0o755); errors.Is(err, fs.ErrExist) {
		return o.ours()
	}
	return err
}

// holderOf says which process holds a lock, as far as it has said so.
func holderOf(f *os.File) string {
	text, err := io.ReadAll(io.LimitReader(f, lockSize))
	if err != nil {
		return ""
	}
	if process, err := strconv.Atoi(strings.TrimSpace(string(text))); err == nil {
		return fmt.Sprintf(" (process %d)", process)
	}
	return ""
}

// stands reports whether an open file is still the one of that name.
func stands(f *os.File, path string) bool {
	mine, err := f.Stat()
	if err != nil {
		return false
	}
	there, err := os.Lstat(path)
	return err == nil && os.SameFile(mine, there)
}

// release takes the lock away.
func (o *Folder) release() {
	_ = dropLock(o.lock, filepath.Join(o.run, lockName))
	o.lock = nil
}
