package forms

import (
	"bytes"
	"context"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/xuri/excelize/v2"

	"spadefoot/pipeline/record"
	"spadefoot/pipeline/record/need"
	"spadefoot/pipeline/sheet"
)

// office has LibreOffice open a workbook and save it as another kind. The
// profile is shared, since making one takes longer than all the rest.
func office(t *testing.T, profile string, book []byte, kind string) string {
	t.Helper()
	program := need.Tool(t, "soffice")
	dir := t.TempDir()
	from := filepath.Join(dir, "form.xlsx")
	if err := os.WriteFile(from, book, 0o644); err != nil {
		t.Fatal(err)
	}
	out := filepath.Join(dir, "out")
	ctx, stop := context.WithTimeout(t.Context(), time.Minute)
	defer stop()
	c := exec.CommandContext(ctx, program, "-env:UserInstallation=file://"+profile, "--headless", "--convert-to", kind, "--outdir", out, from)
	if text, err := c.CombinedOutput(); err != nil {
		t.Fatalf("%v: %s", err, text)
	}
	return filepath.Join(out, "form."+kind)
}

func TestOffice(t *testing.T) {
	t.Parallel()
	profile := t.TempDir()
	t.Run("typed", func(t *testing.T) { keepsWhatIsTyped(t, profile) })
	t.Run("checks", func(t *testing.T) { worksOutTheChecks(t, profile) })
}

// Opened and saved as ODS by LibreOffice, the form has the same headings and
// what was typed.
func keepsWhatIsTyped(t *testing.T, profile string) {
	form := planned(t, nil)
	f := opened(t, form.Workbook())
	typed := []string{"MC-001", "2024-06-21", "21:40", "Tern Slough", "LISY", "female", "adult", "57.0", "28.10", "17,0", "6.3", "3.6", "017.5", "5.0", "Ines Varga", "=x", "1-2"}
	for i, s := range typed {
		cell, _ := excelize.CoordinatesToCellName(i+1, 2)
		if err := f.SetCellStr("Session 1", cell, s); err != nil {
			t.Fatal(err)
		}
	}
	var b bytes.Buffer
	if err := f.Write(&b); err != nil {
		t.Fatal(err)
	}
	sheets, _, err := sheet.Read("form.ods", office(t, profile, b.Bytes(), "ods"), sheet.Options{Tabs: []string{"Session 1"}})
	if err != nil {
		t.Fatal(err)
	}
	var rows [][]string
	for _, r := range sheets[0].Rows {
		var row []string
		for _, c := range r.Cells {
			row = append(row, c.Text)
		}
		rows = append(rows, row)
	}
	if len(rows) != 2 || !slices.Equal(rows[0], headings(form)) || !slices.Equal(rows[1], typed) {
		t.Errorf("got %q", rows)
	}
}

// judged is one row typed into a form, and the headings whose check warns.
type judged struct {
	typed map[string]string
	warns []string
}

var judgements = []judged{
	{map[string]string{"Field No": "1", "Date": "2024-06-21", "Time": "21:40", "Species": "Lithobates sylvaticus", "Stage": "adult", "SVL (mm)": "57.0", "Gross (g)": "24.5", "Bag (g)": "5.0"}, nil},
	{map[string]string{"SVL (mm)": "57,5", "Species": "LISY", "Stage": "adult"}, nil},
	{map[string]string{"SVL (mm)": "570", "Species": "Lithobates sylvaticus", "Stage": "adult"}, []string{"SVL (mm)"}},
	{map[string]string{"SVL (mm)": "83", "Species": "LISY", "Stage": "adult"}, nil},
	{map[string]string{"SVL (mm)": "83.1", "Species": "LISY", "Stage": "adult"}, []string{"SVL (mm)"}},
	{map[string]string{"SVL (mm)": "83,1", "Species": "ANAM", "Stage": "adult"}, nil},
	{map[string]string{"SVL (mm)": "39", "Species": "Anaxyrus americanus", "Stage": "adult"}, []string{"SVL (mm)"}},
	{map[string]string{"SVL (mm)": "21", "Species": "Anaxyrus americanus", "Stage": "juvenile"}, nil},
	{map[string]string{"SVL (mm)": "21"}, nil},
	{map[string]string{"SVL (mm)": "-21"}, []string{"SVL (mm)"}},
	{map[string]string{"Tibia (mm)": "151"}, []string{"Tibia (mm)"}},
	{map[string]string{"Tibia (mm)": "28.1 mm"}, []string{"Tibia (mm)"}},
	{map[string]string{"Tibia (mm)": "57.5?"}, []string{"Tibia (mm)"}},
	{map[string]string{"Gross (g)": "101"}, []string{"Gross (g)"}},
	{map[string]string{"Gross (g)": "0"}, []string{"Gross (g)"}},
	{map[string]string{"Gross (g)": "5.0", "Bag (g)": "24.5"}, []string{"Bag (g)"}},
	{map[string]string{"Gross (g)": "24,5", "Bag (g)": "5,0"}, nil},
	{map[string]string{"Bag (g)": "5.0"}, nil},
	{map[string]string{"Date": "21/06/2024"}, []string{"Date"}},
	{map[string]string{"Date": "2024-06-31"}, []string{"Date"}},
	{map[string]string{"Date": "2024-09-01"}, []string{"Date"}},
	{map[string]string{"Date": "2024-03-31"}, []string{"Date"}},
	{map[string]string{"Time": "half past nine"}, []string{"Time"}},
}

