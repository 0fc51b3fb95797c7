package prove

import (
	"bytes"
	"strings"
	"unicode/utf8"
)

// null is how a database writes that there is nothing.
var null = []byte(`\N`)

func (t *table) inUTF8() bool { return strings.EqualFold(t.entity.encoding, "UTF-8") }

// nothingOdd reports whether no value cut out of a text can have a fault that
// odd finds.
func (t *table) nothingOdd(text []byte) bool {
	if t.inUTF8() {
		return utf8.Valid(text) && !bytes.Contains(text, null)
	}
	return ascii(text) && !bytes.Contains(text, null)
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
		j.add("encoding-invalid", j.at(c.column, at), c.name, strings.ToValidUTF8(string(v), "\uFFFD"), "there are bytes that are no "+t.entity.encoding, guide+"2.2.1")
		return true
	}
	if !t.inUTF8() && doubled(v) {
		j.add("encoding-doubtful", j.at(c.column, at), c.name, string(v), "the text reads like UTF-8 taken for "+t.entity.encoding, guide+"2.2.1")
	}
	if string(v) == `\N` {
		j.add("value-null", j.at(c.column, at), c.name, string(v), `\N is how a database writes "nothing"; an empty field says it`, guide+"4.1")
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
	return bytes.ContainsRune(v, utf8.RuneError) // also found in place of bytes that are no UTF-8
}

// doubled finds the letter pairs that UTF-8 gives when it is read as Latin-1.
func doubled(v []byte) bool {
	for _, s := range []string{"Ã©", "Ã¨", "Ã¡", "Ã³", "Ã¼", "Ã¶", "Ã¤", "Ã±", "Â°", "â€"} {
		if bytes.Contains(v, []byte(s)) {
			return true
		}
	}
	return false
}
