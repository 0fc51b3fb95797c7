package remedy_test

import (
	"errors"
	"slices"
	"strings"
	"testing"

	"spadefoot/pipeline/record"
	"spadefoot/pipeline/remedy"
)

func TestList(t *testing.T) {
	for _, tt := range []struct {
		texts []string
		want  string
	}{
		{[]string{"x", "x"}, "x"},
		{[]string{"38.9", "27.2"}, "38.9 | 27.2"},
		{[]string{"", "5"}, " | 5"},
		{[]string{"", ""}, ""},
		{[]string{"a | b", `c\`}, `a \| b | c\\`},
	} {
		if got := remedy.List(tt.texts); got != tt.want {
			t.Errorf("%q: %q, want %q", tt.texts, got, tt.want)
		}
		if back, ok := remedy.Listed(tt.want, len(tt.texts)); !ok || !slices.Equal(back, tt.texts) {
			t.Errorf("%q: read as %q", tt.want, back)
		}
	}
	if _, ok := remedy.Listed("a | b", 3); ok {
		t.Error("two texts for three cells")
	}
}

func FuzzList(f *testing.F) {
	f.Add("a", "b", "")
	f.Add("|", `\`, `\|`)
	f.Fuzz(func(t *testing.T, a, b, c string) {
		texts := []string{strings.TrimSpace(a), strings.TrimSpace(b), strings.TrimSpace(c)}
		if back, ok := remedy.Listed(remedy.List(texts), 3); !ok || !slices.Equal(back, texts) {
			t.Errorf("%q: %q, read as %q", texts, remedy.List(texts), back)
		}
	})
}

const severalHead = "file,row,column,cells,found,action,replacement,rule,who,when,why\n"

func TestReadSeveralCells(t *testing.T) {
	rs, err := remedy.Read(strings.NewReader(severalHead+"june.csv,2,D,D3:D4; E2,61.9 | 57.5 | 73.9 | 61.8,replace,61.8 | 57.5 |  | 61.9,columns-swapped,A,2024-09-02,looked\n"), "remedies.csv")
	if err != nil || len(rs) != 1 || !slices.Equal(rs[0].Also, []record.Address{at(3, 4), at(4, 4), at(2, 5)}) {
		t.Fatalf("%+v, %v", rs, err)
	}
	table := frogs()
	if _, err := remedy.Apply(rs, cells(table), remedy.Options{}); err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		row, column int
		text        string
	}{{2, 4, "61.8"}, {3, 4, "57.5"}, {4, 4, ""}, {2, 5, "61.9"}} {
		if got := table.Rows[c.row-2].Cells[c.column-1]; got.Text != c.text || got.Remedied != (c.row != 3) {
			t.Errorf("row %d, column %d: %q", c.row, c.column, got.Text)
		}
	}
	for row, want := range map[string]string{
		"june.csv,2,D,E,a | b,clear,,,A,2024-09-02,x":            `column cells: found "E"`,
		"june.csv,2,D,D5:E9,a | b,clear,,,A,2024-09-02,x":        "one column",
		"june.csv,2,D,E2,a | b | c,clear,,,A,2024-09-02,x":       "has 3 texts for 2 cells",
		"june.csv,2,D,E2,a | b,replace,a | b,,A,2024-09-02,x":    "same as found",
		"june.csv,,D,E2,a | b,replace,b | a,,A,2024-09-02,x":     "needs file, row and column",
		"june.csv,2,D,E2:E99999999,a,clear,,,A,2024-09-02,x":     "found",
		"june.csv,2,D,E2,61.9 | x,replace,b | a,,A,2024-01-02,x": "",
	} {
		rs, err := remedy.Read(strings.NewReader(severalHead+row+"\n"), "remedies.csv")
		if want != "" {
			if err == nil || !strings.Contains(err.Error(), want) {
				t.Errorf("%s: %v, want %s", row, err, want)
			}
			continue
		}
		// One cell that does not hold its text, and none of the decision is carried out.
		table := frogs()
		var ms remedy.Mismatches
		if _, err := remedy.Apply(rs, cells(table), remedy.Options{}); !errors.As(err, &ms) || table.Rows[0].Cells[3].Text != "61.9" {
			t.Errorf("%s: %v", row, err)
		}
	}
}

// A confirmation of one slip in several cells answers its finding; the same word
// in many cells is answered cell by cell.
func TestConfirmSeveralCells(t *testing.T) {
	table := frogs()
	swap := record.Finding{Rule: "columns-swapped", Level: record.Error, At: at(2, 4), Also: []record.Address{at(2, 5)}, Spread: record.Together, Reason: "exchanged"}
	word := finding("word-unknown", at(2, 3), "F", at(4, 3), at(5, 3))
	rs := []remedy.Remedy{
		confirms(remedy.Remedy{Line: 2, At: at(2, 4), Also: []record.Address{at(2, 5)}, Found: "61.9 | 61.8", Rule: "columns-swapped"}),
		confirms(remedy.Remedy{Line: 3, At: at(4, 3), Also: []record.Address{at(5, 3)}, Found: "F", Rule: "word-unknown"}),
	}
	out, err := remedy.Apply(rs, cells(table), remedy.Options{})
	if err != nil {
		t.Fatal(err)
	}
	got := out.Silence([]record.Finding{swap, word}, cells(table).Key)
	if len(got) != 1 || got[0].Rule != "word-unknown" || len(got[0].Also) != 0 || len(out.Idle(nil)) != 0 {
		t.Errorf("%+v, %+v", got, out.Idle(nil))
	}
}

func TestDrop(t *testing.T) {
	row := record.Address{File: "june.csv", Row: 5}
	for _, tt := range []struct {
		what  string
		r     remedy.Remedy
		wrong string
		none  bool
	}{
		{what: "a row by what it holds", r: remedy.Remedy{At: row, Found: "MC-3 | Alder Seep | F | 40.0 | 40.1 | 5.0"}},
		{what: "a row and its key", r: remedy.Remedy{At: row, Capture: "MC-3"}},
		{what: "a cell of it", r: remedy.Remedy{At: at(5, 4), Found: "40.0"}},
		{what: "a key that stands twice", r: remedy.Remedy{Capture: "MC-3"}, wrong: "is in 2 rows"},
		{what: "another row", r: remedy.Remedy{At: row, Found: "MC-3 | Tern Slough"}, wrong: "was made for"},
		{what: "no such key", r: remedy.Remedy{Capture: "MC-9"}, none: true},
	} {
		tt.r.Action = remedy.Drop
		out, err := remedy.Apply([]remedy.Remedy{decided(tt.r)}, cells(frogs()), remedy.Options{})
		if tt.wrong != "" {
			if err == nil || !strings.Contains(err.Error(), tt.wrong) {
				t.Errorf("%s: %v", tt.what, err)
			}
			continue
		}
		if err != nil {
			t.Errorf("%s: %v", tt.what, err)
			continue
		}
		captures := []*record.Capture{{Key: "MC-3", File: "june.csv", Row: 4, Table: 1}, {Key: "MC-3", File: "june.csv", Row: 5, Table: 1}}
		kept, dropped := out.Keep(captures)
		if tt.none {
			if len(kept) != 2 || len(out.Findings) != 1 {
				t.Errorf("%s: %d kept, %+v", tt.what, len(kept), out.Findings)
			}
			continue
		}
		if len(kept) != 1 || kept[0].Row != 4 || len(dropped) != 1 || len(out.NotDropped()) != 0 {
			t.Errorf("%s: %d kept, %d dropped", tt.what, len(kept), len(dropped))
		}
		found := []record.Finding{{Rule: "word-unknown", At: at(5, 3)}, {Rule: "word-unknown", At: at(4, 3)}}
		if left := out.Silence(found, nil); len(left) != 1 || left[0].At != at(4, 3) {
			t.Errorf("%s: findings left: %+v", tt.what, left)
		}
	}
}

func TestMerge(t *testing.T) {
	proposal := remedy.Remedy{At: at(2, 3), Found: "q", Rule: "word-unknown"}
	m, f := proposal, proposal
	m.Action, m.Replacement, m.Beside = remedy.Replace, "M", "the row"
	f.Action, f.Replacement, f.File, f.Line = remedy.Replace, "F", "remedies.xlsx", 7
	other := remedy.Remedy{At: at(3, 3), Found: "q", Rule: "word-unknown"}
	got, err := remedy.Merge([]remedy.Remedy{proposal, other}, []remedy.Remedy{decided(m), other})
	if err != nil || len(got) != 2 || got[0].Replacement != "M" || got[0].Beside != "the row" {
		t.Errorf("%+v, %v", got, err)
	}
	if _, err := remedy.Merge([]remedy.Remedy{decided(m)}, []remedy.Remedy{f}); err == nil || !strings.Contains(err.Error(), "remedies.xlsx, line 7: contradicts remedies.csv, line 2") {
		t.Errorf("%v", err)
	}
	if got := remedy.Revise([]remedy.Remedy{proposal, other}, []remedy.Remedy{decided(m)}); len(got) != 2 || got[0].Replacement != "M" || got[1].Action != "" {
		t.Errorf("%+v", got)
	}
}
