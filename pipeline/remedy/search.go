package remedy

import (
	"slices"
	"strconv"
	"strings"

	"spadefoot/pipeline/record"
	"spadefoot/pipeline/record/lines"
)

// Search finds the cells that remedies and findings mean, in mapped tables whose
// rows come a few at a time. It keeps those cells and nothing else.
type Search struct {
	remedies []Remedy
	named    func(text string) (measurement string, ok bool)
	cells    map[record.Address]*cell // that are wanted by their address, or found
	rows     map[int]bool             // that wanted cells are in, of whatever sheet
	byKey    map[string][]int         // remedies by the key of their capture
	found    []found                  // by remedy
	open     map[*record.Table][]record.Address
}

// found is what was found for a remedy that names a capture.
type found struct {
	rows bool // a capture has the key
	at   []record.Address
}

// cell is a cell of a table, as its first copy is there.
type cell struct {
	there   bool // it was found
	text    string
	before  string // as written
	field   string // what its column means
	key     string // of its capture
	carried bool
	origin  record.Address // of a carried text
	column  *record.Column
	rows    []RowRef // that hold a copy of it

	transposed bool // animals stand as columns in its table
}

// NewSearch begins a search for the cells of remedies and for those at addresses.
// Named returns the measurement that a text in a column of names stands for; it may
// be nil. A decision on several cells is taken apart.
func NewSearch(rs []Remedy, at []record.Address, named func(text string) (measurement string, ok bool)) *Search {
	s := &Search{named: named, cells: map[record.Address]*cell{}, rows: map[int]bool{}, byKey: map[string][]int{},
		open: map[*record.Table][]record.Address{}}
	for i := range rs {
		s.remedies = append(s.remedies, rs[i].single()...)
	}
	s.found = make([]found, len(s.remedies))
	for i := range s.remedies {
		if r := &s.remedies[i]; r.Capture == "" {
			s.want(r.At)
		} else {
			key := foldText(r.Capture)
			s.byKey[key] = append(s.byKey[key], i)
		}
	}
	for _, a := range at {
		s.want(a)
	}
	return s
}

func (s *Search) want(at record.Address) {
	if s.cells[at] == nil {
		s.cells[at] = &cell{}
		s.rows[at.Row] = true
	}
}

// Rows looks through the next rows of a table. Keys holds, for each of them, the
// texts that its capture goes by, the first of which people see.
func (s *Search) Rows(t *record.Table, rows []record.TableRow, keys [][]string) {
	origins := s.open[t]
	if origins == nil {
		origins = make([]record.Address, len(t.Columns))
		s.open[t] = origins
	}
	for i := range rows {
		var key []string
		if i < len(keys) {
			key = keys[i]
		}
		r := &rowAt{t: t, row: &rows[i], keys: key, origins: origins}
		if at := r.address(); s.rows[at.Row] && s.cells[at] != nil {
			s.takeRow(r, at)
		}
		for k := range r.row.Cells {
			c := &r.row.Cells[k]
			if !c.Carried {
				origins[k] = t.Address(*c)
			}
			if c.Row > 0 && s.rows[c.Row] {
				if at := t.Address(*c); s.cells[at] != nil {
					s.take(r, k, at)
				}
			}
		}
		s.byKeys(r)
	}
}

// rowAt is a row in hand.
type rowAt struct {
	t       *record.Table
	row     *record.TableRow
	keys    []string
	origins []record.Address
}

// byKeys finds the cells of remedies that name the capture of a row.
func (s *Search) byKeys(r *rowAt) {
	if len(s.byKey) == 0 {
		return
	}
	for _, key := range r.keys {
		for _, i := range s.byKey[foldText(key)] {
			s.ofCapture(r, i)
		}
	}
}

func (s *Search) ofCapture(r *rowAt, i int) {
	f, rem := &s.found[i], &s.remedies[i]
	f.rows = true
	if rem.At.File != "" && (r.t.File != rem.At.File || r.t.Sheet != rem.At.Sheet && rem.At.Sheet != "") {
		return
	}
	if rem.Field == "" && rem.At.Column == 0 {
		at := r.address()
		f.at = append(f.at, at)
		s.takeRow(r, at)
		return
	}
	for k := range r.t.Columns {
		c := &r.row.Cells[k]
		if c.Row == 0 || !s.means(r, k, rem) {
			continue
		}
		at := r.t.Address(*c)
		if !slices.Contains(f.at, at) {
			f.at = append(f.at, at)
		}
		s.take(r, k, at)
	}
}

// address is that of the row as a whole, as findings on a capture have it.
func (r *rowAt) address() record.Address {
	return record.Address{File: r.t.File, Sheet: r.t.Sheet, Row: r.row.Number}
}

func (r *rowAt) ref() RowRef { return RowRef{r.t.File, r.t.Sheet, r.t.Index, r.row.Number} }

