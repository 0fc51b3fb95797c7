// Package schemas holds the JSON Schemas of what people and programs give to
// Spadefoot, the table of Darwin Core terms, and the table of rules.
package schemas

import (
	"bufio"
	"bytes"
	"compress/gzip"
	"embed"
	"fmt"
	"io"
	"io/fs"

	"github.com/gocarina/gocsv"
)

//go:embed *.json *.csv rules/*.csv
var files embed.FS

// Files holds every schema and table of this folder.
var Files = Folder{files}

// Folder is an embedded folder whose files are there as they are, or packed
// with gzip, as the release script has them embedded.
type Folder struct{ embed.FS }

// ReadFile returns a file as it was before it was packed.
func (f Folder) ReadFile(name string) ([]byte, error) {
	b, err := f.FS.ReadFile(name)
	if err != nil || !bytes.HasPrefix(b, []byte{0x1f, 0x8b}) {
		return b, err
	}
	z, err := gzip.NewReader(bytes.NewReader(b))
	if err != nil {
		return nil, fmt.Errorf("%s: %w", name, err)
	}
	return io.ReadAll(z)
}

// Text returns a file that is part of the program.
func (f Folder) Text(name string) string {
	b, err := f.ReadFile(name)
	if err != nil {
		panic(err)
	}
	return string(b)
}

// Table decodes one of the CSV files into rows of T by the csv tags of T.
// Lines that start with # are comments.
func Table[T any](name string) ([]T, error) { return Decode[T](Files, name) }

// Must returns what was read of an embedded file. An error is a fault of the build,
// which a test finds.
func Must[T any](read T, err error) T {
	if err != nil {
		panic("an embedded file: " + err.Error())
	}
	return read
}

// Decode reads a CSV table of an embedded folder into rows of T. Comment lines
// may only appear before the header line.
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
