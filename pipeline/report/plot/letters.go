package plot

import (
	"embed"
	"encoding/csv"
	"strconv"
	"strings"
	"sync"

	"spadefoot/schemas"
)

//go:embed letter_widths.csv
var letterWidths embed.FS

// widths returns the widths of letters in thousandths of the size of type,
// upright and bold.
var widths = sync.OnceValue(func() map[rune][2]float64 {
	r := csv.NewReader(strings.NewReader(schemas.Folder{FS: letterWidths}.Text("letter_widths.csv")))
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
	SmallType = 10.5
	largeType = 11.5
)

// Span is a run of text in one style.
type Span struct {
	Text         string
	Italic, Bold bool
}

// Width is how long the text is set in the type of pictures. A letter that the
// table lacks counts as a full square, as letters of Chinese are.
func (s Span) Width(size float64) float64 {
	weight := 0
	if s.Bold {
		weight = 1
	}
	sum := 0.0
	for _, r := range s.Text {
		w, ok := widths()[r]
		if !ok {
			w = [2]float64{1000, 1000}
		}
		sum += w[weight]
	}
	return sum * size / 1000
}

// Width is how long runs of text are together.
func Width(spans []Span, size float64) float64 {
	sum := 0.0
	for _, s := range spans {
		sum += s.Width(size)
	}
	return sum
}

// Write sets runs of text from the left, on a baseline.
func Write(c *Canvas, i Ink, size, x, y float64, spans ...Span) {
	for _, s := range spans {
		words := s
		words.Text = strings.TrimLeft(s.Text, " ") // browsers drop blanks at the start
		c.text(i, size, Point{x + s.Width(size) - words.Width(size), y}, words)
		x += s.Width(size)
	}
}
