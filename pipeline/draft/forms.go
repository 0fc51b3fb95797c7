package draft

import (
	"cmp"
	"fmt"
	"maps"
	"slices"
	"strings"

	"spadefoot/pipeline/mapping"
	"spadefoot/pipeline/record"
)

// propose sets lists aside, groups the sheets by form, and proposes a mapping
// for each.
func (d *drafting) propose() error {
	d.findLegends()
	for i := range d.refs {
		if r := &d.refs[i]; r.comment == "" {
			r.form = d.formOf(headingsOf(r.tables))
		}
	}
	var kept []*form
	for _, f := range d.forms {
		if d.recognise(f) {
			kept = append(kept, f)
			continue
		}
		entries := d.entriesOf(f)
		var tables []record.Table
		for _, r := range entries {
			tables = append(tables, r.tables...)
		}
		name := title(entries[0].sheet)
		if n := len(entries) - 1; n > 0 {
			name += fmt.Sprintf(" and %d more", n)
		}
		var err error
		if f.draft, err = mapping.Propose(name, tables, d.clues()); err != nil {
			return err
		}
		if len(entries) > 1 {
			f.draft.NameCaptures(entries[0].tables, d.clues())
		}
		kept = append(kept, f)
		if err := d.ctx.Err(); err != nil {
			return err
		}
	}
	d.forms = kept
	d.setListsAside()
	for _, r := range d.refs {
		if r.form == nil {
			continue
		}
		if r.form.mapping == "" {
			r.form.mapping = d.mappingName(r.sheet)
			d.files[r.form.mapping] = []byte{} // the name is taken
		}
		rows := 0
		for _, t := range r.tables {
			rows += len(t.Rows)
		}
		s := Sheet{File: r.sheet.File, Tab: r.sheet.Name, Mapping: r.form.mapping, Tables: len(r.tables), Rows: rows, Draft: r.form.draft, Known: r.form.known}
		if c := r.form.changed; c != nil {
			s.Added, s.Gone = c.added, c.gone
		}
		d.result.Sheets = append(d.result.Sheets, s)
	}
	return nil
}

// title names a sheet for people.
func title(s record.Sheet) string {
	if s.Name == "" {
		return s.File
	}
	return s.File + ", tab " + s.Name
}

func (d *drafting) formOf(headings string) *form {
	for _, f := range d.forms {
		if f.headings == headings {
			return f
		}
	}
	f := &form{headings: headings}
	d.forms = append(d.forms, f)
	return f
}

// language is the one that the headings are in, as far as the draft tells.
func (f *form) language() string {
	if f.draft == nil {
		return ""
	}
	return f.draft.Language
}

func (d *drafting) entriesOf(f *form) []entry {
	return slices.DeleteFunc(slices.Clone(d.refs), func(r entry) bool { return r.form != f })
}

// headingsOf returns the folded headings of tables, each once, sorted.
func headingsOf(tables []record.Table) string {
	var all []string
	for _, t := range tables {
		for _, c := range t.Columns {
			all = append(all, mapping.Fold(c.Heading)+c.Unit)
		}
	}
	slices.Sort(all)
	return strings.Join(slices.Compact(all), "\n")
}

// findLegends sets sheets aside that say what the headings of others mean, and
// remembers what they say.
func (d *drafting) findLegends() {
	known := map[string]bool{}
	for _, r := range d.refs {
		for _, t := range r.tables {
			for _, c := range t.Columns {
				known[mapping.Fold(c.Heading)] = true
			}
		}
	}
	d.legend = map[string]string{}
	for _, line := range d.lines {
		if name, said, ok := strings.Cut(line, ":"); ok && known[mapping.Fold(name)] && strings.Contains(said, "=") {
			d.legend[mapping.Fold(name)] = strings.TrimSpace(said)
		}
	}
	for _, r := range d.refs {
		for _, t := range r.tables {
			for _, c := range t.Columns {
				if c.Says != "" {
					d.legend[mapping.Fold(c.Heading)] = c.Says
				}
			}
		}
	}
	d.explainCodes()
	for _, r := range d.lists {
		maps.Copy(d.legend, legendOf(r.tables, known))
	}
	for i := range d.refs {
		r := &d.refs[i]
		if said := legendOf(r.tables, known); len(said) > 0 && d.others(i) {
			maps.Copy(d.legend, said)
			r.comment = fmt.Sprintf("%s: a legend of headings; read for the draft and not published", record.Address{File: r.sheet.File, Sheet: r.sheet.Name})
			r.tables = nil
		}
	}
}

