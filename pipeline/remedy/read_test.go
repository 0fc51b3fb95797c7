package remedy_test

import (
	"bytes"
	"reflect"
	"strings"
	"testing"

	"spadefoot/pipeline/record"
	"spadefoot/pipeline/remedy"
)

const headings = "file,sheet,row,column,capture,field,found,action,replacement,rule,who,when,why\n"

func TestRead(t *testing.T) {
	tests := []struct {
		what, row string
		want      remedy.Remedy
		wrong     string // after "remedies.csv, line 2"
	}{
		{what: "an address", row: "june.csv,,3,H,,,\"73,9\",replace,\"37,9\",,I. Varga,2024-09-02,digits exchanged", want: remedy.Remedy{Line: 2,
			At: record.Address{File: "june.csv", Row: 3, Column: 8}, Found: "73,9", Action: remedy.Replace, Replacement: "37,9", Who: "I. Varga", When: "2024-09-02", Why: "digits exchanged"}},
		{what: "a column by its number", row: "june.csv,,3,8,,,q,clear,,,I. Varga,2024-09-02,x", want: remedy.Remedy{Line: 2,
			At: record.Address{File: "june.csv", Row: 3, Column: 8}, Found: "q", Action: remedy.Clear, Who: "I. Varga", When: "2024-09-02", Why: "x"}},
		{what: "a capture", row: ",,,,MC24-002,tibiaLength,\"73,9\",Confirm,,value-off-line,I. Varga,2024-09-02,x", want: remedy.Remedy{Line: 2,
			Capture: "MC24-002", Field: "tibiaLength", Found: "73,9", Action: remedy.Confirm, Rule: "value-off-line", Who: "I. Varga", When: "2024-09-02", Why: "x"}},
		{what: "a proposal needs nothing more", row: "june.csv,,3,H,,,\"73,9\",,\"37,9\",value-off-line,,,", want: remedy.Remedy{Line: 2,
			At: record.Address{File: "june.csv", Row: 3, Column: 8}, Found: "73,9", Replacement: "37,9", Rule: "value-off-line"}},
		{what: "a suggestion may stay beside confirm", row: "june.csv,,3,H,,,\"73,9\",confirm,\"37,9\",value-off-line,A,2024-09-02,x", want: remedy.Remedy{Line: 2,
			At: record.Address{File: "june.csv", Row: 3, Column: 8}, Found: "73,9", Action: remedy.Confirm, Replacement: "37,9", Rule: "value-off-line", Who: "A", When: "2024-09-02", Why: "x"}},
		{what: "a blank cell may be filled", row: "june.csv,,3,H,,,,replace,B1,,A,2024-09-02,x", want: remedy.Remedy{Line: 2,
			At: record.Address{File: "june.csv", Row: 3, Column: 8}, Action: remedy.Replace, Replacement: "B1", Who: "A", When: "2024-09-02", Why: "x"}},

		{what: "row", row: "june.csv,,three,H,,,1,replace,2,,A,2024-09-02,x", wrong: `, column row: found "three"; write the number of the row, from 1`},
		{what: "column", row: "june.csv,,3,H1,,,1,replace,2,,A,2024-09-02,x", wrong: `, column column: found "H1"; write the letters of the column, as in H`},
		{what: "no cell", row: ",,,,,,1,replace,2,,A,2024-09-02,x", wrong: ", column file: is empty, and so is capture; name the cell by file, row and column, or by capture and field"},
		{what: "no row", row: "june.csv,,,H,,,1,replace,2,,A,2024-09-02,x", wrong: ", column row: is empty, and so is capture; name the cell by file, row and column, or by capture and field"},
		{what: "no column", row: "june.csv,,3,,,,1,replace,2,,A,2024-09-02,x", wrong: ", column column: is empty; write the letters of the column"},
		{what: "no field", row: ",,,,MC24-002,,1,replace,2,,A,2024-09-02,x", wrong: ", column field: is empty; a capture needs a field (or a column) beside it"},
		{what: "action", row: "june.csv,,3,H,,,1,delete,,,A,2024-09-02,x", wrong: `, column action: found "delete"; allowed: replace, confirm, clear, drop, or nothing for an undecided row`},
		{what: "no replacement", row: "june.csv,,3,H,,,1,replace,,,A,2024-09-02,x", wrong: ", column replacement: is empty; write the new text of the cell, or use clear"},
		{what: "the same", row: "june.csv,,3,H,,,1,replace,1,,A,2024-09-02,x", wrong: ", column replacement: is the same as found; use confirm if the text is right"},
		{what: "clear with a replacement", row: "june.csv,,3,H,,,1,clear,2,,A,2024-09-02,x", wrong: ", column replacement: cannot be used with clear; use replace, or empty the cell"},
		{what: "nothing to clear", row: "june.csv,,3,H,,,,clear,,,A,2024-09-02,x", wrong: ", column found: is empty; there is nothing to clear"},
		{what: "no rule", row: "june.csv,,3,H,,,1,confirm,,,A,2024-09-02,x", wrong: ", column rule: is empty; write the code of the finding that is confirmed"},
		{what: "unknown rule", row: "june.csv,,3,H,,,1,confirm,,value-odd,A,2024-09-02,x", wrong: `, column rule: found "value-odd", which is not a rule; findings.csv has the codes`},
		{what: "nobody", row: "june.csv,,3,H,,,1,replace,2,,,2024-09-02,x", wrong: ", column who: is empty; write who decided this"},
		{what: "a day that is none", row: "june.csv,,3,H,,,1,replace,2,,A,2/9/2024,x", wrong: `, column when: found "2/9/2024"; write the day of the decision as year-month-day, such as 2024-09-02`},
		{what: "no reason", row: "june.csv,,3,H,,,1,replace,2,,A,2024-09-02,", wrong: ", column why: is empty; write the reason for the decision"},
	}
	for _, tt := range tests {
		got, err := remedy.Read(strings.NewReader(headings+tt.row+"\n"), "remedies.csv")
		if tt.wrong != "" {
			if err == nil || err.Error() != "remedies.csv, line 2"+tt.wrong {
				t.Errorf("%s: error %v, want …%s", tt.what, err, tt.wrong)
			}
			continue
		}
		tt.want.File = "remedies.csv"
		if err != nil || len(got) != 1 || !reflect.DeepEqual(got[0], tt.want) {
			t.Errorf("%s: %+v, %v; want %+v", tt.what, got, err, tt.want)
		}
	}
}

