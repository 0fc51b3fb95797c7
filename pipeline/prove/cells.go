package prove

import (
	"fmt"
	"strings"
	"unicode/utf8"

	"spadefoot/pipeline/record"
)

// judge proves one row.
func (t *table) judge(cells []string, at, number int) error {
	if t.width == 0 {
		t.width = len(cells)
		t.widest(at)
	}
	switch {
	case len(cells) < t.width:
		t.add("row-short", line(t.name, at), "", "", fmt.Sprintf("the row has %d fields, and the file %d columns", len(cells), t.width), guide+"2.2.1")
	case len(cells) > t.width:
		t.add("row-long", line(t.name, at), "", "", fmt.Sprintf("the row has %d fields, and the file %d columns; a separator within a field has to be enclosed", len(cells), t.width), guide+"2.2.1")
	}
	for i, c := range t.cols {
		v := c.def
		if c.index >= 0 && c.index < len(cells) && cells[c.index] != "" {
			v = cells[c.index]
		}
		t.row.Values[i] = v
		if v != "" && v != t.good[i] {
			before := t.found.total
			t.value(c, v, at)
			if t.found.total == before {
				t.good[i] = v // most columns say the same again and again
			}
		}
	}
	if t.width == 1 && len(t.cols) == 0 {
		return nil
	}
	t.fit(at)
	if err := t.identify(cells, at); err != nil {
		return err
	}
	if t.options.Visit == nil {
		return nil
	}
	t.row.Number, t.row.Line = number, at
	return t.options.Visit(&t.row)
}

func (t *table) value(c column, v string, at int) {
	where := record.Address{File: t.name, Row: at, Column: c.index + 1}
	if t.undecoded(v) {
		t.add("encoding-invalid", where, c.name, strings.ToValidUTF8(v, "\uFFFD"), "there are bytes that are no "+t.entity.encoding, guide+"2.2.1")
		return
	}
	if doubled(v) && !strings.EqualFold(t.entity.encoding, "UTF-8") {
		t.add("encoding-doubtful", where, c.name, v, "the text reads like UTF-8 taken for "+t.entity.encoding, guide+"2.2.1")
	}
	if v == `\N` {
		t.add("value-null", where, c.name, v, `\N is how a database writes "nothing"; an empty field says it`, guide+"4.1")
		return
	}
	if c.check == nil {
		return
	}
	if f := c.check(v); f != nil {
		if f.rule == "value-not-date" && inFormat(v, t.entity.dates) {
			f = &fault{"value-date-declared", "the date has the form that dateFormat declares; ISO 8601 is recommended", ""}
		}
		t.found.add(record.Finding{Rule: f.rule, Level: t.level(f.rule), At: where, Field: c.name, Value: v, Reason: f.reason, Suggestion: f.suggestion, Reference: c.iri})
	}
}

// undecoded finds bytes that the declared encoding does not have. In UTF-8 the
// replacement character may have been written: it marks what was lost before.
func (t *table) undecoded(v string) bool {
	if strings.EqualFold(t.entity.encoding, "UTF-8") {
		return !utf8.ValidString(v)
	}
	return strings.ContainsRune(v, utf8.RuneError) // also found in place of bytes that are no UTF-8
}

// doubled finds the letter pairs that UTF-8 gives when it is read as Latin-1.
func doubled(v string) bool {
	for _, s := range []string{"Ã©", "Ã¨", "Ã¡", "Ã³", "Ã¼", "Ã¶", "Ã¤", "Ã±", "Â°", "â€"} {
		if strings.Contains(v, s) {
			return true
		}
	}
	return false
}

func (t *table) fit(at int) {
	together(t.row.Get, func(field string, f fault) {
		where := record.Address{File: t.name, Row: at}
		for _, c := range t.cols {
			if c.name == field {
				where.Column = c.index + 1
			}
		}
		t.found.add(record.Finding{Rule: f.rule, Level: t.level(f.rule), At: where, Field: field, Value: t.row.Get(field), Reason: f.reason, Reference: dwcSpace + "terms/" + field})
	})
}

// identify takes the identifier of a row of the core, or what a row of an
// extension points at.
func (t *table) identify(cells []string, at int) error {
	t.row.ID = ""
	i := t.entity.id
	if i < 0 {
		return nil
	}
	if i < len(cells) {
		t.row.ID = strings.TrimSpace(cells[i])
	}
	if t.row.ID == "" {
		t.add("id-missing", record.Address{File: t.name, Row: at, Column: i + 1}, t.idName(), "", "the row has no identifier", guide+"2.1.2")
		return nil
	}
	return t.ids.add(t.row.ID, placeOf(t.number, at))
}
