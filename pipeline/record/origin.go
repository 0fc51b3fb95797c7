package record

import "iter"

// Origins lists the cells that a capture was read from, by their rows and, whatever
// the rows of these, their columns. Row 0 stands for none.
func (c *Capture) Origins() iter.Seq2[int, *Address] {
	return func(yield func(int, *Address) bool) {
		for i := range c.Values {
			if v := &c.Values[i]; !yield(int(v.Row), &v.Column) {
				return
			}
		}
		for i := range c.Readings {
			if r := &c.Readings[i]; !yield(int(r.Row), &r.Column) {
				return
			}
		}
		for i := range c.Extras {
			if at := &c.Extras[i].From; !yield(at.Row, at) {
				return
			}
		}
		w := c.Weighing
		if w == nil || !yield(w.Bag.Row, &w.Bag) {
			return
		}
		for r := range w.Readings() {
			if !yield(int(r.Row), &r.Column) {
				return
			}
		}
	}
}

// InSheet reports whether a column is one of the sheet of a capture.
func (c *Capture) InSheet(column *Address) bool {
	return column.Column != 0 && column.File == c.File && column.Sheet == c.Sheet
}