// explainCodes looks in the lines beside the tables for what the codes of a
// column stand for, where the line does not say which column it is about.
func (d *drafting) explainCodes() {
	for _, r := range d.refs {
		for _, t := range r.tables {
			for i, c := range t.Columns {
				if heading := mapping.Fold(c.Heading); d.legend[heading] == "" {
					var texts []string
					for _, row := range t.Rows {
						texts = append(texts, row.Cells[i].Text)
					}
					for _, line := range d.lines {
						d.legend[heading] = cmp.Or(d.legend[heading], mapping.LineOfCodes(line, texts))
					}
				}
			}
		}
	}
}

// others reports whether another sheet has tables.
func (d *drafting) others(i int) bool {
	for k, r := range d.refs {
		if k != i && len(r.tables) > 0 {
			return true
		}
	}
	return false
}

// legendOf reads a table of two columns or more whose first holds headings of
// other tables: three of them at least, and most of its rows.
func legendOf(tables []record.Table, known map[string]bool) map[string]string {
	said := map[string]string{}
	rows := 0
	for _, t := range tables {
		for _, row := range t.Rows {
			if len(row.Cells) < 2 {
				continue
			}
			rows++
			if k := mapping.Fold(row.Cells[0].Text); k != "" && known[k] {
				var parts []string
				for _, c := range row.Cells[1:min(3, len(row.Cells))] {
					parts = append(parts, strings.TrimSpace(c.Text))
				}
				said[k] = legendText(parts)
			}
		}
	}
	if len(said) < 3 || 5*len(said) < 3*rows {
		return nil
	}
	return said
}

// legendText is a description with a short text behind it, such as a unit, in
// brackets. So is one that says what codes stand for: "1 = male, 2 = female".
func legendText(parts []string) string {
	if len(parts) > 1 && parts[1] != "" && (len(parts[1]) <= 5 || strings.Contains(parts[1], "=")) {
		return parts[0] + " (" + parts[1] + ")"
	}
	return parts[0]
}

// setListsAside keeps lists of species out of the captures where there are
// others.
func (d *drafting) setListsAside() {
	for _, f := range slices.Clone(d.forms) {
		if f.known || !f.draft.IsSpeciesList() || len(d.forms) < 2 {
			continue
		}
		for i := range d.refs {
			if r := &d.refs[i]; r.form == f {
				d.lists = append(d.lists, *r)
				r.comment = fmt.Sprintf("%s: a list of species; read for checklist.csv and not published as captures", record.Address{File: r.sheet.File, Sheet: r.sheet.Name})
				r.form = nil
			}
		}
		d.forms = slices.DeleteFunc(d.forms, func(o *form) bool { return o == f })
	}
}

// notebookTerm names the notebook that a sheet was typed from, by the
// definition of dwc:fieldNotes a reference to the notes taken in the field.
const notebookTerm = "fieldNotes"

// distinguish makes the name of the notebook a part of the key in forms whose
// numbers stand in another sheet too.
func (d *drafting) distinguish() {
	first := map[string]int{}
	for i, r := range d.refs {
		if r.form == nil || r.form.known || len(r.form.draft.Key) == 0 {
			continue
		}
		texts, _ := r.form.draft.KeyTexts(r.form.draft.Key, r.tables, d.clues())
		for _, t := range texts {
			j, taken := first[t]
			switch {
			case t == "":
			case !taken:
				first[t] = i
			case j != i:
				d.refs[i].form.notebook, d.refs[j].form.notebook = true, true
			}
		}
	}
	for _, f := range d.forms {
		if f.notebook {
			f.draft.Key = append([]string{notebookTerm}, f.draft.Key...)
		}
	}
}

func (d *drafting) writeMappings() {
	for _, f := range d.forms {
		switch {
		case f.changed != nil:
			d.files[f.mapping] = f.changed.text
		case !f.known:
			d.files[f.mapping] = f.draft.YAML()
		}
	}
}
