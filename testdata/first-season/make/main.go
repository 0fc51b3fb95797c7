// Command make writes the workbook of the first season in README.md from
// rows.csv: invented captures at the invented Marrow Creek Field Station, with
// three slips (a decimal, a letter among digits, a bag that was not weighed).
// Run it from the module root: go run ./testdata/first-season/make
package main

import (
	"encoding/csv"
	"log"
	"os"
	"path/filepath"
	"strconv"
	"time"

	"github.com/xuri/excelize/v2"
)

const (
	folder = "testdata/first-season"
	tab    = "2019"
)

func main() {
	if err := write(); err != nil {
		log.Fatal(err)
	}
}

func write() error {
	in, err := os.Open(filepath.Join(folder, "rows.csv"))
	if err != nil {
		return err
	}
	defer in.Close()
	rows, err := csv.NewReader(in).ReadAll()
	if err != nil {
		return err
	}
	book := excelize.NewFile()
	defer book.Close()
	if err := book.SetSheetName("Sheet1", tab); err != nil {
		return err
	}
	dates, err := book.NewStyle(&excelize.Style{NumFmt: 15})
	if err != nil {
		return err
	}
	for r, row := range rows {
		for c, text := range row {
			cell, err := excelize.CoordinatesToCellName(c+1, r+1)
			if err != nil {
				return err
			}
			if err := set(book, cell, text, dates); err != nil {
				return err
			}
		}
	}
	return book.SaveAs(filepath.Join(folder, "frogs-2019.xlsx"))
}

// set types a number as a number and a date as a date.
func set(book *excelize.File, cell, text string, dates int) error {
	if text == "" {
		return nil
	}
	if x, err := strconv.ParseFloat(text, 64); err == nil {
		return book.SetCellValue(tab, cell, x)
	}
	if d, err := time.Parse(time.DateOnly, text); err == nil {
		if err := book.SetCellValue(tab, cell, d); err != nil {
			return err
		}
		return book.SetCellStyle(tab, cell, cell, dates)
	}
	return book.SetCellStr(tab, cell, text)
}
