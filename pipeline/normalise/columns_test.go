package normalise

import (
	"strings"
	"testing"

	"spadefoot/pipeline/record"
)

// TestClockOf tells what the numbers of a column of times are.
func TestClockOf(t *testing.T) {
	for _, c := range []struct {
		name, column string // a cell is stored as a time where it begins with @
		text, want   string // how a text of the column is read, "" for not specially
	}{
		{"tens of minutes", "084|090|131|", "084", "08:40"},
		{"three digits that may all be hours and minutes", "830|900|931", "830", ""},
		{"three digits beside other texts", "084|morning", "084", ""},
		{"parts of a day", "0.3125|0.5", "0.3125", "07:30"},
		{"parts of a day beside times", "7:30|0.3125", "0.3125", "07:30"},
		{"parts of a day beside stored times", "@07:30|0.3125", "0.3125", "07:30"},
		{"hours and minutes", "0730|1210", "0730", ""},
		{"blank", "|", "084", ""},
	} {
		table := &record.Table{}
		for text := range strings.SplitSeq(c.column, "|") {
			cell := record.Cell{Text: text, Kind: record.Text}
			if stored, ok := strings.CutPrefix(text, "@"); ok {
				cell = record.Cell{Text: stored, Kind: record.Date}
			}
			table.Rows = append(table.Rows, record.TableRow{Cells: []record.Cell{cell}})
		}
		got := ""
		if read := clockOf(table, 0); read != nil {
			clock, _ := read(c.text)
			got = clock.ISO
		}
		if got != c.want {
			t.Errorf("%s: %q is %q, want %q", c.name, c.text, got, c.want)
		}
	}
}

// TestSaysWhy tells words about a part that is not whole from others.
func TestSaysWhy(t *testing.T) {
	for _, c := range []struct {
		text, measurement string
		want              bool
	}{
		{"rota", "tailLength", true}, {"broken", "tailLength", true}, {"no tail", "tailLength", true}, {"Schwanz ab", "tailLength", true}, {"regenerando", "tailLength", true},
		{"toe missing", "tailLength", false}, {"see book", "tailLength", false}, {"not broken", "tailLength", false}, {"broken at 38.O", "tailLength", false}, {"broken, 38", "tailLength", false},
		{"spent", "bodyMass", false}, {"gravid", "bodyMass", false}, {"", "tailLength", false},
	} {
		if got := saysWhy(c.text, c.measurement); got != c.want {
			t.Errorf("%q under %s: %t", c.text, c.measurement, got)
		}
	}
}