// The checks, worked out by LibreOffice, warn about what is odd and nothing
// else; they are still there when it has saved the workbook.
func worksOutTheChecks(t *testing.T, profile string) {
	form := planned(t, func(s *Source) { s.Sessions = len(judgements) })
	w := form.Workbook()
	f := opened(t, w)
	const beside = 40 // formulas stand beside what is typed, one tab a row
	for n, j := range judgements {
		tab := w.Sessions[n]
		for i, c := range w.Columns {
			cell, _ := excelize.CoordinatesToCellName(i+1, 2)
			if s, ok := j.typed[c.Heading]; ok {
				if err := f.SetCellStr(tab, cell, s); err != nil {
					t.Fatal(err)
				}
			}
			if c.Check == nil || c.Check.Formula == "" {
				continue
			}
			at, _ := excelize.CoordinatesToCellName(beside+i, 2)
			if err := f.SetCellFormula(tab, at, c.Check.Formula); err != nil {
				t.Fatal(err)
			}
		}
	}
	var b bytes.Buffer
	if err := f.Write(&b); err != nil {
		t.Fatal(err)
	}
	back, err := excelize.OpenFile(office(t, profile, b.Bytes(), "xlsx"))
	if err != nil {
		t.Fatal(err)
	}
	defer back.Close()
	for n, j := range judgements {
		var warns []string
		for i, c := range w.Columns {
			if _, typed := j.typed[c.Heading]; !typed || c.Check == nil || c.Check.Formula == "" {
				continue
			}
			at, _ := excelize.CoordinatesToCellName(beside+i, 2)
			if v, _ := back.GetCellValue(w.Sessions[n], at); v != "TRUE" {
				warns = append(warns, c.Heading)
			}
		}
		if !slices.Equal(warns, j.warns) {
			t.Errorf("%v: warns about %q, want %q", j.typed, warns, j.warns)
		}
	}
	survives(t, w, back)
}

// survives holds the checks of a saved workbook against the description.
func survives(t *testing.T, w *Workbook, back *excelize.File) {
	t.Helper()
	vs, err := back.GetDataValidations(w.Sessions[1])
	if err != nil {
		t.Fatal(err)
	}
	for i, c := range w.Columns {
		if c.Check == nil {
			continue
		}
		first := record.ColumnLetters(i+1) + "2"
		at := slices.IndexFunc(vs, func(v *excelize.DataValidation) bool {
			return v.Sqref == first || strings.HasPrefix(v.Sqref, first+":")
		})
		if at < 0 {
			t.Errorf("%s has no check any more", c.Heading)
			continue
		}
		kind := map[bool]string{true: "list", false: "custom"}[c.Check.List != ""]
		if v := vs[at]; v.Type != kind || v.ErrorStyle == nil || *v.ErrorStyle != "warning" || v.ErrorTitle == nil || *v.ErrorTitle != c.Check.Title {
			t.Errorf("the check of %s changed: %s", c.Heading, fmt.Sprintf("%+v", v))
		}
	}
	if id, err := back.GetColStyle(w.Sessions[1], "H"); err != nil || id == 0 {
		t.Errorf("column H is not formatted any more: %v", err)
	}
}
