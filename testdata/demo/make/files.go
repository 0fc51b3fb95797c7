package main

import (
	"encoding/csv"
	"os"

	"golang.org/x/text/encoding/charmap"
	"golang.org/x/text/transform"
)

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
	return w.WriteAll(g.whole().Rows)
}
