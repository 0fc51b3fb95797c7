package darwincore

import "slices"

// common learns what rows agree on: for each term the text of the first row,
// and whether every other row has the same. A row without the term differs
// from one that has it.
type common struct {
	rows   int
	fields []commonField // in the order in which they came up
}

// commonField is the text of a slot in the first row, or in the first that has it.
type commonField struct {
	text string
	slot int32
	same bool // in all rows
}

// slotText is the text of a slot.
type slotText struct {
	text string
	slot int32
}

// see takes a row. Texts that are kept are those that once returns for them.
func (c *common) see(row []slotText, once func(string) string) {
	if c.fields == nil {
		c.fields = make([]commonField, 0, len(row))
	}
	for i, f := range row {
		switch known := c.field(i, f.slot); {
		case known == nil:
			c.fields = append(c.fields, commonField{once(f.text), f.slot, c.rows == 0})
		case known.text != f.text:
			known.same = false
		}
	}
	for i := range c.fields {
		if f := &c.fields[i]; f.same && (i >= len(row) || row[i].slot != f.slot) {
			f.same = slices.ContainsFunc(row, func(x slotText) bool { return x.slot == f.slot })
		}
	}
	c.rows++
}

// field returns what is known of a slot, or nil. Rows mostly have the same slots in
// the same places.
func (c *common) field(place int, slot int32) *commonField {
	if place < len(c.fields) && c.fields[place].slot == slot {
		return &c.fields[place]
	}
	if i := slices.IndexFunc(c.fields, func(f commonField) bool { return f.slot == slot }); i >= 0 {
		return &c.fields[i]
	}
	return nil
}

// agreed reports whether every row has the term with the same text, and also
// the terms that belong to it.
func (c *common) agreed(f *commonField) bool {
	names := slots().All
	return f.same && !slices.ContainsFunc(belong, func(group []string) bool {
		return slices.Contains(group, names[f.slot]) && slices.ContainsFunc(c.fields, func(o commonField) bool {
			return !o.same && slices.Contains(group, names[o.slot])
		})
	})
}
