package sheet

import (
	"archive/zip"
	"encoding/xml"
	"io"
	"strings"
	"unicode/utf8"
)

// markup returns the tokens of an XML document; io.EOF ends them.
type markup interface {
	token() (token, error)
}

// token is one token of an XML document. It is valid until the next.
type token struct {
	kind    kindOfToken
	element xml.StartElement // that begins, or with its name only ends
	text    string
}

type kindOfToken uint8

const (
	nothing kindOfToken = iota // the end of the document, or what says nothing here
	begin
	finish
	letters
)

// decoded is any XML document.
type decoded struct{ *xml.Decoder }

func (d decoded) token() (token, error) {
	t, err := d.RawToken()
	switch t := t.(type) {
	case xml.StartElement:
		return token{kind: begin, element: t}, err
	case xml.EndElement:
		return token{kind: finish, element: xml.StartElement{Name: t.Name}}, err
	case xml.CharData:
		return token{kind: letters, text: string(t)}, err
	}
	return token{}, err
}

// maxQuick is the size up to which a part of a workbook is read at once.
const maxQuick = 64 << 20

// tokens lets read go through the tokens of a part. Plain XML, as programs write
// worksheets, is taken apart in memory, four times as fast as by encoding/xml. If
// it turns out not to be plain further down, read begins again, and everything it
// did before is void.
func (p *packed) tokens(e *zip.File, read func(markup) error) error {
	r, err := p.open(e)
	if err != nil {
		return err
	}
	defer r.Close()
	text, kept := p.kept[e]
	if !kept && e.UncompressedSize64 <= maxQuick {
		var b strings.Builder
		b.Grow(int(e.UncompressedSize64))
		if _, err := io.Copy(&b, r); err != nil {
			return err
		}
		text, kept = b.String(), true
	}
	in := io.Reader(r)
	if kept {
		if q := quickMarkup(text); q != nil {
			if err := read(q); !q.odd {
				return err
			}
		}
		in = strings.NewReader(text)
	}
	d := xml.NewDecoder(in)
	d.CharsetReader = charsetReader
	return read(decoded{d})
}

// quick takes plain XML apart: UTF-8 without entities, comments, CDATA and
// instructions beyond the declaration, and with attributes written name="value".
type quick struct {
	text  string
	at    int
	empty bool // the element that was begun ends at once
	odd   bool

	// what next has found
	name  xml.Name
	attrs []xml.Attr
	chars string
}

// quickMarkup is nil where the document is not plain at first sight.
func quickMarkup(text string) *quick {
	body, ok := afterDeclaration(text)
	if !ok || !plainText(body) {
		return nil
	}
	return &quick{text: body}
}

// afterDeclaration is what follows the XML declaration, if that says UTF-8.
func afterDeclaration(text string) (string, bool) {
	if !strings.HasPrefix(text, "<?xml ") {
		return text, true
	}
	head, body, ended := strings.Cut(text, "?>")
	said := strings.ToLower(head)
	if !ended || strings.Contains(said, "encoding") && !strings.Contains(said, `encoding="utf-8"`) || !strings.Contains(said, `version="1.0"`) {
		return "", false
	}
	return strings.TrimPrefix(body, "\r\n"), true
}

// plainText reports whether a text holds nothing that asks for a closer look.
func plainText(text string) bool {
	if strings.IndexByte(text, '&') >= 0 || strings.Contains(text, "<!") || strings.Contains(text, "<?") || strings.Contains(text, "]]>") {
		return false
	}
	for i := 0; i < len(text); {
		c := text[i]
		switch {
		case c >= utf8.RuneSelf:
			r, n := utf8.DecodeRuneInString(text[i:])
			if r == utf8.RuneError && n == 1 || r == '\uFFFE' || r == '\uFFFF' {
				return false
			}
			i += n
			continue
		case c < ' ' && c != '\t' && c != '\n':
			return false
		}
		i++
	}
	return true
}

func (q *quick) token() (token, error) {
	switch q.next() {
	case begin:
		return token{kind: begin, element: xml.StartElement{Name: q.name, Attr: q.attrs}}, nil
	case finish:
		return token{kind: finish, element: xml.StartElement{Name: q.name}}, nil
	case letters:
		return token{kind: letters, text: q.chars}, nil
	}
	return token{}, io.EOF
}

// next reads on. A document that turns out not to be plain ends early, and odd
// says so.
func (q *quick) next() kindOfToken {
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
		q.chars = q.text[from:q.at]
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

func (q *quick) fail() kindOfToken {
	q.odd = true
	return nothing
}

// start reads an element from its name on.
func (q *quick) start() kindOfToken {
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
