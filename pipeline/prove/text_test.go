package prove

import (
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"reflect"
	"strings"
	"testing"
	"testing/iotest"
)

func readAll(text string, e entity) ([][]string, error) {
	return rowsOf(newTextReader(strings.NewReader(text), &e))
}

func rowsOf(t *textReader) ([][]string, error) {
	var rows [][]string
	for {
		_, err := t.next()
		if errors.Is(err, io.EOF) {
			return rows, nil
		}
		if err != nil {
			return rows, err
		}
		rows = append(rows, t.texts())
	}
}

// readAnyhow reads a text at once, byte by byte, and with room for little more
// than a row, and fails where that makes a difference.
func readAnyhow(tb testing.TB, text string, e entity) ([][]string, error) {
	tb.Helper()
	want, wantErr := readAll(text, e)
	for name, r := range map[string]io.Reader{"byte by byte": iotest.OneByteReader(strings.NewReader(text)), "with the end": iotest.DataErrReader(strings.NewReader(text))} {
		if got, err := rowsOf(newTextReader(r, &e)); !reflect.DeepEqual(got, want) || fmt.Sprint(err) != fmt.Sprint(wantErr) {
			tb.Errorf("%s %q gives %q, %v, at once %q, %v", name, text, got, err, want, wantErr)
		}
	}
	at := textReaderOf(append(make([]byte, 0, len(text)+slack), text...), &e)
	if got, err := rowsOf(at); !reflect.DeepEqual(got, want) || fmt.Sprint(err) != fmt.Sprint(wantErr) {
		tb.Errorf("as a block %q gives %q, %v, at once %q, %v", text, got, err, want, wantErr)
	}
	return want, wantErr
}

func TestTextReader(t *testing.T) {
	csvForm := entity{separator: ",", quote: `"`}
	tabs := entity{separator: "\t"}
	for _, c := range []struct {
		text string
		form entity
		want [][]string
	}{
		{"a,b\n1,2\n", csvForm, [][]string{{"a", "b"}, {"1", "2"}}},
		{"a,b\r\n1,2", csvForm, [][]string{{"a", "b"}, {"1", "2"}}},
		{"\"a,\n\"\"b\"\"\",c\n", csvForm, [][]string{{"a,\n\"b\"", "c"}}},
		{"a\t\"b\n", tabs, [][]string{{"a", "\"b"}}},
		{",\n", csvForm, [][]string{{"", ""}}},
		{"\n", csvForm, [][]string{{""}}},
		{"", csvForm, nil},
		{"a||b|c", entity{separator: "||"}, [][]string{{"a", "b|c"}}},
		{"a|||b\"\n\"c\"||\"|\"", entity{separator: "||", quote: `"`}, [][]string{{"a", "|b\""}, {"c", "|"}}},
		{"aéb\nc", entity{separator: "é"}, [][]string{{"a", "b"}, {"c"}}},
		{"a\rb\r\n\r\nc\r", csvForm, [][]string{{"a"}, {"b"}, {""}, {"c"}}},
		{`"","a""",b"c,""""`, csvForm, [][]string{{"", `a"`, `b"c`, `"`}}},
		{"a,", csvForm, [][]string{{"a", ""}}},
		{"a,\"\"", csvForm, [][]string{{"a", ""}}},
	} {
		got, err := readAnyhow(t, c.text, c.form)
		if err != nil || !reflect.DeepEqual(got, c.want) {
			t.Errorf("%q gives %q, %v, want %q", c.text, got, err, c.want)
		}
	}
	for text, line := range map[string]int{"a,b\n\"1,2\n": 2, "\"a\"b,c\n": 1} {
		_, err := readAnyhow(t, text, csvForm)
		var e *textError
		if !errors.As(err, &e) || e.line != line {
			t.Errorf("%q gives %v, want a fault in line %d", text, err, line)
		}
	}
}

// FuzzTextReader checks that what the standard library writes as CSV is read
// as it was.
func FuzzTextReader(f *testing.F) {
	f.Add("a", "b,\"c", "d\ne")
	f.Add("", " ", "\\.")
	f.Fuzz(func(t *testing.T, a, b, c string) {
		var out strings.Builder
		w := csv.NewWriter(&out)
		rows := [][]string{{a, b}, {c, "x"}}
		w.WriteAll(rows)
		if got, err := readAnyhow(t, out.String(), entity{separator: ",", quote: `"`}); err != nil || !reflect.DeepEqual(got, rows) {
			t.Errorf("wrote %q, read %q, %v", rows, got, err)
		}
	})
}

// FuzzRows checks that a text reads the same however it is given.
func FuzzRows(f *testing.F) {
	for _, text := range []string{"a,\"b\"\"\nc\"\r\nd", "a,,b;\"", "\"a\"b"} {
		for _, separator := range []string{",", ";", ",,", "é"} {
			f.Add(text, separator)
		}
	}
	f.Fuzz(func(t *testing.T, text, separator string) {
		if separator == "" || strings.ContainsAny(separator, "\n\"") {
			return
		}
		_, _ = readAnyhow(t, text, entity{separator: separator, quote: `"`})
	})
}

// TestLongField refuses a field that would fill the memory, enclosed or not.
func TestLongField(t *testing.T) {
	long := strings.Repeat("x", maxField+1)
	for text, want := range map[string]string{
		"a\nb," + long: "line 2: a field is longer than 8388608 bytes", "a\nb," + long + ",\"c\"d": "line 2: a field is longer than 8388608 bytes",
		"a\n\"" + long: "line 2: a quotation mark is opened and not closed within 8388608 bytes", "a\n\"" + long + "\"\n": "line 2: a quotation mark is opened and not closed within 8388608 bytes",
	} {
		if _, err := readAll(text, entity{separator: ",", quote: `"`}); err == nil || err.Error() != want {
			t.Errorf("%q… gives %v, want %s", text[:5], err, want)
		}
	}
	if rows, err := readAll(long[1:]+",b\n", entity{separator: ","}); err != nil || len(rows) != 1 || len(rows[0][0]) != maxField {
		t.Errorf("a field of the greatest length gives %d rows, %v", len(rows), err)
	}
}
