package withhold

import (
	"fmt"
	"strings"

	"spadefoot/pipeline/place"
	"spadefoot/pipeline/record"
	"spadefoot/pipeline/record/lines"
)

// Settings is what captures are hidden by.
type Settings struct {
	File    string // name of the table of sensitive taxa, for addresses
	Rules   []Rule
	Lookup  func(name string) (Lineage, bool) // what the checklist knows of a name; nil without one
	Sites   *place.Sites
	Key     func(*record.Capture) []string // terms that name a capture
	Session func(*record.Capture) []string // terms that name its session
}

// Hidden is one capture whose place is withheld, and what was withheld.
type Hidden struct {
	Capture *record.Capture // as it may be published
	Rule    *Rule
	Key     string         // as it was
	Values  []record.Value // as they were; extras and remarks among them
	session string
	secret  secret
}

// Result is what Hide did.
type Result struct {
	Hidden   []*Hidden        // in the order of the captures
	Findings []record.Finding // as they may be told
	Notes    []record.Finding // on the table of sensitive taxa
	Guard    *Guard
	of       map[*record.Capture]*Hidden
	rows     map[rowOf]*Hidden
	cells    map[record.Address]*Hidden
	columns  map[record.Address]*record.Column
	veiled   map[record.Address]bool    // cells whose texts were hidden
	all      []phrase                   // of every hidden capture
	tables   map[record.Address]bool    // cells and rows of tables, hidden or not
	around   map[record.Address]*secret // by sheet, what its hidden captures have in common with a text
}

// rowOf is a row of a table, by its number in the sheet.
type rowOf struct {
	file, sheet string
	table, row  int
}

// NameError says that a file or a tab is called after a place that must stay
// hidden. Every address would tell it.
type NameError struct{ At record.Address }

func (e *NameError) Error() string {
	what := "the file"
	if e.At.Sheet != "" {
		what = "the file or the tab"
	}
	return fmt.Sprintf("%s: %s is called after the place of a sensitive taxon, and findings and tables would tell it; give it another name", e.At, what)
}

// Hide withholds the places of captures of sensitive taxa: in the captures, in
// the rows of the tables that they came from, and in findings. It changes
// captures and tables and gives the findings anew. The error is a *NameError, or
// a *lines.Error of the table of sensitive taxa.
func Hide(captures []*record.Capture, tables []*record.Table, fs []record.Finding, s Settings) (*Result, error) {
	r := &Result{Findings: fs, of: map[*record.Capture]*Hidden{}, rows: map[rowOf]*Hidden{}, cells: map[record.Address]*Hidden{}, columns: map[record.Address]*record.Column{},
		tables: map[record.Address]bool{}, veiled: map[record.Address]bool{}, around: map[record.Address]*secret{}}
	counts := r.choose(captures, s)
	if len(r.Hidden) > 0 {
		if err := r.check(s); err != nil {
			return nil, err
		}
		r.own(tables, captures)
		for _, h := range r.Hidden {
			h.mask(s)
		}
		r.Guard = newGuard(r.Hidden, captures)
		for _, t := range tables {
			r.maskTable(t)
		}
		r.Findings = r.maskFindings(fs)
	}
	r.Notes = notes(counts, s)
	return r, nil
}

// check refuses names that would tell a place everywhere: of a file or a tab,
// and in the survey's own wording.
func (r *Result) check(s Settings) error {
	for _, h := range r.Hidden {
		if h.secret.inName(h.Capture.File, h.Capture.Sheet) {
			return &NameError{record.Address{File: h.Capture.File, Sheet: h.Capture.Sheet}}
		}
		if h.secret.inText(h.Rule.Locality, true) {
			return &lines.Error{File: s.File, Line: h.Rule.Line, Column: "locality",
				Reason: "names a place that it is to stand for; write a region that holds it"}
		}
	}
	return nil
}

// count is how many captures a rule hides, and how many of them only because
// they may be of the taxon.
type count struct {
	taxon
	sure, maybe int
}

