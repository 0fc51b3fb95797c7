package sheet

import (
	"unicode"
	"unicode/utf8"
)

// wideOrder recognises UTF-16: by its mark, or without one by NUL bytes, which
// blanks, digits and separators have in any script, on one side of the pairs
// only, in text that can be read.
func wideOrder(b []byte) (encodingOf, bool) {
	if e, n := byteOrderMark(b); n == 2 {
		return e, true
	}
	b = b[:len(b)/2*2]
	var nul [2]int
	for i, c := range b {
		if c == 0 {
			nul[i&1]++
		}
	}
	order, most, least := utf16LE, nul[1], nul[0]
	if nul[0] > nul[1] {
		order, most, least = utf16BE, nul[0], nul[1]
	}
	return order, most*40 > len(b) && least*50 < most && lineEndsAreWide(b, nul[0] > nul[1]) && readable(b, order)
}

// lineEndsAreWide reports whether most bytes that end a line have a NUL beside
// them, as they have in UTF-16.
func lineEndsAreWide(b []byte, bigEndian bool) bool {
	wide, all := 0, 0
	for i, c := range b {
		if c != '\n' && c != '\r' {
			continue
		}
		all++
		if bigEndian && i&1 == 1 && b[i-1] == 0 || !bigEndian && i&1 == 0 && b[i+1] == 0 {
			wide++
		}
	}
	if all == 0 {
		return len(b) < 512 // a single short line
	}
	return wide*2 >= all
}

// readable reports whether UTF-16 makes text: hardly a character in fifty is a
// control character or undefined.
func readable(b []byte, e encodingOf) bool {
	text, err := e.other.NewDecoder().Bytes(b)
	if err != nil {
		return false
	}
	bad, all := 0, 0
	for _, r := range string(text) {
		all++
		if r == utf8.RuneError || !unicode.IsGraphic(r) && r != '\n' && r != '\r' && r != '\t' {
			bad++
		}
	}
	return bad*50 < all
}
