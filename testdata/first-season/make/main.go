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

	"spadefoot/testdata/written"
)

const folder = "testdata/first-season"

func main() {
	in, err := os.Open(filepath.Join(folder, "rows.csv"))
	if err != nil {
		log.Fatal(err)
	}
	defer in.Close()
	rows, err := csv.NewReader(in).ReadAll()
	if err != nil {
		log.Fatal(err)
	}
	if err := written.Workbook(filepath.Join(folder, "frogs-2019.xlsx"), written.Tab{Name: "2019", Rows: rows}); err != nil {
		log.Fatal(err)
	}
}
