// Command make writes archives that are broken in one way each, and the table
// of what is to be found in them:
//
//	go run ./testdata/broken/make -out testdata/broken
//
// Every archive is made from the same sound one, or the same sound data package,
// so that the fault is the only difference. It writes unusual but valid ones to
// testdata/unusual in the same way. The same program gives the same bytes. The station, its people
// and its frogs are invented.
package main

import (
	"bytes"
	"cmp"
	"encoding/csv"
	"flag"
	"fmt"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strconv"
)

func main() {
	out := flag.String("out", "testdata/broken", "folder that the broken archives are written to")
	odd := flag.String("unusual", "testdata/unusual", "folder that the unusual archives are written to")
	flag.Parse()
	if err := run(*out, *odd); err != nil {
		fmt.Fprintln(os.Stderr, "make:", err)
		os.Exit(1)
	}
}

func run(out, odd string) error {
	for _, f := range unusual {
		if _, err := f.write(odd); err != nil {
			return err
		}
	}
	var table bytes.Buffer
	table.WriteString("# What is to be found in each broken archive. Made by testdata/broken/make; do not edit.\n")
	w := csv.NewWriter(&table)
	w.Write([]string{"archive", "rule", "level", "file", "line", "section", "refused"})
	for _, f := range faults {
		name, err := f.write(out)
		if err != nil {
			return err
		}
		if f.file == descriptor && f.in == descriptor {
			files := f.base()
			old := files[descriptor]
			if err := f.apply(files); err != nil {
				return err
			}
			if f.line == 0 {
				f.line = changed(old, files[descriptor])
			}
		}
		at := ""
		if f.line > 0 {
			at = strconv.Itoa(f.line)
		}
		w.Write([]string{name, f.rule, f.level, f.file, at, f.section, f.refused})
	}
	w.Flush()
	return os.WriteFile(filepath.Join(out, "expected.csv"), table.Bytes(), 0o644)
}

// write writes an archive into a folder and returns its name.
func (f fault) write(dir string) (string, error) {
	if f.isTable {
		return f.name + ".csv", os.WriteFile(filepath.Join(dir, f.name+".csv"), []byte(f.table), 0o644)
	}
	base := f.base
	if base == nil {
		base = sound
	}
	files := base()
	if err := f.apply(files); err != nil {
		return "", fmt.Errorf("%s: %w", f.name, err)
	}
	name := f.name + cmp.Or(f.ext, ".zip")
	var b []byte
	var err error
	if f.ext == ".tar.gz" {
		b, err = bundled(files, slices.Sorted(maps.Keys(files)))
	} else {
		b, err = pack(files, f.extra)
	}
	if err != nil {
		return "", fmt.Errorf("%s: %w", f.name, err)
	}
	return name, os.WriteFile(filepath.Join(dir, name), b, 0o644)
}
