package sheet

import (
	"encoding/xml"
	"strconv"
	"strings"
	"unicode"

	"spadefoot/pipeline/record"
)

// odsCell is a cell as the file has it.
type odsCell struct {
	column, repeat int
	kind           string // office:value-type
	fault          bool
	value          string // the attribute that goes with the kind
	shown          string // the paragraphs
	comment        string
	struck         bool // a part of what is shown is
	formula        string
	hasFormula     bool
	style          string
	right, down    int // cells that it spans
}

// cell reads a table cell up to its end and keeps it if it holds something.
func (b *odsReader) cell(d *xml.Decoder, e xml.StartElement) error {
	c := odsCell{column: b.column + 1, repeat: repeats(e, "number-columns-repeated", maxColumns), style: attr(e, "style-name"),
		right: repeats(e, "number-columns-spanned", maxColumns), down: repeats(e, "number-rows-spanned", maxRows)}
	b.column += c.repeat
	for _, a := range e.Attr {
		switch local := a.Name.Local; {
		case local == "value-type" && a.Name.Space == nsOffice:
			c.kind = a.Value
		case local == "value-type" && a.Value == "error":
			c.fault = true
		case local == "formula":
			c.formula, c.hasFormula = a.Value, true
		case a.Name.Space == nsOffice && strings.HasSuffix(local, "value"):
			c.value = a.Value
		}
	}
	if err := c.content(d, b.styles, b.spent.budgets.Cell); err != nil {
		return err
	}
	if c.column > maxColumns {
		return nil
	}
	c.repeat = min(c.repeat, maxColumns-c.column+1)
	if c.kind != "" || c.shown != "" || c.comment != "" || c.hasFormula || c.right > 1 || c.down > 1 {
		b.rowBuf = append(b.rowBuf, c)
	} else if c.repeat <= 256 && b.repeat <= 256 && b.styles.cell(b.styleOf(c, c.column)).fill != "" {
		b.rowBuf = append(b.rowBuf, c) // coloured; runs to the end of the tab are not
	}
	return nil
}

// content reads the paragraphs of a cell, and those of its comment apart. What
// goes beyond most bytes is cut, which is still more than a cell may hold.
func (c *odsCell) content(d *xml.Decoder, styles *odsStyles, most int) error {
	var shown, comment odsText
	into := &shown
	for depth := 1; depth > 0; {
		tok, err := d.Token()
		if err != nil {
			return err
		}
		switch t := tok.(type) {
		case xml.StartElement:
			depth++
			switch {
			case t.Name.Space == nsOffice && t.Name.Local == "annotation":
				into = &comment
			case t.Name.Space == nsText && into.text.Len() <= most:
				into.start(t)
				c.struck = c.struck || into == &shown && styles.struck[attr(t, "style-name")]
			case t.Name.Space == nsDraw || t.Name.Space == nsTable:
				if err := d.Skip(); err != nil {
					return err
				}
				depth--
			}
		case xml.EndElement:
			depth--
			switch {
			case t.Name.Space == nsOffice && t.Name.Local == "annotation":
				into = &shown
			case t.Name.Space == nsText && t.Name.Local == "p":
				into.inside = false
			}
		case xml.CharData:
			if into.inside && into.text.Len() <= most {
				into.text.Write(t)
			}
		}
	}
	c.shown, c.comment = shown.text.String(), comment.text.String()
	return nil
}

// odsText gathers paragraphs as lines (ODF 1.3 Part 3, 6.1).
type odsText struct {
	text       strings.Builder
	paragraphs int
	inside     bool
}

func (t *odsText) start(e xml.StartElement) {
	switch e.Name.Local {
	case "p":
		if t.paragraphs > 0 {
			t.text.WriteByte('\n')
		}
		t.paragraphs++
		t.inside = true
	case "s":
		t.text.WriteString(strings.Repeat(" ", repeats(e, "c", 1000)))
	case "tab":
		t.text.WriteByte('\t')
	case "line-break":
		t.text.WriteByte('\n')
	}
}

// styleOf returns the style of a cell, which may come from its column.
func (b *odsReader) styleOf(c odsCell, column int) string {
	if c.style != "" {
		return c.style
	}
	return b.columnStyle(column)
}

// put adds one cell to the grid.
func (b *odsReader) put(c odsCell, row, column int) {
	g := b.grid
	style := b.styles.cell(b.styleOf(c, column))
	out := style.cell(row, column)
	if c.struck {
		out.Strike()
	}
	out.Formula = c.hasFormula
	if c.comment != "" {
		g.comments[place{row, column}] = c.comment
	}
	if c.right > 1 || c.down > 1 {
		g.merge(record.Rectangle{Top: row, Left: column, Bottom: row + c.down - 1, Right: column + c.right - 1})
	}
	switch {
	case c.fault:
		g.putFault(out, c.shown)
	case c.hasFormula && c.kind == "" && c.shown == "":
		g.noValue(out, "="+strings.TrimPrefix(c.formula, "of:="))
	case c.kind == "float" && wordsOnly(c.shown): // TRUE, as a formula shows it
		g.putText(out, c.shown)
	case c.kind == "float" || c.kind == "percentage" || c.kind == "currency":
		v, err := strconv.ParseFloat(c.value, 64)
		if err != nil {
			g.putText(out, c.shown)
			return
		}
		g.putNumber(out, v, style.number(v, c.shown), false)
	case c.kind == "date":
		g.putDate(out, odsDate(c.value, style.format.date), style.format.date)
	case c.kind == "time":
		b.putTime(out, c, style.format.date)
	case c.kind == "boolean":
		g.putBool(out, c.value == "true")
	case c.kind == "string" && c.shown == "":
		g.putText(out, c.value)
	default:
		g.putText(out, c.shown)
	}
}

// wordsOnly reports whether a text has letters and no digit.
func wordsOnly(text string) bool {
	return strings.ContainsFunc(text, unicode.IsLetter) && !strings.ContainsFunc(text, unicode.IsDigit)
}

// repeats reads a count of repetitions, 1 where there is none.
func repeats(e xml.StartElement, local string, most int) int {
	n, err := strconv.Atoi(attr(e, local))
	if err != nil || n < 1 {
		return 1
	}
	return min(n, most)
}
