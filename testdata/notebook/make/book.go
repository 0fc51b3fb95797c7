package main

import (
	"fmt"
	"os"
	"os/exec"
	"path/filepath"

	"github.com/xuri/excelize/v2"
)

// page writes one tab of a workbook cell by cell, and stops at the first
// mistake.
type page struct {
	f   *excelize.File
	tab string
}

func newBook(tab string) *page {
	f := excelize.NewFile()
	must(f.SetSheetName("Sheet1", tab))
	return &page{f, tab}
}

// next starts another tab.
func (p *page) next(tab string) *page {
	_, err := p.f.NewSheet(tab)
	must(err)
	return &page{p.f, tab}
}

func must(err error) {
	if err != nil {
		panic(err)
	}
}

func at(column, row int) string {
	cell, err := excelize.CoordinatesToCellName(column, row)
	must(err)
	return cell
}

// put writes values side by side from a column on; "" leaves a cell blank.
func (p *page) put(row, column int, values ...any) {
	for i, v := range values {
		if v != "" {
			must(p.f.SetCellValue(p.tab, at(column+i, row), v))
		}
	}
}

func (p *page) merge(row, from, to int) { must(p.f.MergeCell(p.tab, at(from, row), at(to, row))) }

func (p *page) comment(row, column int, text string) {
	must(p.f.AddComment(p.tab, excelize.Comment{Cell: at(column, row), Author: "typist",
		Paragraph: []excelize.RichTextRun{{Text: text}}}))
}

// convert saves a book and has LibreOffice write it in the wanted kind of file.
func convert(p *page, name, to string) error {
	return convertTo(filepath.Join(folder, "sheets"), p, name, to)
}

func convertTo(dir string, p *page, name, to string) error {
	tmp, err := os.MkdirTemp("", "notebook")
	if err != nil {
		return err
	}
	defer os.RemoveAll(tmp)
	src := filepath.Join(tmp, name+".xlsx")
	if err := p.f.SaveAs(src); err != nil {
		return err
	}
	out, err := exec.Command("soffice", "-env:UserInstallation=file://"+tmp+"/profile", "--headless", "--convert-to", to, "--outdir", dir, src).CombinedOutput()
	if err != nil {
		return fmt.Errorf("soffice: %w\n%s", err, out)
	}
	return nil
}
