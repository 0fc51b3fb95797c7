package sheet

import (
	"archive/zip"
	"bytes"
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/xuri/excelize/v2"

	"spadefoot/schemas"

	"spadefoot/pipeline/record/budget"
)

// TestBadInputs has each kind of file that cannot be read: the error says what
// it is and what to do.
func TestBadInputs(t *testing.T) {
	dir := t.TempDir()
	write := func(name string, b []byte) { must(t, os.WriteFile(filepath.Join(dir, name), b, 0o600)) }
	book := xlsxBytes(t, func(f *excelize.File) {
		for i := range 3000 {
			must(t, f.SetSheetRow("Sheet1", "A"+string(rune('1'+i%9)), &[]any{"x", i}))
		}
	})
	f := excelize.NewFile()
	var locked bytes.Buffer
	must(t, f.Write(&locked, excelize.Options{Password: "pond"}))
	jpeg := append([]byte("\xff\xd8\xff\xe0\x00\x10JFIF\x00"), bytes.Repeat([]byte{0, 7, 200}, 500)...)
	write("empty.csv", nil)
	write("blank.csv", []byte(" \n"))
	write("picture.csv", jpeg)
	write("noise.csv", bytes.Repeat([]byte{1, 2, 3, 250, 0, 9}, 300))
	write("zeros.csv", make([]byte, 4096))
	write("cut.xlsx", book[:len(book)*2/3])
	write("locked.xlsx", locked.Bytes())
	write("page.xls", []byte("<html><table><tr><td>1</td></tr></table></html>"))
	write("markup.xls", []byte("<?xml version=\"1.0\"?><Workbook/>"))
	write("packed.zip", rezip(t, book, func(name string, part []byte) []byte {
		if strings.HasPrefix(name, "xl/") {
			return nil
		}
		return part
	}))
	must(t, os.Mkdir(filepath.Join(dir, "sheets"), 0o700))
	must(t, os.Symlink(filepath.Join(dir, "gone.csv"), filepath.Join(dir, "dangling.csv")))
	outside := filepath.Join(t.TempDir(), "out.csv")
	must(t, os.WriteFile(outside, []byte("a,b\n"), 0o600))
	must(t, os.Symlink(outside, filepath.Join(dir, "link.csv")))
	for _, test := range []struct {
		name  string
		o     Options
		cause string
	}{
		{"empty.csv", Options{}, "file is empty"},
		{"blank.csv", Options{}, ""}, // a line with a blank on it is a line
		{"picture.csv", Options{}, "JPEG picture"},
		{"noise.csv", Options{}, "not text"},
		{"zeros.csv", Options{}, "zero bytes"},
		{"cut.xlsx", Options{}, "damaged"},
		{"locked.xlsx", Options{}, "protected by a password"},
		{"page.xls", Options{}, "web page"},
		{"markup.xls", Options{}, "XML file"},
		{"packed.zip", Options{}, "packed folder"},
		{"sheets", Options{}, "folder, not a file"},
		{"gone.csv", Options{}, "no such file"},
		{"dangling.csv", Options{}, "link to a missing file"},
		{"link.csv", Options{}, "link leads out"},
		{"../out.csv", Options{}, "out of the survey folder"},
		{"/etc/hosts", Options{}, "out of the survey folder"},
		{"blank.csv", Options{Tabs: []string{"Spring"}}, "text file"},
	} {
		_, _, err := Read(test.name, filepath.Join(dir, test.name), test.o)
		if test.cause == "" {
			if err != nil {
				t.Errorf("%s: %v", test.name, err)
			}
			continue
		}
		var e *Error
		if !errors.As(err, &e) || e.File != test.name || !strings.Contains(e.Cause, test.cause) || e.Advice == "" {
			t.Errorf("%s: %v", test.name, err)
		}
		if e != nil && strings.Contains(e.Error(), dir) {
			t.Errorf("%s: the error names a folder of this machine: %v", test.name, e)
		}
	}
	_, _, err := Read("gone.csv", filepath.Join(dir, "gone.csv"), Options{})
	if !errors.Is(err, fs.ErrNotExist) {
		t.Errorf("the error underneath is lost: %v", err)
	}
}

