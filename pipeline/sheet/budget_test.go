package sheet

import (
	"fmt"
	"strings"
	"testing"

	"github.com/xuri/excelize/v2"

	"spadefoot/pipeline/record/budget"
)

// Files of a few kilobytes that ask for far more end at their budget, with an
// error that names it.
func TestBudgets(t *testing.T) {
	row := func(repeat, across int, text string) string {
		return fmt.Sprintf(`<table:table-row table:number-rows-repeated="%d"><table:table-cell table:number-columns-repeated="%d" office:value-type="string"><text:p>%s</text:p></table:table-cell></table:table-row>`, repeat, across, text)
	}
	shared := func(length, times int) []byte {
		return xlsxBytes(t, func(f *excelize.File) {
			for i := range times {
				must(t, f.SetCellValue("Sheet1", fmt.Sprintf("A%d", i+1), strings.Repeat("x", length)))
			}
		})
	}
	far := xlsxBytes(t, func(f *excelize.File) {
		for i := range 20 {
			must(t, f.SetCellValue("Sheet1", fmt.Sprintf("XFD%d", i+1), "x"))
		}
	})
	for name, test := range map[string]struct {
		file    string
		text    []byte
		budgets budget.Budgets
		key     string
	}{
		"repeated rows":            {"t.ods", odsBytes(t, "", row(1_000_000, 1, "x"), nil), budget.Budgets{}, "repeated"},
		"repeated cells":           {"t.ods", odsBytes(t, "", row(1, 16_000, "x"), nil), budget.Budgets{}, "columns"},
		"one long text":            {"t.ods", odsBytes(t, "", row(1, 1, strings.Repeat("x", 1<<19)), nil), budget.Budgets{}, "cell"},
		"a long run of blanks":     {"t.ods", odsBytes(t, "", row(1, 1, `<text:s text:c="1000"/>`+strings.Repeat(`<text:s text:c="1000"/>`, 300)), nil), budget.Budgets{}, "cell"},
		"a long shared text":       {"t.xlsx", shared(30_000, 3), budget.Budgets{Cell: 20_000}, "cell"},
		"a text that many share":   {"t.xlsx", shared(30_000, 50), budget.Budgets{Text: 1_000_000}, "text"},
		"cells far to the right":   {"t.xlsx", far, budget.Budgets{Cells: 100_000}, "cells"},
		"more than it may unpack":  {"t.xlsx", far, budget.Budgets{Unpacked: 2_000}, "unpacked"},
		"a row of many cells":      {"t.csv", []byte("a,b\n" + strings.Repeat("1,", 20_000) + "\n"), budget.Budgets{}, "columns"},
		"a cell without end":       {"t.csv", []byte("a,b\n1," + strings.Repeat("x", 1<<19) + "\n"), budget.Budgets{}, "cell"},
		"blank cells in each line": {"t.csv", []byte("a,b\n" + strings.Repeat("1"+strings.Repeat(",", 1000)+"\n", 50)), budget.Budgets{Cells: 20_000}, "cells"},
	} {
		_, _, err := readBytes(test.file, test.text, Options{Budgets: test.budgets})
		e, ok := err.(*Error)
		if !ok || e.File != test.file || !strings.Contains(e.Advice, "budgets."+test.key+" ") {
			t.Errorf("%s: %v", name, err)
		}
	}
}

// What is blank costs nothing, however often it is there.
func TestBlankRepeatsCostNothing(t *testing.T) {
	cell := `<table:table-row><table:table-cell office:value-type="string"><text:p>x</text:p></table:table-cell></table:table-row>`
	rows := cell + `<table:table-row table:number-rows-repeated="1000000"><table:table-cell table:number-columns-repeated="16384"/></table:table-row>` + cell
	for name, text := range map[string][]byte{
		"t.ods": odsBytes(t, "", rows, nil),
		"t.csv": []byte("x\n" + strings.Repeat("\n", 1_000_000) + "x\n"),
		"u.csv": []byte("x,y\n" + strings.Repeat(",\n", 300_000) + "x,y\n"),
	} {
		sheets, _, err := readBytes(name, text, Options{Budgets: budget.Budgets{Cells: 5000, Repeated: 10}})
		must(t, err)
		if n := len(sheets[0].Rows); n > maxBlanks {
			t.Errorf("%s: %d rows", name, n)
		}
		if last := sheets[0].Rows[len(sheets[0].Rows)-1]; last.Number < 300_000 || last.Cells[0].Text != "x" {
			t.Errorf("%s: ends with %v", name, last)
		}
	}
}

// The lines of a short run of blank ones are given, whatever separators stand
// in them; those at the end are not.
func TestShortRunsOfBlankLinesAreGiven(t *testing.T) {
	sheets, _, err := readBytes("t.csv", []byte("a,b\n,\n\n1,2\n,\n\n"), Options{})
	must(t, err)
	var numbers []int
	for _, r := range sheets[0].Rows {
		numbers = append(numbers, r.Number)
	}
	if fmt.Sprint(numbers) != "[1 2 3 4]" {
		t.Errorf("got the lines %v", numbers)
	}
}

func TestSharedTextsAreUnescaped(t *testing.T) {
	for text, want := range map[string]string{"a_x000D_b": "a\rb", "_x005F_x000D_": "_x000D_", "_x": "_x", "_x00e9_": "é", "_x00G0_": "_x00G0_"} {
		if got := unescaped(text); got != want {
			t.Errorf("%q: got %q, want %q", text, got, want)
		}
	}
}
