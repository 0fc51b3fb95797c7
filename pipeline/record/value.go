package record

// Value is one value of a Darwin Core term with the text it was read from.
type Value struct {
	*Field
	Text     string // the normalised value, as published
	Verbatim string // the text as written
	Row      int32  // where it was written, in the column of its field; 0 for none

	// Word is the number of Text among the words of the store, from 1; 0 for none. Who
	// asks what is known of the number compares the text: it may be that of another store.
	Word uint32 `json:"-"`
}

// Field is what the values of a term in a column have in common. They share it,
// so that it is never changed: Vary gives one value another.
type Field struct {
	Term   string  // Darwin Core term name
	Column Address // where they were written, without the row; File empty if derived
	Remark string  // how Text was made, if that is not obvious
	Wrong  bool    // it was read but cannot be true, such as a day outside the survey; nothing is concluded from it

	// Undecided is the rule of the error that nobody decided on, so that the
	// value is not published; empty for none.
	Undecided string `json:"-"`
}

// Of is the field of a term that was not read from a cell.
func Of(term string) *Field { return &Field{Term: term} }

// From is where the value was written; File empty if derived.
func (v *Value) From() Address { return v.Column.inRow(v.Row) }

// At returns the value as written in another place.
func (v Value) At(a Address) Value {
	v.Row = int32(a.Row)
	a.Row = 0
	if v.Column != a {
		v.Vary(func(f *Field) { f.Column = a })
	}
	return v
}

// Vary gives the value a field of its own, changed.
func (v *Value) Vary(change func(*Field)) {
	f := *v.Field
	change(&f)
	v.Field = &f
}

// Null reports whether a text is what databases write for nothing, which no field of an
// archive may hold (Darwin Core text guide, section 4.1).
func Null(text string) bool { return text == "NULL" || text == `\N` }
