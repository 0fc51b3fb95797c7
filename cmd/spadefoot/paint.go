package main

import (
	"io"
	"maps"
	"os"
	"slices"

	"golang.org/x/term"

	"spadefoot/pipeline/record"
)

// paint colours words on a terminal and nowhere else.
type paint bool

// paintOf tells whether what is written to w is seen in colours: w is a
// terminal that knows them, and the person did not turn them off (NO_COLOR with
// any text, as at no-color.org).
func paintOf(w io.Writer) paint {
	f, ok := fileOf(w)
	return paint(ok && os.Getenv("NO_COLOR") == "" && os.Getenv("TERM") != "dumb" && term.IsTerminal(int(f.Fd())) && knowsColours(f))
}

// unpainted ends what is coloured.
const unpainted = "\x1b[0m"

// colours begin what is coloured by its level.
var colours = map[record.Level]string{record.Error: "\x1b[1;31m", record.Warning: "\x1b[33m"}

// brushes are what the program itself writes to colour words.
var brushes = append(slices.Collect(maps.Values(colours)), unpainted)

// level colours words about findings of a level.
func (p paint) level(l record.Level, words string) string {
	colour := colours[l]
	if !p || colour == "" {
		return words
	}
	return colour + words + unpainted
}
