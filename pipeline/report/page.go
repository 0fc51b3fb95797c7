package report

import (
	"embed"
	"html/template"
	"io"
	"strings"

	"golang.org/x/sync/errgroup"

	"spadefoot/pipeline/record"
	"spadefoot/pipeline/report/findings"
	"spadefoot/schemas"
)

// Page is what report.html says.
type Page struct {
	Title    string
	Version  string
	About    []Fact // who, when, under which licence
	Sums     []Sum  // from what came in to what goes out
	Sheets   []SheetNote
	Tables   []TableNote
	Inputs   []InputNote
	Methods  []string // how figures were computed, and of what none could be
	Settings []Fact
	Decided  []Decision

	// Season returns what the captures say (SeasonHTML). It is called while the
	// pictures are drawn; nil for nothing.
	Season func() (template.HTML, error)

	// Gathered is what was gathered of captures and findings; nil for none.
	Gathered *Gatherer
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
	Became                                     string // what became of the cells that hold something
}

// InputNote is one file that was read. It has no size and no hash where these
// would let people try out what is withheld.
type InputNote struct {
	File   string `json:"file"`
	Bytes  *int64 `json:"bytes,omitempty"`
	SHA256 string `json:"sha256,omitempty"`
}

// Sealed reports whether files are named without what tells their contents.
func Sealed(ins []InputNote) bool { return len(ins) > 0 && ins[0].SHA256 == "" }

// Decision is a remedy that was applied, as people read it.
type Decision struct {
	Cell, Capture, Field string
	Written              string // in the sheet; empty for a blank cell
	Done                 string // "replaced with 37,9", "cleared", "confirmed against value-far"
	By                   string // who, when and why
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

//go:embed *.html
var embedded embed.FS

var pageFiles = schemas.Folder{FS: embedded}

// StyleText is the style sheet of the report and of pages like it.
var StyleText = pageFiles.Text("page_style.html")

var pageTemplate = template.Must(template.Must(template.New("page.html").Funcs(template.FuncMap{
	"one": record.Plural,
	"inc": func(i int) int { return i + 1 },
	"say": SplitReason, "help": findings.Help, "sealed": Sealed,
}).ParseFS(pageFiles, "page.html")).New("style").Parse(StyleText))

// HTML writes the report as one self-contained page: text first, pictures in
// SVG, no script. The same page gives the same bytes.
func HTML(w io.Writer, p Page) error {
	g := p.Gathered
	if g == nil {
		g = NewGatherer(Asked{})
	}
	entries := g.entries()
	shown := entries[:min(len(entries), maxEntries)]
	for _, e := range shown {
		g.describe(e)
	}
	var season template.HTML
	var beside errgroup.Group
	if p.Season != nil {
		beside.Go(func() (err error) {
			season, err = p.Season()
			return err
		})
	}
	drawn := g.pictures(entries)
	link(shown, drawn)
	if err := beside.Wait(); err != nil {
		return err
	}
	return pageTemplate.ExecuteTemplate(w, "page.html", view{
		Page: p, Season: season, Captures: g.n, Counts: g.tally.counts, Entries: shown, Total: g.causesFound(),
		Doubts: g.tally.counts.AtLeast(record.Warning), Roughly: g.large && g.causes.about,
		Rules: g.tally.RuleNotes(false), Notes: g.tally.RuleNotes(true),
		Sheets: sheetRows(p.Sheets, &g.tally), Albums: drawn.albums, Undrawn: drawn.undrawn, Sample: drawn.sample,
	})
}

// describe prepares what the page says of an entry.
func (g *Gatherer) describe(e *entry) {
	e.said, e.SeenIn = SplitReason(*e.Findings[0]), nil
	if !g.large {
		e.Row = g.rows[e.Findings[0]]
	}
}

// causesFound is the number of all causes.
func (g *Gatherer) causesFound() int {
	if g.large {
		return g.causes.n
	}
	return len(g.ranked)
}

// view is what the template reads.
type view struct {
	Page     Page
	Season   template.HTML
	Captures int
	Counts   findings.Counts
	Doubts   int // findings at warning or above
	Entries  []*entry
	Total    int  // entries, with those that are not shown
	Roughly  bool // Total may be a little too high
	Rules    []RuleNote
	Notes    []RuleNote
	Sheets   []sheetRow
	Albums   []album
	Undrawn  []string
	Sample   int // captures that the pictures are drawn from, 0 for all
}

// Hidden is the number of entries that are not shown.
func (v view) Hidden() int { return v.Total - len(v.Entries) }

// Style is the style sheet of the page, for other pages with the same pictures
// and words.
func Style() string {
	css, _ := strings.CutPrefix(StyleText, "<style>")
	css, _, _ = strings.Cut(css, "</style>")
	return css
}
