// Package schemas carries the JSON Schemas of what people and programs hand to
// Spadefoot, the table of Darwin Core terms, and the table of rules.
package schemas

import (
	"bufio"
	"bytes"
	"embed"
	"fmt"
	"io/fs"

	"github.com/gocarina/gocsv"
)

// Files holds every schema and table of this folder.
//
//go:embed *.json *.csv rules/*.csv
var Files embed.FS

// Table decodes one of the CSV files into rows of T by the csv tags of T.
// Lines that start with # are comments.
func Table[T any](name string) ([]T, error) { return Decode[T](Files, name) }

// Decode reads a CSV table of an embedded folder into rows of T. Comment lines
// may only stand before the header line.
func Decode[T any](files fs.FS, name string) ([]T, error) {
	b, err := fs.ReadFile(files, name)
	if err != nil {
		return nil, err
	}
	r := bufio.NewReader(bytes.NewReader(b))
	for {
		c, err := r.Peek(1)
		if err != nil || c[0] != '#' {
			break
		}
		if _, err := r.ReadString('\n'); err != nil {
			break
		}
	}
	var rows []T
	if err := gocsv.Unmarshal(r, &rows); err != nil {
		return nil, fmt.Errorf("%s: %w", name, err)
	}
	return rows, nil
}
