package draft

import (
	"cmp"
	"errors"
	"fmt"
	"path/filepath"
	"strings"

	"spadefoot/pipeline/mapping"
	"spadefoot/pipeline/output"
	"spadefoot/pipeline/survey"
)

// line writes an entry of the list of sheets.
func (r *entry) line() string {
	s := "  - {file: " + mapping.Quote(r.sheet.File)
	if r.sheet.Name != "" {
		s += ", tabs: [" + mapping.Quote(r.sheet.Name) + "]"
	}
	switch {
	case r.form == nil && r.beside == "":
		return "  # " + r.comment
	case r.form == nil:
		return s + ", mapping: " + r.beside + "} # explains words and codes; a run quotes it among the findings and publishes none of it"
	}
	s += ", mapping: " + r.form.mapping
	var defaults, why []string
	if r.form.notebook {
		defaults = append(defaults, notebookTerm+": "+mapping.Quote(title(r.sheet)))
		why = append(why, "its numbers are also in another sheet: give this notebook a name")
	}
	if year, where := r.year(); year != "" {
		defaults = append(defaults, "year: "+year)
		why = append(why, "its dates have no year, and "+where+" gives this one")
	}
	if day, where := r.day(); day != "" {
		defaults = append(defaults, "eventDate: "+mapping.Quote(day))
		why = append(why, "its rows have no date, and "+where+" gives this one")
	}
	if stage, where := r.stage(); stage != "" {
		defaults = append(defaults, "lifeStage: "+mapping.Quote(stage))
		why = append(why, "no stage of life stands in its rows, and "+where+" says this one")
	}
	if r.tab != nil {
		defaults = append(defaults, r.tab.term+": "+mapping.Quote(r.sheet.Name))
		why = append(why, r.tab.why)
	}
	if l := r.form.language(); l != "" && l != "en" {
		defaults = append(defaults, "language: "+mapping.Quote(l))
		why = append(why, "the language of its headings")
	}
	if len(defaults) == 0 {
		return s + "}"
	}
	return s + ", defaults: {" + strings.Join(defaults, ", ") + "}} # " + strings.Join(why, "; ")
}

// survey writes survey.yaml with what a person has to decide marked as such.
func (d *drafting) survey() []byte {
	name := survey.Slug(filepath.Base(d.result.Folder))
	title := cmp.Or(d.o.Title, filepath.Base(d.result.Folder))
	var b strings.Builder
	fmt.Fprintf(&b, `# A draft. The text under dataset is a placeholder: replace it before you publish.
dataset:
  id: %s # choose it once; every identifier is made from it
  title: %s
  description: %s
  licence: %s # CC0 1.0, CC BY 4.0 or CC BY-NC 4.0: the owners of the data decide
  creators:
    - {family: %s}
defaults:
  basisOfRecord: HumanObservation # for released animals; PreservedSpecimen for those in a collection
`, mapping.Quote("https://"+name+survey.NoAddress), mapping.Quote(title), survey.NoDescription, survey.NoLicence, survey.NoName)
	d.writeSeen(&b)
	if d.names != nil || d.complete {
		b.WriteString("tables: {checklist: checklist.csv}\n")
	} else {
		b.WriteString("# tables: {checklist: checklist.csv, bags: bags.csv, limits: limits.csv, sites: sites.csv}\n")
	}
	if d.awaitsRows() {
		b.WriteString("rules: {levels: {table-without-rows: note}} # an empty form waits for captures\n")
	}
	b.WriteString("sheets:\n")
	for _, r := range d.refs {
		b.WriteString(r.line() + "\n")
	}
	return []byte(b.String())
}

// awaitsRows reports whether a sheet is a form without rows that another sheet has
// with rows, as a tab for the next season is.
func (d *drafting) awaitsRows() bool {
	for _, r := range d.refs {
		for _, o := range d.refs {
			if r.form != nil && r.form == o.form && r.rows() == 0 && o.rows() > 0 {
				return true
			}
		}
	}
	return false
}

// rows is how many rows the tables of a sheet have.
func (r *entry) rows() int {
	n := 0
	for _, t := range r.tables {
		n += len(t.Rows)
	}
	return n
}

// write makes the folder in one step: beside it first, then under its name.
func (d *drafting) write(out string) error {
	if len(d.result.Sheets) == 0 {
		return &output.InputError{File: "", Err: errors.New("no table was found in any of the sheets; nothing was written")}
	}
	for _, name := range d.there {
		delete(d.files, name)
	}
	if d.old == nil && d.o.InPlace {
		for name := range d.files {
			if !d.free(name) {
				delete(d.files, name) // a table that somebody made already
			}
		}
	}
	if d.old != nil || d.o.InPlace {
		return addFiles(out, d.files)
	}
	return output.NewFolder(out, d.files, nil)
}
