package normalise

import (
	"testing"

	"spadefoot/pipeline/record"
)

// TestBagInTheCell reads masses that hold the mass of the bag too: common practice.
func TestBagInTheCell(t *testing.T) {
	for _, c := range []struct {
		part, cell string
		way        record.WeighWay
		gross, bag float64
		rule       string
	}{
		{"net", "12.5-2.1", record.AsWritten, 12.5, 2.1, ""},
		{"net", "12,5 – 2,1", record.AsWritten, 12.5, 2.1, ""},
		{"net", "12.5g-2.1g", record.AsWritten, 12.5, 2.1, ""},
		{"gross", "12.5 - 2.1", record.SameRow, 12.5, 2.1, ""},
		{"gross", "12.5 (bag 2.1)", record.SameRow, 12.5, 2.1, ""},
		{"gross", "12.5, Beutel: 2.1", record.SameRow, 12.5, 2.1, ""},
		{"net", "12.5 (w/ bag 2.1)", record.AsWritten, 12.5, 2.1, ""},
		{"net", "12.5 (bag 2.1)", record.AsWritten, 0, 0, "bag-in-cell"},
		{"net", "12.5 (bag 2.1)", record.SameRow, 0, 0, "note-in-cell"},
		{"net", "2.1-12.5", record.AsWritten, 0, 0, ""}, // somewhere between them
		{"net", "12.5 (wet 2)", record.AsWritten, 0, 0, "note-in-cell"},
		{"tare", "12.5-2.1", record.SameRow, 0, 0, "range-reversed"},
	} {
		x := context(t)
		x.Weighing.Way = c.way
		captures, fs := Table(sheet("No=recordNumber|Weight=w:"+c.part, "1|"+c.cell), x)
		w := captures[0].Weighing
		switch {
		case c.gross == 0:
			if w.Gross != nil && w.Tare != nil {
				t.Errorf("%s %q: %v less %v", c.part, c.cell, w.Gross.Number, w.Tare.Number)
			}
		case w.Gross == nil || w.Tare == nil || w.Net != nil || w.Gross.Number != c.gross || w.Tare.Number != c.bag || w.Gross.Verbatim != c.cell || w.Tare.Verbatim != c.cell:
			t.Errorf("%s %q: %+v", c.part, c.cell, w)
		}
		rules := ""
		for _, f := range fs {
			if f.Rule == "bag-in-cell" || f.Rule == "note-in-cell" && c.rule != "bag-in-cell" || f.Rule == "range-reversed" {
				rules += f.Rule
			}
		}
		if rules != c.rule {
			t.Errorf("%s %q: findings %q, want %q", c.part, c.cell, rules, c.rule)
		}
	}
}
