package draft

import (
	"fmt"
	"maps"
	"slices"
	"strings"
	"unicode"

	"spadefoot/pipeline/layout"
	"spadefoot/pipeline/mapping"
	"spadefoot/pipeline/record"
	"spadefoot/pipeline/record/pattern"
)

// propose sets lists aside, groups the sheets by form, and proposes a mapping
// for each.
func (d *drafting) propose() error {
	d.findLegends()
	for _, r := range d.refs {
		if r.comment == "" {
			r.form = d.formOf(headingsOf(r.tables))
		}
	}
	for _, f := range d.forms {
		if d.recognise(f) {
			continue
		}
		entries := d.entriesOf(f)
		name := title(entries[0].sheet)
		if n := len(entries) - 1; n > 0 {
			name += fmt.Sprintf(" and %d more", n)
		}
		f.draft = mapping.Propose(name, d.tablesOf(f), d.clues())
		if len(entries) > 1 {
			f.draft.NameCaptures(entries[0].tables, d.clues())
		}
		if err := d.ctx.Err(); err != nil {
			return err
		}
	}
	d.setListsAside()
	for _, r := range d.refs {
		if r.form == nil {
			continue
		}
		if r.form.mapping == "" {
			r.form.mapping = d.mappingName(r.sheet)
			d.files[r.form.mapping] = []byte{} // the name is taken
		}
		s := Sheet{File: r.sheet.File, Tab: r.sheet.Name, Mapping: r.form.mapping, Tables: len(r.tables), Rows: r.rows(), Draft: r.form.draft, Known: r.form.known}
		if c := r.form.changed; c != nil {
			s.Added, s.Gone = c.added, c.gone
		}
		d.result.Sheets = append(d.result.Sheets, s)
	}
	d.listLegends()
	return nil
}

// listLegends lists each tab that explains words and codes with the mapping of a
// sheet beside it, so that a run reads it and says what stands there. One in which
// the headings of that sheet would be read as those of a table stays a comment.
func (d *drafting) listLegends() {
	for _, legend := range d.refs {
		for _, r := range d.refs {
			if !legend.explains || legend.beside != "" || r.form == nil || r.sheet.File != legend.sheet.File {
				continue
			}
			o := layoutOptions
			o.IsHeading = func(text string) bool { return heads(r.tables, text) }
			if tables, _ := layout.Find(legend.sheet, o); len(tables) == 0 {
				legend.beside = r.form.mapping
			}
		}
	}
}

// heads reports whether a text is the heading of a column of some tables.
func heads(tables []record.Table, text string) bool {
	return slices.ContainsFunc(tables, func(t record.Table) bool {
		return slices.ContainsFunc(t.Columns, func(c record.Column) bool { return mapping.Fold(c.Heading) == mapping.Fold(text) })
	})
}

// title names a sheet for people.
func title(s record.Sheet) string {
	if s.Name == "" {
		return s.File
	}
	return s.File + ", tab " + s.Name
}

