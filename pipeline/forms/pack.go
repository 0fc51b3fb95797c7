package forms

import (
	"math"
	"slices"

	"spadefoot/pipeline/record"
)

// Box is one place to write in on the page. Widths are in millimetres.
type Box struct {
	Name, Unit string
	Ideal      float64
	Grow       float64 // share of what is left of the line
	Width      float64 // as laid out
	Mass       bool    // part of the weighing
	Sum        bool    // worked out in the field, not typed
	Sign       string  // what is between this box and the one before
	Measure    bool
	Again      bool // a further reading of what is before
}

// FieldRow is one line of a capture: all captures of a page have the same.
type FieldRow []Box

// squeeze is how far a box may shrink below its ideal width, and stretch how
// far the boxes of a line that is not full may grow beyond it.
const (
	squeeze = 0.78
	stretch = 1.7
)

// boxes are what is written for each capture: every column that does not hold
// for the whole session. The parts of the weighing stand together, gross first
// and the net last, since one is worked out from the others.
func (f *Form) boxes() []Box {
	var out []Box
	weighed := false
	for i := range f.Columns {
		c := &f.Columns[i]
		switch {
		case c.Session || c.Meaning.Role == record.SetAside:
		case c.Meaning.Role != record.WeighPart:
			out = append(out, Box{Name: c.Name, Unit: c.Unit, Ideal: c.Ideal, Grow: c.Grow,
				Measure: c.Meaning.Role == record.Measurement, Again: c.Meaning.Replicate > 1})
		case !weighed:
			weighed = true
			out = append(out, f.masses()...)
		}
	}
	return out
}

// masses are the boxes of the weighing, with the sum between them.
func (f *Form) masses() []Box {
	gross := f.part(record.Gross) > 0
	signs := map[string]string{}
	if gross {
		signs = map[string]string{record.Tare: "−", record.Net: "="}
	}
	var out []Box
	for _, part := range []string{record.Scale, record.Gross, record.Bag, record.Tare, record.Net} {
		if n := f.part(part); n > 0 {
			c := &f.Columns[n-1]
			out = append(out, Box{Name: c.Name, Unit: c.Unit, Ideal: c.Ideal, Grow: c.Grow, Mass: true, Sign: signs[part]})
		}
	}
	if gross && f.part(record.Net) == 0 && f.part(record.Bag)+f.part(record.Tare) > 0 {
		unit := f.Columns[f.part(record.Gross)-1].Unit
		out = append(out, Box{Name: "Net", Unit: unit, Ideal: 14, Grow: 0.25, Mass: true, Sum: true, Sign: "="})
	}
	return out
}

// fieldRows lays boxes out in one line, or in as few as hold them with room to
// write: first what says which animal it is and its weighing, then the
// measurements. Boxes keep their order within a line.
func fieldRows(boxes []Box, width float64) []FieldRow {
	if least(boxes) <= width {
		return []FieldRow{fit(boxes, width)}
	}
	var words, numbers []Box
	for _, b := range boxes {
		if b.Measure {
			numbers = append(numbers, b)
		} else {
			words = append(words, b)
		}
	}
	var out []FieldRow
	for _, part := range [][]Box{words, numbers} {
		out = append(out, wrap(part, width)...)
	}
	return out
}

func least(boxes []Box) float64 {
	w := 0.0
	for _, b := range boxes {
		w += b.Ideal * squeeze
	}
	return w
}

// wrap breaks boxes into lines of about equal length.
func wrap(boxes []Box, width float64) []FieldRow {
	if len(boxes) == 0 {
		return nil
	}
	share := least(boxes) / math.Ceil(least(boxes)/width)
	var out []FieldRow
	var line []Box
	for _, b := range boxes {
		after := least(line) + b.Ideal*squeeze
		if len(line) > 0 && (after > width || after-share > share-least(line)) {
			out = append(out, fit(line, width))
			line = nil
		}
		line = append(line, b)
	}
	return append(out, fit(line, width))
}

// fit gives the boxes of a line their widths.
func fit(boxes []Box, width float64) FieldRow {
	ideal, grow, most := 0.0, 0.0, 0.0
	for _, b := range boxes {
		ideal += b.Ideal
		grow += b.Grow
		most += b.Ideal * stretch
	}
	out := make(FieldRow, len(boxes))
	left := math.Min(width, math.Max(most, ideal)) - ideal
	if slices.ContainsFunc(boxes, func(b Box) bool { return b.Grow >= 1 }) { // a box for words may be as wide as it likes
		left = width - ideal
	}
	for i, b := range boxes {
		switch {
		case ideal > width: // shrink all alike
			b.Width = b.Ideal * width / ideal
		case grow > 0:
			b.Width = b.Ideal + left*b.Grow/grow
		default:
			b.Width = b.Ideal + left*b.Ideal/ideal
		}
		b.Width = math.Floor(b.Width*100) / 100
		out[i] = b
	}
	return out
}
