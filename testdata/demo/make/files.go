package main

import (
	"encoding/csv"
	"os"
	"strconv"
	"time"

	"github.com/xuri/excelize/v2"
	"golang.org/x/text/encoding/charmap"
	"golang.org/x/text/transform"
)

// writeWorkbook types numbers as numbers and ISO dates as dates.
func writeWorkbook(path string, grids ...*grid) error {
	f := excelize.NewFile()
	defer f.Close()
	dates, err := f.NewStyle(&excelize.Style{NumFmt: 15})
	if err != nil {
		return err
	}
	for i, g := range grids {
		if i == 0 {
			if err := f.SetSheetName("Sheet1", g.tab); err != nil {
				return err
			}
		} else if _, err := f.NewSheet(g.tab); err != nil {
			return err
		}
		for c, h := range g.headings {
			if err := setCell(f, g.tab, c+1, 1, h, dates); err != nil {
				return err
			}
		}
		for r, row := range g.rows {
			for c, text := range row {
				if err := setCell(f, g.tab, c+1, r+2, text, dates); err != nil {
					return err
				}
			}
		}
	}
	return f.SaveAs(path)
}

func setCell(f *excelize.File, tab string, column, row int, text string, dates int) error {
	if text == "" {
		return nil
	}
	cell, err := excelize.CoordinatesToCellName(column, row)
	if err != nil {
		return err
	}
	if x, err := strconv.ParseFloat(text, 64); err == nil {
		return f.SetCellValue(tab, cell, x)
	}
	if d, err := time.Parse("2006-01-02", text); err == nil {
		if err := f.SetCellValue(tab, cell, d); err != nil {
			return err
		}
		return f.SetCellStyle(tab, cell, cell, dates)
	}
	return f.SetCellStr(tab, cell, text)
}

// writeText writes Windows-1252 with semicolons, as spreadsheets do in
// a Spanish setting.
func writeText(path string, g *grid) error {
	f, err := os.Create(path)
	if err != nil {
		return err
	}
	defer f.Close()
	t := transform.NewWriter(f, charmap.Windows1252.NewEncoder())
	defer t.Close()
	w := csv.NewWriter(t)
	w.Comma, w.UseCRLF = ';', true
	if err := w.Write(g.headings); err != nil {
		return err
	}
	if err := w.WriteAll(g.rows); err != nil {
		return err
	}
	return w.Error()
}
