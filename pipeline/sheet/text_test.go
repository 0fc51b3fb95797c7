package sheet

import (
	"bytes"
	"encoding/csv"
	"errors"
	"fmt"
	"math/rand/v2"
	"os"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"spadefoot/pipeline/record"
	"spadefoot/pipeline/record/budget"
	"spadefoot/pipeline/record/need"
)

// texts returns the rows as "number:cell|cell".
func texts(s record.Sheet) []string {
	var out []string
	for _, r := range s.Rows {
		var cells []string
		for _, c := range r.Cells {
			cells = append(cells, c.Text)
		}
		out = append(out, fmt.Sprintf("%d:%s", r.Number, strings.Join(cells, "|")))
	}
	return out
}

// raised returns the findings as "rule address".
func raised(fs []record.Finding) []string {
	var out []string
	for _, f := range fs {
		at := f.At
		at.File = ""
		out = append(out, strings.TrimSpace(f.Rule+strings.TrimPrefix(at.String(), ",")))
	}
	return out
}

func TestReadText(t *testing.T) {
	tests := []struct {
		name  string
		text  string
		want  []string
		found []string
	}{
		{"plain", "Tag,SVL\nA1,57.5\n", []string{"1:Tag|SVL", "2:A1|57.5"}, nil},
		{"no line end at the end", "Tag,SVL\nA1,57.5", []string{"1:Tag|SVL", "2:A1|57.5"}, nil},
		{"headings only", "Tag,SVL,Mass\n", []string{"1:Tag|SVL|Mass"}, nil},
		{"CR LF", "Tag,SVL\r\nA1,57.5\r\n", []string{"1:Tag|SVL", "2:A1|57.5"}, nil},
		{"CR of the classic Mac", "Tag,SVL\rA1,57.5\r\"A\r2\",6\r", []string{"1:Tag|SVL", "2:A1|57.5", "3:A\r2|6"}, nil},
		{"mark of UTF-8", "\xef\xbb\xbfTag,SVL\nÉ,1\n", []string{"1:Tag|SVL", "2:É|1"}, nil},
		{"blanks stay", " Tag ,SVL\n A1,\t57.5 \n", []string{"1: Tag |SVL", "2: A1|\t57.5 "}, nil},
		{"end mark of DOS", "Tag,SVL\nA1,5\n\x1a", []string{"1:Tag|SVL", "2:A1|5"}, nil},
		{"blank lines count, those at the end do not", "Tag,SVL\n\n\nA1,5\n\n\n", []string{"1:Tag|SVL", "2:", "3:", "4:A1|5"}, nil},
		{"a title is not ragged", "Spring round\n\nTag,SVL\nA1,5\n", []string{"1:Spring round", "2:", "3:Tag|SVL", "4:A1|5"}, nil},
		{"comments on the file", "# Frogs of Marrow Creek, 2024; sp: RATE = \"Rana temporaria\", BUBU = \"Bufo bufo\"\n#lengths in mm, masses in g\nTag,SVL,Mass,Sex\nA1,5,6,F\n#7,5,6,M\n",
			[]string{`1:# Frogs of Marrow Creek, 2024; sp: RATE = "Rana temporaria", BUBU = "Bufo bufo"`, "2:#lengths in mm, masses in g", "3:Tag|SVL|Mass|Sex", "4:A1|5|6|F", "5:#7|5|6|M"}, nil},
		{"sentences above a table", "Frogs of Alder Pond, lengths in mm, masses in g\nField site, Alder Pond\nTag,SVL,Mass,Sex\nA1,5,6,F\nA2,5,6,M\nA3,5,6,M\n",
			[]string{"1:Frogs of Alder Pond, lengths in mm, masses in g", "2:Field site| Alder Pond", "3:Tag|SVL|Mass|Sex", "4:A1|5|6|F", "5:A2|5|6|M", "6:A3|5|6|M"}, nil},
		{"no sentences", "Size of frogs,Mass, sex\nOnce in a while, , \n\"Frogs of the pond\", twice\nTag,SVL,Mass,Sex\nA1,5,6,F\nA2,5,6,M\nA3,5,6,M\n",
			[]string{"1:Size of frogs|Mass| sex", "2:Once in a while| | ", "3:Frogs of the pond| twice", "4:Tag|SVL|Mass|Sex", "5:A1|5|6|F", "6:A2|5|6|M", "7:A3|5|6|M"},
			[]string{"row-ragged row 1", "row-ragged row 2"}},
		{"headings after the mark of a comment", "# Tag,SVL\nA1,5\n", []string{"1:# Tag|SVL", "2:A1|5"}, nil},
		{"numbers under a mark", "#,SVL\n1,5\n", []string{"1:#|SVL", "2:1|5"}, nil},
		{"ragged rows", "Tag,SVL,Mass\nA1,5,6\nA2,5\nA3,5,6,7\nA4,5,6,,\nA5,1,2\n",
			[]string{"1:Tag|SVL|Mass", "2:A1|5|6", "3:A2|5", "4:A3|5|6|7", "5:A4|5|6||", "6:A5|1|2"},
			[]string{"row-ragged row 3", "row-ragged D4"}},
		{"quoted", "Tag,Notes\nA1,\"in reeds, calling\"\nA2,\"said \"\"wet\"\"\"\nA3,\"\"\n",
			[]string{"1:Tag|Notes", "2:A1|in reeds, calling", `3:A2|said "wet"`, "4:A3|"}, nil},
		{"blanks around the marks", "Tag,Notes,X\nA1, \"in reeds, calling\" ,1\n", []string{"1:Tag|Notes|X", "2:A1|in reeds, calling|1"}, nil},
		{"quoted over lines", "Tag,Notes,SVL\nA1,\"first\nsecond, third\",5\nA2,,6\n",
			[]string{"1:Tag|Notes|SVL", "2:A1|first\nsecond, third|5", "4:A2||6"}, nil},
		{"CR LF inside quotes", "Tag,Notes\r\nA1,\"a\r\nb\"\r\nA2,c\r\n", []string{"1:Tag|Notes", "2:A1|a\r\nb", "4:A2|c"}, nil},
		{"inches", "Tag,Notes,SVL\nA1,5\" pool,5\nA2,,6\n", []string{"1:Tag|Notes|SVL", `2:A1|5" pool|5`, "3:A2||6"}, []string{"quote-stray B2"}},
		{"a title and a sum", "Marsh survey, 2015\nNo,SVL,Mass,Sex\n1,61,12,M\n2,58,11,F\nMean,59.5\n",
			[]string{"1:Marsh survey| 2015", "2:No|SVL|Mass|Sex", "3:1|61|12|M", "4:2|58|11|F", "5:Mean|59.5"}, []string{"row-ragged row 5"}},
		{"inches inside quotes", "Tag,Notes,SVL\nA1,\"a 5\" pool, deep\",5\n", []string{"1:Tag|Notes|SVL", `2:A1|a 5" pool, deep|5`}, []string{"quote-stray B2"}},
		{"half a cell in quotes", "Tag,Notes,SVL\nA1,\"Big\" frog,5\nA2,\"Big\" frog,\"5\"\n",
			[]string{"1:Tag|Notes|SVL", `2:A1|"Big" frog|5`, `3:A2|"Big" frog|5`}, []string{"quote-stray B2", "quote-stray B3"}},
		{"unclosed to the end", "Tag,Notes,SVL\nA1,\"lost tag,5\nA2,wet,6\nA3,dry,7\n",
			[]string{"1:Tag|Notes|SVL", `2:A1|"lost tag|5`, "3:A2|wet|6", "4:A3|dry|7"}, []string{"quote-unclosed B2"}},
		{"unclosed before a quoted cell", "Tag,Notes,SVL\nA1,\"lost tag,5\nA2,\"wet, cold\",6\n",
			[]string{"1:Tag|Notes|SVL", `2:A1|"lost tag|5`, "3:A2|wet, cold|6"}, []string{"quote-unclosed B2"}},
		{"unclosed before a quoted cell, last column", "Tag,SVL,Notes\nA1,5,\"lost tag\nA2,6,\"wet, cold\"\n",
			[]string{"1:Tag|SVL|Notes", `2:A1|5|"lost tag`, "3:A2|6|wet, cold"}, []string{"quote-unclosed C2"}},
		{"unclosed and closed too late", "Tag,Notes,SVL\nA1,\"lost tag,5\nA2,wet,6\nA3,dry,7\"\nA4,,8\nA5,,9\n",
			[]string{"1:Tag|Notes|SVL", `2:A1|"lost tag|5`, "3:A2|wet|6", `4:A3|dry|7"`, "5:A4||8", "6:A5||9"}, []string{"quote-unclosed B2", "quote-stray C4"}},
		{"separator named by the file", "sep=;\nTag;SVL\nA1;57,5\n", []string{"2:Tag|SVL", "3:A1|57,5"}, nil},
		{"long number in scientific notation", "Tag,SVL\n9.85112E+14,5\n1.5E+05,6\n9.85112004567890E+14,7\n",
			[]string{"1:Tag|SVL", "2:9.85112E+14|5", "3:1.5E+05|6", "4:9.85112004567890E+14|7"}, []string{"digits-lost A2"}},
		{"lost before", "Tag,Site\nA1,Montr\uFFFDal\n", []string{"1:Tag|Site", "2:A1|Montr\uFFFDal"}, []string{"character-lost B2"}},
		{"NUL", "Tag,Site\nA1,Beaver\x00Pond\n", []string{"1:Tag|Site", "2:A1|Beaver\x00Pond"}, []string{"control-character B2"}},
	}
	for _, test := range tests {
		t.Run(test.name, func(t *testing.T) {
			s, fs, err := ReadText("frogs.csv", strings.NewReader(test.text), Options{})
			if err != nil {
				t.Fatal(err)
			}
			if d := cmp.Diff(test.want, texts(s)); d != "" {
				t.Error(d)
			}
			if d := cmp.Diff(test.found, raised(fs)); d != "" {
				t.Error(d)
			}
		})
	}
}

