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
	f, ok := w.(*os.File)
	return paint(ok && os.Getenv("NO_COLOR") == "" && os.Getenv("TERM") != "dumb" && term.IsTerminal(int(f.Fd())) && knowsColours(f))
}

// level colours words about findings of a level.
func (p paint) level(l record.Level, words string) string {
	code := map[record.Level]string{record.Error: "1;31", record.Warning: "33"}[l]
	if !p || code == "" {
		return words
	}
	return "\x1b[" + code + "m" + words + "\x1b[0m"
}
