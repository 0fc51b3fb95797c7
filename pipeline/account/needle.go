package account

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"errors"
	"io"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"
)

// needle is a text that is looked for. White space counts as one blank, as it
// does in what is published.
type needle struct {
	text  string
	plain bool // it is in CSV, in JSON and within quotes as it is
}

func newNeedle(text string) needle {
	if isPlain(text) {
		return needle{text, true}
	}
	return needle{squeezed(text), false}
}

// isPlain reports whether a text has nothing that is written otherwise in CSV,
// JSON or a quoted text, and no blanks at its ends or beside each other.
func isPlain(s string) bool {
	blank := true
	for i := 0; i < len(s); i++ {
		switch b := s[i]; {
		case b >= utf8.RuneSelf:
			return printable(s)
		case b < ' ' || b == '"' || b == '\\' || b == 0x7f || b == ' ' && blank:
			return false
		default:
			blank = b == ' '
		}
	}
	return !blank
}

// printable is isPlain for a text with other than plain letters.
func printable(s string) bool {
	blank := true
	for _, r := range s {
		if r == utf8.RuneError || !unicode.IsPrint(r) || r == '"' || r == '\\' || r == ' ' && blank {
			return false
		}
		blank = r == ' '
	}
	return !blank
}

// squeezed makes one blank of each run of white space, and one replacement
// character of each run of what no text file may hold.
func squeezed(s string) string {
	s = strings.ReplaceAll(strings.ToValidUTF8(s, lostText), "\x00", lostText)
	for strings.Contains(s, lostText+lostText) {
		s = strings.ReplaceAll(s, lostText+lostText, lostText)
	}
	return strings.Join(strings.Fields(s), " ")
}

const lostText = "\uFFFD"

// in reports whether the text is in a field.
func (n needle) in(field []byte) bool {
	switch {
	case len(field) == 0:
		return false
	case n.plain:
		return stands(field, n.text)
	}
	s := string(field)
	return stands([]byte(squeezed(s)), n.text) || stands([]byte(squeezed(unquoted(s))), n.text)
}

// inValue reports whether the text is in a value as it was read from JSON.
// A text that is an object itself is there if all that it says is.
func (n needle) inValue(value any) bool {
	switch v := value.(type) {
	case string:
		return stands([]byte(squeezed(v)), n.text)
	case map[string]any:
		for _, member := range v {
			if n.inValue(member) {
				return true
			}
		}
		return n.objectIn(v)
	case []any:
		for _, member := range v {
			if n.inValue(member) {
				return true
			}
		}
	case float64:
		return strconv.FormatFloat(v, 'g', -1, 64) == n.text
	}
	return false
}

// objectIn reports whether the text is an object whose members all are in
// another.
func (n needle) objectIn(all map[string]any) bool {
	var own map[string]any
	if !strings.HasPrefix(n.text, "{") || json.Unmarshal([]byte(n.text), &own) != nil {
		return false
	}
	for key, value := range own {
		text, err := json.Marshal(value)
		has, err2 := json.Marshal(all[key])
		if err != nil || err2 != nil || !bytes.Equal(text, has) && !bytes.Contains(has, bytes.Trim(text, `{}"`)) {
			return false
		}
	}
	return true
}

// inRows reports whether the text, which is not plain, is in rows of CSV.
func (n needle) inRows(rows []byte) bool {
	r := csv.NewReader(bytes.NewReader(rows))
	r.ReuseRecord, r.FieldsPerRecord = true, -1
	for {
		fields, err := r.Read()
		if errors.Is(err, io.EOF) || err != nil {
			return false
		}
		for _, f := range fields {
			if n.in([]byte(f)) {
				return true
			}
		}
	}
}

// unquoted takes what is in quotes out of them.
func unquoted(s string) string {
	var b strings.Builder
	for s != "" {
		i := strings.IndexByte(s, '"')
		if i < 0 {
			break
		}
		b.WriteString(s[:i])
		s = s[i:]
		quoted, err := strconv.QuotedPrefix(s)
		if err != nil {
			b.WriteByte('"')
			s = s[1:]
			continue
		}
		text, _ := strconv.Unquote(quoted) // QuotedPrefix has looked it over
		b.WriteString(" " + text + " ")
		s = s[len(quoted):]
	}
	return b.String() + s
}

// stands reports whether a text is in another, not as a part of a longer
// word or number.
func stands(in []byte, text string) bool { return standsAt(in, text, 0) >= 0 }

// standsAt is where a text is in another so, from a place on; -1 for nowhere.
func standsAt(in []byte, text string, from int) int {
	for {
		i := bytes.Index(in[from:], []byte(text))
		if i < 0 || text == "" {
			return -1
		}
		start, end := from+i, from+i+len(text)
		if !(start > 0 && joins(in[start-1]) && joins(text[0])) && !runsOn(in[end:], text[len(text)-1]) {
			return start
		}
		from = start + 1
	}
}

// joins reports whether a byte is one of a word or number.
func joins(b byte) bool {
	return '0' <= b && b <= '9' || 'a' <= b|0x20 && b|0x20 <= 'z' || b >= utf8.RuneSelf || b == '-' || b == '.' || b == ':' || b == '/'
}

// runsOn reports whether a word or number that ends in a byte goes on: with a
// letter or digit, or with a mark between two of them.
func runsOn(rest []byte, last byte) bool {
	if len(rest) == 0 || !joins(last) {
		return false
	}
	letter := func(b byte) bool { return joins(b) && b != '-' && b != '.' && b != ':' && b != '/' }
	return letter(rest[0]) || joins(rest[0]) && len(rest) > 1 && letter(rest[1])
}
