package sheet

import (
	"bytes"
	"encoding/binary"
	"math"
	"os"
	"strings"
	"testing"
	"unicode/utf16"

	"github.com/google/go-cmp/cmp"

	"spadefoot/pipeline/record"
)

// rec writes a BIFF record from numbers (uint8, uint16, uint32, float64) and
// bytes.
func rec(id uint16, parts ...any) []byte {
	var b bytes.Buffer
	for _, p := range parts {
		switch v := p.(type) {
		case string:
			b.WriteString(v)
		default:
			if err := binary.Write(&b, binary.LittleEndian, v); err != nil {
				panic(err)
			}
		}
	}
	head := binary.LittleEndian.AppendUint16(nil, id)
	head = binary.LittleEndian.AppendUint16(head, uint16(b.Len()))
	return append(head, b.Bytes()...)
}

func wideText(s string) string {
	var b []byte
	for _, u := range utf16.Encode([]rune(s)) {
		b = binary.LittleEndian.AppendUint16(b, u)
	}
	return string(b)
}

var (
	bof8  = rec(recBOF, uint16(0x0600), uint16(5), uint16(0), uint16(0), uint32(0), uint32(0))
	bof8t = rec(recBOF, uint16(0x0600), uint16(16), uint16(0), uint16(0), uint32(0), uint32(0))
	eof   = rec(recEOF)
)

// biff8 makes a bare BIFF8 stream of one tab.
func biff8(globals, tab []byte) []byte {
	name := rec(recBoundSheet, uint32(0), uint16(0), uint8(3), uint8(0), "Tab")
	at := len(bof8) + len(globals) + len(name) + len(eof)
	binary.LittleEndian.PutUint32(name[4:], uint32(at))
	return bytes.Join([][]byte{bof8, globals, name, eof, bof8t, tab, eof}, nil)
}

func TestXLSStrings(t *testing.T) {
	// "Étang" cut by the border, narrow before it and wide behind it; a string
	// with formatting runs and phonetic data; one that ends at the border.
	sst := rec(recSST, uint32(3), uint32(3), uint16(5), uint8(0), "\xc9ta")
	cont := rec(recContinue, uint8(1), wideText("n♀"),
		uint16(4), uint8(0x0d), uint16(1), uint32(2), wideText("Rana"), uint32(0), "zz",
		uint16(2), uint8(0), "ok")
	tab := bytes.Join([][]byte{
		rec(recLabelSST, uint16(0), uint16(0), uint16(0), uint32(0)),
		rec(recLabelSST, uint16(0), uint16(1), uint16(0), uint32(1)),
		rec(recLabelSST, uint16(0), uint16(2), uint16(0), uint32(2)),
		rec(recLabel, uint16(1), uint16(0), uint16(0), uint16(2), uint8(1), wideText("5♂")),
		rec(recFormula, uint16(1), uint16(1), uint16(0), "\x00\x00\x00\x00\x00\x00\xff\xff", uint16(0), uint32(0), uint16(0)),
		rec(recString, uint16(3), uint8(0), "f\xfcr"),
		rec(recFormula, uint16(1), uint16(2), uint16(0), "\x01\x00\x01\x00\x00\x00\xff\xff", uint16(0), uint32(0), uint16(0)),
		rec(recFormula, uint16(1), uint16(3), uint16(0), "\x02\x00\x2a\x00\x00\x00\xff\xff", uint16(0), uint32(0), uint16(0)),
		rec(recFormula, uint16(1), uint16(4), uint16(0), "\x00\x00\x00\x00\x00\x00\xff\xff", uint16(0), uint32(0), uint16(0)),
	}, nil)
	sheets, fs, err := readBytes("t.xls", biff8(append(sst, cont...), tab), Options{})
	must(t, err)
	if d := cmp.Diff([]string{"1:Étan♀|Rana|ok", "2:5♂|für|TRUE|#N/A|"}, texts(sheets[0])); d != "" {
		t.Error(d)
	}
	if d := cmp.Diff([]string{"cell-fault tab Tab, D2", "formula-no-value tab Tab, E2"}, raised(fs)); d != "" {
		t.Error(d)
	}
}

