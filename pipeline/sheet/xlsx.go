package sheet

import (
	"archive/zip"
	"bytes"
	"encoding/xml"
	"fmt"
	"io"
	"path"
	"slices"
	"strings"

	"github.com/xuri/excelize/v2"

	"spadefoot/pipeline/record"
)

// xlsxBook is an open XLSX workbook. The library gives workbook, styles and
// comments. The cells of a tab are read by xlsxTab, since the library's row
// reader drops their types and ends quietly at broken XML, and the texts that
// they share by sharedTexts, which counts them.
type xlsxBook struct {
	file     string
	zip      *packed
	book     *excelize.File
	date1904 bool
	texts    []sharedText      // by the cells
	paths    map[string]string // relationship identifier to part
	styles   map[int]cellStyle
}

// cellStyle is what the style of a cell says.
type cellStyle struct {
	format numberFormat
	fill   string
	struck bool
}

// readXLSX reads the tabs of an XLSX workbook (ECMA-376 Part 1, 18).
func readXLSX(name string, f io.ReaderAt, size int64, o Options) (sheets []record.Sheet, found []record.Finding, err error) {
	defer func() {
		if p := recover(); p != nil {
			sheets, found = nil, nil
			err = &Error{File: name, Cause: "the workbook is damaged", Advice: adviceCopy, Err: fmt.Errorf("%v", p)}
		}
	}()
	b, err := openXLSX(name, f, size, o)
	if err != nil {
		return nil, nil, err
	}
	defer b.book.Close()
	var tabs []string
	for _, s := range b.book.WorkBook.Sheets.Sheet {
		tabs = append(tabs, s.Name)
	}
	wanted, err := pick(name, tabs, o.Tabs)
	if err != nil {
		return nil, nil, err
	}
	used, seen := newSpent(o.Budgets), map[string]bool{}
	for i, s := range b.book.WorkBook.Sheets.Sheet {
		target, ok := b.paths[s.ID]
		if !wanted[i] || ok && holdsNoCells(target) {
			continue
		}
		if seen[target] {
			return nil, nil, &Error{File: name, Sheet: s.Name, Cause: "the workbook is damaged: two of its tabs are the same", Advice: adviceCopy}
		}
		seen[target] = true
		g, err := b.readTab(s.Name, target, used)
		if err != nil {
			return nil, nil, err
		}
		g.hidden = s.State == "hidden" || s.State == "veryHidden"
		one, fs, err := g.sheet()
		if err != nil {
			return nil, nil, err
		}
		sheets, found = append(sheets, one), append(found, fs...)
	}
	return sheets, found, nil
}

func openXLSX(name string, f io.ReaderAt, size int64, o Options) (*xlsxBook, error) {
	limits := limitsOf(o.Budgets)
	z, err := openZip(name, f, size, limits)
	if err != nil {
		return nil, err
	}
	limit := excelize.Options{UnzipSizeLimit: limits.all, UnzipXMLSizeLimit: limits.all}
	var book *excelize.File
	bare, err := z.withoutCells()
	if err == nil {
		book, err = excelize.OpenReader(bare, limit)
	}
	if err == nil && book.WorkBook == nil {
		book.GetSheetList() // reads the workbook part
	}
	if err != nil || book.WorkBook == nil {
		return nil, &Error{File: name, Cause: "the workbook cannot be opened", Advice: adviceCopy, Err: err}
	}
	b := &xlsxBook{file: name, zip: z, book: book, styles: map[int]cellStyle{}}
	if p, err := book.GetWorkbookProps(); err == nil && p.Date1904 != nil {
		b.date1904 = *p.Date1904
	}
	if b.texts, err = sharedTexts(name, z, o.Budgets.OrUsual()); err != nil {
		if e, ok := err.(*Error); ok {
			return nil, e
		}
		return nil, &Error{File: name, Cause: "the texts of the workbook cannot be read", Advice: adviceCopy, Err: err}
	}
	b.paths, err = b.relations()
	if err != nil {
		return nil, &Error{File: name, Cause: "the list of tabs cannot be read", Advice: adviceCopy, Err: err}
	}
	return b, nil
}

// withoutCells packs the parts once more for the library, which would unpack each of
// them, with nothing in those that it is not asked about.
func (p *packed) withoutCells() (io.Reader, error) {
	b := &bytes.Buffer{}
	w := zip.NewWriter(b)
	for _, e := range p.File {
		if name := partName(e.Name); path.Dir(name) == "xl/worksheets" || name == "xl/sharedstrings.xml" {
			if _, err := w.CreateHeader(&zip.FileHeader{Name: e.Name}); err != nil {
				return nil, err
			}
		} else if err := w.Copy(e); err != nil {
			return nil, err
		}
	}
	return b, w.Close()
}

// relations returns the part of each tab by relationship identifier.
func (b *xlsxBook) relations() (map[string]string, error) {
	book := "xl/workbook.xml"
	top, err := b.readRelations("_rels/.rels")
	if err != nil {
		return nil, err
	}
	for _, r := range top {
		if strings.HasSuffix(r.Type, "/officeDocument") {
			book = strings.TrimPrefix(path.Clean("/"+r.Target), "/")
		}
	}
	dir, base := path.Split(book)
	all, err := b.readRelations(dir + "_rels/" + base + ".rels")
	out := map[string]string{}
	for _, r := range all {
		target := r.Target
		if !strings.HasPrefix(target, "/") {
			target = dir + target
		}
		out[r.ID] = strings.TrimPrefix(path.Clean("/"+target), "/")
	}
	return out, err
}

type relation struct {
	ID     string `xml:"Id,attr"`
	Type   string `xml:"Type,attr"`
	Target string `xml:"Target,attr"`
}

func (b *xlsxBook) readRelations(name string) ([]relation, error) {
	e := b.zip.part(name)
	if e == nil {
		return nil, nil
	}
	r, err := b.zip.open(e)
	if err != nil {
		return nil, err
	}
	defer r.Close()
	var doc struct {
		Relationship []relation `xml:"Relationship"`
	}
	err = xml.NewDecoder(r).Decode(&doc)
	return doc.Relationship, err
}

// holdsNoCells reports whether a part is a tab with a chart, a dialogue or
// macros in place of cells.
func holdsNoCells(target string) bool {
	return slices.ContainsFunc([]string{"chartsheets/", "dialogsheets/", "macrosheets/"}, func(s string) bool { return strings.Contains(target, s) })
}

// firstOf lists the first of some names, and says how many there are besides.
func firstOf(names []string, n int) string {
	if len(names) <= n {
		return strings.Join(names, ", ")
	}
	return fmt.Sprintf("%s and %d more", strings.Join(names[:n], ", "), len(names)-n)
}

// pick marks the tabs to read; * and ? in a name that no tab has stand for
// characters. A tab that is asked for and not there is an error that names
// those that are.
func pick(file string, tabs, wanted []string) ([]bool, error) {
	out := make([]bool, len(tabs))
	for i, t := range tabs {
		out[i] = len(wanted) == 0 || slices.Contains(wanted, t)
	}
	for _, w := range wanted {
		some := slices.Contains(tabs, w)
		pattern := !some
		for i, t := range tabs {
			if ok, _ := path.Match(w, t); ok && pattern {
				out[i], some = true, true
			}
		}
		if !some {
			return nil, &Error{File: file, Sheet: w, Cause: "there is no such tab in the workbook",
				Advice: "its tabs are " + firstOf(tabs, 20) + "; write one of them under tabs, in its entry under sheets in survey.yaml"}
		}
	}
	return out, nil
}
