package survey

import (
	"errors"
	"fmt"
	"io/fs"

	"spadefoot/pipeline/sheet"
)

// Unread is what there is to say of the file of Sheets[i] where it cannot be
// opened: where there is none, the place that names it as well.
func (s *Survey) Unread(i int, err error) error {
	if e, ok := errors.AsType[*sheet.Error](err); ok && errors.Is(err, fs.ErrNotExist) {
		return errors.New(s.Place(s.SheetKey(i)+".file", fmt.Sprintf("found %q, and %s; %s", e.File, e.Cause, e.Advice)).String())
	}
	return err
}

// NoTable is what there is to say of a table that is not in the survey folder.
func (s *Survey) NoTable(file string) error {
	for key, name := range s.Tables.All() {
		if name == file {
			return errors.New(s.Place("tables."+key, fmt.Sprintf("found %q, and there is no such file in the survey folder; put it there, or remove the name", file)).String())
		}
	}
	return fmt.Errorf("%s: there is no such file in the survey folder; put it there", file)
}
