package pipeline

import (
	"cmp"
	"encoding/json"
	"errors"
	"fmt"
	"html/template"
	"io"
	"maps"
	"path/filepath"
	"slices"
	"sort"
	"strconv"
	"strings"

	"golang.org/x/sync/errgroup"

	"spadefoot/pipeline/account"
	"spadefoot/pipeline/darwincore/terms"
	"spadefoot/pipeline/output"
	"spadefoot/pipeline/record"
	"spadefoot/pipeline/report"
	"spadefoot/pipeline/report/findings"
	"spadefoot/pipeline/survey"
)

// report writes the findings in the order of the outputs, and what is made from
// what was gathered.
func (w *walk) report() error {
	w.fetchAnywhere()
	record.SortFindings(w.whole)
	w.page.End(w.whole)
	page := w.pageOf()
	page.Season = func() (template.HTML, error) {
		if err := w.seasonal.ended(); err != nil {
			return "", err
		}
		return report.SeasonHTML(w.seasonal.results, w.measure, w.survey.Measures().Sort, resultsFolder)
	}
	w.written = append(w.written, "findings.csv", "findings.json", "run.json", "report.html")
	var group errgroup.Group
	group.Go(func() error { return w.write("report.html", func(o io.Writer) error { return report.HTML(o, page) }) })
	group.Go(func() error {
		var failed error
		return errors.Join(
			w.write("findings.csv", func(o io.Writer) error { return findings.EachCSV(o, w.counting(&failed)) }), failed,
			w.write("findings.json", func(o io.Writer) error {
				return findings.EachJSON(o, w.tally.Levels, w.inOrder(w.judged, &failed))
			}), failed,
			w.write("run.json", w.writeRun))
	})
	if err := group.Wait(); err != nil {
		return cmp.Or(w.seasonal.ended(), err)
	}
	return nil
}

func (w *walk) write(name string, write func(io.Writer) error) error {
	if err := output.WriteFile(filepath.Join(w.out, name), write); err != nil {
		return &OutputError{Path: name, Err: err}
	}
	return nil
}

func (w *walk) newGather(rows func(record.Finding) []report.Neighbour) *report.Gatherer {
	return report.NewGatherer(report.Asked{Rows: rows, Place: spotOf, Measure: w.measure, Order: w.survey.Measures().Sort})
}

// pageOf is the page of what was gathered.
func (w *walk) pageOf() report.Page {
	p := report.Page{
		Title: w.survey.Dataset.Title, Version: w.version, About: w.about(),
		Sums: w.sums(w.became), Sheets: w.pageSheets(w.page), Gathered: w.page, Inputs: w.inputNotes(),
		Settings: flat(w.thresholds()), Methods: w.computing(),
	}
	for i, n := range w.tableNotes() {
		p.Tables = append(p.Tables, pageTable(n, w.laid[i]))
	}
	p.Decided = w.pageDecisions()
	return p
}

// computing says how figures were computed, and of what none could be.
func (w *walk) computing() (out []string) {
	if w.computed != "" {
		out = append(out, w.computed)
	}
	for _, f := range w.whole {
		if f.Level == record.Note && report.OfMethod(f.Rule) {
			out = append(out, record.Capital(f.Reason)+".")
		}
	}
	return out
}

// about says whose data they are, from when, and how they may be used.
func (w *walk) about() []report.Fact {
	d := w.survey.Dataset
	var out []report.Fact
	var people []string
	for _, p := range d.Creators {
		people = append(people, strings.TrimSpace(p.Given+" "+p.Family))
	}
	if len(people) > 0 {
		out = append(out, report.Fact{Value: strings.Join(people, ", ")})
	}
	if from, to := w.survey.Window.From, w.survey.Window.To; from != "" && to != "" {
		out = append(out, report.Fact{Value: from + " to " + to})
	}
	licence := d.Licence
	if l, ok := terms.FindLicence(licence); ok {
		licence = l.Name
	}
	if licence != "" {
		out = append(out, report.Fact{Name: "licence", Value: licence})
	}
	return out
}