func TestXLSNumbers(t *testing.T) {
	globals := bytes.Join([][]byte{
		rec(recDateMode, uint16(1)),
		rec(recFormat, uint16(164), uint16(4), uint8(0), "0.00"),
		rec(recXF, uint16(0), uint16(0), make([]byte, 16)),
		rec(recXF, uint16(0), uint16(164), make([]byte, 16)),
		rec(recXF, uint16(0), uint16(14), make([]byte, 10), uint32(1<<26), uint16(10)),
	}, nil)
	narrow := func(v float64) uint32 { return uint32(math.Float64bits(v)>>32) &^ 3 }
	tab := bytes.Join([][]byte{
		rec(recRow, uint16(1), uint16(0), uint16(3), uint16(255), uint16(0), uint16(0), uint16(0x20), uint16(15)),
		rec(recColInfo, uint16(2), uint16(2), uint16(0), uint16(0), uint16(1)),
		rec(recNumber, uint16(0), uint16(0), uint16(1), 57.5),
		rec(recRK, uint16(0), uint16(1), uint16(0), uint32(5750<<2|3)),
		rec(recRK, uint16(0), uint16(2), uint16(0), narrow(0.5)),
		rec(recMulRK, uint16(1), uint16(0), uint16(1), uint32(0xffffffec|2), uint16(2), uint32(42829<<2|2), uint16(0), uint32(12345<<2|3), uint16(2)),
		rec(recMulBlank, uint16(1), uint16(3), uint16(0), uint16(2), uint16(4)),
		rec(recBoolErr, uint16(2), uint16(0), uint16(0), uint8(7), uint8(1)),
		rec(recBoolErr, uint16(2), uint16(1), uint16(0), uint8(0), uint8(0)),
		rec(recMerged, uint16(1), uint16(0), uint16(0), uint16(0), uint16(1)),
		rec(recObj, uint16(0x15), uint16(18), uint16(0x19), uint16(1), make([]byte, 14)),
		rec(recTxO, uint16(0), uint16(0), make([]byte, 6), uint16(8), uint16(16), uint32(0)),
		rec(recContinue, uint8(0), "tag lost"),
		rec(recContinue, make([]byte, 16)),
		rec(recNote, uint16(3), uint16(0), uint16(0), uint16(1), uint16(1), uint8(0), "A"),
	}, nil)
	sheets, fs, err := readBytes("t.xls", biff8(globals, tab), Options{})
	must(t, err)
	if d := cmp.Diff([]string{"1:57.50|57.5|0.5", "2:-5.00|2021-04-05|123.45", "3:#DIV/0!|FALSE", "4:"}, texts(sheets[0])); d != "" {
		t.Error(d)
	}
	want := []string{"merge-covered tab Tab, B1", "cell-fault tab Tab, A3", "columns-hidden tab Tab, column C", "rows-hidden tab Tab, row 2", "fill-meaning tab Tab, B2"}
	if d := cmp.Diff(want, raised(fs)); d != "" {
		t.Error(d)
	}
	if c := sheets[0].Rows[3].Cells[0]; c.Comment() != "tag lost" {
		t.Errorf("comment: %+v", c)
	}
	if c := sheets[0].Rows[1].Cells[1]; c.Kind != record.Date || c.Fill() != "FF0000" {
		t.Errorf("date: %+v", c)
	}
}

func TestXLSDamaged(t *testing.T) {
	good := biff8(nil, rec(recNumber, uint16(6), uint16(0), uint16(0), 57.5))
	for name, test := range map[string]struct {
		b     []byte
		cause string
	}{
		"password":             {biff8(rec(recFilePass, uint16(1), make([]byte, 50)), nil), "password"},
		"cut short":            {good[:len(good)-8], "damaged"},
		"short record":         {biff8(nil, rec(recNumber, uint16(0), uint16(0), uint16(0), uint32(0))), "damaged"},
		"text that is missing": {biff8(nil, rec(recLabelSST, uint16(0), uint16(0), uint16(0), uint32(9))), "damaged"},
		"broken texts":         {biff8(rec(recSST, uint32(1), uint32(1), uint16(500), uint8(0), "x"), nil), "damaged"},
		"tab of nowhere":       {bytes.Join([][]byte{bof8, rec(recBoundSheet, uint32(1<<30), uint16(0), uint8(1), uint8(0), "T"), eof}, nil), "damaged"},
		"BIFF2":                {[]byte("\x09\x00\x04\x00\x02\x00\x10\x00"), "very old"},
		"unknown BIFF":         {rec(recBOF, uint16(0x0400), uint16(5), uint32(0)), "too old"},
	} {
		_, _, err := readBytes("t.xls", test.b, Options{})
		if e, ok := err.(*Error); !ok || !strings.Contains(e.Cause, test.cause) || e.Advice == "" {
			t.Errorf("%s: %v", name, err)
		}
	}
}

func TestXLSCutAnywhere(t *testing.T) {
	for _, name := range []string{"frogs-97.xls", "frogs-95.xls"} {
		b, err := os.ReadFile(fixture(t, name))
		must(t, err)
		for n := 600; n < len(b)-512; n += 97 {
			sheets, _, err := readBytes(name, b[:n], Options{})
			if err == nil {
				t.Errorf("%s cut to %d of %d bytes gave %d tabs and no error", name, n, len(b), len(sheets))
			}
		}
	}
}
