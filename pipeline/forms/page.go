package forms

import (
	"bytes"
	"cmp"
	"embed"
	"fmt"
	"html/template"
	"math"
	"slices"
	"strings"

	"spadefoot/pipeline/quantity"
	"spadefoot/pipeline/record"
	"spadefoot/schemas"
)

// Paper is a size of paper, lying: Width and Height in millimetres.
type Paper struct {
	Name          string // as CSS names it
	Width, Height float64
}

// The sizes that are printed on (ISO 216; ANSI/ASME Y14.1 for letter).
var (
	A4     = Paper{"A4", 297, 210}
	Letter = Paper{"letter", 279.4, 215.9}
)

// Measures of the page in millimetres.
const (
	margin      = 9.0
	titleHeight = 11.0
	fieldHeight = 11.0 // a field of the session: label and box
	toolHeight  = 7.5  // a line of the instruments
	toolHead    = 8.0
	headHeight  = 9.5 // headings above the captures, for each field row
	rowHeight   = 9.0
	storeyRow   = 8.0  // where a capture has several fieldRows
	footHeight  = 17.0 // cautions on the first sheet
	slack       = 2.5  // browsers round, and the line under the headings
	maxTools    = 5
)

//go:embed page.html
var pageFile embed.FS

var pageTemplate = template.Must(template.New("page.html").Funcs(template.FuncMap{"mm": millimetres, "columns": gridColumns}).ParseFS(schemas.Folder{FS: pageFile}, "page.html"))

// sheetView is one printed sheet.
type sheetView struct {
	First     bool
	Fields    []FieldRow
	Tools     []toolView
	FieldRows []FieldRow
	Height    float64    // of a field row
	Rows      []struct{} // one per capture
	Cautions  []string
}

// toolView is the line of an instrument.
type toolView struct {
	Name, Says, Unit string
	Scale            bool
}

type pageView struct {
	Title, Name, Language, Paper string
	Width, Height, Margin        float64
	HeadHeight, FieldHeight      float64
	ToolHeight, ToolHead         float64
	TitleHeight, FootHeight      float64
	Sheets                       []sheetView
	Writing                      []string
	Columns                      []Column
	Words                        []wordsView
	Usual                        []usualView
	Cautions                     []string
}

type wordsView struct {
	Heading string
	Words   []Word
}

type usualView struct{ Taxon, Says string }

// Page writes the field sheet as HTML that needs nothing beside it: a first
// sheet with the session, the instruments and captures, a sheet to go on with,
// and what the headings and words mean.
func (f *Form) Page(p Paper) ([]byte, error) {
	width, height := p.Width-2*margin, p.Height-2*margin-slack
	v := pageView{Title: f.Title, Name: f.Name, Language: cmp.Or(f.Language, "en"), Paper: p.Name, Width: width, Height: height, Margin: margin,
		HeadHeight: headHeight, FieldHeight: fieldHeight, ToolHeight: toolHeight, ToolHead: toolHead,
		TitleHeight: titleHeight, FootHeight: footHeight,
		Writing: writing, Cautions: f.cautions()}
	rows := fieldRows(f.boxes(), width)
	for _, first := range []bool{true, false} {
		v.Sheets = append(v.Sheets, f.sheet(first, rows, width, height))
	}
	for _, c := range f.Columns {
		if c.Meaning.Replicate > 1 || c.Meaning.Role == record.SetAside {
			continue // explained with the first reading; not on the page
		}
		c.Name, c.Label = c.measure(), strings.TrimSuffix(c.Label, ", reading 1")
		v.Columns = append(v.Columns, c)
	}
	v.Words, v.Usual = f.wordsShown(), f.usualShown()
	var b bytes.Buffer
	if err := pageTemplate.Execute(&b, v); err != nil {
		return nil, fmt.Errorf("page of the form: %w", err)
	}
	return b.Bytes(), nil
}

