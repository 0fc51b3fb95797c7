package prove

import (
	"encoding/csv"
	"errors"
	"io"
	"reflect"
	"strings"
	"testing"
)

func readAll(text string, e entity) ([][]string, error) {
	t := newTextReader(strings.NewReader(text), &e)
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
	} {
		got, err := readAll(c.text, c.form)
		if err != nil || !reflect.DeepEqual(got, c.want) {
			t.Errorf("%q gives %q, %v, want %q", c.text, got, err, c.want)
		}
	}
	for text, line := range map[string]int{"a,b\n\"1,2\n": 2, "\"a\"b,c\n": 1} {
		_, err := readAll(text, csvForm)
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
		if got, err := readAll(out.String(), entity{separator: ",", quote: `"`}); err != nil || !reflect.DeepEqual(got, rows) {
			t.Errorf("wrote %q, read %q, %v", rows, got, err)
		}
	})
}
