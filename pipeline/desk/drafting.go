package desk

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"net/http"
	"os"
	"path"
	"path/filepath"
	"strings"

	"spadefoot/pipeline/draft"
	"spadefoot/pipeline/record"
	"spadefoot/pipeline/sheet"
	"spadefoot/pipeline/survey"
)

// looseSheet is a sheet in the folder that the survey does not name.
type looseSheet struct {
	Name string
	Take bool // it is likely one of captures
}

// usualTable reports whether a file has the usual name of a table beside the
// sheets: its key under tables.
func usualTable(name string) bool {
	for key := range (survey.Tables{}).All() {
		if strings.ToLower(name) == key+".csv" {
			return true
		}
	}
	return false
}

// looseSheets lists the sheets in the folder that the survey, if there is one,
// does not name.
func (d *Desk) looseSheets(s *survey.Survey) ([]looseSheet, error) {
	entries, err := fs.ReadDir(d.root.FS(), ".")
	if err != nil {
		return nil, err
	}
	named := map[string]bool{}
	if s != nil {
		for _, ref := range s.Sheets {
			named[ref.File] = true
		}
		for _, name := range s.Tables.All() {
			named[name] = true
		}
	}
	var out []looseSheet
	for _, e := range entries {
		name := e.Name()
		if e.IsDir() || strings.HasPrefix(name, ".") || sheet.Leftover(name) != "" || named[name] || !sheet.Supported(name) {
			continue
		}
		table := usualTable(name)
		if s != nil && table {
			continue
		}
		out = append(out, looseSheet{name, !table && s == nil})
	}
	return out, nil
}

// draft proposes meanings for sheets of the folder: a new survey, or more sheets
// of the one that is there.
func (d *Desk) draft(r *http.Request) (to, notice string, err error) {
	names := r.PostForm["sheet"]
	if len(names) == 0 {
		return "", "", refuse(http.StatusBadRequest, "Choose a sheet first.")
	}
	var paths []string
	for _, name := range names {
		if name != path.Base(name) || !sheet.Supported(name) {
			return "", "", refuse(http.StatusBadRequest, "%q is not a sheet of this folder.", name)
		}
		if _, err := d.root.Stat(name); err != nil {
			return "", "", refuse(http.StatusNotFound, "%s is no longer in the folder.", name)
		}
		paths = append(paths, filepath.Join(d.folder, name))
	}
	o := draft.Options{InPlace: true}
	if !d.described() {
		o.Title = strings.TrimSpace(r.PostFormValue("title"))
		if _, err := d.root.Stat("checklist.csv"); err == nil {
			o.Checklist = filepath.Join(d.folder, "checklist.csv")
		}
	}
	done, err := draft.Write(r.Context(), paths, d.folder, o)
	if err != nil {
		return "", "", err
	}
	tables, rows := 0, 0
	for _, s := range done.Sheets {
		tables, rows = tables+s.Tables, rows+s.Rows
	}
	return "/questions", fmt.Sprintf("%s found, with %s. What they were taken to mean was written to survey.yaml and to a mapping for each kind of sheet.", was(tables, "table"), record.Plural(rows, "row")), nil
}

// upload puts a sheet into the folder, where none of its name is yet.
func (d *Desk) upload(r *http.Request) (to, notice string, err error) {
	in, header, err := r.FormFile("file")
	if err != nil {
		return "", "", refuse(http.StatusBadRequest, "Choose a file first.")
	}
	defer in.Close()
	name := path.Base(strings.ReplaceAll(header.Filename, `\`, "/"))
	if strings.HasPrefix(name, ".") || !sheet.Supported(name) {
		return "", "", refuse(http.StatusBadRequest, "%s is not a sheet that can be read: text with columns (csv, tsv, txt), xlsx, xls or ods.", name)
	}
	out, err := d.root.OpenFile(name, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o644)
	if errors.Is(err, fs.ErrExist) {
		return "", "", refuse(http.StatusConflict, "The folder already has a file %s, which stays unchanged. Give the new one another name.", name)
	}
	if err != nil {
		return "", "", err
	}
	_, err = io.Copy(out, in)
	if err = errors.Join(err, out.Sync(), out.Close()); err != nil {
		return "", "", errors.Join(err, d.root.Remove(name))
	}
	return "/questions", name + " is in the folder now.", nil
}