// TestContentDecides has files whose names say something else.
func TestContentDecides(t *testing.T) {
	book, err := os.ReadFile(fixture(t, "frogs.xlsx"))
	must(t, err)
	for name, b := range map[string][]byte{"a.csv": book, "a.xls": book, "b.xls": []byte("Tag\tSVL\nA1\t5\n"), "c.xlsx": []byte("Tag,SVL\nA1,5\n")} {
		sheets, fs, err := readBytes(name, b, Options{})
		if err != nil || len(sheets[0].Rows) < 2 {
			t.Errorf("%s: %v", name, err)
			continue
		}
		if !slices.Contains(raised(fs), string(ruleKind)) {
			t.Errorf("%s: %v", name, raised(fs))
		}
	}
}

// TestZipBomb packs zeros, which shrink to a thousandth.
func TestZipBomb(t *testing.T) {
	bomb := func(n int) []byte {
		book := xlsxBytes(t, func(f *excelize.File) { must(t, f.SetCellValue("Sheet1", "A1", 1)) })
		return rezip(t, book, func(name string, part []byte) []byte {
			if name == "xl/worksheets/sheet1.xml" {
				return bytes.Repeat([]byte(" "), n)
			}
			return part
		})
	}
	b := bomb(20 << 20)
	_, _, err := readBytes("t.xlsx", b, Options{})
	if e, ok := err.(*Error); !ok || !strings.Contains(e.Cause, "more than it may") {
		t.Errorf("swelling: %v", err)
	}
	b = bomb(1 << 20)
	limits := limitsOf(budget.Budgets{})
	limits.all = 1 << 19
	if _, err := openZip("t.xlsx", bytes.NewReader(b), int64(len(b)), limits); err == nil {
		t.Error("more than all entries may come to was read")
	}
	limits = limitsOf(budget.Budgets{})
	limits.files = 3
	if _, err := openZip("t.xlsx", bytes.NewReader(b), int64(len(b)), limits); err == nil {
		t.Error("more parts than allowed were read")
	}
}

// TestZipChecksum flips a byte of a packed part.
func TestZipChecksum(t *testing.T) {
	var b bytes.Buffer
	w := zip.NewWriter(&b)
	f, err := w.CreateHeader(&zip.FileHeader{Name: "xl/workbook.xml", Method: zip.Store})
	must(t, err)
	_, err = f.Write([]byte("<workbook>marker</workbook>"))
	must(t, err)
	must(t, w.Close())
	broken := bytes.Replace(b.Bytes(), []byte("marker"), []byte("marked"), 1)
	_, _, err = readBytes("t.xlsx", broken, Options{})
	if e, ok := err.(*Error); !ok || !strings.Contains(e.Cause, "damaged in its part xl/workbook.xml") {
		t.Errorf("got %v", err)
	}
}

// TestRulesAreDescribed holds the codes against the table of rules.
func TestRulesAreDescribed(t *testing.T) {
	rows, err := schemas.Table[schemas.Rule]("rules/sheet.csv")
	must(t, err)
	described := map[string]bool{}
	for _, r := range rows {
		described[r.Code] = true
		if r.Stage != "sheet" || len(r.Summary) >= 80 || r.Help == "" {
			t.Errorf("%+v", r)
		}
	}
	used := []string{ruleEncoding, ruleLost, ruleControl, ruleSeparator, ruleRowNames, ruleRagged, ruleQuoteStray, ruleQuoteOpen, ruleKind, ruleTabHidden,
		ruleRowsHidden, ruleColsHidden, ruleNoValue, ruleFault, ruleDigits, ruleFill, ruleMerge, ruleYearUnshown, ruleLeftAlone, ruleUnread}
	for _, code := range used {
		if !described[code] {
			t.Errorf("%s is not described", code)
		}
	}
	if len(used) != len(described) {
		t.Errorf("%d rules are used, %d described", len(used), len(described))
	}
}
