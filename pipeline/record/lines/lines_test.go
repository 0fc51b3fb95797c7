package lines_test

import (
	"errors"
	"fmt"
	"reflect"
	"strings"
	"testing"

	"spadefoot/pipeline/record/lines"
)

type pond struct {
	Name  string `csv:"name"`
	Depth string `csv:"depth"`
	Note  string `csv:"note"`
}

var ponds = lines.Columns{Needed: []string{"name", "depth"}, Allowed: []string{"note"}}

func TestRead(t *testing.T) {
	tests := []struct {
		what, text string
		want       []lines.Row[pond]
		wrong      string
	}{
		{what: "plain", text: "name,depth\nA,1\nB,2\n", want: []lines.Row[pond]{{2, pond{"A", "1", ""}}, {3, pond{"B", "2", ""}}}},
		{what: "semicolons keep decimal commas", text: "name;depth\nA;1,5\n", want: []lines.Row[pond]{{2, pond{"A", "1,5", ""}}}},
		{what: "byte order mark, comments, blank lines", text: "\ufeff# ours\n\nname,depth,note\n\nA, 1 ,\"x\ny\"\n,,\nB,2\n",
			want: []lines.Row[pond]{{5, pond{"A", "1", "x\ny"}}, {8, pond{"B", "2", ""}}}},
		{what: "a # below the headings is a text", text: "name,depth\nA,1\n#2,3\n", want: []lines.Row[pond]{{2, pond{"A", "1", ""}}, {3, pond{"#2", "3", ""}}}},
		{what: "headings only", text: "name,depth\n"},
		{what: "blank cells too many", text: "name,depth\nA,1,,\n", want: []lines.Row[pond]{{2, pond{"A", "1", ""}}}},
		{what: "empty", text: "", wrong: "ponds.csv, line 1: the table is empty; its first line names the columns: name, depth"},
		{what: "not UTF-8", text: "name,depth\nA\xe9,1\n", wrong: "ponds.csv, line 2: is not UTF-8 text; save the table as CSV in UTF-8"},
		{what: "unknown heading", text: "name,depth,colour\n", wrong: "ponds.csv, line 1, column colour: is not a heading of this table; correct it, or remove the column; the headings are: name, depth, note"},
		{what: "heading missing", text: "name,note\n", wrong: "ponds.csv, line 1, column depth: is missing; add it, with its heading"},
		{what: "heading twice", text: "name,depth,name\n", wrong: "ponds.csv, line 1, column name: appears twice; remove one of the two"},
		{what: "no heading", text: "name,depth,\n", wrong: "ponds.csv, line 1, column 3: has no heading"},
		{what: "too long", text: "name,depth\n\nA,1,2\n", wrong: "ponds.csv, line 3: has 3 cells, but there are 2 headings; put quotation marks around a text that contains the separator"},
		{what: "quote left open", text: "name,depth\nA,1\n\"B,2\n", wrong: "ponds.csv, line 3: a cell begins with a quotation mark but does not end with one; close it at the end of the cell, and double those inside it"},
	}
	for _, tt := range tests {
		got, err := lines.Read[pond](strings.NewReader(tt.text), "ponds.csv", ponds)
		if tt.wrong != "" {
			var e *lines.Error
			if !errors.As(err, &e) || e.Error() != tt.wrong {
				t.Errorf("%s: error %v, want %s", tt.what, err, tt.wrong)
			}
			continue
		}
		if err != nil || (len(got)+len(tt.want) > 0 && !reflect.DeepEqual(got, tt.want)) {
			t.Errorf("%s: %v, %v; want %v", tt.what, got, err, tt.want)
		}
	}
}

func ExampleRead() {
	rows, err := lines.Read[pond](strings.NewReader("name,depth\nLower pond,1.5\n"), "ponds.csv", ponds)
	fmt.Println(rows[0].Line, rows[0].Cells.Name, rows[0].Cells.Depth, err)
	// Output: 2 Lower pond 1.5 <nil>
}

func FuzzRead(f *testing.F) {
	for _, s := range []string{"name,depth\nA,1\n", "name;depth\n\"A;B\";1\n", "#x\nname,depth,note\n,,\n", "name,depth\n\"", "\xff"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, text string) {
		rows, err := lines.Read[pond](strings.NewReader(text), "ponds.csv", ponds)
		if err != nil {
			var e *lines.Error
			if !errors.As(err, &e) || e.Line < 1 || e.Reason == "" {
				t.Fatalf("%T %v", err, err)
			}
			return
		}
		last := 0
		for _, r := range rows {
			if r.Line <= last || r.Line > 1+strings.Count(text, "\n")+strings.Count(text, "\r") {
				t.Fatalf("row at line %d after line %d", r.Line, last)
			}
			last = r.Line
			if r.Cells == (pond{}) {
				t.Fatal("a blank row came through")
			}
		}
	})
}
