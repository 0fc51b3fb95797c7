package remedy

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"spadefoot/pipeline/record"
	"spadefoot/pipeline/record/lines"
)

// List writes the texts of several cells as one: the text that all of them
// hold, or all texts in the order of the cells, parted by |. A | or \ in a text
// has a \ before it.
func List(texts []string) string {
	escaped := make([]string, len(texts))
	for i, t := range texts {
		escaped[i] = listEscape.Replace(t)
	}
	if len(slices.Compact(slices.Clone(escaped))) == 1 {
		return escaped[0]
	}
	return strings.Join(escaped, " | ")
}

var listEscape = strings.NewReplacer(`\`, `\\`, "|", `\|`)

// Listed reads what List wrote, for n cells. It reports false where the texts
// are neither one nor n.
func Listed(text string, n int) (texts []string, ok bool) {
	var b strings.Builder
	for i := 0; i < len(text); i++ {
		switch c := text[i]; {
		case c == '\\' && i+1 < len(text) && (text[i+1] == '\\' || text[i+1] == '|'):
			i++
			b.WriteByte(text[i])
		case c == '|':
			texts = append(texts, strings.TrimSpace(b.String()))
			b.Reset()
		default:
			b.WriteByte(c)
		}
	}
	texts = append(texts, strings.TrimSpace(b.String()))
	if len(texts) == 1 {
		texts = slices.Repeat(texts, n)
	}
	return texts, len(texts) == n
}

// maxCells bounds the cells of one decision.
const maxCells = 1 << 20

// cellsText writes cells of one sheet: "D2:D14; F3".
func cellsText(cells []record.Address) string {
	var runs []record.Run
	for _, a := range cells {
		runs = record.Extend(runs, a)
	}
	parts := make([]string, len(runs))
	for i, r := range runs {
		parts[i] = record.ColumnLetters(r.Column) + strconv.Itoa(r.Row)
		if r.Last > r.Row {
			parts[i] += ":" + record.ColumnLetters(r.Column) + strconv.Itoa(r.Last)
		}
	}
	return strings.Join(parts, "; ")
}

// cellsOf reads what cellsText wrote, for the sheet of an address.
func cellsOf(text string, sheet record.Address) ([]record.Address, error) {
	var out []record.Address
	for part := range strings.FieldsFuncSeq(text, func(r rune) bool { return r == ';' || r == ',' || r == ' ' }) {
		first, last, isRun := strings.Cut(part, ":")
		from, ok := cellOf(first)
		to := from
		if isRun && ok {
			to, ok = cellOf(last)
		}
		if !ok || to.Column != from.Column || to.Row < from.Row || to.Row-from.Row >= maxCells-len(out) {
			return nil, fmt.Errorf("found %q; write single cells, or ranges within one column, as in D2:D14; F3", part)
		}
		for row := from.Row; row <= to.Row; row++ {
			out = append(out, record.Address{File: sheet.File, Sheet: sheet.Sheet, Row: row, Column: from.Column})
		}
	}
	return out, nil
}

// cellOf reads "D2".
func cellOf(text string) (at record.Address, ok bool) {
	n := strings.IndexAny(text, "0123456789")
	if n < 1 {
		return at, false
	}
	row, err := strconv.Atoi(text[n:])
	at = record.Address{Row: row, Column: columnNumber(text[:n])}
	return at, err == nil && row > 0 && at.Column > 0 && at.Column <= lastColumn
}

// RowText writes the cells of a row that hold something, as they were written,
// for a decision on the whole capture.
func RowText(r *record.TableRow) string {
	var texts []string
	for i := range r.Cells {
		if t := strings.TrimSpace(lines.OneBreak(r.Cells[i].Verbatim())); t != "" {
			texts = append(texts, listEscape.Replace(t))
		}
	}
	return short(strings.Join(texts, " | "))
}

// maxText is how many bytes of a text go into one cell of the table of
// remedies: a spreadsheet program holds 32,767 characters.
const maxText = 30_000

func short(text string) string {
	if len(text) <= maxText {
		return text
	}
	return strings.ToValidUTF8(text[:maxText], "") + " …"
}

// single returns the decisions on single cells that a decision comes to. Cells
// that it leaves as they are are not among them.
func (r *Remedy) single() []Remedy {
	if len(r.Also) == 0 {
		return []Remedy{*r}
	}
	cells := r.Cells()
	found, ok := Listed(r.Found, len(cells))
	texts, also := Listed(r.Replacement, len(cells))
	if !ok || !also { // of a row that is not decided: others are looked over
		found = make([]string, len(cells))
		texts = found
	}
	var out []Remedy
	for i, at := range cells {
		one := *r
		one.At, one.Also, one.Capture, one.Field, one.Found, one.Replacement = at, nil, "", "", found[i], texts[i]
		switch {
		case r.Action == Replace && texts[i] == found[i], r.Action == Clear && found[i] == "":
			continue
		case r.Action == Replace && texts[i] == "":
			one.Action = Clear
		}
		out = append(out, one)
	}
	return out
}

// KeysOf returns for each row the key of its capture, and the key as it was
// written where that differs.
func KeysOf(rows []record.TableRow, captures []*record.Capture, terms []string) [][]string {
	out := make([][]string, len(rows))
	next := 0
	for i := range rows {
		for next < len(captures) && captures[next].Row <= rows[i].Number {
			next++
		}
		if next == 0 || captures[next-1].Key == "" {
			continue
		}
		c := captures[next-1]
		out[i] = []string{c.Key}
		written := make([]string, len(terms))
		for k, term := range terms {
			if v := c.Value(term); v != nil && v.Verbatim != "" {
				written[k] = strings.TrimSpace(v.Verbatim)
			}
		}
		if text := strings.Join(written, " / "); text != c.Key {
			out[i] = append(out[i], text)
		}
	}
	return out
}
