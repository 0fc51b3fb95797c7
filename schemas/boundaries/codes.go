//go:build ignore

// Codes writes the codes of countries and the names of countries and of their
// divisions as github.com/biter777/countries 1.7.5 has them (BSD licence), for
// names.py and convert.go. The module is not part of the program: as code its
// tables are 0.7 MB.
//
//	go run -modfile=FILE codes.go > codes.csv    FILE: a go.mod that has the module
package main

import (
	"encoding/csv"
	"fmt"
	"log"
	"os"

	"github.com/biter777/countries"
)

func main() {
	w := csv.NewWriter(os.Stdout)
	w.Write([]string{"code", "alpha3", "number", "name"})
	for _, c := range countries.All() {
		w.Write([]string{c.Alpha2(), c.Alpha3(), fmt.Sprint(int(c)), c.String()})
		for _, d := range c.Subdivisions() {
			w.Write([]string{string(d), "", "", d.String()})
		}
	}
	w.Flush()
	if err := w.Error(); err != nil {
		log.Fatal(err)
	}
}
