package main

import (
	"math/rand/v2"
	"os"
	"path/filepath"
	"time"
)

// formats writes one small sheet as XLSX, XLS and ODS, all three saved by
// LibreOffice, for the test that the kind of file does not matter.
func formats() error {
	p := newBook("Frogs")
	p.put(1, 1, "Field No", "Date", "Site", "Species", "Sex", "SVL (mm)", "Tibia (mm)", "Gross (g)", "Bag (g)", "Notes")
	style, err := p.f.NewStyle(&excelizeDate)
	if err != nil {
		return err
	}
	writeFormatRows(p, style)
	dir := filepath.Join(folder, "formats")
	if err := os.MkdirAll(dir, 0o755); err != nil {
		return err
	}
	for _, to := range []string{"xlsx", "xls:MS Excel 97", "ods"} {
		if err := convertTo(dir, p, "frogs", to); err != nil {
			return err
		}
	}
	return nil
}

func writeFormatRows(p *page, date int) {
	rng := rand.New(rand.NewPCG(1990, 5))
	for i := range 30 {
		a := newAnimal(rng, kinds[i%len(kinds)])
		row := 2 + i
		p.put(row, 1, "F-"+fixed(float64(101+i), 0), time.Date(1990, 5, 1+i/3, 0, 0, 0, 0, time.UTC), []string{"Otter Pond", "Heron Slough", "Étang du Héron"}[i/10], a.kind.old,
			map[bool]string{true: "m", false: "f"}[a.male], number(fixed(a.svl, 1)), number(fixed(a.tibia, 1)), half(a.mass)+5, 5)
		must(p.f.SetCellStyle(p.tab, at(2, row), at(2, row), date))
	}
	p.put(4, 6, "57,5?") // text among numbers
	p.put(5, 6, "c. 60")
	p.put(6, 10, "two lines:\ncalling, 5\" pool")
	p.put(7, 8, "31.5 g (bag wet)")
	p.put(8, 7, "2 1/8 in")
	p.comment(9, 6, "measured twice")
	p.put(9, 2, "3 May 1990")
}
