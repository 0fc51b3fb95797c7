package main

import (
	"bytes"
	"fmt"
	"io"
	"os"
	"strings"
	"unicode"
	"unicode/utf8"
)

// harmlessText writes to a terminal or a log what came from files of others.
// Titles, cells and file names may hold characters that a terminal obeys, or
// that turn the order of what is read; they are written as \u001b. A line that
// begins with :: or ## and a letter or bracket may be a command to a service
// that runs checks; such a line gets a backslash before it.
type harmlessText struct {
	w       io.Writer
	painted bool   // the program's own colours are seen
	inner   bool   // something but blanks is on the line already
	held    []byte // of a character that is not whole yet, or of the beginning of a line
}

func harmless(w io.Writer) *harmlessText { return &harmlessText{w: w, painted: bool(paintOf(w))} }

// Write writes p; what cannot be judged yet waits for more.
func (h *harmlessText) Write(p []byte) (int, error) {
	text := append(h.held, p...)
	out, rest := h.safe(text, false)
	h.held = bytes.Clone(rest)
	return len(p), h.pass(out)
}

// end writes what waits.
func (h *harmlessText) end() {
	out, _ := h.safe(h.held, true)
	h.held = nil
	_ = h.pass(out)
}

// pass hands on what there is; a pipe waits even for a reader of nothing.
func (h *harmlessText) pass(out []byte) error {
	if len(out) == 0 {
		return nil
	}
	_, err := h.w.Write(out)
	return err
}

func (h *harmlessText) safe(text []byte, all bool) (out, rest []byte) {
	for len(text) > 0 {
		if !all && !utf8.FullRune(text) || !h.inner && !all && undecided(text) {
			return out, text
		}
		r, n := utf8.DecodeRune(text)
		if !h.inner && command(text) {
			out = append(out, '\\')
		}
		switch {
		case r == '\n':
			h.inner = false
			out = append(out, '\n')
		case r == '\t' || r == ' ':
			out = append(out, byte(r))
		case h.brush(text) > 0:
			n = h.brush(text)
			out = append(out, text[:n]...)
		case obeyed(r) || r == utf8.RuneError && n == 1:
			h.inner = true
			if n == 1 {
				r = rune(text[0])
			}
			out = fmt.Appendf(out, `\u%04x`, r)
		default:
			h.inner = true
			out = append(out, text[:n]...)
		}
		text = text[n:]
	}
	return out, nil
}

// brush is how long the colour is that the program itself begins or ends here.
func (h *harmlessText) brush(text []byte) int {
	for _, b := range brushes {
		if h.painted && bytes.HasPrefix(text, []byte(b)) {
			return len(b)
		}
	}
	return 0
}

// obeyed reports whether a terminal does something other than show a character:
// the controls, and what turns the direction of a text or hides in it.
func obeyed(r rune) bool {
	return unicode.IsControl(r) || r >= '\u202a' && r <= '\u202e' || r >= '\u2066' && r <= '\u2069' || r == '\u2028' || r == '\u2029' ||
		r == '\u200e' || r == '\u200f' || r == '\u061c'
}

// command reports whether a line begins as commands of such services do.
func command(line []byte) bool {
	if bytes.HasPrefix(line, []byte("::")) {
		return true
	}
	after, marked := bytes.CutPrefix(line, []byte("##"))
	return marked && len(after) > 0 && after[0] != '#' && after[0] != ' ' && after[0] != '\n'
}

// undecided reports whether a line may still become a command.
func undecided(line []byte) bool {
	return len(line) < 3 && (line[0] == ':' || line[0] == '#') && bytes.Count(line, line[:1]) == len(line) && !bytes.HasPrefix(line, []byte("::"))
}

// fileOf is the file that is written to in the end, if it is one.
func fileOf(w io.Writer) (*os.File, bool) {
	if h, ok := w.(*harmlessText); ok {
		w = h.w
	}
	f, ok := w.(*os.File)
	return f, ok
}

// oneLine keeps a text that was written by others on one line, and its colours
// from being taken for the program's.
func oneLine(text any) string {
	return strings.NewReplacer("\x1b", `\u001b`, "\r\n", " ", "\n", " ", "\r", " ", "\v", " ", "\f", " ").Replace(fmt.Sprint(text))
}