// takeRow notes a whole row, as if it were a cell with all that the row holds.
// Of tables beside each other the first counts.
func (s *Search) takeRow(r *rowAt, at record.Address) {
	s.want(at)
	c := s.cells[at]
	if c.there {
		return
	}
	text := RowText(r.row)
	*c = cell{there: true, text: text, before: text, field: "capture", rows: []RowRef{r.ref()}, transposed: r.t.Transposed}
	if len(r.keys) > 0 {
		c.key = strings.Clone(r.keys[0])
	}
}

// take notes a copy of a cell.
func (s *Search) take(r *rowAt, k int, at record.Address) {
	s.want(at)
	c, from := s.cells[at], &r.row.Cells[k]
	ref := r.ref()
	if c.there {
		if c.rows[len(c.rows)-1] != ref {
			c.rows = append(c.rows, ref)
		}
		return
	}
	*c = cell{there: true, text: textOf(from), before: strings.Clone(from.Verbatim()), carried: from.Carried, origin: r.origins[k],
		field: s.label(r, k), column: &r.t.Columns[k], rows: []RowRef{ref}, transposed: r.t.Transposed}
	if len(r.keys) > 0 {
		c.key = strings.Clone(r.keys[0])
	}
}

// textOf is what a cell holds, without white space at its ends.
func textOf(c *record.Cell) string { return strings.Clone(strings.TrimSpace(lines.OneBreak(c.Text))) }

func foldText(s string) string { return strings.ToLower(strings.Join(strings.Fields(s), " ")) }

// cell returns a cell that was found, or nil.
func (s *Search) cell(at record.Address) *cell {
	if c := s.cells[at]; c != nil && c.there {
		return c
	}
	return nil
}

// Text is what a cell or a row holds that was searched for by its address; "" where it
// was not found.
func (s *Search) Text(at record.Address) string {
	if c := s.cell(at); c != nil {
		return c.text
	}
	return ""
}

// find returns the cells that a remedy may mean: all of one address, or of
// several where capture and field do not settle it. Where capture and address
// are both given the capture counts, and the address decides between cells.
func (s *Search) find(i int) (at []record.Address, why string) {
	r, f := &s.remedies[i], &s.found[i]
	switch {
	case r.Capture == "" && s.cell(r.At) == nil:
		return nil, "there is no table cell at " + r.At.String()
	case r.Capture == "":
		return []record.Address{r.At}, ""
	case !f.rows:
		return nil, "no capture has the key " + strconv.Quote(r.Capture)
	case len(f.at) == 0:
		return nil, "the capture has no cell for the field " + strconv.Quote(r.Field)
	case slices.Contains(f.at, r.At):
		return []record.Address{r.At}, ""
	}
	return f.at, ""
}

// means reports whether a remedy's field, or its column where it has no field,
// is that of a cell.
func (s *Search) means(r *rowAt, k int, rem *Remedy) bool {
	if rem.Field == "" {
		return r.row.Cells[k].Column == rem.At.Column
	}
	want := foldText(rem.Field)
	return slices.ContainsFunc(s.names(r, k), func(name string) bool { return foldText(name) == want })
}

// masses are the names that the parts of a weighing have as measurements.
var masses = map[string]string{record.Gross: "grossMass", record.Tare: "bagMass", record.Net: "bodyMass"}

// names are what a field may be called: its meaning first, its heading last.
func (s *Search) names(r *rowAt, k int) []string {
	col := &r.t.Columns[k]
	m := col.Meaning
	var out []string
	switch m.Role {
	case record.Term:
		out = append(out, m.Term)
	case record.Measurement:
		out = append(out, replicate(m.Measurement, m.Replicate), m.Measurement)
	case record.WeighPart:
		out = append(out, m.Part)
		if mass := masses[m.Part]; mass != "" {
			out = append(out, mass)
		}
	case record.ValueColumn:
		out = append(out, s.measured(r, m)...)
	}
	if col.Heading != "" {
		out = append(out, col.Heading)
	}
	return slices.Compact(out)
}

// label names the column of a cell for people.
func (s *Search) label(r *rowAt, k int) string {
	if names := s.names(r, k); len(names) > 0 {
		return strings.Clone(names[0])
	}
	return "column " + record.ColumnLetters(r.t.Columns[k].Number)
}

func replicate(measurement string, n int) string {
	if n > 0 {
		return measurement + " " + strconv.Itoa(n)
	}
	return measurement
}

// measured names what the value of a one-measurement-per-row table is of.
func (s *Search) measured(r *rowAt, value record.Meaning) []string {
	for i := range r.t.Columns {
		if r.t.Columns[i].Meaning.Role != record.NameColumn {
			continue
		}
		text := textOf(&r.row.Cells[i])
		var out []string
		if own, ok := value.Vocabulary[text]; ok {
			out = append(out, own)
		} else if s.named != nil {
			if m, ok := s.named(text); ok {
				out = append(out, m)
			}
		}
		return append(out, text)
	}
	return nil
}
