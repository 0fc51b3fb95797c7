// Package mappings carries the starter mappings and the vocabularies of the
// trade as data files: measurements, units, headings, sexes, life stages,
// dimorphism rules. Each file's first line says where its facts come from.
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
