// Package written writes the made-up sheets of the test data, and the tables
// beside them.
package written

import (
	"encoding/csv"
	"os"
	"strconv"
	"time"

	"github.com/xuri/excelize/v2"
)

// Tab is a tab of a workbook, headings first.
type Tab struct {
	Name string
	Rows [][]string
}

// Workbook writes tabs with numbers typed as numbers and ISO dates as dates.
func Workbook(path string, tabs ...Tab) error {
	f := excelize.NewFile()
	defer f.Close()
	dates, err := f.NewStyle(&excelize.Style{NumFmt: 15})
	if err != nil {
		return err
	}
	for i, t := range tabs {
		if i == 0 {
			err = f.SetSheetName("Sheet1", t.Name)
		} else {
			_, err = f.NewSheet(t.Name)
		}
		if err != nil {
			return err
		}
		for r, row := range t.Rows {
			for c, text := range row {
				if err := set(f, t.Name, c+1, r+1, text, dates); err != nil {
					return err
				}
			}
		}
	}
	return f.SaveAs(path)
}

func set(f *excelize.File, tab string, column, row int, text string, dates int) error {
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
	if d, err := time.Parse(time.DateOnly, text); err == nil {
		if err := f.SetCellValue(tab, cell, d); err != nil {
			return err
		}
		return f.SetCellStyle(tab, cell, cell, dates)
	}
	return f.SetCellStr(tab, cell, text)
}

// CSV writes a table, headings first, with what is to stand above it.
func CSV(path, above string, rows [][]string) error {
	f, err := os.Create(path)
	if err != nil {
		return err
	}
	defer f.Close()
	if _, err := f.WriteString(above); err != nil {
		return err
	}
	return csv.NewWriter(f).WriteAll(rows)
}
