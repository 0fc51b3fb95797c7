package darwincore

// appendLine appends the line of the core as a row of CSV with these columns, and notes
// where its fields end.
func (s *RowWriter) appendLine(b []byte, columns []int) []byte {
	l, from := &s.line, len(b)
	next := 0 // among the texts that are the same for every row
	for i, slot := range columns {
		if i > 0 {
			b = append(b, ',')
		}
		switch {
		case !l.has.has(slot):
		case l.same.has(slot):
			for s.builder.same[next].slot != slot {
				next = (next + 1) % len(s.builder.same)
			}
			b = append(b, s.builder.same[next].csv...)
		default:
			b = appendText(b, l.texts[slot])
		}
		s.cuts[0] = append(s.cuts[0], len(b)-from)
	}
	return append(b, '\n')
}

// append appends the measurement as a row of CSV with these columns.
func (f *fact) append(b []byte, columns []int) []byte {
	sections := f.form.sectionsFor(columns)
	for i := range sections {
		p := &sections[i]
		b = append(b, p.same...)
		if p.own < 0 {
			break
		}
		switch c := &f.own[p.own]; {
		case c.csv != nil:
			b = append(b, c.csv...)
		case len(c.text) > 0:
			b = appendText(b, c.text)
		}
	}
	return b
}

// append appends the medium as a row of CSV with these columns.
func (r *mediumRow) append(b []byte, columns []int) []byte {
	for i, column := range columns {
		if i > 0 {
			b = append(b, ',')
		}
		if r[column] != "" {
			b = appendText(b, r[column])
		}
	}
	return append(b, '\n')
}