// measure describes a measurement for the report.
func (w *walk) measure(name string) report.Measure {
	m := w.survey.Measures().Get(name)
	return report.Measure{Label: m.Label, Unit: m.Unit, Kind: m.Dimension}
}

// spotOf returns where a capture is drawn: its published coordinates.
func spotOf(c *record.Capture) (report.Spot, bool) {
	lat, err := strconv.ParseFloat(c.Get("decimalLatitude"), 64)
	lon, err2 := strconv.ParseFloat(c.Get("decimalLongitude"), 64)
	return report.Spot{Name: c.Get("locality"), Latitude: lat, Longitude: lon,
		Generalised: c.Get("dataGeneralizations") != ""}, err == nil && err2 == nil
}

func (w *walk) pageSheets(g *report.Gatherer) []report.SheetNote {
	var out []report.SheetNote
	at := map[record.Address]int{}
	place := func(file, sheet string) *report.SheetNote {
		key := record.Address{File: file, Sheet: sheet}
		i, there := at[key]
		if !there {
			i = len(out)
			at[key] = i
			out = append(out, report.SheetNote{File: file, Sheet: sheet})
		}
		return &out[i]
	}
	for _, s := range w.sheets {
		place(s.sheet.File, s.sheet.Name)
	}
	for _, t := range w.laid {
		place(t.table.File, t.table.Sheet).Rows += t.rows
	}
	for i := range out {
		out[i].Captures = g.Captures(out[i].File, out[i].Sheet)
	}
	return out
}

func pageTable(n tableNote, tb *tableOf) report.TableNote {
	t := report.TableNote{Where: record.Address{File: n.File, Sheet: n.Sheet}.String(), Mapping: n.Mapping,
		Extent: fmt.Sprintf("Table %d: %s%d to %s%d, headings in row %s, %s of captures", n.Table,
			record.ColumnLetters(n.Rectangle.Left), n.Rectangle.Top, record.ColumnLetters(n.Rectangle.Right), n.Rectangle.Bottom,
			numbers(n.HeadingRows), record.Plural(n.Rows, "row"))}
	for _, l := range n.Labels {
		t.Labels = append(t.Labels, report.Fact{Name: l.Name, Value: l.Value})
	}
	for i, c := range n.Columns {
		meaning := c.Meaning
		if c.Replicate > 0 {
			meaning += ", replicate " + strconv.Itoa(c.Replicate)
		}
		t.Columns = append(t.Columns, report.ColumnNote{Column: c.Column, Heading: c.Heading, Meaning: meaning,
			Unit: c.Unit, Instrument: c.Instrument, Filled: tb.filled[i], Of: tb.rows, Became: c.Cells.String()})
	}
	return t
}

func numbers(ns []int) string {
	s := ""
	for i, n := range ns {
		if i > 0 {
			s += " and "
		}
		s += strconv.Itoa(n)
	}
	return s
}

// flat lists nested settings as dotted names, sorted.
func flat(m map[string]any) []report.Fact {
	var out []report.Fact
	var walk func(prefix string, v any)
	walk = func(prefix string, v any) {
		if inner, ok := v.(map[string]any); ok {
			for k, x := range inner {
				name := k
				if prefix != "" {
					name = prefix + "." + k
				}
				walk(name, x)
			}
			return
		}
		b, err := json.Marshal(v)
		if err != nil {
			b = []byte(fmt.Sprint(v))
		}
		out = append(out, report.Fact{Name: prefix, Value: strings.ReplaceAll(string(b), `","`, `", "`)})
	}
	walk("", m)
	sort.Slice(out, func(i, j int) bool { return out[i].Name < out[j].Name })
	return out
}

