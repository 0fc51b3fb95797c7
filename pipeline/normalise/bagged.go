package normalise

import (
	"fmt"
	"strconv"
	"strings"

	"spadefoot/pipeline/quantity"
	"spadefoot/pipeline/record"
	"spadefoot/pipeline/vocabulary"
)

// bagged reads a cell that holds the mass of an animal in its bag and that of the
// bag. It is not ok for any other cell, and for one that leaves open whether the
// first number includes the bag.
func (r *row) bagged(i int, read *measured, c *record.Cell) (gross, tare record.Reading, ok bool) {
	part := read.meaning.Part
	if c.Kind != record.Text || part != record.Net && part != record.Gross || !strings.ContainsFunc(c.Text, besideNumber) {
		return gross, tare, false // mostly a number alone
	}
	if from, less, is := quantity.Subtraction(c.Text); is {
		gross, tare = r.of(i, read, c, from, "grossMass"), r.of(i, read, c, less, "bagMass")
		return gross, tare, gross.Usable() && tare.Usable() && gross.Number > tare.Number
	}
	mass, bag, included, is := vocabulary.MassAndBag(c.Text)
	if !is {
		return gross, tare, false
	}
	gross, tare = r.of(i, read, c, mass, "grossMass"), r.of(i, read, c, bag, "bagMass")
	if ok = gross.Usable() && tare.Usable() && gross.Number > tare.Number; ok && part == record.Net && !included {
		if way := r.x.Weighing.Way; way == "" || way == record.AsWritten {
			decimals := max(gross.Decimals, tare.Decimals)
			r.problem(record.Problem{Rule: "bag-in-cell", Level: record.Error,
				Reason: fmt.Sprintf("the cell has the mass of the bag too, and nothing says whether %s g is with it; without it that leaves %s g", gross.Text, strconv.FormatFloat(gross.Number-tare.Number, 'f', decimals, 64))}, c, field(&read.meaning))
		}
		return gross, tare, false
	}
	return gross, tare, ok
}

// besideNumber reports whether a character is in no number.
func besideNumber(c rune) bool { return (c < '0' || '9' < c) && c != '.' && c != ',' && c != ' ' }

// of reads a part of a cell as a mass.
func (r *row) of(i int, read *measured, c *record.Cell, text, measurement string) record.Reading {
	k := r.convert(quantity.Parse(strings.TrimSpace(text), read.options(markOf(text), r.columns.written[i])), read)
	out := k.reading
	r.finish(&out, read, c, markOf(text) == ',', out.WrittenUnit == read.meaning.Unit)
	out.Vary(func(s *record.Series) { s.Measurement = measurement })
	return out
}

// markOf is the decimal mark of a number that has one.
func markOf(number string) byte {
	if strings.Contains(number, ",") {
		return ','
	}
	return '.'
}
