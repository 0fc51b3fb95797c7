package forms

import (
	"cmp"
	"fmt"
	"strings"

	"spadefoot/pipeline/record"
)

// The tabs beside those that captures are typed into.
const (
	KeyTab   = "Key"
	ListsTab = "Lists" // hidden: what the drop-down lists and checks look up
)

// SessionTabs is the pattern of the names of the tabs to type into.
const SessionTabs = "Session*"

// Workbook describes the workbook to type into.
type Workbook struct {
	Title    string
	Language string
	Sessions []string // names of the tabs to type into
	Columns  []BookColumn
	Frozen   int // columns that stay in view
	Lists    []List
	Limits   []LimitLine
	Key      []Block
	Paper    int // size code of the workbook's pages: 9 is A4, 1 is letter
}

// BookColumn is one column of the tabs to type into.
type BookColumn struct {
	Heading string
	Width   float64 // characters
	Mass    bool    // part of the weighing: set off from its neighbours
	Check   *Check  // nil for none
}

// List is a drop-down list: Name is the name that checks use.
type List struct {
	Name, Heading string
	Words         []Word
}

// Block is a part of the key: a heading, lines of prose, or a table whose
// first row holds its headings.
type Block struct {
	Heading string
	Lines   []string
	Table   [][]string
}

// anyone means any taxon, stage or sex in the lines of the limits.
const anyone = "any"

// limitNames are the names of the columns of the limits: which column of the
// form, taxon, life stage, sex, low, high. They are short because a check may
// not be long.
var limitNames = [6]string{"lCol", "lTax", "lStg", "lSex", "lMin", "lMax"}

func listName(column int) string { return fmt.Sprintf("words_%s", record.ColumnLetters(column)) }

// Workbook describes the workbook of the form.
func (f *Form) Workbook() *Workbook {
	w := &Workbook{Title: cmp.Or(f.Title, f.Name), Language: f.Language, Limits: f.limitLines(), Key: f.key(), Paper: 9}
	for n := 1; n <= f.Sessions; n++ {
		w.Sessions = append(w.Sessions, fmt.Sprintf("Session %d", n))
	}
	for i := range f.Columns {
		c := &f.Columns[i]
		w.Columns = append(w.Columns, BookColumn{Heading: c.Heading, Width: c.Width,
			Mass: c.Meaning.Role == record.WeighPart, Check: f.check(i + 1)})
		if len(c.Words) > 0 {
			w.Lists = append(w.Lists, List{listName(i + 1), c.Name, c.Words})
		}
	}
	if len(f.Key) > 0 && f.index(f.Key[0]) == 1 {
		w.Frozen = 1
	}
	return w
}

// key says what each heading means, in words.
func (f *Form) key() []Block {
	out := []Block{{Heading: "How to fill in the form", Lines: typing}}
	table := [][]string{{"Heading", "What it is", "Unit", "How to write it"}}
	for i := range f.Columns {
		c := &f.Columns[i]
		table = append(table, []string{c.Heading, c.Label, c.Unit, strings.TrimSpace(c.Says + " " + c.Tool)})
	}
	out = append(out, Block{Heading: "The headings", Table: table})
	if t := f.wordTable(); len(t) > 1 {
		out = append(out, Block{Heading: "The words", Table: t})
	}
	if t := f.limitTable(); len(t) > 1 {
		out = append(out, Block{Heading: "Usual values", Table: t})
	}
	if t := f.instrumentTable(); len(t) > 1 {
		out = append(out, Block{Heading: "The instruments", Table: t})
	}
	return append(out, Block{Heading: "With animals in the hand", Lines: f.cautions()})
}

// cautions are the usual ones with the survey's own permit and ethics.
func (f *Form) cautions() []string {
	out := append([]string(nil), cautions...)
	if f.Permits != "" {
		out = append(out, "Permits of this survey: "+f.Permits)
	}
	return out
}

func (f *Form) wordTable() [][]string {
	out := [][]string{{"Heading", "Word", "Stands for"}}
	for i := range f.Columns {
		for _, w := range f.Columns[i].Words {
			out = append(out, []string{f.Columns[i].Heading, w.Text, w.Means})
		}
	}
	return out
}

func (f *Form) limitTable() [][]string {
	out := [][]string{{"Taxon", "Heading", "Usual", "Only", "Source"}}
	for _, l := range f.Limits {
		for i := range f.Columns {
			c := &f.Columns[i]
			if said := c.said(l); said != "" && c.Meaning.Replicate < 2 {
				out = append(out, []string{l.Taxon, c.measure(), said, record.Joined(", ", l.LifeStage, l.Sex), l.Source})
				break
			}
		}
	}
	return out
}

func (f *Form) instrumentTable() [][]string {
	out := [][]string{{"Instrument", "What it shows"}}
	for _, i := range f.Instruments {
		out = append(out, []string{i.Name, instrumentSays(i)})
	}
	return out
}
