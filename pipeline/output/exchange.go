package output

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"runtime"
	"slices"
	"strings"
	"syscall"

	"golang.org/x/sync/errgroup"
)

// Commit moves the prepared entries into place, and takes those away that
// outlived an earlier run. If one cannot be moved, those already moved are taken
// back and the earlier ones restored.
//
// A list of what is exchanged is in the run folder as long as the exchange
// lasts. All that is prepared, and the list, are on the disk before the first
// entry is moved: so the next run can turn the exchange back after a crash of the
// program or of the machine, wherever it happened.
func (o *Folder) Commit(files []string, outlived ...string) error {
	names := topEntries(files)
	if err := o.stranger(slices.Concat(names, outlived)); err != nil {
		return err
	}
	if err := o.begin(names); err != nil {
		return &Error{o.dir, err}
	}
	for _, name := range outlived {
		if err := o.away(name); err != nil {
			return &Error{filepath.Join(o.dir, name), o.undo(err)}
		}
	}
	for _, name := range names {
		if err := o.exchange(name); err != nil {
			return &Error{filepath.Join(o.dir, name), o.undo(err)}
		}
	}
	if err := keep(o.dir, o.Partial, o.previous); err != nil {
		return &Error{o.dir, o.undo(err)}
	}
	if err := os.Remove(filepath.Join(o.run, exchangeName)); err != nil {
		return &Error{o.dir, o.undo(err)}
	}
	o.after("end")
	return o.kept()
}

// stranger looks for an entry in the folders that are about to go that no run
// wrote: it would go with them.
func (o *Folder) stranger(names []string) error {
	if o.Ours == nil {
		return nil
	}
	for _, name := range names {
		entries, err := os.ReadDir(filepath.Join(o.dir, name))
		if err != nil {
			continue // a file, or nothing yet
		}
		for _, e := range entries {
			if !o.Ours(name, e.Name()) {
				return &Error{filepath.Join(o.dir, name), fmt.Errorf("it contains %s, which no run wrote and which would be removed; move it elsewhere and run again", e.Name())}
			}
		}
	}
	return nil
}

// begin brings everything to the disk and notes what is about to be exchanged.
func (o *Folder) begin(names []string) error {
	if err := o.keepPrepared(); err != nil {
		return err
	}
	for _, name := range names {
		if _, err := os.Lstat(filepath.Join(o.Partial, name)); err != nil {
			return err // turning back relies on each being there
		}
	}
	if err := os.Mkdir(o.previous, 0o755); err != nil {
		return err
	}
	f, err := os.OpenFile(filepath.Join(o.run, exchangeName), os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o644)
	if err != nil {
		return err
	}
	_, err = f.WriteString(strings.Join(names, "\n"))
	if err := errors.Join(err, f.Sync(), f.Close()); err != nil {
		return errors.Join(err, os.Remove(f.Name()))
	}
	o.after("begin")
	return keep(o.run)
}

// exchange puts the prepared entry in the place of the earlier one.
func (o *Folder) exchange(name string) error {
	to := filepath.Join(o.dir, name)
	if isThere(to) {
		if err := o.away(name); err != nil {
			return err
		}
	}
	if err := os.Rename(filepath.Join(o.Partial, name), to); err != nil {
		return err
	}
	o.after("in place " + name)
	return nil
}

// away takes an entry of an earlier run out of the output folder.
func (o *Folder) away(name string) error {
	if err := os.Rename(filepath.Join(o.dir, name), filepath.Join(o.previous, name)); err != nil {
		return err
	}
	o.moved = true
	o.after("away " + name)
	return nil
}

// LastWhole is where an output of the last whole run into a folder is: where
// a run was killed while it exchanged its files, among those it took away.
func LastWhole(dir, name string) string {
	o := newOutputs(dir)
	if old := filepath.Join(o.previous, name); o.exchanging() && isThere(old) {
		return old
	}
	return filepath.Join(dir, name)
}

func isThere(path string) bool {
	_, err := os.Lstat(path)
	return err == nil
}

// undo turns an exchange back that failed.
func (o *Folder) undo(err error) error {
	if back := o.turnBack(); back != nil {
		return o.halfway(errors.Join(err, back))
	}
	return err
}

// halfway says of an exchange that could be neither ended nor turned back
// whether earlier outputs are away.
func (o *Folder) halfway(err error) error {
	moved := o.moved
	if away, err := os.ReadDir(o.previous); err == nil || errors.Is(err, fs.ErrNotExist) {
		moved = len(away) > 0
	}
	if !moved {
		return &halfwayError{"no earlier file was moved; the next run into this folder removes the new ones", err}
	}
	return &halfwayError{fmt.Sprintf("some earlier files are in %s; the next run into this folder puts them back", o.previous), err}
}

