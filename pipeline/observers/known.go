package observers

import (
	"errors"
	"fmt"
	"io"
	"math"
	"slices"
	"strconv"
	"strings"

	"spadefoot/pipeline/record/lines"
)

// Known is the known size of a model, or of an animal measured by a better way.
type Known struct {
	Individual  string // organismID of the readings
	Measurement string
	Value       float64
	Unit        string // UCUM code
	Line        int    // of the table, for messages
}

// ReadKnown reads a table of known sizes: CSV in UTF-8 with the columns
// individual, measurement, value and unit. Lines that start with # are
// comments. Errors name line and column.
func ReadKnown(r io.Reader) ([]Known, error) {
	header, in, err := lines.Headings(r)
	if errors.Is(err, io.EOF) {
		return nil, errors.New("table of known sizes is empty")
	}
	if err != nil {
		return nil, err
	}
	var at [4]int
	for i, name := range []string{"individual", "measurement", "value", "unit"} {
		if at[i] = slices.Index(header, name); at[i] < 0 {
			return nil, fmt.Errorf("line 1: no column %s", name)
		}
	}
	seen := map[[2]string]bool{}
	var out []Known
	for {
		row, err := in.Read()
		if errors.Is(err, io.EOF) {
			return out, nil
		}
		if err != nil {
			return nil, err
		}
		line, _ := in.FieldPos(0)
		cell := func(i int) string { return strings.TrimSpace(row[at[i]]) }
		k := Known{Individual: cell(0), Measurement: cell(1), Unit: cell(3), Line: line}
		k.Value, err = strconv.ParseFloat(cell(2), 64)
		switch {
		case k.Individual == "" || k.Measurement == "" || k.Unit == "":
			return nil, fmt.Errorf("line %d: individual, measurement and unit must be given", line)
		case err != nil || math.IsNaN(k.Value) || math.IsInf(k.Value, 0):
			return nil, fmt.Errorf("line %d, column value: %q is not a number", line, cell(2))
		case seen[[2]string{k.Individual, k.Measurement}]:
			return nil, fmt.Errorf("line %d: %s of %s appears twice", line, k.Measurement, k.Individual)
		}
		seen[[2]string{k.Individual, k.Measurement}] = true
		out = append(out, k)
	}
}
