// Command make writes archives that are broken in one way each, and the table
// of what is to be found in them:
//
//	go run ./testdata/broken/make -out testdata/broken
//
// Every archive is made from the same sound one, so that the fault is the only
// difference. The same program gives the same bytes. The station, its people
// and its frogs are invented.
package main

import (
	"bytes"
	"encoding/csv"
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"strconv"
)

func main() {
	out := flag.String("out", "testdata/broken", "folder that the archives are written to")
	flag.Parse()
	if err := run(*out); err != nil {
		fmt.Fprintln(os.Stderr, "make:", err)
		os.Exit(1)
	}
}

func run(out string) error {
	var table bytes.Buffer
	table.WriteString("# What is to be found in each broken archive. Made by testdata/broken/make; do not edit.\n")
	w := csv.NewWriter(&table)
	w.Write([]string{"archive", "rule", "level", "file", "line", "section", "refused"})
	for _, f := range faults {
		files := sound()
		if err := f.apply(files); err != nil {
			return fmt.Errorf("%s: %w", f.name, err)
		}
		b, err := pack(files, f.extra)
		if err != nil {
			return fmt.Errorf("%s: %w", f.name, err)
		}
		if err := os.WriteFile(filepath.Join(out, f.name+".zip"), b, 0o644); err != nil {
			return err
		}
		at := ""
		if f.line > 0 {
			at = strconv.Itoa(f.line)
		}
		w.Write([]string{f.name + ".zip", f.rule, f.level, f.file, at, f.section, f.refused})
	}
	w.Flush()
	return os.WriteFile(filepath.Join(out, "expected.csv"), table.Bytes(), 0o644)
}