// turnBack takes a half-finished exchange back, as far as it went. It may stop
// at any point and be called again: a new entry that is no longer where it was
// prepared is in the place of the earlier one.
func (o *Folder) turnBack() error {
	if !o.exchanging() {
		return nil
	}
	list := filepath.Join(o.run, exchangeName)
	names, err := os.ReadFile(list)
	if err != nil {
		return err
	}
	for name := range strings.SplitSeq(string(names), "\n") {
		if name == "" || !topName(name) || isThere(filepath.Join(o.Partial, name)) {
			continue
		}
		err := os.Rename(filepath.Join(o.dir, name), filepath.Join(o.Partial, name))
		if err != nil && !errors.Is(err, fs.ErrNotExist) {
			return err
		}
		o.after("back " + name)
	}
	if err := o.restore(); err != nil {
		return err
	}
	if err := keep(o.dir); err != nil {
		return err
	}
	return os.Remove(list)
}

// topName reports whether a name is one of an entry of the output folder itself.
func topName(name string) bool {
	return filepath.Base(name) == name && filepath.IsLocal(name) && name != "." && name != runFolder
}

// restore puts what was there before into its place again.
func (o *Folder) restore() error {
	entries, err := os.ReadDir(o.previous)
	if err != nil && !errors.Is(err, fs.ErrNotExist) {
		return err
	}
	for _, e := range entries {
		if err := os.Rename(filepath.Join(o.previous, e.Name()), filepath.Join(o.dir, e.Name())); err != nil {
			return err
		}
		o.after("restored " + e.Name())
	}
	return nil
}

// recover puts right what a killed run left.
func (o *Folder) recover() error {
	o.moved = true // until it is known
	if err := o.turnBack(); err != nil {
		return o.halfway(err)
	}
	o.moved = false
	return o.empty()
}

// Keep begins to bring prepared entries to the disk that are not written any more, so
// that Commit finds less to do.
func (o *Folder) Keep(names ...string) {
	for _, name := range names {
		o.keeping.Go(func() error { _, err := o.keepFiles(name); return err })
	}
}

// keepPrepared brings the prepared files to the disk.
func (o *Folder) keepPrepared() error {
	err := o.keeping.Wait()
	folders, more := o.keepFiles("")
	if err := errors.Join(err, more); err != nil {
		return err
	}
	return keep(folders...)
}

// keepFiles does so for an entry, and returns the folders that there are in it.
func (o *Folder) keepFiles(name string) (folders []string, err error) {
	var group errgroup.Group
	group.SetLimit(8) // a disk serves several at once
	err = filepath.WalkDir(filepath.Join(o.Partial, name), func(path string, d fs.DirEntry, err error) error {
		switch {
		case err != nil:
			return err
		case d.IsDir():
			folders = append(folders, path)
		case d.Type().IsRegular():
			group.Go(func() error { return keepFile(path) })
		}
		return nil
	})
	return folders, errors.Join(err, group.Wait())
}

func keepFile(path string) error {
	f, err := os.OpenFile(path, os.O_RDWR, 0)
	if err != nil {
		return err
	}
	return errors.Join(f.Sync(), f.Close())
}

// keep brings the names in folders to the disk. Not every system can; where it
// cannot, it does so on its own.
func keep(folders ...string) error {
	for _, folder := range folders {
		f, err := os.Open(folder)
		if err != nil {
			return err
		}
		err = f.Sync()
		f.Close()
		if err != nil && !errors.Is(err, errors.ErrUnsupported) && !errors.Is(err, syscall.EINVAL) && runtime.GOOS != "windows" {
			return err
		}
	}
	return nil
}

// kept brings to the disk that the exchange is over. The outputs are in place by
// then.
func (o *Folder) kept() error {
	if err := keep(o.run); err != nil {
		return &Error{o.dir, &halfwayError{"the new outputs are in place, but the system did not confirm that they are on the disk; run again to be sure", err}}
	}
	return nil
}

// topEntries returns the first parts of the paths, each once, in order.
func topEntries(files []string) []string {
	var out []string
	for _, f := range files {
		if top, _, _ := strings.Cut(filepath.ToSlash(f), "/"); !slices.Contains(out, top) {
			out = append(out, top)
		}
	}
	return out
}
