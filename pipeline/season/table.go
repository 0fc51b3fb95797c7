package season

import (
	"errors"
	"io"
	"math"
	"strconv"
	"strings"

	"spadefoot/pipeline/record/lines"
)

// Column is one column of a table of results.
type Column struct {
	Name    string
	Unit    string // "" where it has none
	Meaning string
}

// Heading is the name with the unit: "mean (mm)".
func (c Column) Heading() string {
	if c.Unit == "" {
		return c.Name
	}
	return c.Name + " (" + c.Unit + ")"
}

// file writes a table.
type file struct {
	w io.WriteCloser
	b []byte
}

// Create makes a file of the results by its name.
type Create func(name string) (io.WriteCloser, error)

// open begins a table; without a Create nothing is written.
func (create Create) open(name string, columns []Column) (*file, error) {
	if create == nil {
		return &file{}, nil
	}
	w, err := create(name)
	if err != nil {
		return nil, err
	}
	f := &file{w: w}
	cells := make([]string, len(columns))
	for i, c := range columns {
		cells[i] = c.Heading()
	}
	return f, f.row(cells...)
}

func (f *file) row(cells ...string) error {
	if f.w == nil {
		return nil
	}
	for i := range cells {
		cells[i] = lines.Defused(cells[i])
	}
	f.b = lines.AppendRow(f.b, cells)
	if len(f.b) < 1<<16 {
		return nil
	}
	return f.flush()
}

func (f *file) flush() error {
	_, err := f.w.Write(f.b)
	f.b = f.b[:0]
	return err
}

func (f *file) close() error {
	if f == nil || f.w == nil {
		return nil
	}
	err := errors.Join(f.flush(), f.w.Close())
	f.w = nil
	return err
}

// Figure writes a number with six significant digits and without an exponent;
// nothing for NaN.
func Figure(x float64) string { return FigureOf(x, 6) }

// FigureOf writes a number with so many significant digits.
func FigureOf(x float64, digits int) string {
	if math.IsNaN(x) || math.IsInf(x, 0) {
		return ""
	}
	decimals := digits - 1
	if x != 0 {
		decimals -= int(math.Floor(math.Log10(math.Abs(x))))
	}
	s := strconv.FormatFloat(x, 'f', min(max(decimals, 0), 12), 64)
	if strings.Contains(s, ".") {
		s = strings.TrimRight(strings.TrimRight(s, "0"), ".")
	}
	if s == "-0" {
		return "0"
	}
	return s
}

func whole(n int) string { return strconv.Itoa(n) }
