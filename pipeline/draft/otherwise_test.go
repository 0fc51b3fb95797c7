package draft

import (
	"bytes"
	"encoding/csv"
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"
	"unicode/utf8"

	"github.com/google/go-cmp/cmp"
	"golang.org/x/text/encoding/charmap"
	"golang.org/x/text/encoding/unicode"

	"spadefoot/pipeline/layout"
	"spadefoot/pipeline/mapping"
	"spadefoot/pipeline/mapping/known"
	"spadefoot/pipeline/quantity"
	"spadefoot/pipeline/record/need"
	"spadefoot/pipeline/sheet"
)

// otherwise are ways in which people write the same table otherwise: each takes the
// headings and the rows under them, and changes nothing that they say.
var otherwise = []struct {
	name  string
	write func(rows [][]string) [][]string
	loose bool // the cells are not the same any more
}{
	{"columns the other way round", func(rows [][]string) [][]string { return turned(backwards(turned(rows))) }, false},
	{"rows the other way round", func(rows [][]string) [][]string { return append(rows[:1:1], backwards(rows[1:])...) }, false},
	{"animals as columns", turned, false},
	{"a title and a blank row above", func(rows [][]string) [][]string {
		return append([][]string{wide(rows, "Field data of the second team"), wide(rows)}, rows...)
	}, false},
	{"headings in capitals", headings(strings.ToUpper), false},
	{"lines for the blanks of headings", headings(func(h string) string { return strings.ReplaceAll(h, " ", "_") }), false},
	{"points for the blanks of headings", headings(func(h string) string { return strings.ReplaceAll(h, " ", ".") }), false},
	{"other blanks in and behind headings", headings(func(h string) string { return strings.ReplaceAll(h, " ", "\u00a0") + " " }), false},
	{"headings with colons", headings(func(h string) string { return h + ":" }), false},
	{"units in square brackets", headings(func(h string) string { return unitOf.ReplaceAllString(h, " [$1]") }), false},
	{"units in a row of their own", func(rows [][]string) [][]string {
		units := wide(rows)
		for i, h := range rows[0] {
			if m := unitOf.FindStringSubmatch(h); m != nil {
				units[i] = m[1]
			}
		}
		return append([][]string{headings(bare)(rows)[0], units}, rows[1:]...)
	}, false},
	{"a unit behind each number", func(rows [][]string) [][]string {
		return cells(headings(bare)(rows), func(column int, text string) string {
			if m := unitOf.FindStringSubmatch(rows[0][column]); m != nil && text != "" {
				return text + " " + m[1]
			}
			return text
		})
	}, true},
	{"words over groups of columns", func(rows [][]string) [][]string {
		over := wide(rows, "Capture")
		over[len(over)/2] = "Readings"
		return append([][]string{over}, rows...)
	}, false},
	{"a blank column first", func(rows [][]string) [][]string {
		return turned(append([][]string{make([]string, len(rows))}, turned(rows)...))
	}, false},
	{"a blank row after each ten", func(rows [][]string) [][]string { return every(rows, 10, wide(rows)) }, false},
	{"the headings on each page", func(rows [][]string) [][]string { return every(rows, 10, rows[0]) }, false},
	{"a total below", func(rows [][]string) [][]string {
		return append(slices.Clip(rows), wide(rows, "Total", fmt.Sprint(len(rows)-1)))
	}, false},
	{"NA for blanks", func(rows [][]string) [][]string {
		return cells(rows, func(_ int, text string) string {
			if text == "" {
				return "NA"
			}
			return text
		})
	}, false},
}

// written are ways in which programs write the same table to a file.
var written = []struct {
	name  string
	write func(rows [][]string) []byte
}{
	{"commas", separated(',')},
	{"semicolons and decimal commas", func(rows [][]string) []byte {
		return separated(';')(cells(rows, func(_ int, text string) string { return decimal.ReplaceAllString(text, "$1,$2") }))
	}},
	{"tabs in UTF-16", func(rows [][]string) []byte {
		out, _ := unicode.UTF16(unicode.LittleEndian, unicode.UseBOM).NewEncoder().Bytes(separated('\t')(rows))
		return out
	}},
	{"Windows-1252", func(rows [][]string) []byte {
		out, _ := charmap.Windows1252.NewEncoder().Bytes(separated(';')(rows))
		return out
	}},
	{"columns of fixed width", func(rows [][]string) []byte {
		var b bytes.Buffer
		columns := turned(rows)
		for _, row := range rows {
			for i, text := range row {
				width := utf8.RuneCountInString(slices.MaxFunc(columns[i], func(a, b string) int { return utf8.RuneCountInString(a) - utf8.RuneCountInString(b) }))
				fmt.Fprintf(&b, "%-*s", width+2, text)
			}
			b.WriteString("\n")
		}
		return b.Bytes()
	}},
}

var (
	unitOf  = regexp.MustCompile(` ?[(\[](mm|cm|g|kg|m)[)\]]$`)
	decimal = regexp.MustCompile(`^(-?\d+)[.,](\d+)$`)
)

