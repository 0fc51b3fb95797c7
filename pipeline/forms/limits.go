package forms

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"spadefoot/pipeline/record"
)

// LimitLine says between which numbers a column is expected to lie for one
// writing of a taxon, life stage and sex. An empty one means any.
type LimitLine struct {
	Column           int // from 1
	Taxon            string
	LifeStage, Sex   string
	Minimum, Maximum float64 // in the column's unit; ±beyond where open
}

// limitLines returns the lines that checks look up: one per column for any
// animal, and one per limit and per writing of its taxon, stage and sex. A
// limit for a sex or stage that no column tells is left out.
func (f *Form) limitLines() []LimitLine {
	var out []LimitLine
	taxon, stage, sex := f.column("scientificName"), f.column("lifeStage"), f.column("sex")
	for i := range f.Columns {
		c := &f.Columns[i]
		if c.Meaning.Role != record.Measurement {
			continue
		}
		out = append(out, LimitLine{Column: i + 1, Minimum: c.Low, Maximum: cmp.Or(c.High, beyond)})
		for _, l := range f.Limits {
			low, high, ok := c.limit(l)
			if !ok {
				continue
			}
			taxa := writings(taxon, l.Taxon)
			if taxon == nil && strings.EqualFold(l.Taxon, f.Taxon) {
				taxa = []string{""}
			}
			for _, t := range taxa {
				for _, g := range writings(stage, l.LifeStage) {
					for _, s := range writings(sex, l.Sex) {
						out = append(out, LimitLine{i + 1, t, g, s, low, high})
					}
				}
			}
		}
	}
	return out
}

// limit returns the ends of a limit in the column's unit; false where it is not
// about this column.
func (c *Column) limit(l Limit) (low, high float64, ok bool) {
	if c.Meaning.Role != record.Measurement || l.Measurement != c.Meaning.Measurement {
		return 0, 0, false
	}
	low, high = -beyond, beyond
	for _, end := range []struct {
		from *float64
		to   *float64
	}{{l.Minimum, &low}, {l.Maximum, &high}} {
		if end.from == nil {
			continue
		}
		if *end.to, ok = convert(*end.from, l.Unit, c.Meaning.Unit); !ok {
			return 0, 0, false
		}
	}
	return low, high, true
}

// writings returns the texts of a column that mean a value, none where no column
// tells it, and one empty text for an empty value.
func writings(c *Column, value string) []string {
	if value == "" {
		return []string{""}
	}
	if c == nil {
		return nil
	}
	out := []string{value}
	for _, w := range c.Words {
		if strings.EqualFold(w.Means, value) && !strings.EqualFold(w.Text, value) {
			out = append(out, w.Text)
		}
	}
	return out
}

// column returns the first column of a term, or nil.
func (f *Form) column(term string) *Column {
	if i := f.index(term); i > 0 {
		return &f.Columns[i-1]
	}
	return nil
}

// index is the number of a term's column from 1; 0 if there is none.
func (f *Form) index(term string) int {
	return 1 + slices.IndexFunc(f.Columns, func(c Column) bool { return c.Meaning.Term == term })
}

// said writes the ends of a limit in the column's unit.
func (c *Column) said(l Limit) string {
	low, high, ok := c.limit(l)
	switch {
	case !ok:
		return ""
	case l.Minimum == nil:
		return fmt.Sprintf("at most %s %s", plain(high), c.Unit)
	case l.Maximum == nil:
		return fmt.Sprintf("at least %s %s", plain(low), c.Unit)
	}
	return fmt.Sprintf("%s to %s %s", plain(low), plain(high), c.Unit)
}
