package desk

import (
	"context"
	"errors"
	"fmt"
	"iter"
	"net/http"
	"slices"
	"strings"

	"spadefoot/pipeline"
	"spadefoot/pipeline/mapping"
	"spadefoot/pipeline/mapping/known"
	"spadefoot/pipeline/record"
	"spadefoot/pipeline/survey"
	"spadefoot/pipeline/taxon"
)

// form is a mapping with the tables that it is for, and the draft beside it.
type form struct {
	key      string // names it for people, and tells it from others
	text     Text   // the file that it is in; without a name where it comes with the program
	at       []string
	mapping  *mapping.Mapping
	tables   []*record.Table
	rows     []int // of each table, all of them
	standing *mapping.Standing
}

// fixed reports whether the mapping has no place of its own in the folder.
func (f *form) fixed() bool { return f.text.Name == "" }

// columns goes through the columns with a heading: the table that each is in,
// and its place there.
func (f *form) columns(heading string) iter.Seq2[*record.Table, int] {
	return func(yield func(*record.Table, int) bool) {
		for _, t := range f.tables {
			for k, c := range t.Columns {
				if mapping.Fold(c.Heading) == mapping.Fold(heading) && !yield(t, k) {
					return
				}
			}
		}
	}
}

// columnAddress is the address of a column, without a row.
func columnAddress(t *record.Table, k int) record.Address {
	return record.Address{File: t.File, Sheet: t.Sheet, Column: t.Columns[k].Number}
}

// forms returns the mappings of the survey as it is now, in the order of its
// sheets. Whoever gets them must not change them.
func (d *Desk) forms(ctx context.Context) ([]*form, *pipeline.Snapshot, error) {
	w, err := d.survey(ctx)
	if err != nil {
		return nil, nil, err
	}
	w.mu.Lock()
	defer w.mu.Unlock()
	if w.forms == nil {
		w.forms, err = d.formsOf(w.Snapshot)
	}
	return w.forms, w.Snapshot, err
}

// formsOf works the mappings of a walk out.
func (d *Desk) formsOf(result *pipeline.Snapshot) ([]*form, error) {
	var all []*form
	for i := range result.Tables {
		ref := result.Of[i]
		key := sourceOf(result.Survey, ref)
		k := slices.IndexFunc(all, func(f *form) bool { return f.key == key })
		if k < 0 {
			f := &form{key: key, mapping: result.Survey.Sheets[ref].Map}
			if err := d.place(f, result.Survey, ref); err != nil {
				return nil, err
			}
			k, all = len(all), append(all, f)
		}
		all[k].tables = append(all[k].tables, &result.Tables[i])
		all[k].rows = append(all[k].rows, result.Rows[i])
	}
	for _, f := range all {
		f.stand(d.clues(result.Survey))
	}
	return all, nil
}

// sourceOf names where the mapping of a sheet is written.
func sourceOf(s *survey.Survey, ref int) string {
	if name := strings.Trim(string(s.Sheets[ref].RawMap), `"`); name != "" && !strings.HasPrefix(name, "{") {
		return name
	}
	if len(s.Sheets[ref].RawMap) > 0 {
		return fmt.Sprintf("%s, %s", survey.FileName, s.Sheets[ref].File)
	}
	if name := strings.Trim(string(s.Mapping), `"`); !strings.HasPrefix(name, "{") {
		return name
	}
	return survey.FileName
}

// place finds the file that a mapping is in, and its place there.
func (d *Desk) place(f *form, s *survey.Survey, ref int) (err error) {
	switch {
	case strings.HasPrefix(f.key, "starter/"):
		return nil
	case f.key == survey.FileName:
		f.at = []string{"mapping"}
		f.text, err = d.Read(survey.FileName)
	case strings.HasPrefix(f.key, survey.FileName+", "):
		for i, other := range s.Sheets {
			if i != ref && other.File == s.Sheets[ref].File {
				return nil // which of the entries it is cannot be known
			}
		}
		f.at = strings.Split(s.SheetKey(ref)+".mapping", ".")
		f.text, err = d.Read(survey.FileName)
	default:
		f.text, err = d.Read(f.key)
	}
	return err
}

