// Package mappings holds the starter mappings and vocabularies as data files:
// measurements, units, headings, sexes, life stages, dimorphism rules. The
// first line of each file names the source of its facts.
package mappings

import (
	"embed"

	"spadefoot/schemas"
)

//go:embed *.csv *.yaml
var files embed.FS

// Files holds every data file of this folder.
var Files = schemas.Folder{FS: files}

// Table decodes one of the CSV files into rows of T by the csv tags of T.
// Lines that start with # are comments.
func Table[T any](name string) ([]T, error) { return schemas.Decode[T](Files, name) }
