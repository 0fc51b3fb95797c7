package sheet

import (
	"bufio"
	"bytes"
	"encoding/binary"
	"fmt"
	"io"
	"unicode/utf8"

	"golang.org/x/text/encoding/charmap"
	"golang.org/x/text/transform"
)

// sniffSize is how many bytes a guess is made from.
const sniffSize = 64 << 10

// decoder turns the bytes of a text file into UTF-8, a chunk at a time. ASCII
// passes as it is; the encoding is decided at the first byte that is not
// ASCII, from the 64 KiB that begin there, however far down the file that is.
type decoder struct {
	src     *bufio.Reader
	read    func(p []byte) (int, error)
	before  []byte // the last of the ASCII that has passed
	guess   *guess // how the encoding was found, nil while all is ASCII
	lost    bool   // U+FFFD has passed
	control bool   // NUL has passed
}

// badByte is a place that means nothing in the encoding.
type badByte struct {
	what     string // the byte in hexadecimal, or "a sequence of bytes"
	encoding string
}

func (e *badByte) Error() string { return e.what + " means nothing in " + e.encoding }

func newBadByte(b byte, encoding string) *badByte {
	return &badByte{what: fmt.Sprintf("byte %02X", b), encoding: encoding}
}

var replacement = []byte("\uFFFD")

// newDecoder begins to read r. name is Options.Encoding; an unknown one is an
// error.
func newDecoder(r io.Reader, name string) (*decoder, error) {
	d := &decoder{src: bufio.NewReaderSize(r, 2*sniffSize)}
	head, _ := d.src.Peek(sniffSize)
	mark, bom := byteOrderMark(head)
	if name != "" {
		enc, err := lookup(name)
		if err != nil {
			return nil, err
		}
		d.guess = &guess{found: enc, certain: true, named: true}
		if bom > 0 {
			if mark.name != enc.name && enc.name != utf16Any.name {
				d.guess = &guess{found: mark, instead: enc.name, confidence: 1}
			}
			enc = mark
			d.src.Discard(bom)
		}
		d.use(enc)
		return d, nil
	}
	if bom > 0 {
		d.src.Discard(bom)
		d.guess = &guess{found: mark, certain: true}
		d.use(mark)
		return d, nil
	}
	if order, wide := wideOrder(head); wide {
		d.guess = &guess{found: order, confidence: 0.95}
		d.use(order)
		return d, nil
	}
	d.read = d.ascii
	return d, nil
}

// Read returns UTF-8, cut anywhere.
func (d *decoder) Read(p []byte) (int, error) {
	if len(p) < utf8.UTFMax {
		return 0, io.ErrShortBuffer
	}
	n, err := d.read(p)
	if !d.control && bytes.IndexByte(p[:n], 0) >= 0 {
		d.control = true
	}
	return n, err
}

// use switches to an encoding.
func (d *decoder) use(e encodingOf) {
	switch {
	case e.utf8:
		d.read = d.utf8
	case e.charmap != nil:
		table := charTable(e.charmap)
		d.read = func(p []byte) (int, error) { return d.byTable(p, table, e.name) }
	default:
		t := transform.NewReader(d.src, e.other.NewDecoder())
		d.read = func(p []byte) (int, error) { return d.transformed(p, t, e) }
	}
}

// buffered returns at least n bytes that wait to be read, unless the file ends.
func (d *decoder) buffered(n int) ([]byte, error) {
	if d.src.Buffered() < n {
		if _, err := d.src.Peek(n); err != nil && d.src.Buffered() == 0 {
			return nil, err
		}
	}
	return d.src.Peek(d.src.Buffered())
}

func (d *decoder) ascii(p []byte) (int, error) {
	b, err := d.buffered(1)
	if err != nil {
		return 0, err
	}
	b = b[:min(len(b), len(p))]
	n := asciiPrefix(b)
	if n == 0 {
		window, _ := d.src.Peek(sniffSize)
		d.guess = detect(d.before, window)
		d.use(d.guess.found)
		return d.read(p)
	}
	copy(p, b[:n])
	d.before = append(d.before[:0], b[max(0, n-32):n]...)
	d.src.Discard(n)
	return n, nil
}

func (d *decoder) utf8(p []byte) (int, error) {
	b, err := d.buffered(utf8.UTFMax)
	if err != nil {
		return 0, err
	}
	b = b[:min(len(b), len(p))]
	n := validPrefix(b)
	if n == 0 {
		return 0, newBadByte(b[0], utf8Encoding.name)
	}
	if !d.lost && bytes.Contains(b[:n], replacement) {
		d.lost = true
	}
	copy(p, b[:n])
	d.src.Discard(n)
	return n, nil
}

// byTable decodes a single-byte encoding.
func (d *decoder) byTable(p []byte, table *[256]rune, name string) (int, error) {
	b, err := d.buffered(1)
	if err != nil {
		return 0, err
	}
	n, used := 0, 0
	for used < len(b) && n+utf8.UTFMax <= len(p) {
		r := table[b[used]]
		if r == utf8.RuneError {
			break
		}
		n += utf8.EncodeRune(p[n:], r)
		used++
	}
	if used == 0 {
		return 0, newBadByte(b[0], name)
	}
	d.src.Discard(used)
	return n, nil
}

// transformed decodes through x/text, which writes U+FFFD for what has no
// meaning. In UTF-16 the mark may be in the file itself, so it is only
// remembered; elsewhere it ends the reading.
func (d *decoder) transformed(p []byte, r io.Reader, e encodingOf) (int, error) {
	n, err := r.Read(p)
	i := bytes.Index(p[:n], replacement)
	if i < 0 {
		return n, err
	}
	if e.wide {
		d.lost = true
		return n, err
	}
	return i, &badByte{what: "a sequence of bytes", encoding: e.name}
}

// asciiPrefix counts the bytes before the first that is not ASCII, eight at a
// time.
func asciiPrefix(b []byte) int {
	n := 0
	for n+8 <= len(b) && binary.LittleEndian.Uint64(b[n:])&0x8080808080808080 == 0 {
		n += 8
	}
	for n < len(b) && b[n] < utf8.RuneSelf {
		n++
	}
	return n
}

// validPrefix returns the length of the longest part of b that is whole valid
// UTF-8 characters.
func validPrefix(b []byte) int {
	if utf8.Valid(b) {
		return len(b)
	}
	i := 0
	for i < len(b) {
		if b[i] < utf8.RuneSelf {
			i++
			continue
		}
		r, size := utf8.DecodeRune(b[i:])
		if r == utf8.RuneError && size <= 1 {
			break
		}
		i += size
	}
	return i
}

func charTable(m *charmap.Charmap) *[256]rune {
	var t [256]rune
	for i := range t {
		t[i] = m.DecodeByte(byte(i))
	}
	return &t
}