// clues are what a draft may know of this survey beside its sheets.
func (d *Desk) clues(s *survey.Survey) mapping.Clues {
	clues := known.Clues()
	for _, in := range s.Instruments {
		clues.Tools = append(clues.Tools, mapping.Tool{Name: in.Name, Unit: in.Unit})
	}
	if name := s.Tables.Checklist; name != "" {
		if f, err := d.root.Open(name); err == nil {
			defer f.Close()
			if names, err := taxon.ReadChecklist(f, name); err == nil {
				clues.Species = func(text string) bool { return names.Match(text).State == taxon.Matched }
			}
		}
	}
	return clues
}

// stand sets the mapping beside what a draft would propose now.
func (f *form) stand(clues mapping.Clues) {
	tables := make([]record.Table, len(f.tables))
	for i, t := range f.tables {
		tables[i] = *t
	}
	f.standing = mapping.Propose(f.key, tables, clues).Stand(f.mapping, tables, f.text.Bytes, f.at...)
}

// formAsked is the form that a request is about, as it was when the page was
// made.
func (d *Desk) formAsked(r *http.Request, all []*form) (*form, error) {
	i := slices.IndexFunc(all, func(f *form) bool { return f.key == r.FormValue("mapping") })
	switch {
	case i < 0:
		return nil, refuse(http.StatusNotFound, "There is no mapping %q in this survey.", r.FormValue("mapping"))
	case all[i].fixed():
		return nil, refuse(http.StatusUnprocessableEntity, "%s has no file in the folder and cannot be changed here. Give it one, and name the file in survey.yaml.", all[i].key)
	case r.Method == http.MethodPost && r.PostFormValue("mark") != all[i].text.Mark:
		return nil, &pipeline.ChangedError{Name: all[i].text.Name}
	}
	return all[i], nil
}

// writeMapping writes a mapping and walks the survey with it. A text with which
// the survey cannot be walked is not written.
func (d *Desk) writeMapping(r *http.Request, f *form, text []byte) (*pipeline.Snapshot, error) {
	return d.writeTried(r.Context(), f.text, text, "meaning")
}

// writeTried writes a text in the place of a file when the survey was walked with
// it, and returns that walk. What it is for is said where the survey cannot be read
// with it.
func (d *Desk) writeTried(ctx context.Context, was Text, now []byte, what string) (*pipeline.Snapshot, error) {
	others, err := d.stateBut(was.Name)
	if err != nil {
		return nil, err
	}
	found, err := d.try(ctx, was.Name, now)
	if err != nil {
		return nil, refuse(http.StatusUnprocessableEntity, "The survey cannot be read with this %s, so nothing was written. %s", what, err)
	}
	if err := d.Write(was, now); err != nil {
		return nil, errors.Join(err, found.Close())
	}
	still, err := d.stateBut(was.Name)
	state, err2 := d.state()
	if err = errors.Join(err, err2); err != nil || still != others {
		_ = found.Close() // another file was changed meanwhile
		return d.Survey(ctx)
	}
	d.walks.mu.Lock()
	defer d.walks.mu.Unlock()
	if u := d.walks.current; u != nil {
		u.stop()
		d.walks.current = nil
	}
	d.take(found, state)
	return d.use(ctx, d.walks.last).Snapshot, nil
}

// try walks the survey as it would be with another text of one of its files.
func (d *Desk) try(ctx context.Context, name string, text []byte) (*pipeline.Snapshot, error) {
	o := d.Pipeline
	o.Instead = map[string][]byte{name: text}
	if v := visitOf(ctx); v != nil && v.progress != nil {
		o.Parts = v.progress.tell
	}
	return d.inspect(ctx, o)
}
