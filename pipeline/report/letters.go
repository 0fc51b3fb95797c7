package report

import (
	_ "embed"
	"encoding/csv"
	"strconv"
	"strings"
	"sync"
)

//go:embed letter_widths.csv
var letterWidths string

// widths returns the widths of letters in thousandths of the size of type,
// upright and bold.
var widths = sync.OnceValue(func() map[rune][2]float64 {
	r := csv.NewReader(strings.NewReader(letterWidths))
	r.Comment = '#'
	rows, err := r.ReadAll()
	if err != nil {
		panic("letter_widths.csv: " + err.Error()) // it is part of the program, and a test reads it
	}
	all := make(map[rune][2]float64, len(rows))
	for _, row := range rows[1:] {
		code, _ := strconv.Atoi(row[0])
		regular, _ := strconv.ParseFloat(row[1], 64)
		bold, _ := strconv.ParseFloat(row[2], 64)
		all[rune(code)] = [2]float64{regular, bold}
	}
	return all
})

// The two sizes of letters in pictures, in units of the picture.
const (
	smallType = 10.5
	largeType = 11.5
)

// span is a run of text in one style.
type span struct {
	text         string
	italic, bold bool
}

// width is how long the text is set in the type of pictures. A letter that the
// table lacks counts as a full square, as letters of Chinese are.
func (s span) width(size float64) float64 {
	weight := 0
	if s.bold {
		weight = 1
	}
	sum := 0.0
	for _, r := range s.text {
		w, ok := widths()[r]
		if !ok {
			w = [2]float64{1000, 1000}
		}
		sum += w[weight]
	}
	return sum * size / 1000
}

func width(spans []span, size float64) float64 {
	sum := 0.0
	for _, s := range spans {
		sum += s.width(size)
	}
	return sum
}

// write sets runs of text from the left, on a baseline.
func write(c *canvas, i ink, size, x, y float64, spans ...span) {
	for _, s := range spans {
		words := s
		words.text = strings.TrimLeft(s.text, " ") // browsers drop blanks at the start
		c.text(i, size, point{x + s.width(size) - words.width(size), y}, words)
		x += s.width(size)
	}
}
