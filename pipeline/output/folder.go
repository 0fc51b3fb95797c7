package output

import (
	"errors"
	"os"
	"path/filepath"

	"golang.org/x/sync/errgroup"
)

// runFolder is the one folder that a run uses below the output folder. It goes
// when the run ends. What a killed run leaves of it the next one puts right:
// it turns a half-finished exchange back and empties the folder.
const runFolder = ".spadefoot-run"

// The entries of the run folder.
const (
	lockName     = "lock"     // held as long as the run lasts; says whose it is
	preparedName = "prepared" // files that are to be released
	replacedName = "replaced" // what was there before, while files are exchanged
	exchangeName = "exchange" // list of what is exchanged; there while it is done
	tempName     = "temp"     // for what a run needs while it works
)

// Folder is the output folder of one run.
type Folder struct {
	dir   string
	made  bool // the folder was not there before
	run   string
	lock  *os.File
	moved bool              // an earlier output was moved away, or may have been
	free  int64             // bytes that were free when the run began; 0 where not known
	after func(step string) // called at each step of an exchange; for tests of crashes

	// Ours reports whether an entry of one of the folders that are exchanged may
	// come from an earlier run; nil if all do.
	Ours func(folder, name string) bool

	Partial  string // to prepare files in
	previous string
	Temp     string         // to work in
	keeping  errgroup.Group // files that are complete to the disk
}

func newOutputs(dir string) *Folder {
	run := filepath.Join(dir, runFolder)
	return &Folder{dir: dir, run: run, after: func(string) {}, Partial: filepath.Join(run, preparedName),
		previous: filepath.Join(run, replacedName), Temp: filepath.Join(run, tempName)}
}

// Prepare makes the output folder, takes it for this run alone, puts right what
// a killed run left, and makes an empty folder to prepare files in and one to
// work in.
func Prepare(dir string) (*Folder, error) {
	o := newOutputs(dir)
	if info, err := os.Stat(dir); err == nil && !info.IsDir() {
		return nil, &Error{dir, errors.New("it is a file; give a folder")}
	}
	err := o.take()
	if err == nil {
		err = o.recover()
		sweep(anywhere{}, dir)
	}
	o.free = freeAt(dir)
	for _, folder := range []string{o.Partial, o.Temp} {
		if err == nil {
			err = os.Mkdir(folder, 0o755)
		}
	}
	if err != nil {
		err = error(&Error{dir, err})
		o.Discard(&err)
		return nil, err
	}
	return o, nil
}

// Discard ends a run: its folder goes, and the output folder too if this run
// made it and nothing was put there. An exchange that could not be turned back
// is left for the next run to turn back. Where *err is that the disk is full, it
// says afterwards how much had been written.
func (o *Folder) Discard(err *error) {
	if o.lock != nil {
		_ = o.keeping.Wait()
		*err = o.explain(*err)
		if !o.exchanging() {
			_ = o.empty()
		}
		o.release()
	}
	_ = os.Remove(o.run) // both fail, as they should, when the folder holds something
	if o.made {
		_ = os.Remove(o.dir)
	}
}

// exchanging reports whether an exchange was begun and not ended.
func (o *Folder) exchanging() bool { return isThere(filepath.Join(o.run, exchangeName)) }

// empty takes everything that a run makes out of the run folder, but the lock.
func (o *Folder) empty() error {
	list, err := os.ReadDir(o.run)
	for _, e := range list {
		if _, known := entries[e.Name()]; known && e.Name() != lockName {
			err = errors.Join(err, os.RemoveAll(filepath.Join(o.run, e.Name())))
		}
	}
	return err
}