// Every mistake of a table is reported, not the first only.
func TestReadTellsEveryMistake(t *testing.T) {
	_, err := remedy.Read(strings.NewReader(headings+"june.csv,,3,H,,,1,replace,2,,,2024-09-02,x\njune.csv,,0,H,,,1,replace,2,,A,2024-09-02,x\n"), "remedies.csv")
	if err == nil || !strings.Contains(err.Error(), "line 2, column who") || !strings.Contains(err.Error(), "line 3, column row") {
		t.Error(err)
	}
}

// What is written reads back as it was.
func FuzzRead(f *testing.F) {
	f.Add(headings + "june.csv,,3,H,,,\"73,9\",replace,\"37,9\",,I. Varga,2024-09-02,digits exchanged\n")
	f.Add(headings + ",,,,MC24-002,tibiaLength,\" 73,9\",confirm,,value-off-line,A,2024-09-02,x\n")
	f.Add(strings.ReplaceAll(headings, ",", ";") + "june.csv;;3;AA;;;\"a\nb\";;;;;;\n")
	f.Add("action,found,who,when,why,doubt\n,,,,,\"\"\"\"\n")
	f.Fuzz(func(t *testing.T, text string) {
		first, err := remedy.Read(strings.NewReader(text), "remedies.csv")
		if err != nil {
			return
		}
		var b bytes.Buffer
		if err := remedy.Write(&b, first); err != nil {
			t.Fatal(err)
		}
		again, err := remedy.Read(&b, "remedies.csv")
		if err != nil && len(first) > 0 {
			t.Fatalf("%v in\n%s", err, b.String())
		}
		var kept []remedy.Remedy // a row with nothing in it is not a row when it is read again
		for _, r := range first {
			r.File, r.Line, r.Beside, r.Earlier = "", 0, "", "" // the latter two are in workbooks only
			if !reflect.DeepEqual(r, remedy.Remedy{}) {
				kept = append(kept, r)
			}
		}
		for i := range again {
			again[i].File, again[i].Line = "", 0
		}
		if len(kept) != len(again) || len(kept) > 0 && !reflect.DeepEqual(kept, again) {
			t.Fatalf("%+v\n%+v", kept, again)
		}
	})
}
