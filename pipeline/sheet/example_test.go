package sheet_test

import (
	"fmt"
	"strings"

	"spadefoot/pipeline/sheet"
)

func Example() {
	// A sheet as a spreadsheet program of the 1990s wrote it: Mac Roman, semicolons.
	file := strings.NewReader("Tag;Site;SVL (mm)\nMC-17;\x83tang du Castor;57,5\nMC-18;Montr\x8eal;60\"\n")
	s, found, err := sheet.ReadText("frogs.csv", file, sheet.Options{})
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, row := range s.Rows {
		for i, c := range row.Cells {
			if i > 0 {
				fmt.Print(" | ")
			}
			fmt.Print(c.Text)
		}
		fmt.Println()
	}
	for _, f := range found {
		fmt.Printf("%s %s: %s\n", f.Level, f.At, f.Rule)
	}
	// Output:
	// Tag | Site | SVL (mm)
	// MC-17 | Étang du Castor | 57,5
	// MC-18 | Montréal | 60"
	// note frogs.csv: encoding-guessed
	// note frogs.csv: separator-guessed
	// note frogs.csv, C3: quote-stray
}
