package output

import (
	"errors"
	"fmt"
	"io/fs"
	"path/filepath"
)

// noSpace says in words that a file could not grow, empty where something else
// went wrong.
func noSpace(err error) string {
	for cause, words := range fullCauses {
		if errors.Is(err, cause) {
			return words
		}
	}
	return ""
}

// fullError says of a run that ran out of space how far it came.
type fullError struct {
	folder  string // that the run worked in
	free    int64  // bytes that were free there when it began; 0 where not known
	written int64  // bytes that were in it at the end
	err     error
}

func (e *fullError) Error() string {
	words := noSpace(e.err)
	how := fmt.Sprintf("at least %s had been written to %s", sizeWords(e.written), e.folder)
	if e.free > 0 && words == diskIsFull { // more telling: most that stages write for themselves is gone by now
		how = fmt.Sprintf("the run had written to %s, where %s were free when it began", e.folder, sizeWords(e.free))
	}
	return words + "; " + how + "; its files have been removed; " + makeSpace
}

func (e *fullError) Unwrap() error { return e.err }

const diskIsFull = "the disk is full"

const makeSpace = "free some space, or write to a folder on another disk, and run again"

// explain says of an error for want of space below the output folder how much
// had been written, whatever part of the program met it.
func (o *Folder) explain(err error) error {
	if noSpace(err) == "" {
		return err
	}
	if at, ok := errors.AsType[*fs.PathError](err); ok {
		if inside, lost := Within(at.Path, o.dir); lost == nil && !inside {
			return err // a file that was asked for elsewhere
		}
	}
	return &Error{o.dir, &fullError{o.run, o.free, sizeBelow(o.run), err}}
}

// sizeBelow is how much the files below a folder hold, as far as they can be
// seen.
func sizeBelow(folder string) (n int64) {
	_ = filepath.WalkDir(folder, func(_ string, d fs.DirEntry, err error) error {
		if err != nil {
			return nil
		}
		if info, err := d.Info(); err == nil && info.Mode().IsRegular() {
			n += info.Size()
		}
		return nil
	})
	return n
}

func sizeWords(n int64) string {
	switch {
	case n < 1000:
		return fmt.Sprintf("%d bytes", n)
	case n < 1e6:
		return fmt.Sprintf("%d kB", n/1000)
	case n < 1e9:
		return fmt.Sprintf("%.1f MB", float64(n)/1e6)
	}
	return fmt.Sprintf("%.1f GB", float64(n)/1e9)
}
