package main

import (
	"io"
	"os"

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

// brushes are what the program itself writes to colour words.
var brushes = []string{"\x1b[1;31m", "\x1b[33m", unpainted}

// level colours words about findings of a level.
func (p paint) level(l record.Level, words string) string {
	code := map[record.Level]string{record.Error: "1;31", record.Warning: "33"}[l]
	if !p || code == "" {
		return words
	}
	return "\x1b[" + code + "m" + words + unpainted
}
