package prove

import (
	"bufio"
	"bytes"
	"io"
	"strings"

	"golang.org/x/text/encoding"
	"golang.org/x/text/encoding/htmlindex"
	"golang.org/x/text/encoding/unicode"
)

// encodingOf finds an encoding by name; nil stands for UTF-8.
func encodingOf(name string) (encoding.Encoding, error) {
	switch strings.ToLower(strings.TrimSpace(name)) {
	case "utf-8", "utf8", "":
		return nil, nil
	case "utf-16", "utf16":
		return unicode.UTF16(unicode.BigEndian, unicode.UseBOM), nil
	}
	return htmlindex.Get(strings.TrimSpace(name))
}

var (
	markUTF8    = []byte("\xef\xbb\xbf")
	markUTF16LE = []byte("\xff\xfe")
	markUTF16BE = []byte("\xfe\xff")
)

// notUTF16 stands for the mark of a text that is declared to be UTF-16 and is
// not.
const notUTF16 = "none"

// decoded returns the text of a file as UTF-8. Mark is the encoding that a byte
// order mark at its beginning stands for, or "". A file that is UTF-16 by its
// mark is read as that, whatever was declared.
func decoded(r io.Reader, name string) (text *bufio.Reader, mark string, err error) {
	in := bufio.NewReaderSize(r, 1<<16)
	head, err := in.Peek(3)
	if err != nil && err != io.EOF {
		return nil, "", err
	}
	e, err := encodingOf(name)
	if err != nil {
		return nil, "", err
	}
	switch {
	case bytes.HasPrefix(head, markUTF8):
		in.Discard(3)
		return in, "UTF-8", nil
	case bytes.HasPrefix(head, markUTF16LE), bytes.HasPrefix(head, markUTF16BE):
		e, mark = unicode.UTF16(unicode.LittleEndian, unicode.UseBOM), "UTF-16"
	}
	if e == nil {
		return in, mark, nil
	}
	if mark == "" && strings.Contains(strings.ToLower(name), "utf-16") && len(head) == 3 && bytes.IndexByte(head, 0) < 0 && ascii(head) {
		return in, notUTF16, nil
	}
	return bufio.NewReaderSize(e.NewDecoder().Reader(in), 1<<16), mark, nil
}
