package darwincore

import (
	"slices"
	"strings"
)

// common learns what rows agree on: for each term the text of the first row,
// and whether every other row has the same. A row without the term differs
// from one that has it.
type common struct {
	rows   int
	fields []commonField // in the order in which they came up
}

type commonField struct {
	Field
	same bool
}

func (c *common) see(row Row) {
	for i, f := range row {
		switch known := c.field(i, f.Term); {
		case known == nil:
			c.fields = append(c.fields, commonField{Field{f.Term, strings.Clone(f.Text)}, c.rows == 0})
		case known.Text != f.Text:
			known.same = false
		}
	}
	for i := range c.fields {
		if f := &c.fields[i]; f.same && (i >= len(row) || row[i].Term != f.Term) && row.Get(f.Term) == "" {
			f.same = false
		}
	}
	c.rows++
}

// field returns what is known of a term, or nil. Rows mostly have the same terms in
// the same places.
func (c *common) field(place int, term string) *commonField {
	if place < len(c.fields) && c.fields[place].Term == term {
		return &c.fields[place]
	}
	if i := slices.IndexFunc(c.fields, func(f commonField) bool { return f.Term == term }); i >= 0 {
		return &c.fields[i]
	}
	return nil
}

// agreed reports whether every row has the term with the same text, and also
// the terms that belong to it.
func (c *common) agreed(f *commonField) bool {
	return f.same && !slices.ContainsFunc(belong, func(group []string) bool {
		return slices.Contains(group, f.Term) && slices.ContainsFunc(c.fields, func(f commonField) bool {
			return !f.same && slices.Contains(group, f.Term)
		})
	})
}
