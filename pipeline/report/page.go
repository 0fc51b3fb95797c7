package report

import (
	_ "embed"
	"html/template"
	"io"

	"spadefoot/pipeline/record"
)

// Page is what report.html says. Findings and captures are shown as they are
// given. Rows and Place are the only ways to a place: a caller that withholds
// places wraps them.
type Page struct {
	Title    string
	Version  string
	About    []Fact // who, when, under which licence
	Sums     []Sum  // from what came in to what goes out
	Sheets   []SheetNote
	Findings []record.Finding
	Captures []*record.Capture
	Tables   []TableNote
	Inputs   []InputNote
	Settings []Fact
	Decided  []Decision

	// Rows gives the row that a finding stands in; nil for none.
	Rows func(f record.Finding) []Neighbour
	// Place gives where a capture is shown on the map; nil for no map.
	Place func(c *record.Capture) (Spot, bool)
	// Measure describes a measurement by name; nil names it by its name.
	Measure func(name string) Measure
	// Order puts names of measurements into the order of the outputs.
	Order Order
}

// Fact is a name and a value.
type Fact struct{ Name, Value string }

// Sum is a number and the parts that add up to it.
type Sum struct {
	Name  string
	N     int
	Parts []Part
}

// Part is one part of a sum.
type Part struct {
	Name string
	N    int
}

// SheetNote counts what came out of one sheet.
type SheetNote struct {
	File, Sheet    string
	Rows, Captures int
}

// TableNote is what was understood of one table.
type TableNote struct {
	Where   string
	Extent  string
	Mapping string
	Labels  []Fact
	Columns []ColumnNote
}

// ColumnNote is what was understood of one column. Filled of Of cells hold
// something.
type ColumnNote struct {
	Column, Heading, Meaning, Unit, Instrument string
	Filled, Of                                 int
}

// InputNote is one file that was read.
type InputNote struct {
	File   string
	Bytes  int64
	SHA256 string
}

// Neighbour is one cell of a row, for context.
type Neighbour struct {
	Cell          string // "H6"
	Heading, Text string
	Doubtful      bool
}

// Spot is a place to draw, in decimal degrees.
type Spot struct {
	Name                string
	Latitude, Longitude float64
	Generalised         bool
}

// Measure describes a measurement.
type Measure struct {
	Label string // "snout-vent length"
	Unit  string // UCUM code
	Kind  string // length, mass, …
}

// measure describes a measurement, by its name where nothing more is known.
func (p *Page) measure(name string) Measure {
	m := Measure{}
	if p.Measure != nil {
		m = p.Measure(name)
	}
	if m.Label == "" {
		m.Label = name
	}
	return m
}

//go:embed page.html
var pageText string

//go:embed page_style.html
var styleText string

var pageTemplate = template.Must(template.Must(template.New("page").Funcs(template.FuncMap{
	"one": func(n int, word string) string { return plural(n, word) },
	"inc": func(i int) int { return i + 1 },
	"say": say, "help": help,
}).Parse(pageText)).New("style").Parse(styleText))

// HTML writes the report as one self-contained page: text first, pictures in
// SVG, no script. The same page gives the same bytes.
func HTML(w io.Writer, p Page) error {
	entries := entriesOf(&p)
	shown := entries[:min(len(entries), mostEntries)]
	drawn := picturesOf(&p, entries, len(shown))
	link(shown, drawn)
	return pageTemplate.ExecuteTemplate(w, "page", view{
		Page: p, Counts: Count(p.Findings), Entries: shown, Total: len(entries),
		Doubts: Count(p.Findings).AtLeast(record.Warning), Told: told(shown),
		Rules: ruleNotes(p.Findings, record.Warning), Notes: ruleNotes(p.Findings, record.Note),
		Sheets: sheetRows(&p), Albums: drawn.albums, Undrawn: drawn.undrawn,
	})
}

// view is what the template reads.
type view struct {
	Page    Page
	Counts  Counts
	Doubts  int // findings at warning or above
	Entries []*entry
	Total   int // entries, with those that are not shown
	Told    int // findings in the entries that are shown
	Rules   []ruleNote
	Notes   []ruleNote
	Sheets  []sheetRow
	Albums  []album
	Undrawn []string
}

// Hidden is the number of entries that are not shown.
func (v view) Hidden() int { return v.Total - len(v.Entries) }

func told(es []*entry) int {
	n := 0
	for _, e := range es {
		n += len(e.Findings)
	}
	return n
}
