package darwincore

import "unicode/utf8"

// appendString appends a text as JSON has it, the way encoding/json writes it
// when the text is not for HTML.
func appendString(b []byte, s string) []byte {
	b = append(b, '"')
	from := 0
	for i := 0; i < len(s); {
		if c := s[i]; c < utf8.RuneSelf {
			if c < ' ' || c == '"' || c == '\\' {
				b = appendEscape(append(b, s[from:i]...), c)
				from = i + 1
			}
			i++
			continue
		}
		r, size := utf8.DecodeRuneInString(s[i:])
		switch {
		case r == utf8.RuneError && size == 1:
			b = append(append(b, s[from:i]...), `\ufffd`...)
			from = i + size
		case r == '\u2028' || r == '\u2029': // ends of lines to JavaScript
			b = append(append(b, s[from:i]...), `\u202`...)
			b = append(b, hexDigits[r&0xf])
			from = i + size
		}
		i += size
	}
	return append(append(b, s[from:]...), '"')
}

const hexDigits = "0123456789abcdef"

func appendEscape(b []byte, c byte) []byte {
	switch c {
	case '"', '\\':
		return append(b, '\\', c)
	case '\b':
		return append(b, `\b`...)
	case '\f':
		return append(b, `\f`...)
	case '\n':
		return append(b, `\n`...)
	case '\r':
		return append(b, `\r`...)
	case '\t':
		return append(b, `\t`...)
	}
	return append(b, '\\', 'u', '0', '0', hexDigits[c>>4], hexDigits[c&0xf])
}