// sums follows rows, captures and readings from the sheets to the archive.
func (w *walk) sums(read report.ReadingCount) []report.Sum {
	c := w.counts
	var out []report.Sum
	if rest := c.RowsRead - c.TableRows; rest >= 0 && !w.transposed() {
		out = append(out, report.Sum{Name: "Rows in the sheets", N: c.RowsRead, Parts: []report.Part{
			{Name: "rows of captures", N: c.TableRows},
			{Name: "headings, titles, notes and blank rows", N: rest}}})
	}
	captures := report.Sum{Name: "Captures", N: c.Captures, Parts: []report.Part{
		{Name: "published as occurrences", N: c.Occurrences - c.Absences},
		{Name: "held back", N: c.Captures - c.Occurrences}}}
	if c.Absences > 0 {
		captures.Parts = append(captures.Parts, report.Part{Name: "rows that say that nothing was found, published as absences", N: c.Absences})
	}
	out = append(out, captures)
	kept := c.Measurements - read.Made
	return append(out,
		report.Sum{Name: "Readings in the cells of captures", N: read.All(), Parts: []report.Part{
			{Name: "published as measurements", N: kept},
			{Name: "left out until someone decides", N: read.Undecided},
			{Name: "not measured: blank, or a word for it", N: read.Missing},
			{Name: "not understood", N: read.Unread}}},
		report.Sum{Name: "Measurements in the archive", N: c.Measurements, Parts: []report.Part{
			{Name: "as read from a cell", N: kept},
			{Name: "computed, such as gross less bag", N: read.Made}}})
}

func (w *walk) transposed() bool {
	for _, l := range w.laid {
		if l.table.Transposed {
			return true
		}
	}
	return false
}

// manifest is run.json: how the run was made and what was understood.
type manifest struct {
	Program  string             `json:"program"`
	Version  string             `json:"version"`
	Dataset  string             `json:"dataset"`
	Inputs   []report.InputNote `json:"inputs"`
	Rules    map[string]any     `json:"rules"`
	Tables   []tableNote        `json:"tables"`
	Remedies []decisionNote     `json:"remedies,omitempty"`
	Counts   Counts             `json:"counts"`
	Cells    account.Counts     `json:"cells"` // of all columns
	Findings findings.Counts    `json:"findings"`
	ByRule   map[string]int     `json:"findingsByRule"`
}

type tableNote struct {
	File        string           `json:"file"`
	Sheet       string           `json:"sheet,omitempty"`
	Table       int              `json:"table"`
	Rectangle   record.Rectangle `json:"rectangle"`
	HeadingRows []int            `json:"headingRows"`
	Transposed  bool             `json:"transposed,omitempty"`
	Mapping     string           `json:"mapping,omitempty"`
	Labels      []labelNote      `json:"labels,omitempty"`
	Rows        int              `json:"rows"`
	Columns     []columnNote     `json:"columns"`
}

type labelNote struct {
	Name  string `json:"name"`
	Value string `json:"value"`
	Cell  string `json:"cell,omitempty"`
}

type columnNote struct {
	Column     string          `json:"column"`
	Heading    string          `json:"heading"`
	Meaning    string          `json:"meaning"`
	Unit       string          `json:"unit,omitempty"`
	Instrument string          `json:"instrument,omitempty"`
	Replicate  int             `json:"replicate,omitempty"`
	Cells      *account.Counts `json:"cells,omitempty"` // that hold something, and what became of them
}

func (w *walk) writeRun(out io.Writer) error {
	m := manifest{
		Program: "spadefoot", Version: w.version, Dataset: w.survey.Dataset.ID,
		Inputs: w.inputNotes(), Rules: w.thresholds(), Tables: w.tableNotes(),
		Remedies: w.decisionNotes(), Counts: w.counts, Findings: w.tally.Levels, ByRule: w.tally.ByRule,
	}
	for _, t := range m.Tables {
		for _, c := range t.Columns {
			if c.Cells != nil {
				m.Cells.Add(*c.Cells)
			}
		}
	}
	if m.ByRule == nil {
		m.ByRule = map[string]int{}
	}
	return record.WriteJSON(out, m, "", " ")
}

