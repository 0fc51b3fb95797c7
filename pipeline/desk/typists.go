package desk

import (
	"context"
	"errors"
	"io/fs"
	"os"
	"path"
	"strings"

	"spadefoot/pipeline"
	"spadefoot/pipeline/mapping/known"
	"spadefoot/pipeline/record/lines"
	"spadefoot/pipeline/survey"
	"spadefoot/pipeline/typing"
)

// typist returns the survey prepared for typing. When files of the folder have
// changed it is walked meanwhile: whoever types does not wait for it. Stale says why
// it cannot be walked as it is.
func (d *Desk) typist(ctx context.Context) (t *pipeline.Typing, stale, err error) {
	w, stale, err := d.latest(ctx)
	if err != nil {
		return nil, nil, err
	}
	w.mu.Lock()
	defer w.mu.Unlock()
	if w.typing == nil {
		w.typing, err = w.Typing()
	}
	return w.typing, stale, err
}

// typedRows reads the rows of a form's file.
func (d *Desk) typedRows(f *typing.Form) (*typing.File, error) {
	_, file, err := d.typedText(f)
	return file, err
}

// typedText reads a form's file, and the rows in it.
func (d *Desk) typedText(f *typing.Form) (Text, *typing.File, error) {
	text, err := d.Read(f.File)
	if err != nil {
		return text, nil, err
	}
	file, err := typing.Read(text.Bytes, f.Headings())
	if err != nil {
		return text, nil, errChangedHeadings(f, err)
	}
	return text, file, nil
}

// beforeFile is where rows stand as they were before they were changed. It is no
// sheet of the survey.
func beforeFile(f *typing.Form) string {
	return strings.TrimSuffix(f.File, ".csv") + "-before.txt"
}

// changeRow puts a row in the place of one that was kept, which is written down
// first.
func (d *Desk) changeRow(f *typing.Form, text Text, file *typing.File, i int, row []string) error {
	if err := d.addTo(beforeFile(f), -1, lines.AppendRow(nil, file.Rows[i])); err != nil {
		return err
	}
	return d.Write(text, file.Changed(i, row))
}

// appendRow adds a row to the file as it was read; it is on the disk when this
// returns. What a crash left of an earlier row is put aside first.
func (d *Desk) appendRow(f *typing.Form, file *typing.File, row []string) (err error) {
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
func (d *Desk) list(f *typing.Form) error {
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
	s, err := survey.Load(d.root.FS(), nil, known.Words())
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
