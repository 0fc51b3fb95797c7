package pipeline

import (
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
)

// The two folders that a run uses below the output folder. The next run
// removes them if a crash left them behind.
const (
	partialName  = ".spadefoot-partial"
	previousName = ".spadefoot-previous"
)

// outputs is the output folder of one run.
type outputs struct {
	dir      string
	made     bool // the folder was not there before
	partial  string
	previous string
}

// prepare makes the output folder and an empty folder to prepare files in.
func prepare(dir string) (*outputs, error) {
	o := &outputs{dir: dir, partial: filepath.Join(dir, partialName), previous: filepath.Join(dir, previousName)}
	if info, err := os.Stat(dir); errors.Is(err, fs.ErrNotExist) {
		o.made = true
	} else if err == nil && !info.IsDir() {
		return nil, &OutputError{dir, errors.New("it is a file; give a folder")}
	}
	if err := os.MkdirAll(dir, 0o755); err != nil {
		return nil, &OutputError{dir, err}
	}
	if err := o.recover(); err != nil {
		return nil, &OutputError{dir, err}
	}
	if err := os.Mkdir(o.partial, 0o755); err != nil {
		return nil, &OutputError{dir, err}
	}
	return o, nil
}

// recover cleans up after a run that crashed: a half-finished exchange is
// turned back first.
func (o *outputs) recover() error {
	if _, err := os.Stat(o.previous); err == nil {
		if err := moveAll(o.previous, o.dir); err != nil {
			return err
		}
	}
	if err := os.RemoveAll(o.previous); err != nil {
		return err
	}
	return os.RemoveAll(o.partial)
}

// commit moves the prepared entries into place, and takes those away that
// outlived an earlier run. If one cannot be moved, those already moved are taken
// back and the earlier ones restored.
func (o *outputs) commit(files []string, outlived ...string) error {
	if err := os.Mkdir(o.previous, 0o755); err != nil {
		return &OutputError{o.dir, err}
	}
	var moved []string
	undo := func(name string, err error) error {
		for _, m := range moved {
			_ = os.RemoveAll(filepath.Join(o.dir, m))
		}
		if back := moveAll(o.previous, o.dir); back != nil {
			err = errors.Join(err, back)
		}
		return &OutputError{filepath.Join(o.dir, name), err}
	}
	for _, name := range topEntries(files) {
		if err := o.exchange(name); err != nil {
			return undo(name, err)
		}
		moved = append(moved, name)
	}
	for _, name := range outlived {
		if err := os.Rename(filepath.Join(o.dir, name), filepath.Join(o.previous, name)); err != nil {
			return undo(name, err)
		}
	}
	return nil
}

func (o *outputs) exchange(name string) error {
	to := filepath.Join(o.dir, name)
	if _, err := os.Lstat(to); err == nil {
		if err := os.Rename(to, filepath.Join(o.previous, name)); err != nil {
			return err
		}
	}
	return os.Rename(filepath.Join(o.partial, name), to)
}

// discard removes the working folders, and the output folder too if this run
// made it and nothing was put there.
func (o *outputs) discard() {
	_ = os.RemoveAll(o.partial)
	_ = os.RemoveAll(o.previous)
	if o.made {
		_ = os.Remove(o.dir) // fails, as it should, when the folder holds something
	}
}

// moveAll moves every entry of a folder into another, over what is there.
func moveAll(from, to string) error {
	entries, err := os.ReadDir(from)
	if err != nil {
		return err
	}
	for _, e := range entries {
		target := filepath.Join(to, e.Name())
		if err := os.RemoveAll(target); err != nil {
			return err
		}
		if err := os.Rename(filepath.Join(from, e.Name()), target); err != nil {
			return err
		}
	}
	return nil
}

// topEntries gives the first parts of the paths, each once, in order.
func topEntries(files []string) []string {
	var out []string
	seen := map[string]bool{}
	for _, f := range files {
		top, _, _ := strings.Cut(filepath.ToSlash(f), "/")
		if !seen[top] {
			seen[top] = true
			out = append(out, top)
		}
	}
	return out
}
