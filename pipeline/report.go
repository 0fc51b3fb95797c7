package pipeline

import (
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"path/filepath"
	"sort"
	"strconv"
	"strings"

	"golang.org/x/sync/errgroup"

	"spadefoot/pipeline/darwincore/terms"
	"spadefoot/pipeline/output"
	"spadefoot/pipeline/record"
	"spadefoot/pipeline/report"
)

// report writes the findings in the order of the outputs, and what is made from
// what was gathered.
func (w *walk) report() error {
	w.anywhere = true
	record.SortFindings(w.whole)
	w.page.End(w.whole)
	page := w.pageOf()
	var err error
	if page.Season, err = report.SeasonHTML(w.seasonal.results, w.measure, w.survey.Measures().Sort, resultsFolder); err != nil {
		return err
	}
	w.written = append(w.written, "findings.csv", "findings.json", "run.json", "report.html")
	var group errgroup.Group
	group.Go(func() error { return w.write("report.html", func(o io.Writer) error { return report.HTML(o, page) }) })
	group.Go(func() error {
		var failed error
		return errors.Join(
			w.write("findings.csv", func(o io.Writer) error { return report.EachFindingCSV(o, w.counting(&failed)) }), failed,
			w.write("findings.json", func(o io.Writer) error {
				return report.EachFindingJSON(o, w.tally.Levels, w.inOrder(w.judged, &failed))
			}), failed,
			w.write("run.json", w.writeRun))
	})
	return group.Wait()
}

func (w *walk) write(name string, write func(io.Writer) error) error {
	if err := output.WriteFile(filepath.Join(w.out, name), write); err != nil {
		return &OutputError{Path: name, Err: err}
	}
	return nil
}

func (w *walk) newGather(rows func(record.Finding) []report.Neighbour) *report.Gather {
	return report.NewGather(report.Asked{Rows: rows, Place: spotOf, Measure: w.measure, Order: w.survey.Measures().Sort})
}

// pageOf is the page of what was gathered.
func (w *walk) pageOf() report.Page {
	p := report.Page{
		Title: w.survey.Dataset.Title, Version: w.version, About: w.about(),
		Sums: w.sums(w.became), Sheets: w.pageSheets(w.page), Gathered: w.page, Inputs: w.inputNotes(),
		Settings: flat(w.thresholds()),
	}
	for i, n := range w.tableNotes() {
		p.Tables = append(p.Tables, pageTable(n, w.laid[i]))
	}
	p.Decided = w.pageDecisions()
	return p
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

func (w *walk) pageSheets(g *report.Gather) []report.SheetNote {
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
		out = append(out, report.Fact{Name: prefix, Value: string(b)})
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
			{Name: "masses of animal and bag together, and of bags alone", N: read.Understood - kept},
			{Name: "not taken: blank, or a word for it", N: read.Missing},
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