// choose finds the captures to be hidden. Where several rules fit, the one
// that hides most holds.
func (r *Result) choose(captures []*record.Capture, s Settings) []count {
	counts := make([]count, len(s.Rules))
	for i := range s.Rules {
		counts[i].taxon = newTaxon(&s.Rules[i], s.Lookup)
	}
	for _, c := range captures {
		best, how := -1, other
		for i := range counts {
			v := counts[i].judge(c, s.Lookup)
			if v == other || best >= 0 && !counts[i].coarser(counts[best].Rule) {
				continue
			}
			best, how = i, v
		}
		if best < 0 {
			continue
		}
		if how == sure {
			counts[best].sure++
		} else {
			counts[best].maybe++
		}
		h := &Hidden{Capture: c, Rule: counts[best].Rule, Key: c.Key, session: c.Session}
		h.secret = secretOf(c, s.Sites)
		r.Hidden = append(r.Hidden, h)
		r.of[c] = h
		r.all = append(r.all, h.secret.phrases()...)
	}
	return counts
}

// notes says what was withheld, and which rows of the table protect nothing.
func notes(counts []count, s Settings) []record.Finding {
	var out []record.Finding
	for _, n := range counts {
		at := record.Address{File: s.File, Row: n.Line}
		if n.sure+n.maybe == 0 {
			if s.Lookup != nil && n.known {
				continue
			}
			out = append(out, record.Finding{Rule: "sensitive-taxon-unmatched", Level: record.Warning, At: at, Field: "taxon", Value: n.Taxon,
				Reason: "no capture is of this taxon and no checklist has it; a misspelled name protects nothing"})
			continue
		}
		how := "without coordinates"
		if n.Grid > 0 {
			how = fmt.Sprintf("on a grid of %g degrees", n.Grid)
		}
		reason := fmt.Sprintf("the places of %d captures are published %s", n.sure+n.maybe, how)
		if n.maybe > 0 {
			reason += fmt.Sprintf("; %d of them may be of the taxon, since their names are coarse, misspelled or unread", n.maybe)
		}
		out = append(out, record.Finding{Rule: "place-withheld", Level: record.Note, At: at, Field: "taxon", Value: n.Taxon, Reason: reason})
	}
	return out
}

// own finds the rows and cells of the hidden captures. A cell above a table or
// a section belongs to every row below it, and is hidden with any of them.
func (r *Result) own(tables []*record.Table, captures []*record.Capture) {
	of := map[rowOf][]*record.Capture{}
	for _, c := range captures {
		k := rowOf{c.File, c.Sheet, c.Table, 0}
		of[k] = append(of[k], c)
	}
	for _, t := range tables {
		list := of[rowOf{t.File, t.Sheet, t.Index, 0}]
		next := 0
		for i := range t.Rows {
			row := &t.Rows[i]
			for next < len(list) && list[next].Row <= row.Number {
				next++
			}
			var h *Hidden
			if next > 0 {
				h = r.of[list[next-1]]
			}
			r.ownRow(t, row, h)
		}
	}
}

// ownRow notes the cells of one row, hidden with h unless that is nil.
func (r *Result) ownRow(t *record.Table, row *record.TableRow, h *Hidden) {
	take := func(at record.Address, column *record.Column) {
		r.tables[at] = true
		if h != nil && at.Row > 0 {
			r.cells[at], r.columns[at] = h, column
		}
	}
	for k, c := range row.Cells {
		take(t.Address(c), &t.Columns[k])
	}
	if !t.Transposed {
		take(record.Address{File: t.File, Sheet: t.Sheet, Row: row.Number}, nil)
	}
	if h == nil {
		return
	}
	r.rows[rowOf{t.File, t.Sheet, t.Index, row.Number}] = h
	for _, labels := range [][]record.Label{row.Labels, t.Labels} {
		for _, l := range labels {
			if at := t.Address(l.Cell); r.cells[at] == nil {
				take(at, nil)
			}
		}
	}
	sheet := record.Address{File: t.File, Sheet: t.Sheet}
	if r.around[sheet] == nil {
		r.around[sheet] = &secret{words: map[string]bool{}}
	}
	for w := range h.secret.words {
		r.around[sheet].words[w] = true
	}
}

// Owns reports whether a cell is of a hidden capture.
func (r *Result) Owns(at record.Address) bool { return r != nil && r.cells[at] != nil }

// Hides reports whether the place of a capture is withheld.
func (r *Result) Hides(c *record.Capture) bool {
	return r != nil && r.of[c] != nil
}

// Renamed reports whether the key of a capture was withheld.
func (r *Result) Renamed(c *record.Capture) bool { return r.Hides(c) && r.of[c].Key != c.Key }

// Veils reports whether the text of a cell was hidden.
func (r *Result) Veils(at record.Address) bool { return r.Owns(at) && r.veiled[at] }

