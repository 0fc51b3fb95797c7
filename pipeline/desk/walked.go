package desk

import (
	"context"
	"errors"
	"fmt"
	"hash/fnv"
	"io/fs"
	"path"
	"strings"
	"sync"

	"spadefoot/pipeline"
	"spadefoot/pipeline/config"
	"spadefoot/pipeline/survey"
)

// standing is what was worked out of the folder last, and its state then.
type standing[T any] struct {
	mu    sync.Mutex
	known bool
	state uint64
	value T
	err   error
}

// now returns it as the files stand now: it is worked out again when one of them
// has changed.
func (s *standing[T]) now(d *Desk, work func() (T, error)) (T, error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	state, err := d.state()
	if err != nil {
		var none T
		return none, err
	}
	if !s.known || s.state != state {
		s.value, s.err = work()
		s.known, s.state = true, state
	}
	return s.value, s.err
}

// Survey returns the survey as its files stand now: nothing is withheld, since
// whoever sits at the desk is of the team. It is walked again when a file of the
// folder has changed. Whoever gets a result must not change it.
func (d *Desk) Survey(ctx context.Context) (*pipeline.Looked, error) {
	return d.walked.now(d, func() (*pipeline.Looked, error) {
		return pipeline.Look(context.WithoutCancel(ctx), d.folder, d.Pipeline)
	})
}

// state is a number that changes with names, sizes and times of the files of the
// survey.
func (d *Desk) state() (uint64, error) {
	h := fnv.New64a()
	err := d.eachFile(func(name string, info fs.FileInfo) {
		fmt.Fprintf(h, "%s\x00%d\x00%d\x00", name, info.Size(), info.ModTime().UnixNano())
	})
	return h.Sum64(), err
}

// eachFile goes through the files of the folder. What begins with a dot is none
// of the survey.
func (d *Desk) eachFile(do func(name string, info fs.FileInfo)) error {
	return fs.WalkDir(d.root.FS(), ".", func(name string, e fs.DirEntry, err error) error {
		switch {
		case errors.Is(err, fs.ErrNotExist):
			return nil // it went while we looked
		case err != nil:
			return err
		case name == ".":
			return nil
		case e.IsDir() && strings.HasPrefix(e.Name(), "."):
			return fs.SkipDir
		case e.IsDir() || strings.HasPrefix(path.Base(name), "."):
			return nil
		}
		if info, err := e.Info(); err == nil {
			do(name, info)
		}
		return nil
	})
}

// title is the title of the survey, or the name of the folder where it has none.
func (d *Desk) title() string {
	d.walked.mu.Lock()
	defer d.walked.mu.Unlock()
	if r := d.walked.value; r != nil && r.Survey.Dataset.Title != "" {
		return r.Survey.Dataset.Title
	}
	return path.Base(strings.ReplaceAll(d.folder, "\\", "/"))
}

// mistaken reports whether an error says what is wrong with the survey folder.
func mistaken(err error) bool {
	var mistakes config.Mistakes
	var call *pipeline.CallError
	var input *pipeline.InputError
	return errors.As(err, &mistakes) || errors.As(err, &call) || errors.As(err, &input)
}

// described reports whether the folder has a survey.yaml.
func (d *Desk) described() bool {
	_, err := d.root.Stat(survey.FileName)
	return err == nil
}
