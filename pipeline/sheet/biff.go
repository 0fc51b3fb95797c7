package sheet

import (
	"bytes"
	"encoding/binary"
	"errors"
	"fmt"
	"io"
	"math"
	"unicode/utf16"

	"github.com/richardlehane/mscfb"
	"golang.org/x/text/encoding/charmap"
)

// Numbers of the BIFF records that are read ([MS-XLS] 2.3; BIFF5 has the same
// numbers with other strings).
const (
	recFormula    = 0x0006
	recEOF        = 0x000a
	recNote       = 0x001c
	recDateMode   = 0x0022
	recFilePass   = 0x002f
	recFont       = 0x0031
	recContinue   = 0x003c
	recCodePage   = 0x0042
	recObj        = 0x005d
	recColInfo    = 0x007d
	recBoundSheet = 0x0085
	recPalette    = 0x0092
	recMulRK      = 0x00bd
	recMulBlank   = 0x00be
	recRString    = 0x00d6
	recXF         = 0x00e0
	recMerged     = 0x00e5
	recSST        = 0x00fc
	recLabelSST   = 0x00fd
	recTxO        = 0x01b6
	recBlank      = 0x0201
	recNumber     = 0x0203
	recLabel      = 0x0204
	recBoolErr    = 0x0205
	recString     = 0x0207
	recRow        = 0x0208
	recRK         = 0x027e
	recFormat     = 0x041e
	recBOF        = 0x0809
)

const maxStream = 512 << 20 // bytes of the stream of a workbook

var errShort = errors.New("a record is too short")

// biffStream returns the stream of a workbook out of its container, or the file
// itself where it is bare.
func biffStream(f io.ReaderAt, size int64) ([]byte, error) {
	head := make([]byte, 8)
	if _, err := f.ReadAt(head, 0); err != nil {
		return nil, err
	}
	if string(head) != oleMagic {
		return io.ReadAll(io.LimitReader(io.NewSectionReader(f, 0, size), maxStream))
	}
	box, err := mscfb.New(f)
	if err != nil {
		return nil, err
	}
	var book *mscfb.File
	for _, e := range box.File {
		// Some workbooks hold both, for programs of both ages; BIFF8 is the fuller.
		if len(e.Path) == 0 && (e.Name == "Workbook" || e.Name == "Book" && book == nil) {
			book = e
		}
	}
	if book == nil {
		return nil, errors.New("it holds no stream of a workbook")
	}
	if book.Size > size {
		return nil, errors.New("its stream is longer than the file")
	}
	b, err := io.ReadAll(io.LimitReader(book, maxStream))
	if err == nil && int64(len(b)) < min(book.Size, maxStream) {
		err = io.ErrUnexpectedEOF
	}
	return b, err
}

// biffRecord is one record: number, content, and the offset behind it.
type biffRecord struct {
	id   uint16
	data []byte
	next int
}

// biffAt reads the record at an offset of the stream.
func biffAt(stream []byte, at int) (biffRecord, error) {
	if at < 0 || at+4 > len(stream) {
		return biffRecord{}, io.ErrUnexpectedEOF
	}
	n := int(binary.LittleEndian.Uint16(stream[at+2:]))
	if at+4+n > len(stream) {
		return biffRecord{}, io.ErrUnexpectedEOF
	}
	return biffRecord{id: binary.LittleEndian.Uint16(stream[at:]), data: stream[at+4 : at+4+n], next: at + 4 + n}, nil
}

// u16 and u32 read numbers of a record; a short record gives 0, and need says
// so beforehand where it matters.
func (r biffRecord) u16(at int) int {
	if at+2 > len(r.data) {
		return 0
	}
	return int(binary.LittleEndian.Uint16(r.data[at:]))
}

func (r biffRecord) u32(at int) uint32 {
	if at+4 > len(r.data) {
		return 0
	}
	return binary.LittleEndian.Uint32(r.data[at:])
}

func (r biffRecord) f64(at int) float64 {
	if at+8 > len(r.data) {
		return 0
	}
	return math.Float64frombits(binary.LittleEndian.Uint64(r.data[at:]))
}

func (r biffRecord) need(n int) error {
	if len(r.data) < n {
		return fmt.Errorf("record %04X: %w", r.id, errShort)
	}
	return nil
}

// rk decodes the short form of a number ([MS-XLS] 2.5.217).
func rk(v uint32) float64 {
	var f float64
	if v&2 != 0 {
		f = float64(int32(v) >> 2)
	} else {
		f = math.Float64frombits(uint64(v&^3) << 32)
	}
	if v&1 != 0 {
		f /= 100
	}
	return f
}

// wide8 reads a BIFF8 string whose length is before it in one or two
// bytes ([MS-XLS] 2.5.294, 2.5.240).
func wide8(b []byte, lengthBytes int) (string, error) {
	if len(b) < lengthBytes+1 {
		if lengthBytes <= len(b) && bytes.Count(b, []byte{0}) == len(b) {
			return "", nil
		}
		return "", errShort
	}
	n := int(b[0])
	if lengthBytes == 2 {
		n = int(binary.LittleEndian.Uint16(b))
	}
	flags, b := b[lengthBytes], b[lengthBytes+1:]
	if flags&8 != 0 {
		b = b[min(2, len(b)):]
	}
	if flags&4 != 0 {
		b = b[min(4, len(b)):]
	}
	s, _, ok := characters(b, n, flags&1 != 0)
	if !ok {
		return "", errShort
	}
	return s, nil
}

// characters decodes n characters: two bytes each, or the low bytes only.
func characters(b []byte, n int, wide bool) (s string, used int, ok bool) {
	if !wide {
		if len(b) < n {
			return "", 0, false
		}
		rs := make([]rune, n)
		for i, c := range b[:n] {
			rs[i] = rune(c)
		}
		return string(rs), n, true
	}
	if len(b) < 2*n {
		return "", 0, false
	}
	us := make([]uint16, n)
	for i := range us {
		us[i] = binary.LittleEndian.Uint16(b[2*i:])
	}
	return string(utf16.Decode(us)), 2 * n, true
}

// codePages are the 8-bit encodings of BIFF5 by number ([MS-XLS] 2.4.52 and
// common practice).
var codePages = map[int]*charmap.Charmap{
	437: charmap.CodePage437, 850: charmap.CodePage850, 852: charmap.CodePage852, 855: charmap.CodePage855,
	866: charmap.CodePage866, 874: charmap.Windows874, 1250: charmap.Windows1250, 1251: charmap.Windows1251,
	1252: charmap.Windows1252, 1253: charmap.Windows1253, 1254: charmap.Windows1254, 1255: charmap.Windows1255,
	1256: charmap.Windows1256, 1257: charmap.Windows1257, 1258: charmap.Windows1258,
	10000: charmap.Macintosh, 0x8000: charmap.Macintosh, 0x8001: charmap.Windows1252, 367: charmap.Windows1252,
}