func (d *drafting) formOf(headings string) *form {
	if i := slices.IndexFunc(d.forms, func(f *form) bool { return f.headings == headings }); i >= 0 {
		return d.forms[i]
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

func (d *drafting) entriesOf(f *form) []*entry {
	return slices.DeleteFunc(slices.Clone(d.refs), func(r *entry) bool { return r.form != f })
}

// tablesOf returns the tables of all sheets of a form.
func (d *drafting) tablesOf(f *form) (tables []record.Table) {
	for _, r := range d.entriesOf(f) {
		tables = append(tables, r.tables...)
	}
	return tables
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
	lines := append(d.labels(), d.lines...)
	for _, line := range lines {
		if name, said, ok := strings.Cut(line, ":"); ok && known[mapping.Fold(name)] && strings.Contains(said, "=") {
			d.legend[mapping.Fold(name)] = strings.TrimSpace(said)
		}
	}
	for _, line := range lines {
		maps.Copy(d.legend, headingsIn(line, known))
	}
	d.explainHeadings()
	for _, r := range d.lists {
		maps.Copy(d.legend, legendOf(r.tables, known, 0)) // among lists of species and places
		maps.Copy(d.legend, codesOfHeadings(r.tables, known))
	}
	d.explainCodes()
	for _, r := range d.refs {
		if said := legendOf(r.tables, known, mostHeadings); len(said) > 0 && d.others(r) {
			maps.Copy(d.legend, said)
			maps.Copy(d.legend, codesOfHeadings(r.tables, known))
			r.comment = fmt.Sprintf("%s: a legend of headings; read for the draft and not published", record.Address{File: r.sheet.File, Sheet: r.sheet.Name})
			r.tables = nil
		}
	}
}

// labels are the texts of the lines above the tables of all sheets.
func (d *drafting) labels() (texts []string) {
	for _, r := range d.refs {
		texts = append(texts, r.labels()...)
	}
	return texts
}

// labels are the texts of the lines above the tables.
func (r *entry) labels() (texts []string) {
	for _, t := range r.tables {
		for _, l := range t.Labels {
			texts = append(texts, l.Cell.Text)
		}
	}
	return texts
}

// headingSaid matches a heading and what it means, in a line that explains several:
// "Tc temp. cloacal", "HW = head width", "EL, eye length".
var headingSaid = pattern.Of(`^([\p{L}\p{N}./-]{1,12})\s*[=:, –—-]\s*(\p{L}.{2,})$`)

// fewestSaid is how many headings a line has to explain.
const fewestSaid = 3

// headingsIn reads a line that says in each of its parts, or in most of them, what a
// heading means: "LHC long. hocico-cloaca; LC long. cola; Tc temp. cloacal". A word
// may go before the first: "Abbreviations: SVL, snout-vent length; HL, head length."
func headingsIn(line string, known map[string]bool) map[string]string {
	said := map[string]string{}
	line = strings.TrimRight(line, ". ")
	parts := strings.Split(line, ";")
	if len(parts) < fewestSaid {
		parts = strings.Split(line, ",")
	}
	for _, part := range parts {
		_, behind, _ := strings.Cut(part, ":")
		for _, text := range []string{part, behind} {
			if m := headingSaid().FindStringSubmatch(strings.TrimSpace(text)); m != nil && known[mapping.Fold(m[1])] {
				said[mapping.Fold(m[1])] = m[2]
				break
			}
		}
	}
	if len(said) < fewestSaid || 2*len(said) <= len(parts) {
		return nil
	}
	return said
}

// explainHeadings takes what stands in a row below the headings, or in their
// comments, where it is the same in all tables.
func (d *drafting) explainHeadings() {
	said := map[string]string{}
	for _, r := range d.refs {
		for _, t := range r.tables {
			for _, c := range t.Columns {
				k := mapping.Fold(c.Heading)
				if before, ok := said[k]; c.Says != "" && (!ok || before == c.Says) {
					said[k] = c.Says
				} else if c.Says != "" {
					said[k] = ""
				}
			}
		}
	}
	for k, text := range said {
		if text != "" {
			d.legend[k] = text
		}
	}
}

// leastExplained is the share of the codes of a column that a line explains at
// least, where it explains no column in full.
const leastExplained = 0.5

// explainCodes looks in the lines beside the tables, and in the legends, for what
// the codes of a column stand for, where the line does not say which column it is
// about: for all columns of which it explains every code, or else for the one of
// which it explains most.
func (d *drafting) explainCodes() {
	columns := map[string][]string{} // the texts by heading
	for _, r := range d.refs {
		for _, t := range r.tables {
			for i, c := range t.Columns {
				for _, row := range t.Rows {
					k := mapping.Fold(c.Heading)
					columns[k] = append(columns[k], row.Cells[i].Text)
				}
			}
		}
	}
	headings := slices.Sorted(maps.Keys(columns))
	for _, line := range append(append(d.labels(), d.lines...), d.pairsOfCodes()...) {
		said, shares := "", map[string]float64{}
		most := 0.0
		for _, h := range headings {
			if d.legend[h] == "" {
				var text string
				if text, shares[h] = mapping.LineOfCodes(line, columns[h]); text != "" {
					said, most = text, max(most, shares[h])
				}
			}
		}
		var best []string
		for _, h := range headings {
			if shares[h] == most && most >= leastExplained {
				best = append(best, h)
			}
		}
		if most == 1 || len(best) == 1 {
			for _, h := range best {
				d.legend[h] = said
			}
		}
	}
}

// pairsOfCodes writes each legend of two columns as one line of codes and words.
func (d *drafting) pairsOfCodes() (lines []string) {
	for _, r := range d.lists {
		for _, t := range r.tables {
			var pairs []string
			for _, row := range t.Rows {
				if filled := slices.DeleteFunc(slices.Clone(row.Cells), func(c record.Cell) bool { return c.Empty() }); len(filled) == 2 {
					pairs = append(pairs, strings.TrimSpace(filled[0].Text)+" = "+strings.TrimSpace(filled[1].Text))
				}
			}
			lines = append(lines, strings.Join(pairs, "; "))
		}
	}
	return lines
}

// codesOfHeadings reads a legend that has a row for each code of a heading: "Sex",
// "1", "male", or "Sex 1", "male". A heading may be in its first row only.
func codesOfHeadings(tables []record.Table, known map[string]bool) map[string]string {
	pairs := map[string][]string{}
	heading := ""
	for _, t := range tables {
		for _, row := range t.Rows {
			var texts []string
			for _, c := range row.Cells[:min(3, len(row.Cells))] {
				texts = append(texts, strings.TrimSpace(c.Text))
			}
			code, word := "", ""
			switch {
			case len(texts) < 2:
				continue
			case len(texts) == 3 && texts[2] != "" && (texts[0] == "" || known[mapping.Fold(texts[0])]):
				if texts[0] != "" {
					heading = mapping.Fold(texts[0])
				}
				code, word = texts[1], texts[2]
			default:
				at := strings.LastIndexAny(texts[0], " :=_")
				if at < 0 || !known[mapping.Fold(texts[0][:at])] {
					heading = ""
					continue
				}
				heading, code, word = mapping.Fold(texts[0][:at]), texts[0][at+1:], texts[1]
			}
			if heading != "" {
				pairs[heading] = append(pairs[heading], code+" = "+word)
			}
		}
	}
	said := map[string]string{}
	for h, of := range pairs {
		if len(of) > 1 {
			said[h] = strings.Join(of, "; ")
		}
	}
	return said
}

// others reports whether another sheet has tables.
func (d *drafting) others(than *entry) bool {
	return slices.ContainsFunc(d.refs, func(r *entry) bool { return r != than && len(r.tables) > 0 })
}

// mostHeadings is the share of the rows of a table that explain headings, where
// nothing else says that it is a legend.
const mostHeadings = 0.6

// legendOf reads a table of two columns or more whose first holds headings of
// other tables: three of them at least, and at least a share of its rows.
func legendOf(tables []record.Table, known map[string]bool, least float64) map[string]string {
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
	if len(said) < 3 || float64(len(said)) < least*float64(rows) {
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

// setListsAside keeps lists of species, and lists of places that other sheets
// refer to, out of the captures.
func (d *drafting) setListsAside() {
	for _, f := range slices.Clone(d.forms) {
		if f.known || len(d.forms) < 2 {
			continue
		}
		list := ""
		switch {
		case f.draft.IsSpeciesList(), f.draft.NamesSpecies() && d.referredTo(f):
			list = "a list of species; read for checklist.csv and not published as captures"
		case f.draft.NamesPlaces() && d.referredTo(f):
			list = "a list of places; read for sites.csv and not published as captures"
		case f.draft.CountsSpecies() && slices.ContainsFunc(d.forms, func(o *form) bool { return !o.known && o.draft.HasCaptures() && !o.draft.CountsSpecies() }):
			list = "counts of species, which are no captures; to publish them, write a row for each species with its individualCount"
		default:
			continue
		}
		for _, r := range d.entriesOf(f) {
			of := *r
			of.texts = f.draft.Texts(shownTerms, r.tables, d.clues())
			d.lists = append(d.lists, &of)
			r.comment = fmt.Sprintf("%s: %s", record.Address{File: r.sheet.File, Sheet: r.sheet.Name}, list)
			r.form = nil
		}
		d.forms = slices.DeleteFunc(d.forms, func(o *form) bool { return o == f })
	}
}

// referredTo reports whether a form is a list that others refer to: each of its
// rows has its own text in a column, and most texts that come again and again in a
// column of another form are among these. Numbers count only under the same heading.
func (d *drafting) referredTo(f *form) bool {
	for _, own := range d.columnsOf(f) {
		if len(own.texts) < 2 || own.filled > len(own.texts) {
			continue
		}
		for _, o := range d.forms {
			if o == f || o.known || !o.draft.HasCaptures() {
				continue
			}
			for _, other := range d.columnsOf(o) {
				found := 0
				for text := range other.texts {
					if own.texts[text] {
						found++
					}
				}
				if len(other.texts) > 1 && len(other.texts) < other.filled && 5*found >= 4*len(other.texts) && (!own.numbers() || own.heading == other.heading) {
					return true
				}
			}
		}
	}
	return false
}

// columnTexts is what is under a heading of a form.
type columnTexts struct {
	heading string // folded
	texts   map[string]bool
	filled  int
}

// numbers reports whether no text has a letter.
func (c columnTexts) numbers() bool {
	for text := range c.texts {
		if strings.ContainsFunc(text, unicode.IsLetter) {
			return false
		}
	}
	return true
}

func (d *drafting) columnsOf(f *form) []columnTexts {
	var out []columnTexts
	for _, t := range d.tablesOf(f) {
		for i, c := range t.Columns {
			column := columnTexts{heading: mapping.Fold(c.Heading), texts: map[string]bool{}}
			for _, row := range t.Rows {
				if i < len(row.Cells) {
					if text := strings.TrimSpace(row.Cells[i].Text); text != "" && row.Cells[i].Kind != record.Fault {
						column.texts[text] = true
						column.filled++
					}
				}
			}
			out = append(out, column)
		}
	}
	return out
}

// notebookTerm names the notebook that a sheet was typed from, by the
// definition of dwc:fieldNotes a reference to the notes taken in the field.
const notebookTerm = "fieldNotes"

// distinguish makes the name of the notebook a part of the key in forms whose
// numbers are in another sheet too.
func (d *drafting) distinguish() {
	first := map[string]*entry{}
	for _, r := range d.refs {
		if r.form == nil || r.form.known || len(r.form.draft.Key) == 0 {
			continue
		}
		texts, _ := r.form.draft.KeyTexts(r.form.draft.Key, r.tables, d.clues())
		for _, t := range texts {
			switch o := first[t]; {
			case t == "":
			case o == nil:
				first[t] = r
			case o != r:
				r.form.notebook, o.form.notebook = true, true
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