// A text that ends in a row with fewer cells than all others may be cut off.
func TestATextThatIsCutOff(t *testing.T) {
	const whole = "Tag,SVL,Mass\r\nA1,57.5,20\r\nA2,58.1,21\r\nA3,59.1,20"
	for text, want := range map[string]record.Level{
		whole: 0, whole[:len(whole)-3]: record.Warning, whole[:len(whole)-5]: record.Warning,
		whole[:len(whole)-3] + "\r\n": record.Note, whole[:len(whole)-8]: record.Note, "Tag,SVL,Mass\nA1,5\nA2,5,6\nA3,5": record.Note,
	} {
		_, fs, err := ReadText("frogs.csv", strings.NewReader(text), Options{})
		if err != nil {
			t.Fatal(err)
		}
		var got record.Level
		for _, f := range fs {
			if got = f.Level; strings.Contains(f.Reason, "cut off") != (want == record.Warning) {
				t.Errorf("%q: %s", text, f.Reason)
			}
		}
		if got != want {
			t.Errorf("%q: %v, want %v", text, got, want)
		}
	}
}

func TestReadTextCells(t *testing.T) {
	s, _, err := ReadText("a/frogs.csv", strings.NewReader("Tag,,SVL\n\n\"x\ny\",,5\nz,,6\n"), Options{})
	if err != nil {
		t.Fatal(err)
	}
	want := record.Sheet{File: "a/frogs.csv", Rows: []record.Row{
		{Number: 1, Cells: []record.Cell{{Text: "Tag", Kind: record.Text, Row: 1, Column: 1}, {Row: 1, Column: 2}, {Text: "SVL", Kind: record.Text, Row: 1, Column: 3}}},
		{Number: 2},
		{Number: 3, Cells: []record.Cell{{Text: "x\ny", Kind: record.Text, Row: 3, Column: 1}, {Row: 3, Column: 2}, {Text: "5", Kind: record.Text, Row: 3, Column: 3}}},
		{Number: 5, Cells: []record.Cell{{Text: "z", Kind: record.Text, Row: 5, Column: 1}, {Row: 5, Column: 2}, {Text: "6", Kind: record.Text, Row: 5, Column: 3}}},
	}}
	if d := cmp.Diff(want, s); d != "" {
		t.Error(d)
	}
}

