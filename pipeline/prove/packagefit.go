package prove

import (
	"bytes"
	"cmp"
	"slices"
	"strings"

	"spadefoot/pipeline/record"
)

// asTerm are fields of packages under the name that the same thing has in
// archives.
var asTerm = map[string]string{
	"assertionType": "measurementType", "assertionValue": "measurementValue", "assertionUnit": "measurementUnit",
}

// fitter judges values of one row of a package that have to fit each other, by
// the rules of archives.
type fitter struct {
	table *packageTable
	at    map[string]int // fields by the name of their term
	facts bool           // its rows are measurements
	row   int
	get   func(term string) string
}

func newFitter(t *packageTable) *fitter {
	f := &fitter{table: t, at: map[string]int{}, facts: strings.HasSuffix(t.keyed.resource.Name, "-assertion")}
	for i, d := range t.keyed.resource.Schema.Fields {
		f.at[d.Name] = i
		if term := asTerm[d.Name]; term != "" {
			f.at[term] = i
		}
	}
	return f
}

// judge judges the row that the reader has at hand.
func (f *fitter) judge(in *textReader, row int) {
	f.row = row
	text := func(name string) string {
		i, there := f.at[name]
		if !there {
			return ""
		}
		v := string(in.cell(i))
		if slices.Contains(f.table.keyed.resource.Schema.Missing, v) {
			return ""
		}
		return v
	}
	f.get = func(term string) string {
		switch {
		case term == "individualCount" && text("organismQuantityType") == "individuals":
			return text("organismQuantity")
		case term == "measurementType":
			return cmp.Or(text("assertionType"), text("assertionTypeIRI"))
		}
		return text(term)
	}
	together(f.get, f.report)
	if f.facts {
		f.complete(text)
	}
}

// complete reports an assertion that says nothing, or not what of.
func (f *fitter) complete(text func(string) string) {
	if f.get("measurementType") == "" {
		f.report("assertionType", fault{"measurement-incomplete", "the assertion has no type", ""})
	}
	value, number := text("assertionValue"), text("assertionValueNumeric")
	switch {
	case cmp.Or(value, number, text("assertionValueIRI")) == "":
		f.report("assertionValue", fault{"measurement-incomplete", "the assertion has no value", ""})
	case value != "" && number != "" && value != number:
		f.report("assertionValueNumeric", fault{"values-disagree", "it does not fit assertionValue " + value, ""})
	}
}

func (f *fitter) report(field string, w fault) {
	t := f.table
	name := field
	switch field {
	case "individualCount":
		if t.strict {
			return // the run has said so at the cell
		}
		name = "organismQuantity"
	case "measurementValue":
		name = "assertionValue"
	}
	at := record.Address{File: t.name, Row: f.row}
	reference := packageGuide + "3.4"
	if i, there := f.at[name]; there {
		at.Column, reference = i+1, t.keyed.resource.Schema.Fields[i].IsVersionOf
	}
	t.found.add(record.Finding{Rule: w.rule, Level: t.level(w.rule), At: at, Field: name, Value: f.get(field), Reason: w.reason, Reference: reference})
}

// odd reports a value whose text is at fault, whatever its field.
func (t *packageTable) odd(column, at int, name string, v []byte) {
	if ascii(v) && !bytes.Contains(v, nullWord) && !bytes.Contains(v, null) && bytes.IndexByte(v, 0) < 0 {
		return
	}
	where := record.Address{File: t.name, Row: at, Column: column + 1}
	section := packageGuide + "3.2.1"
	switch {
	case t.undecoded(v):
		t.add("encoding-invalid", where, name, strings.ToValidUTF8(string(v), "\uFFFD"), "some bytes are not "+t.entity.encoding, section)
	case bytes.IndexByte(v, 0) >= 0:
		t.add("text-control", where, name, strings.ReplaceAll(string(v), "\x00", "\u2400"), "there is a NUL in the text", section)
	case t.inUTF8() && bytes.Contains(v, lostCharacter):
		t.add("text-lost", where, name, string(v), "U+FFFD stands for a character that was lost", section)
	case bytes.Equal(v, nullWord), bytes.Equal(v, null):
		t.add("value-null", where, name, string(v), `it is how a database writes "nothing"; leave the field empty, or declare the word in missingValues`, section)
	case doubled(v):
		t.add("encoding-doubtful", where, name, string(v), "the text looks like UTF-8 that was read in another encoding", section)
	}
}
