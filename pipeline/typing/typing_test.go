package typing_test

import (
	"bytes"
	"encoding/csv"
	"errors"
	"fmt"
	"slices"
	"strings"
	"testing"

	"spadefoot/pipeline/record"
	"spadefoot/pipeline/typing"
)

var headings = []string{"No", "SVL (mm)", "Notes", typing.KeptHeading, typing.RowHeading}

func id(n int) string { return fmt.Sprintf("%0*x", typing.IdentifierLength, n) }

func row(n int, notes string) []string {
	return []string{fmt.Sprint("MC", n), "57.0", notes, "", id(n)}
}

// written adds rows one after the other to a file.
func written(t testing.TB, rows ...[]string) []byte {
	var text []byte
	for _, r := range rows {
		f, err := typing.Read(text, headings)
		if err != nil {
			t.Fatal(err)
		}
		text = append(text[:f.Whole:f.Whole], f.Appended(headings, r)...)
	}
	return text
}

func TestRowsComeBack(t *testing.T) {
	rows := [][]string{row(1, "in reeds"), row(2, `says "croak", twice`), row(3, ""), row(4, "ä, ö")}
	text := written(t, rows...)
	f, err := typing.Read(text, headings)
	if err != nil || !slices.EqualFunc(f.Rows, rows, slices.Equal) || len(f.Torn) > 0 {
		t.Fatalf("%q, torn %q, %v", f.Rows, f.Torn, err)
	}
	if i, there := f.Has(id(3)); !there || i != 2 {
		t.Errorf("the third row is %d, %v", i, there)
	}
	if _, there := f.Has(id(9)); there {
		t.Error("a row that was never kept is there")
	}
	if all, err := csv.NewReader(bytes.NewReader(text)).ReadAll(); err != nil || len(all) != 5 {
		t.Errorf("as CSV: %d lines, %v", len(all), err)
	}
}

// Wherever a crash cuts the last line off, the rows before it are whole, and the
// next row follows them.
func TestALastLineThatWasCutOff(t *testing.T) {
	before := written(t, row(1, "in reeds"), row(2, "calling"))
	whole := written(t, row(1, "in reeds"), row(2, "calling"), row(3, `a "note", long`))
	for cut := len(before); cut < len(whole); cut++ {
		f, err := typing.Read(whole[:cut], headings)
		if err != nil {
			t.Fatalf("cut at %d: %v", cut, err)
		}
		rows := len(f.Rows)
		if cut == len(whole)-1 { // all but the end of the line: the row is whole
			if rows != 3 || len(f.Torn) > 0 {
				t.Errorf("without the end of its line: %d rows, torn %q", rows, f.Torn)
			}
		} else if tail := whole[len(before):cut]; rows != 2 && !bytes.HasSuffix(tail, []byte(",")) {
			t.Errorf("cut at %d: %d rows, torn %q", cut, rows, f.Torn)
		}
		more := append(whole[:f.Whole:f.Whole], f.Appended(headings, row(4, "after"))...)
		again, err := typing.Read(more, headings)
		if err != nil || len(again.Rows) != rows+1 || again.Rows[rows][0] != "MC4" {
			t.Errorf("cut at %d, after another row: %q, %v", cut, again.Rows, err)
		}
	}
}

func TestOtherHeadingsAndNoTable(t *testing.T) {
	var other *typing.HeadingsError
	if _, err := typing.Read([]byte("No;SVL\n1;57\n"), headings); !errors.As(err, &other) || !strings.Contains(err.Error(), "the form has No, SVL (mm)") {
		t.Errorf("other headings: %v", err)
	}
	if _, err := typing.Read([]byte("No,\"SVL\n\n\"x\n"), headings); err == nil || errors.As(err, &other) {
		t.Errorf("no CSV: %v", err)
	}
	if f, err := typing.Read(nil, headings); err != nil || len(f.Rows) > 0 {
		t.Errorf("nothing: %v, %v", f, err)
	}
	byHand := append([]byte("\ufeff"), written(t, row(1, ""))...) // as a spreadsheet program saves it
	if f, err := typing.Read(append(byHand, "MC2,58,,,\n"...), headings); err != nil || len(f.Rows) != 2 {
		t.Errorf("a row added by hand: %+v, %v", f, err)
	}
}

func FuzzRead(f *testing.F) {
	f.Add(written(f, row(1, "a"), row(2, "b")))
	for _, s := range []string{"No,\"SVL", "\n", "\r"} {
		f.Add([]byte(s))
	}
	f.Fuzz(func(t *testing.T, text []byte) {
		file, err := typing.Read(text, headings)
		if err != nil {
			return
		}
		more := append(text[:file.Whole:file.Whole], file.Appended(headings, row(7, "x"))...)
		again, err := typing.Read(more, headings)
		if err != nil || len(again.Rows) != len(file.Rows)+1 || !slices.Equal(again.Rows[len(file.Rows)], row(7, "x")) {
			t.Errorf("%q and a row: %+v, %v", text, again, err)
		}
	})
}

func TestCleanKeepsWhatALineCanHold(t *testing.T) {
	if got := typing.Clean(" 57,0\tmm\r\nwet\x00 "); got != "57,0 mm  wet" {
		t.Errorf("%q", got)
	}
}

func frog(tare float64, bag string) *record.Capture {
	return &record.Capture{Weighing: &record.Weighing{Way: record.SameRow, BagLabel: bag,
		Tare: &record.Reading{Series: &record.Series{Unit: "g"}, Number: tare, Text: fmt.Sprintf("%.1f", tare)}}}
}

func TestBag(t *testing.T) {
	for _, c := range []struct {
		name    string
		one     *record.Capture
		evening []*record.Capture
		said    string
		differs bool
	}{
		{"the same all evening", frog(4.5, ""), []*record.Capture{frog(4.5, ""), frog(4.5, "")}, "This bag was 4.5 g all evening (weighed 2 times).", false},
		{"another mass", frog(8.5, ""), []*record.Capture{frog(4.5, ""), frog(4.5, "")}, "This bag was 4.5 g all evening (weighed 2 times); here it is 8.5 g.", true},
		{"between", frog(4.6, ""), []*record.Capture{frog(4.5, ""), frog(5.0, "")}, "This bag was 4.5 to 5.0 g this evening (weighed 2 times).", false},
		{"another bag", frog(8.5, "B2"), []*record.Capture{frog(4.5, "B1"), frog(4.5, "B1")}, "", false},
		{"once before", frog(8.5, ""), []*record.Capture{frog(4.5, "")}, "", false},
		{"not weighed", &record.Capture{}, []*record.Capture{frog(4.5, ""), frog(4.5, "")}, "", false},
	} {
		if said, differs := typing.Bag(c.one, c.evening); said != c.said || differs != c.differs {
			t.Errorf("%s: %q, %v", c.name, said, differs)
		}
	}
}

func ExampleEarlier() {
	c := &record.Capture{Readings: []record.Reading{{Series: &record.Series{Measurement: "snoutVentLength", Unit: "mm"}, Text: "58.0", Number: 58}}}
	for _, v := range []string{"sex=male", "eventDate=2024-05-12", "locality=Tern Slough"} {
		term, text, _ := strings.Cut(v, "=")
		c.Set(record.Value{Field: record.Of(term), Text: text})
	}
	fmt.Println(typing.Earlier("F-031", []*record.Capture{c}, func(string) string { return "snout-vent length" }))
	// Output: F-031 was caught on 12 May 2024: male, snout-vent length 58.0 mm, at Tern Slough.
}