// allInputs are the sheets, the tables, survey.yaml and the mappings, by name.
func (w *walk) allInputs() []output.Input {
	for _, name := range slices.Sorted(maps.Keys(w.survey.Files)) {
		if !w.inputs.Noted(name) {
			w.inputs.NoteText(name, w.survey.Files[name])
		}
	}
	return w.inputs.All()
}

// inputNotes are the inputs as outputs may name them. Where places are withheld
// there is no size and no hash: whoever has the rest of a file could try places
// until they fit.
func (w *walk) inputNotes() []report.InputNote {
	var out []report.InputNote
	for _, in := range w.allInputs() {
		n := report.InputNote{File: in.File}
		if w.counts.Withheld == 0 {
			n.Bytes, n.SHA256 = &in.Bytes, in.SHA256
		}
		out = append(out, n)
	}
	return out
}

// unchanged makes sure that every input is still what it was when it was read.
func (w *walk) unchanged() error {
	_ = w.allInputs() // survey.yaml and the mappings too
	sheets := make([]string, len(w.survey.Sheets))
	for i, ref := range w.survey.Sheets {
		sheets[i] = ref.File
	}
	return w.inputs.Unchanged(sheets...)
}

func (w *walk) tableNotes() []tableNote {
	notes := []tableNote{}
	for _, l := range w.laid {
		t := l.table
		n := tableNote{File: t.File, Sheet: t.Sheet, Table: t.Index, Rectangle: t.Rectangle, HeadingRows: t.HeadingRows,
			Transposed: t.Transposed, Mapping: w.survey.Sheets[l.ref].Map.Name, Rows: l.rows}
		for _, lb := range t.Labels {
			ln := labelNote{Name: lb.Name, Value: lb.Cell.Text}
			if lb.Cell.Row > 0 {
				ln.Cell = record.ColumnLetters(lb.Cell.Column) + strconv.Itoa(lb.Cell.Row)
			} else {
				ln.Cell = survey.FileName
			}
			n.Labels = append(n.Labels, ln)
		}
		for i, c := range t.Columns {
			note := columnNote{Column: columnName(t, c), Heading: c.Heading, Meaning: meaningWords(c.Meaning),
				Unit: c.Meaning.Unit, Instrument: c.Meaning.Instrument, Replicate: c.Meaning.Replicate}
			if w.book != nil {
				cells := w.book.Column(t, i)
				note.Cells = &cells
			}
			n.Columns = append(n.Columns, note)
		}
		notes = append(notes, n)
	}
	return notes
}

// columnName is the letter of a column, or the number of the row that a
// transposed table has it in.
func columnName(t *record.Table, c record.Column) string {
	if t.Transposed {
		return "row " + strconv.Itoa(c.Number)
	}
	return record.ColumnLetters(c.Number)
}

// resultsFolder holds what the captures say, in tables.
const resultsFolder = "results"

// neighbours shows the row that a finding is in, with every cell that it is
// about marked. The cells of a survey that is held are there; of a larger one the
// row is put together from what was read of its capture, so that cells that were
// set aside are missing.
func (w *walk) neighbours() func(record.Finding) []report.Neighbour {
	if w.held {
		tables := make([]*record.Table, len(w.laid))
		for i, t := range w.laid {
			tables[i] = t.table
		}
		return report.RowsIn(tables)
	}
	return w.rowOfFinding
}

// rowOfFinding puts the row of a finding together.
func (w *walk) rowOfFinding(f record.Finding) []report.Neighbour {
	for _, a := range f.Places() {
		if a.Row == 0 {
			continue
		}
		if w.anywhere && !w.fetch(a) {
			continue
		}
		if len(w.at) == 0 {
			if w.at == nil {
				w.at = map[record.Address]int{}
			}
			for i, c := range w.captures {
				w.at[c.Address()] = i
			}
		}
		if i, ok := w.at[a.OfRow()]; ok {
			c := w.captures[i]
			return report.RowOf(c, w.columnsOf(c), f)
		}
	}
	return nil
}