func TestReadTextErrors(t *testing.T) {
	long := strings.Repeat("A1,57.5,wet\n", 20_000) // beyond what is sniffed
	tests := []struct {
		name, text string
		o          Options
		row, col   int
		cause      string
	}{
		{"nothing but blank lines", "\n\n\r\n", Options{}, 0, 0, "every line is blank"},
		{"two encodings", "Tag,Site\nA1,Montréal\nA2,Trois-Rivières\nA3,Montr\xe9al\n" + long, Options{}, 4, 2, "UTF-8 up to here"},
		{"two encodings, the second far down", "Tag,Site,X\nA1,Montréal,5\n" + long + "A2,Montr\xe9al,5\n", Options{}, 20_003, 2, "UTF-8 up to here"},
		{"byte that the named encoding lacks", "Tag,Site\nA1,Montr\xe9al\n", Options{Encoding: "UTF-8"}, 2, 2, "cannot be read"},
		{"unknown encoding", "Tag\n", Options{Encoding: "marshian"}, 0, 0, "not known"},
		{"useless separator", "Tag\n", Options{Separator: '"'}, 0, 0, "cannot separate"},
		{"endless line", strings.Repeat("x", longestLine+3*sniffSize+1), Options{}, 1, 0, "too long for a row"},
	}
	for _, test := range tests {
		t.Run(test.name, func(t *testing.T) {
			_, _, err := ReadText("frogs.csv", strings.NewReader(test.text), test.o)
			var e *Error
			if !errors.As(err, &e) {
				t.Fatalf("got %v, want an *Error", err)
			}
			if e.Row != test.row || e.Column != test.col || !strings.Contains(e.Error(), test.cause) || e.Advice == "" || e.File != "frogs.csv" {
				t.Errorf("got row %d, column %d: %v", e.Row, e.Column, e)
			}
		})
	}
}

