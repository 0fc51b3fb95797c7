package sheet

import (
	"bytes"
	"encoding/xml"
	"io"
	"strings"
	"unicode/utf8"
)

// markup returns the tokens of an XML document, as xml.Decoder.RawToken does.
type markup interface {
	RawToken() (xml.Token, error)
}

// maxQuick is the size up to which a part of a workbook is read at once.
const maxQuick = 64 << 20

// markupOf reads the XML of a part. Plain XML, as programs write worksheets, is
// taken apart in memory, four times as fast as by encoding/xml; everything else
// is left to that.
func markupOf(r io.Reader, size uint64) (markup, error) {
	if size <= maxQuick {
		text, err := io.ReadAll(r)
		if err != nil {
			return nil, err
		}
		if q := quickMarkup(text); q != nil {
			return q, nil
		}
		r = bytes.NewReader(text)
	}
	d := xml.NewDecoder(r)
	d.CharsetReader = charsetReader
	return d, nil
}

// quick takes plain XML apart: UTF-8 without entities, comments, CDATA and
// instructions beyond the declaration, and with attributes written name="value".
type quick struct {
	text  string
	bytes []byte
	at    int
	empty bool // the element that was begun ends at once
	odd   bool

	// what next has found
	name  xml.Name
	attrs []xml.Attr
	chars []byte
}

// found is the kind of what next has found.
type found uint8

const (
	nothing found = iota // the end of the document, or of what is plain of it
	begin
	finish
	letters
)

// quickMarkup is nil where the document is not plain.
func quickMarkup(text []byte) *quick {
	body, ok := afterDeclaration(text)
	if !ok || !plainText(body) {
		return nil
	}
	q := &quick{text: string(body), bytes: body}
	for q.next() != nothing {
	}
	if q.odd {
		return nil
	}
	q.at = 0
	return q
}

// afterDeclaration is what follows the XML declaration, if that says UTF-8.
func afterDeclaration(text []byte) ([]byte, bool) {
	if !bytes.HasPrefix(text, []byte("<?xml ")) {
		return text, true
	}
	end := bytes.Index(text, []byte("?>"))
	if end < 0 {
		return nil, false
	}
	said := strings.ToLower(string(text[:end]))
	if strings.Contains(said, "encoding") && !strings.Contains(said, `encoding="utf-8"`) || !strings.Contains(said, `version="1.0"`) {
		return nil, false
	}
	return bytes.TrimPrefix(text[end+2:], []byte("\r\n")), true
}

// plainText reports whether a text holds nothing that asks for a closer look.
func plainText(text []byte) bool {
	if bytes.IndexByte(text, '&') >= 0 || bytes.Contains(text, []byte("<!")) || bytes.Contains(text, []byte("<?")) || bytes.Contains(text, []byte("]]>")) {
		return false
	}
	ascii := true
	for _, c := range text {
		if c < ' ' && c != '\t' && c != '\n' {
			return false
		}
		ascii = ascii && c < utf8.RuneSelf
	}
	if ascii {
		return true
	}
	for len(text) > 0 {
		r, n := utf8.DecodeRune(text)
		if r == utf8.RuneError && n == 1 || r == '\uFFFE' || r == '\uFFFF' {
			return false
		}
		text = text[n:]
	}
	return true
}

// RawToken returns the next token; io.EOF ends them. The attributes are valid
// until the next element.
func (q *quick) RawToken() (xml.Token, error) {
	switch q.next() {
	case begin:
		return xml.StartElement{Name: q.name, Attr: q.attrs}, nil
	case finish:
		return xml.EndElement{Name: q.name}, nil
	case letters:
		return xml.CharData(q.chars), nil
	}
	return nil, io.EOF
}

// next reads on. A document that turns out not to be plain ends early, and odd
// says so.
func (q *quick) next() found {
	if q.empty {
		q.empty = false
		return finish
	}
	if q.at == len(q.text) {
		return nothing
	}
	if q.text[q.at] != '<' {
		from := q.at
		if n := strings.IndexByte(q.text[q.at:], '<'); n >= 0 {
			q.at += n
		} else {
			q.at = len(q.text)
		}
		q.chars = q.bytes[from:q.at]
		return letters
	}
	q.at++
	if !strings.HasPrefix(q.text[q.at:], "/") {
		return q.start()
	}
	q.at++
	var ok bool
	if q.name, ok = q.word(); !ok || !q.take('>') {
		return q.fail()
	}
	return finish
}

func (q *quick) fail() found {
	q.odd = true
	return nothing
}

// start reads an element from its name on.
func (q *quick) start() found {
	var ok bool
	if q.name, ok = q.word(); !ok {
		return q.fail()
	}
	q.attrs = q.attrs[:0]
	for {
		spaces := q.spaces()
		switch {
		case q.take('>'):
			return begin
		case strings.HasPrefix(q.text[q.at:], "/>"):
			q.at += 2
			q.empty = true
			return begin
		case !spaces:
			return q.fail()
		}
		key, ok := q.word()
		if !ok || !strings.HasPrefix(q.text[q.at:], `="`) {
			return q.fail()
		}
		q.at += 2
		n := strings.IndexByte(q.text[q.at:], '"')
		if n < 0 || strings.IndexByte(q.text[q.at:q.at+n], '<') >= 0 {
			return q.fail()
		}
		q.attrs = append(q.attrs, xml.Attr{Name: key, Value: q.text[q.at : q.at+n]})
		q.at += n + 1
	}
}

func (q *quick) take(c byte) bool {
	if q.at < len(q.text) && q.text[q.at] == c {
		q.at++
		return true
	}
	return false
}

func (q *quick) spaces() bool {
	from := q.at
	for q.at < len(q.text) && (q.text[q.at] == ' ' || q.text[q.at] == '\n' || q.text[q.at] == '\t') {
		q.at++
	}
	return q.at > from
}

// word reads a name of ASCII letters with at most one prefix.
func (q *quick) word() (xml.Name, bool) {
	from, colon := q.at, -1
	for ; q.at < len(q.text); q.at++ {
		c := q.text[q.at]
		letter := c|0x20 >= 'a' && c|0x20 <= 'z' || c == '_'
		switch {
		case letter, q.at > from && (c >= '0' && c <= '9' || c == '-' || c == '.'):
			continue
		case c == ':' && colon < 0 && q.at > from:
			colon = q.at
			continue
		}
		break
	}
	s := q.text[from:q.at]
	if colon < 0 {
		return xml.Name{Local: s}, s != ""
	}
	local := q.text[colon+1 : q.at]
	plain := local != "" && (local[0]|0x20 >= 'a' && local[0]|0x20 <= 'z' || local[0] == '_')
	return xml.Name{Space: q.text[from:colon], Local: local}, plain
}
