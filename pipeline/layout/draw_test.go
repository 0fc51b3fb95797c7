package layout_test

import (
	"fmt"
	"strings"

	"spadefoot/pipeline/layout"
	"spadefoot/pipeline/record"
)

// paper makes a sheet of lines whose cells are parted by |. A cell written in
// {braces} is a stored number, one in <brackets> a stored date, one that
// begins with ' a formula.
func paper(lines ...string) record.Sheet {
	s := record.Sheet{File: "notes.csv"}
	for i, line := range lines {
		r := record.Row{Number: i + 1}
		if strings.TrimSpace(line) != "" {
			for k, text := range strings.Split(line, "|") {
				r.Cells = append(r.Cells, cellOf(strings.TrimSpace(text), i+1, k+1))
			}
		}
		s.Rows = append(s.Rows, r)
	}
	return s
}

func cellOf(text string, row, column int) record.Cell {
	c := record.Cell{Text: text, Kind: record.Text, Row: row, Column: column}
	switch {
	case text == "":
		c.Kind = record.Blank
	case text[0] == '{':
		c.Text, c.Kind = strings.Trim(text, "{}"), record.Number
	case text[0] == '<':
		c.Text, c.Kind = strings.Trim(text, "<>"), record.Date
	case text[0] == '^':
		c.Text, c.Kind, c.Formula = text[1:], record.Number, true
	}
	return c
}

// draw writes tables and findings in short:
//
//	table A3:C9 under 3,4
//	  Site = Tern Slough
//	  No; SVL [mm]
//	  5: 1; 61 (section = Pond B)
//	row-summary A9
func draw(tables []record.Table, findings []record.Finding) string {
	var b strings.Builder
	for _, t := range tables {
		r := t.Rectangle
		fmt.Fprintf(&b, "table %s%d:%s%d under %s", record.ColumnLetters(r.Left), r.Top, record.ColumnLetters(r.Right), r.Bottom, numbers(t.HeadingRows))
		if t.Transposed {
			b.WriteString(" transposed")
		}
		b.WriteString("\n")
		for _, l := range t.Labels {
			if l.Name == "" {
				fmt.Fprintf(&b, "  title %s\n", l.Cell.Text)
			} else {
				fmt.Fprintf(&b, "  %s = %s\n", l.Name, l.Cell.Text)
			}
		}
		var parts []string
		for _, c := range t.Columns {
			h := c.Heading
			if c.Unit != "" {
				h += " [" + c.Unit + "]"
			}
			parts = append(parts, h)
		}
		fmt.Fprintf(&b, "  %s\n", strings.Join(parts, "; "))
		for _, row := range t.Rows {
			fmt.Fprintf(&b, "  %d: %s\n", row.Number, drawRow(row))
		}
	}
	for _, f := range findings {
		at := ""
		switch {
		case f.At.Row > 0 && f.At.Column > 0:
			at = fmt.Sprintf(" %s%d", record.ColumnLetters(f.At.Column), f.At.Row)
		case f.At.Row > 0:
			at = fmt.Sprintf(" %d", f.At.Row)
		case f.At.Column > 0:
			at = " " + record.ColumnLetters(f.At.Column)
		}
		fmt.Fprintf(&b, "%s%s %s\n", f.Rule, at, strings.ReplaceAll(f.Value, "\n", " / "))
	}
	return b.String()
}

func drawRow(row record.TableRow) string {
	var parts []string
	for _, c := range row.Cells {
		text := c.Text
		if c.Carried {
			text = "^" + text
		}
		parts = append(parts, text)
	}
	out := strings.Join(parts, "; ")
	for _, l := range row.Labels {
		out += fmt.Sprintf(" (%s = %s)", l.Name, l.Cell.Text)
	}
	return out
}

func numbers(list []int) string {
	var parts []string
	for _, n := range list {
		parts = append(parts, fmt.Sprint(n))
	}
	return strings.Join(parts, ",")
}

// station is what a mapping of Marrow Creek knows.
func station(text string) bool {
	switch strings.ToLower(strings.Trim(text, ". ")) {
	case "no", "date", "site", "species", "sex", "svl", "tibia", "head w", "gross", "bag", "mass", "observer", "notes", "plot", "svl 1", "svl 2", "svl 3":
		return true
	}
	return false
}

// unknown is a mapping that knows nothing.
func unknown(string) bool { return false }

func find(lines []string, o layout.Options) string {
	return draw(layout.Find(paper(lines...), o))
}
