package sheet

import (
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"unicode/utf16"

	"spadefoot/pipeline/record"
)

func wide(s string) string {
	var b strings.Builder
	for _, u := range append([]uint16{0xfeff}, utf16.Encode([]rune(s))...) {
		b.WriteByte(byte(u))
		b.WriteByte(byte(u >> 8))
	}
	return b.String()
}

func TestSpans(t *testing.T) {
	at := func(row, column int) record.Address {
		return record.Address{File: "frogs.csv", Row: row, Column: column}
	}
	for _, c := range []struct {
		name, text string
		at         record.Address
		want       Span
	}{
		{"first cell", "No,SVL\n1,61\n", at(2, 1), Span{2, 1, 2, 2}},
		{"last cell", "No,SVL\n1,61\n", at(2, 2), Span{2, 3, 2, 5}},
		{"no line end at the end", "No,SVL\n1,61", at(2, 2), Span{2, 3, 2, 5}},
		{"carriage returns", "No,SVL\r\n1,61\r\n2,63\r\n", at(3, 2), Span{3, 3, 3, 5}},
		{"classic Mac", "No,SVL\r1,61\r2,63\r", at(3, 2), Span{3, 3, 3, 5}},
		{"blank cell", "No,Sex,SVL\n1,,61\n", at(2, 2), Span{2, 3, 2, 3}},
		{"byte order mark", "\ufeffNo,SVL\n1,61\n", at(1, 2), Span{1, 4, 1, 7}},
		{"characters, not bytes", "No;Señas;LHC\n1;pequeñísima;61\n", at(2, 3), Span{2, 15, 2, 17}},
		{"separator in quotation marks", "No,Site,SVL\n1,\"Pond, north\",61\n", at(2, 2), Span{2, 3, 2, 16}},
		{"behind quotation marks", "No,Site,SVL\n1,\"Pond, north\",61\n", at(2, 3), Span{2, 17, 2, 19}},
		{"doubled marks", "No,Note,SVL\n1,\"5\"\" pipe, near\",61\n", at(2, 3), Span{2, 20, 2, 22}},
		{"empty in marks", "No,Note,SVL\n1,\"\",61\n", at(2, 3), Span{2, 6, 2, 8}},
		{"cell over two lines", "No,Note,SVL\n1,\"two\nlines\",61\n2,,63\n", at(2, 2), Span{2, 3, 3, 7}},
		{"behind a cell over two lines", "No,Note,SVL\n1,\"two\nlines\",61\n2,,63\n", at(2, 3), Span{3, 8, 3, 10}},
		{"row behind such a row", "No,Note,SVL\n1,\"two\nlines\",61\n2,,63\n", at(4, 3), Span{4, 4, 4, 6}},
		{"stray mark", "No,Note,SVL\n1,5\" pipe,61\n", at(2, 3), Span{2, 11, 2, 13}},
		{"blank lines between", "No,SVL\n\n1,61\n", at(3, 2), Span{3, 3, 3, 5}},
		{"named separator", "sep=;\nNo;SVL\n1;61\n", at(3, 2), Span{3, 3, 3, 5}},
		{"UTF-16", wide("No,SVL\n1,61\n2,63\n"), at(3, 2), Span{3, 3, 3, 5}},
		{"Latin 1", "No;Sitio;LHC\n1;Ca\xf1\xf3n;61\n2;Ca\xf1ada;58\n", at(2, 3), Span{2, 9, 2, 11}},
	} {
		t.Run(c.name, func(t *testing.T) {
			path := filepath.Join(t.TempDir(), "frogs.csv")
			if err := os.WriteFile(path, []byte(c.text), 0o644); err != nil {
				t.Fatal(err)
			}
			got, err := Spans("frogs.csv", path, Options{}, []record.Address{c.at})
			if err != nil {
				t.Fatal(err)
			}
			if got[c.at] != c.want {
				t.Errorf("got %v, want %v", got[c.at], c.want)
			}
		})
	}
}

func TestSpansOfAWorkbookAreNone(t *testing.T) {
	path := filepath.Join("..", "..", "testdata", "sheets", "frogs.xlsx")
	got, err := Spans("frogs.xlsx", path, Options{}, []record.Address{{File: "frogs.xlsx", Row: 2, Column: 2}})
	if err != nil || len(got) > 0 {
		t.Errorf("%v, %v", got, err)
	}
}

// The text at the span of a cell is the cell, with or without its marks.
func FuzzSpans(f *testing.F) {
	f.Add("No,Note,SVL\n1,\"two\nlines\",61\n2,\"5\"\" pipe\",63\n")
	f.Add("\xff\xfe00")
	f.Add("a;b\n\"x;\"\"y\" ;2\n")
	f.Fuzz(func(t *testing.T, text string) {
		if strings.HasPrefix(text, "\xff\xfe") || strings.HasPrefix(text, "\xfe\xff") {
			return // its mark says that it is UTF-16, and no encoding that is asked for outweighs that
		}
		path := filepath.Join(t.TempDir(), "frogs.csv")
		if err := os.WriteFile(path, []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
		s, _, err := ReadText("frogs.csv", strings.NewReader(text), Options{Encoding: "utf-8", Separator: ','})
		if err != nil {
			return
		}
		var want []record.Address
		cells := map[record.Address]string{}
		for _, r := range s.Rows {
			for _, c := range r.Cells {
				a := record.Address{File: "frogs.csv", Row: c.Row, Column: c.Column}
				want, cells[a] = append(want, a), c.Text
			}
		}
		spans, err := Spans("frogs.csv", path, Options{Encoding: "utf-8", Separator: ','}, want)
		if err != nil {
			return
		}
		terminator := "\n"
		if !strings.Contains(text, "\n") {
			terminator = "\r"
		}
		lines := strings.Split(strings.TrimPrefix(text, "\ufeff"), terminator)
		for a, p := range spans {
			if p.Line != p.EndLine || slices.ContainsFunc(lines, func(l string) bool { return strings.Contains(l, "\ufeff") }) {
				continue
			}
			line := []rune(lines[p.Line-1])
			if p.EndColumn-1 > len(line) || p.Column > p.EndColumn {
				t.Fatalf("%v of %q: %v", a, text, p)
			}
			got := string(line[p.Column-1 : p.EndColumn-1])
			if got != cells[a] && !strings.HasPrefix(strings.TrimLeft(got, " \t"), `"`) {
				t.Fatalf("%v of %q: %v is %q, the cell is %q", a, text, p, got, cells[a])
			}
		}
	})
}
