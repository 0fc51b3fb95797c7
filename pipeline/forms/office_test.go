package forms

import (
	"archive/zip"
	"bytes"
	"context"
	"encoding/xml"
	"errors"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/xuri/excelize/v2"

	"spadefoot/pipeline/record/need"
	"spadefoot/pipeline/sheet"
)

// office has LibreOffice open a workbook and save it as ODS.
func office(t *testing.T, book []byte) string {
	t.Helper()
	program := need.Tool(t, "soffice")
	dir := t.TempDir()
	from := filepath.Join(dir, "form.xlsx")
	if err := os.WriteFile(from, book, 0o644); err != nil {
		t.Fatal(err)
	}
	ctx, stop := context.WithTimeout(t.Context(), 2*time.Minute)
	defer stop()
	c := exec.CommandContext(ctx, program, "-env:UserInstallation=file://"+filepath.Join(dir, "profile"), "--headless", "--convert-to", "ods", "--outdir", dir, from)
	if text, err := c.CombinedOutput(); err != nil {
		t.Fatalf("%v: %s", err, text)
	}
	return filepath.Join(dir, "form.ods")
}

// beside is the column from which formulas stand, to the right of what is
// typed; there is one tab for each judgement and one for a whole row.
const beside = 40

// asTyped fills the tabs of a form and has each check worked out beside it.
func asTyped(t *testing.T, w *Workbook) []byte {
	t.Helper()
	f := opened(t, w)
	put := func(tab string, column int, text string) {
		cell, _ := excelize.CoordinatesToCellName(column, 2)
		if err := f.SetCellStr(tab, cell, text); err != nil {
			t.Fatal(err)
		}
	}
	for i, text := range wholeRow {
		put(w.Sessions[len(judgements)], i+1, text)
	}
	for n, j := range judgements {
		for i, c := range w.Columns {
			if text, ok := j.typed[c.Heading]; ok {
				put(w.Sessions[n], i+1, text)
			}
			if c.Check == nil || c.Check.Formula == "" {
				continue
			}
			at, _ := excelize.CoordinatesToCellName(beside+i, 2)
			if err := f.SetCellFormula(w.Sessions[n], at, "IF("+c.Check.Formula+`,"fits","odd")`); err != nil {
				t.Fatal(err)
			}
		}
	}
	var b bytes.Buffer
	if err := f.Write(&b); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

var wholeRow = []string{"MC-001", "2024-06-21", "21:40", "Tern Slough", "LISY", "female", "adult", "57.0", "28.10", "17,0", "6.3", "3.6", "017.5", "5.0", "Ines Varga", "=x", "1-2"}

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

// Opened and saved by LibreOffice, the form has the same headings, what was
// typed, and its checks; worked out there, they warn about what is odd and
// nothing else.
func TestOffice(t *testing.T) {
	need.Fullest(t)
	t.Parallel()
	form := planned(t, func(s *Source) { s.Sessions = len(judgements) + 1 })
	w := form.Workbook()
	file := office(t, asTyped(t, w))
	sheets, _, err := sheet.Read("form.ods", file, sheet.Options{Tabs: []string{SessionTabs}})
	if err != nil || len(sheets) != len(judgements)+1 {
		t.Fatalf("%d tabs, %v", len(sheets), err)
	}
	text := func(tab, row, column int) string {
		for _, r := range sheets[tab].Rows {
			if r.Number == row && column <= len(r.Cells) {
				return r.Cells[column-1].Text
			}
		}
		return ""
	}
	for i, h := range headings(form) {
		if got := text(len(judgements), 1, i+1); got != h {
			t.Errorf("heading %q became %q", h, got)
		}
		if got := text(len(judgements), 2, i+1); got != wholeRow[i] {
			t.Errorf("%s: %q became %q", h, wholeRow[i], got)
		}
	}
	for n, j := range judgements {
		var warns []string
		for i, c := range w.Columns {
			if _, typed := j.typed[c.Heading]; typed && c.Check != nil && c.Check.Formula != "" && text(n, 2, beside+i) != "fits" {
				warns = append(warns, c.Heading)
			}
		}
		if !slices.Equal(warns, j.warns) {
			t.Errorf("%v: warns about %q, want %q", j.typed, warns, j.warns)
		}
	}
	survives(t, w, file)
}

// survives holds the checks that an ODS file has against the description.
func survives(t *testing.T, w *Workbook, file string) {
	t.Helper()
	z, err := zip.OpenReader(file)
	if err != nil {
		t.Fatal(err)
	}
	defer z.Close()
	content, err := z.Open("content.xml")
	if err != nil {
		t.Fatal(err)
	}
	defer content.Close()
	kinds := map[string]string{} // title of a check to its condition
	condition := ""
	for d := xml.NewDecoder(content); ; {
		token, err := d.Token()
		if errors.Is(err, io.EOF) {
			break
		} else if err != nil {
			t.Fatal(err)
		}
		e, ok := token.(xml.StartElement)
		if !ok {
			continue
		}
		a := map[string]string{}
		for _, x := range e.Attr {
			a[x.Name.Local] = x.Value
		}
		switch e.Name.Local {
		case "content-validation":
			condition = a["condition"]
		case "error-message":
			if a["message-type"] == "warning" && a["display"] == "true" {
				kinds[a["title"]] = condition
			}
		}
	}
	for _, c := range w.Columns {
		if c.Check == nil {
			continue
		}
		want := "is-true-formula("
		if c.Check.List != "" {
			want = "cell-content-is-in-list(" + c.Check.List + ")"
		}
		if got := kinds[c.Check.Title]; !strings.Contains(got, want) {
			t.Errorf("the check of %s became %q", c.Heading, got)
		}
	}
}