// sheet fills one sheet with as many captures as leave space to write.
func (f *Form) sheet(first bool, rows []FieldRow, width, height float64) sheetView {
	s := sheetView{First: first, FieldRows: rows, Fields: wrap(f.fields(first), width)}
	left := height - titleHeight - fieldHeight*float64(len(s.Fields)) - headHeight*float64(len(rows))
	if first {
		s.Tools, s.Cautions = f.tools(), cautions
		left -= toolHead + toolHeight*float64(len(s.Tools)) + footHeight
	}
	least := rowHeight
	if len(rows) > 1 {
		least = storeyRow
	}
	n := math.Max(1, math.Floor(left/(least*float64(len(rows)))))
	s.Rows = make([]struct{}, int(n))
	s.Height = math.Floor(100*left/(n*float64(len(rows)))) / 100
	return s
}

// fields are the boxes of the session; a sheet to go on with repeats those
// that name it.
func (f *Form) fields(first bool) []Box {
	var out []Box
	observer := false
	for i := range f.Columns {
		c := &f.Columns[i]
		if !c.Session || !first && !f.names(c.Meaning.Term) {
			continue
		}
		observer = observer || c.Meaning.Term == "recordedBy"
		out = append(out, Box{Name: c.Name, Unit: c.Unit, Ideal: c.Ideal * 1.25, Grow: math.Max(c.Grow, 0.2)})
	}
	if first && !observer {
		out = append(out, Box{Name: "Measured by", Ideal: 34, Grow: 0.6})
	}
	if first {
		out = append(out, Box{Name: "Written by", Ideal: 30, Grow: 0.5}, Box{Name: "Begun", Ideal: 17, Grow: 0.1},
			Box{Name: "Ended", Ideal: 17, Grow: 0.1}, Box{Name: "Weather, water", Ideal: 40, Grow: 1})
	}
	return append(out, Box{Name: "Sheet … of …", Ideal: 24, Grow: 0.1})
}

// names reports whether a term is one of those that name a session.
func (f *Form) names(term string) bool {
	return term == "eventDate" || term == "locality" || slices.Contains(f.Source.Session, term)
}

// tools are the lines of the instruments; where the survey names none, a
// caliper and a scale.
func (f *Form) tools() []toolView {
	var out []toolView
	for _, i := range f.Instruments {
		if len(out) < maxTools {
			out = append(out, toolView{record.Capital(i.Name), instrumentSays(i), quantity.Display(i.Unit), quantity.Dimension(i.Unit) == "mass"})
		}
	}
	if len(out) == 0 {
		out = []toolView{{Name: "Caliper", Unit: "mm"}, {Name: "Scale", Unit: "g", Scale: true}}
	}
	return out
}

// maxWords is how many words of a column the page explains; the workbook's
// key has them all.
const maxWords = 40

func (f *Form) wordsShown() []wordsView {
	var out []wordsView
	for i := range f.Columns {
		c := &f.Columns[i]
		words := c.Words
		if len(words) > maxWords {
			words = append(append([]Word(nil), words[:maxWords]...), Word{Text: "…", Means: fmt.Sprintf("and %d more in the workbook", len(c.Words)-maxWords)})
		}
		if len(words) > 0 {
			out = append(out, wordsView{c.Name, words})
		}
	}
	return out
}

func (f *Form) usualShown() []usualView {
	var out []usualView
	for _, row := range f.limitTable()[1:] {
		says := row[1] + " " + row[2]
		if row[3] != "" {
			says += " (" + row[3] + ")"
		}
		if n := len(out); n > 0 && out[n-1].Taxon == row[0] {
			out[n-1].Says += "; " + says
			continue
		}
		out = append(out, usualView{row[0], says})
	}
	if len(out) > maxWords {
		out = append(out[:maxWords], usualView{"…", "more in the workbook"})
	}
	return out
}

func millimetres(v float64) template.CSS { return template.CSS(plain(math.Round(v*100)/100) + "mm") }

// gridColumns writes the widths of a line as CSS.
func gridColumns(s FieldRow) template.CSS {
	parts := make([]string, len(s))
	for i, b := range s {
		parts[i] = string(millimetres(b.Width))
	}
	return template.CSS(strings.Join(parts, " "))
}
