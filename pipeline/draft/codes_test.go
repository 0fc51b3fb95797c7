package draft

import (
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"spadefoot/pipeline/record"
)

// tableOfRows has cells parted by a bar.
func tableOfRows(rows ...string) record.Table {
	var t record.Table
	for i, row := range rows {
		r := record.TableRow{Number: i + 1}
		for k, text := range strings.Split(row, "|") {
			r.Cells = append(r.Cells, record.Cell{Text: text, Kind: record.Text, Row: i + 1, Column: k + 1})
		}
		t.Rows = append(t.Rows, r)
	}
	return t
}

func TestCodesOfHeadings(t *testing.T) {
	known := map[string]bool{"sexcode": true, "age": true, "sex code": true}
	for _, c := range []struct {
		name  string
		table record.Table
		want  map[string]string
	}{
		{"a heading and a code in one cell", tableOfRows("Code|Meaning", "SexCode 1|male", "SexCode 2|female", "other|text"), map[string]string{"sexcode": "1 = male; 2 = female"}},
		{"a heading in the first of its rows", tableOfRows("Column|Code|Meaning", "Age|A|adult", "|J|juvenile", "", "SexCode|9|unknown"), map[string]string{"age": "A = adult; J = juvenile"}},
		{"headings and what they are", tableOfRows("SVL|snout-vent length|mm", "Wt|mass|g"), map[string]string{}},
	} {
		if d := cmp.Diff(c.want, codesOfHeadings([]record.Table{c.table}, known)); d != "" {
			t.Errorf("%s: %s", c.name, d)
		}
	}
}

func TestExplainCodes(t *testing.T) {
	table := tableOfRows("NR|M", "P|F", "PL|M", "SC|F")
	table.Columns = []record.Column{{Heading: "Repro"}, {Heading: "Sex"}}
	for _, c := range []struct {
		line string
		want map[string]string
	}{
		{"NR = none; P = pregnant; PL = post-lactating", map[string]string{"repro": "NR = none; P = pregnant; PL = post-lactating"}},
		{"M = male; F = female; P = pregnant", map[string]string{"sex": "M = male; F = female; P = pregnant"}},
		{"P = pond; X = stream", map[string]string{}},
	} {
		d := drafting{lines: []string{c.line}, refs: []*entry{{tables: []record.Table{table}}}, legend: map[string]string{}}
		d.explainCodes()
		if diff := cmp.Diff(c.want, d.legend); diff != "" {
			t.Errorf("%s: %s", c.line, diff)
		}
	}
}