func TestRaggedRowsAreSummed(t *testing.T) {
	text := strings.Repeat("a,b,c\n", 1000) + strings.Repeat("a,b\n", 500)
	_, fs, err := ReadText("frogs.csv", strings.NewReader(text), Options{})
	if err != nil {
		t.Fatal(err)
	}
	if len(fs) != maxRagged+1 {
		t.Fatalf("got %d findings, want %d and a summary", len(fs), maxRagged)
	}
	summary := fs[0] // of the whole file, so it sorts first
	if len(summary.Also) != 500-maxRagged || summary.Also[0].Row != 1000+maxRagged+1 {
		t.Errorf("summary names %d rows from %v", len(summary.Also), summary.Also[0])
	}
}

// TestAgainstEncodingCSV reads a published sheet with both.
func TestAgainstEncodingCSV(t *testing.T) {
	b, err := os.ReadFile(need.Shared(t, "opendata/penguins_raw.csv"))
	must(t, err)
	want, err := csv.NewReader(bytes.NewReader(b)).ReadAll()
	must(t, err)
	s, found, err := ReadText("penguins_raw.csv", bytes.NewReader(b), Options{})
	must(t, err)
	if len(s.Rows) != len(want) || len(found) > 0 {
		t.Fatalf("got %d rows, want %d; %v", len(s.Rows), len(want), found)
	}
	for i, r := range s.Rows {
		for k, c := range r.Cells {
			if c.Text != want[i][k] {
				t.Fatalf("row %d, column %d: got %q, want %q", i+1, k+1, c.Text, want[i][k])
			}
		}
	}
}

// TestManyQuotationMarks has lines that would take for ever if each mark were
// followed to the end of the line.
func TestManyQuotationMarks(t *testing.T) {
	for _, unit := range []string{`"`, `"a`, `"a,`, `"a"b",`, `"a"`, `,"`} {
		line := strings.Repeat(unit, 1<<20/len(unit))
		s, _, err := ReadText("t.csv", strings.NewReader("a,b\n"+line+"\nc,d\n"), Options{Separator: ',', Budgets: budget.Budgets{Cell: 2 << 20, Columns: 2 << 20}})
		if err != nil {
			t.Fatal(unit, err)
		}
		if last := s.Rows[len(s.Rows)-1]; last.Number != 3 || last.Cells[0].Text != "c" {
			t.Errorf("%s: ends with %v", unit, last.Number)
		}
	}
}

// TestRoundTrip writes random tables with encoding/csv and reads them back.
func TestRoundTrip(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 2))
	letters := []rune("ab 1,;\"\nö\t|")
	for range 300 {
		width, want := 2+rng.IntN(4), []string(nil)
		var b bytes.Buffer
		w := csv.NewWriter(&b)
		line := 1
		for i := range 1 + rng.IntN(20) {
			row := make([]string, width)
			for k := range row {
				for range rng.IntN(6) {
					row[k] += string(letters[rng.IntN(len(letters))])
				}
			}
			row[0] = fmt.Sprint("r", i) // no blank rows
			want = append(want, fmt.Sprintf("%d:%s", line, strings.Join(row, "|")))
			line += 1 + strings.Count(strings.Join(row, ""), "\n")
			if err := w.Write(row); err != nil {
				t.Fatal(err)
			}
		}
		w.Flush()
		s, fs, err := ReadText("t.csv", bytes.NewReader(b.Bytes()), Options{Separator: ','})
		if err != nil {
			t.Fatal(err)
		}
		if d := cmp.Diff(want, texts(s)); d != "" || len(fs) > 0 {
			t.Fatalf("%q\n%s\n%v", b.String(), d, fs)
		}
	}
}

func TestTextRowsStopsWhenAsked(t *testing.T) {
	n := 0
	for _, err := range TextRows("t.csv", strings.NewReader("a,b\n\n\nc,d\ne,f\n"), Options{}, nil) {
		if err != nil {
			t.Fatal(err)
		}
		if n++; n == 2 {
			break
		}
	}
	if n != 2 {
		t.Errorf("got %d rows", n)
	}
}
