package layout_test

import (
	"fmt"
	"testing"

	"spadefoot/pipeline/layout"
	"spadefoot/pipeline/record"
)

// TestCommentsTravel fastens a comment to every cell of a sheet with all kinds
// of rows. Each comment stays on a cell of a row or a label, or is in a
// finding.
func TestCommentsTravel(t *testing.T) {
	lines := []string{
		"Marrow Creek|", "Site: Tern Slough|||x", "", "||Lengths|", "No|Date|SVL|Tibia", "||mm|mm", "1|3 May|61|25", "2|\"|60|25",
		"Pond B|||", "3|4 May|60|24", "No|Date|SVL|Tibia", "mean||60|25", "rain from ten on",
	}
	for _, turned := range []bool{false, true} {
		s := paper(lines...)
		want := map[string]bool{}
		for i := range s.Rows {
			for k := range s.Rows[i].Cells {
				c := &s.Rows[i].Cells[k]
				c.SetComment(fmt.Sprintf("on %s%d", record.ColumnLetters(k+1), i+1))
				want[c.Comment()] = true
			}
		}
		tables, findings := layout.Find(s, layout.Options{IsHeading: station, Transposed: &turned})
		rows := 0
		for _, table := range tables {
			for _, r := range table.Rows {
				for _, c := range r.Cells {
					if c.Comment() != "" {
						rows++
					}
					delete(want, c.Comment())
				}
				for _, l := range r.Labels {
					delete(want, l.Cell.Comment())
				}
			}
			for _, l := range table.Labels {
				delete(want, l.Cell.Comment())
			}
		}
		for _, f := range findings {
			delete(want, f.Value)
		}
		if len(want) > 0 {
			t.Errorf("turned %t: lost %v", turned, want)
		}
		if rows < 12 {
			t.Errorf("turned %t: %d comments in rows", turned, rows)
		}
	}
}

// TestSharedCells checks that a plain table is not copied, and that what is
// changed in a row does not reach the sheet or the row beside it.
func TestSharedCells(t *testing.T) {
	s := paper("No|Date|SVL", "1|3 May|61", "2|\"|60", "3|\"|59")
	tables, _ := layout.Find(s, layout.Options{})
	rows := tables[0].Rows
	if &rows[0].Cells[0] != &s.Rows[1].Cells[0] {
		t.Error("a row that is left as it is was copied")
	}
	if rows[2].Cells[1].Text != "3 May" || s.Rows[3].Cells[1].Text != "\"" {
		t.Errorf("carried %q, in the sheet %q", rows[2].Cells[1].Text, s.Rows[3].Cells[1].Text)
	}
	_ = append(rows[0].Cells, record.Cell{Text: "new"})
	if len(s.Rows[1].Cells) != 3 || s.Rows[2].Cells[0].Text != "2" {
		t.Error("appending to a row reached the sheet")
	}
}

// TestCommentsExplainHeadings takes short comments on headings for what the
// headings mean.
func TestCommentsExplainHeadings(t *testing.T) {
	s := paper("No|SVL|Mass", "1|61|20", "2|60|18")
	s.Rows[0].Cells[1].SetComment("snout to vent, mm")
	tables, _ := layout.Find(s, layout.Options{})
	if len(tables) != 1 || tables[0].Columns[1].Says != "snout to vent, mm" || tables[0].Columns[2].Says != "" {
		t.Errorf("%+v", tables)
	}
}