// Veiled gives a text of a cell, or Veil where it may tell the place.
func (r *Result) Veiled(at record.Address, text string) string {
	if !r.Owns(at) || text == "" {
		return text
	}
	if col := r.columns[at]; col == nil || r.cells[at].tells(col, text) {
		return Veil
	}
	return text
}

// KeyAt gives the key of the hidden capture that a cell is of, as published.
func (r *Result) KeyAt(at record.Address) string {
	if !r.Owns(at) {
		return ""
	}
	return r.cells[at].Capture.Key
}

// mask takes the place out of the capture and keeps what it takes.
func (h *Hidden) mask(s Settings) {
	c := h.Capture
	h.Values = h.everything()
	point := pointOf(c)
	region := regionOf(c)
	kept := c.Values[:0:0]
	for _, v := range c.Values {
		if v, ok := h.keep(v); ok {
			kept = append(kept, v)
		}
	}
	c.Values = kept
	c.Remarks, c.Extras = nil, nil
	h.maskReadings()
	h.publishPlace(point, region)
	h.rename(s)
}

// everything is what the capture held, under terms and headings.
func (h *Hidden) everything() []record.Value {
	c := h.Capture
	out := append([]record.Value(nil), c.Values...)
	if len(c.Remarks) > 0 {
		old := c.Get("occurrenceRemarks")
		text := strings.Join(c.Remarks, " | ")
		if old != "" {
			text = old + " | " + text
		}
		both := record.Capture{Values: out}
		both.Set(record.Value{Term: "occurrenceRemarks", Text: text})
		out = both.Values
	}
	for _, e := range c.Extras {
		out = append(out, record.Value{Term: e.Heading, Text: e.Text, Verbatim: e.Text, From: e.From})
	}
	return out
}

// keep decides on one value: the term must be safe, and so must its text.
func (h *Hidden) keep(v record.Value) (record.Value, bool) {
	if !h.Rule.keeps(v.Term) || h.secret.inText(v.Text, identifies(v.Term)) || h.secret.inText(v.Remark, false) {
		return v, false
	}
	if v.Verbatim != v.Text && (h.secret.inText(v.Verbatim, true) || h.secret.sharesWord(v.Verbatim)) {
		v.Verbatim = ""
	}
	return v, true
}

// identifies reports whether a term names the capture or the animal: in such a
// text a short code is enough to tell the place.
func identifies(term string) bool {
	return strings.HasSuffix(term, "ID") || strings.HasSuffix(term, "Number") || term == "organismName"
}

// rename makes key and session from what is left of the place.
func (h *Hidden) rename(s Settings) {
	c := h.Capture
	if c.Session != "" {
		c.Session = h.joined(s.Session, " ")
		for _, term := range []string{"decimalLatitude", "decimalLongitude"} {
			if v := c.Get(term); v != "" {
				c.Session += " / " + v
			}
		}
		c.Session += " / place withheld"
	}
	if strings.HasPrefix(c.Key, "(") && s.Key != nil && len(h.strip(s.Key)) == 0 {
		return // named after its row
	}
	changed := h.secret.inText(c.Key, true)
	if s.Key != nil {
		for _, term := range s.Key(c) {
			changed = changed || valueIn(h.Values, term) != c.Get(term)
		}
	}
	if changed {
		c.Key = h.joined(s.Key, "withheld")
		if c.Key == "" || h.secret.inText(c.Key, true) {
			c.Key = "withheld"
		}
	}
}

// strip lists the terms of which the capture had a value.
func (h *Hidden) strip(terms func(*record.Capture) []string) (had []string) {
	for _, t := range terms(h.Capture) {
		if valueIn(h.Values, t) != "" {
			had = append(had, t)
		}
	}
	return had
}

// joined joins what is left of the values of terms; a value that was withheld
// or replaced is written as the word given.
func (h *Hidden) joined(terms func(*record.Capture) []string, instead string) string {
	if terms == nil {
		return ""
	}
	var parts []string
	for _, term := range terms(h.Capture) {
		v := h.Capture.Get(term)
		if v != valueIn(h.Values, term) && (v == "" || instead != " ") {
			v = instead
		}
		if strings.TrimSpace(v) != "" {
			parts = append(parts, v)
		}
	}
	return strings.Join(parts, " / ")
}

func valueIn(vs []record.Value, term string) string {
	for _, v := range vs {
		if v.Term == term {
			return v.Text
		}
	}
	return ""
}