// TestTablesWrittenOtherwise holds that a table means the same and has the same rows
// however it is written. The tables are invented ones of testdata/strangers.
func TestTablesWrittenOtherwise(t *testing.T) {
	for _, name := range []string{"bats", "becks", "bighorns", "kreuzottern"} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			rows := stranger(t, name)
			want, wantRows := saidBy(t, separated(',')(rows))
			compare := func(way string, file []byte, loose bool) {
				got, gotRows := saidBy(t, file)
				if d := cmp.Diff(want, got); d != "" {
					t.Errorf("%s: other meanings:\n%s", way, d)
				}
				if d := cmp.Diff(wantRows, gotRows); d != "" && !loose || len(gotRows) != len(wantRows) {
					t.Errorf("%s: other rows:\n%s", way, d)
				}
			}
			for _, o := range otherwise {
				compare(o.name, separated(',')(o.write(rows)), o.loose)
			}
			for _, w := range written {
				compare(w.name, w.write(rows), false)
			}
		})
	}
}

// stranger returns the first rows of a table of testdata/strangers.
func stranger(t *testing.T, name string) [][]string {
	t.Helper()
	text, err := os.ReadFile(filepath.Join(need.Root(t), "testdata", "strangers", name, "sheet.csv"))
	if err != nil {
		t.Fatal(err)
	}
	r := csv.NewReader(bytes.NewReader(text))
	if bytes.Count(text, []byte(";")) > bytes.Count(text, []byte(",")) {
		r.Comma = ';'
	}
	rows, err := r.ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	return rows[:min(len(rows), 31)]
}

// saidBy drafts a file. It returns the meaning of each heading, without its unit and
// what is over several, and what is under the headings in each row, in order.
func saidBy(t *testing.T, file []byte) (meanings map[string]string, rows []string) {
	t.Helper()
	s, _, err := sheet.ReadText("sheet.csv", bytes.NewReader(file), sheet.Options{})
	if err != nil {
		t.Fatal(err)
	}
	tables, _ := layout.Find(s, layoutOptions)
	d := mapping.Propose("sheet", tables, known.Clues())
	meanings = map[string]string{}
	for _, g := range d.Guesses {
		m := g.Meaning
		meanings[plainHeading(g.Heading)] = fmt.Sprint(m.Role, m.Term, m.Measurement, m.Part, m.Side, m.Unit, m.Guessed)
	}
	for _, table := range tables {
		for _, row := range table.Rows {
			var texts []string
			for i, c := range row.Cells {
				if text := strings.TrimSpace(c.Text); !quantity.Mark(text) {
					texts = append(texts, plainHeading(table.Columns[i].Heading)+": "+decimal.ReplaceAllString(text, "$1.$2"))
				}
			}
			slices.Sort(texts)
			rows = append(rows, strings.Join(texts, "; "))
		}
	}
	slices.Sort(rows)
	return meanings, rows
}

// plainHeading is what headings that are written otherwise have in common.
func plainHeading(heading string) string {
	for _, over := range []string{"Capture ", "Readings "} {
		heading = strings.TrimPrefix(heading, over)
	}
	heading = strings.TrimRight(strings.ToLower(strings.NewReplacer("_", " ", "\u00a0", " ", ".", " ").Replace(heading)), " :")
	return mapping.Fold(unitOf.ReplaceAllString(heading, ""))
}

func bare(heading string) string { return unitOf.ReplaceAllString(heading, "") }

func separated(comma rune) func(rows [][]string) []byte {
	return func(rows [][]string) []byte {
		var b bytes.Buffer
		w := csv.NewWriter(&b)
		w.Comma = comma
		_ = w.WriteAll(rows) // a bytes.Buffer takes everything
		return b.Bytes()
	}
}

// headings changes the headings of a table, and nothing else.
func headings(change func(string) string) func(rows [][]string) [][]string {
	return func(rows [][]string) [][]string {
		var out []string
		for _, h := range rows[0] {
			out = append(out, change(h))
		}
		return append([][]string{out}, rows[1:]...)
	}
}

// cells changes what is under the headings.
func cells(rows [][]string, change func(column int, text string) string) [][]string {
	out := rows[:1:1]
	for _, row := range rows[1:] {
		row = slices.Clone(row)
		for i := range row {
			row[i] = change(i, row[i])
		}
		out = append(out, row)
	}
	return out
}

// every puts a row behind each n rows.
func every(rows [][]string, n int, row []string) [][]string {
	out := rows[:1:1]
	for from := 1; from < len(rows); from += n {
		if from > 1 {
			out = append(out, row)
		}
		out = append(out, rows[from:min(from+n, len(rows))]...)
	}
	return out
}

// wide is a row as wide as the table.
func wide(rows [][]string, texts ...string) []string {
	return append(texts, make([]string, len(rows[0])-len(texts))...)
}

func turned(rows [][]string) [][]string {
	out := make([][]string, len(rows[0]))
	for _, row := range rows {
		for i, text := range row {
			out[i] = append(out[i], text)
		}
	}
	return out
}

func backwards(rows [][]string) [][]string {
	rows = slices.Clone(rows)
	slices.Reverse(rows)
	return rows
}
