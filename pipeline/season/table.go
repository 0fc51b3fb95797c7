package season

import (
	"bytes"
	"errors"
	"io"
	"math"
	"strconv"

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

// atOnce is how many bytes are written to a file at once.
const atOnce = 1 << 15

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
	f := &file{w: w, b: make([]byte, 0, atOnce+1<<10)}
	cells := make([]string, len(columns))
	for i, c := range columns {
		cells[i] = c.Heading()
	}
	return f, f.row(cells...)
}

// row adds a row of texts.
func (f *file) row(cells ...string) error { return f.texts(cells...).end() }

// texts adds cells to the row that end ends, counts and figures add numbers to it.
func (f *file) texts(cells ...string) *file {
	for _, c := range cells {
		f.b = append(lines.AppendCell(f.b, c), ',')
	}
	return f
}

func (f *file) counts(ns ...int) *file {
	for _, n := range ns {
		f.b = append(strconv.AppendInt(f.b, int64(n), 10), ',')
	}
	return f
}

func (f *file) figures(xs ...float64) *file {
	for _, x := range xs {
		f.b = append(appendFigure(f.b, x, 6), ',')
	}
	return f
}

func (f *file) end() error {
	if f.w == nil {
		f.b = f.b[:0]
		return nil
	}
	f.b[len(f.b)-1] = '\n'
	if len(f.b) < atOnce {
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
func FigureOf(x float64, digits int) string { return string(appendFigure(nil, x, digits)) }

func appendFigure(b []byte, x float64, digits int) []byte {
	if math.IsNaN(x) || math.IsInf(x, 0) {
		return b
	}
	decimals, size := digits-1, math.Abs(x)
	for p := 10.0; size >= p; p *= 10 {
		decimals--
	}
	for p := 1.0; size < p && size > 0 && decimals < 12; p /= 10 {
		decimals++
	}
	from := len(b)
	b = strconv.AppendFloat(b, x, 'f', min(max(decimals, 0), 12), 64)
	if decimals > 0 {
		b = bytes.TrimSuffix(bytes.TrimRight(b, "0"), []byte{'.'})
	}
	if string(b[from:]) == "-0" {
		return append(b[:from], '0')
	}
	return b
}

func whole(n int) string { return strconv.Itoa(n) }
