package desk

import (
	"context"
	"errors"
	"io/fs"
	"os"
	"path"
	"strings"
	"sync"

	"spadefoot/pipeline"
	"spadefoot/pipeline/survey"
	"spadefoot/pipeline/typing"
)

// typists is the survey as it is prepared for typing, and what keeps rows apart.
type typists struct {
	append sync.Mutex   // a row is being added to a file
	use    sync.RWMutex // the one in use is not to be closed

	mu      sync.Mutex
	now     *pipeline.Typing
	state   uint64 // of the folder when it was prepared
	busy    bool   // it is being renewed
	renewed sync.WaitGroup
	err     error // of the last attempt to renew it
}

// typist returns the survey prepared for typing, to be released after use. When
// files of the folder have changed it is renewed meanwhile: whoever types does not
// wait for it.
func (d *Desk) typist(ctx context.Context) (t *pipeline.Typing, release func(), err error) {
	y := &d.typists
	y.mu.Lock()
	defer y.mu.Unlock()
	state, err := d.state()
	if err != nil {
		return nil, nil, err
	}
	if y.now == nil {
		if y.now, err = pipeline.PrepareTyping(context.WithoutCancel(ctx), d.folder, d.Pipeline); err != nil {
			return nil, nil, err
		}
		y.state = state
	} else if y.state != state && !y.busy {
		y.busy = true
		y.renewed.Go(func() { d.renew(state) })
	}
	y.use.RLock()
	return y.now, y.use.RUnlock, nil
}

// renew prepares the survey anew, and changes it for the one in use.
func (d *Desk) renew(state uint64) {
	y := &d.typists
	t, err := pipeline.PrepareTyping(context.Background(), d.folder, d.Pipeline)
	y.mu.Lock()
	defer y.mu.Unlock()
	y.busy, y.state, y.err = false, state, err
	if err != nil {
		return // the one before is still good for checking
	}
	y.use.Lock()
	defer y.use.Unlock()
	y.err = y.now.Close()
	y.now = t
}

// wrong says why the survey could not be prepared anew, or "".
func (y *typists) wrong() string {
	y.mu.Lock()
	defer y.mu.Unlock()
	if y.err == nil {
		return ""
	}
	return y.err.Error()
}

func (y *typists) close() error {
	y.renewed.Wait()
	y.mu.Lock()
	defer y.mu.Unlock()
	if y.now == nil {
		return nil
	}
	t := y.now
	y.now = nil
	return t.Close()
}

// typedRows reads the rows of a form's file.
func (d *Desk) typedRows(f *pipeline.TypedForm) (*typing.File, error) {
	text, err := d.Read(f.File)
	if err != nil {
		return nil, err
	}
	file, err := typing.Read(text.Bytes, f.Headings())
	if err != nil {
		return nil, errChangedHeadings(f, err)
	}
	return file, nil
}

// appendRow adds a row to the file as it was read; it is on the disk when this
// returns. What a crash left of an earlier row is put aside first.
func (d *Desk) appendRow(f *pipeline.TypedForm, file *typing.File, row []string) (err error) {
	if err := d.root.MkdirAll(path.Dir(f.File), 0o755); err != nil {
		return err
	}
	if len(file.Torn) > 0 {
		if err := d.addTo(strings.TrimSuffix(f.File, ".csv")+"-torn.txt", -1, append(file.Torn, '\n')); err != nil {
			return err
		}
	}
	return d.addTo(f.File, int64(file.Whole), file.Appended(f.Headings(), row))
}

// addTo adds bytes to a file behind so many of its bytes, or behind all of them,
// and waits until they are on the disk.
func (d *Desk) addTo(name string, behind int64, b []byte) (err error) {
	f, err := d.root.OpenFile(name, os.O_RDWR|os.O_CREATE, 0o644)
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, f.Close()) }()
	info, err := f.Stat()
	if err != nil {
		return err
	}
	if behind < 0 {
		behind = info.Size()
	} else if info.Size() > behind {
		if err := f.Truncate(behind); err != nil {
			return err
		}
	}
	if _, err := f.WriteAt(b, behind); err != nil {
		return err
	}
	if err := f.Sync(); err != nil || info.Size() > 0 {
		return err
	}
	return d.syncFolder(path.Dir(name))
}

// syncFolder puts the name of a new file on the disk, where the system can do
// that.
func (d *Desk) syncFolder(name string) error {
	f, err := d.root.Open(name)
	if err != nil {
		return err
	}
	_ = f.Sync() // some systems do not sync folders
	return f.Close()
}

// list puts the file of a form among the sheets of the survey, with its mapping,
// unless it is there.
func (d *Desk) list(f *pipeline.TypedForm) error {
	if f.Listed {
		return nil
	}
	m, err := d.Read(f.Mapping)
	if err != nil {
		return err
	}
	if m.Mark == "" {
		if err := d.Write(m, f.Text); err != nil {
			return err
		}
	}
	was, err := d.Read(survey.FileName)
	if err != nil {
		return err
	}
	s, err := survey.Load(d.root.FS(), nil, pipeline.Known())
	if err != nil && !errors.Is(err, fs.ErrNotExist) {
		return err
	}
	for _, ref := range s.Sheets {
		if ref.File == f.File {
			f.Listed = true
			return nil
		}
	}
	text, err := pipeline.ListTyped(was.Bytes, f)
	if err != nil {
		return err
	}
	if err := d.Write(was, text); err != nil {
		return err
	}
	f.Listed = true
	return nil
}
