package prove

import (
	"bytes"
	"strings"
	"unicode/utf8"

	"golang.org/x/text/encoding/charmap"
)

// null is how a database writes that there is nothing.
var null = []byte(`\N`)

func (t *table) inUTF8() bool { return strings.EqualFold(t.entity.encoding, "UTF-8") }

// nothingOdd reports whether no value cut out of a text can have a fault that
// odd finds.
func (t *table) nothingOdd(text []byte) bool {
	if bytes.Contains(text, null) || bytes.IndexByte(text, 0) >= 0 || bytes.Contains(text, nullWord) {
		return false
	}
	if t.inUTF8() {
		return utf8.Valid(text) && !bytes.Contains(text, lostCharacter) && !startsTwice(text)
	}
	return ascii(text)
}

var (
	nullWord      = []byte("NULL")
	lostCharacter = []byte("\uFFFD")
)

// startsTwice reports whether a character of a text can be the first of those
// that come of reading UTF-8 as Windows-1252. UTF-8 begins all of these with the
// same byte.
func startsTwice(text []byte) bool {
	const first = 0xc3 // of U+00C0 to U+00FF
	for at := bytes.IndexByte(text, first); at >= 0; at = bytes.IndexByte(text, first) {
		r, n := utf8.DecodeRune(text[at:])
		if r >= 0xc2 && r <= 0xf4 && r != 'ä' && r != 'ö' && r != 'é' && r != 'è' {
			return true
		}
		text = text[at+n:]
	}
	return false
}

func ascii(text []byte) bool {
	for _, b := range text {
		if b >= utf8.RuneSelf {
			return false
		}
	}
	return true
}

// odd reports a value whose text is at fault, whatever its term.
func (j *judge) odd(c *watch, v []byte, at int) bool {
	t := j.table
	if t.undecoded(v) {
		j.add("encoding-invalid", j.at(c.column, at), c.name, strings.ToValidUTF8(string(v), "\uFFFD"), "some bytes are not "+t.entity.encoding, guide+"2.2.1")
		return true
	}
	if doubled(v) {
		j.add("encoding-doubtful", j.at(c.column, at), c.name, string(v), "the text looks like UTF-8 that was read in another encoding", guide+"2.2.1")
	}
	switch {
	case bytes.IndexByte(v, 0) >= 0:
		j.add("text-control", j.at(c.column, at), c.name, strings.ReplaceAll(string(v), "\x00", "\u2400"), "there is a NUL in the text", guide+"2.2.1")
		return true
	case t.inUTF8() && bytes.Contains(v, lostCharacter):
		j.add("text-lost", j.at(c.column, at), c.name, string(v), "U+FFFD stands for a character that was lost", guide+"2.2.1")
	case bytes.Equal(v, nullWord), bytes.Equal(v, null):
		j.add("value-null", j.at(c.column, at), c.name, string(v), string(v)+` is how a database writes "nothing"; leave the field empty`, guide+"4.1")
		return true
	}
	return false
}

// undecoded finds bytes that the declared encoding does not have. In UTF-8 the
// replacement character may have been written: it marks what was lost before.
func (t *table) undecoded(v []byte) bool {
	if t.inUTF8() {
		return !utf8.Valid(v)
	}
	return bytes.ContainsRune(v, utf8.RuneError) // also found in place of bytes that are not UTF-8
}

// doubled reports whether a text is what UTF-8 gives when it is read as
// Windows-1252: turned back, it is UTF-8 again.
func doubled(v []byte) bool {
	if !startsTwice(v) {
		return false
	}
	b, err := charmap.Windows1252.NewEncoder().Bytes(v)
	return err == nil && len(b) < len(v) && !ascii(b) && utf8.Valid(b)
}
