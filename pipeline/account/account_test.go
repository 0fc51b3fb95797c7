package account_test

import (
	"strings"
	"testing"

	"spadefoot/pipeline/account"
	"spadefoot/pipeline/darwincore"
	"spadefoot/pipeline/record"
)

var core = []string{"occurrenceID", "dynamicProperties", "recordNumber", "sex", "occurrenceRemarks", "verbatimEventDate", "eventDate", "locality"}

// cut finds where the fields of a row of CSV end, or rows.
func cut(text, parts string) (c darwincore.Cut) {
	quoted := false
	c.Text = []byte(text)
	for i := range c.Text {
		quoted = quoted != (text[i] == '"')
		switch {
		case quoted || strings.IndexByte(parts, text[i]) < 0:
		case parts == rows:
			c.Ends = append(c.Ends, i+1)
		default:
			c.Ends = append(c.Ends, i)
		}
	}
	return c
}

// What ends a field, and what a row.
const fields, rows = ",\n", "\n"

// pond is a table of one row with a column of each kind.
func pond() *record.Table {
	t := &record.Table{File: "frogs.csv", Index: 1}
	for i, m := range []record.Meaning{
		{Role: record.Term, Term: "recordNumber"}, {Role: record.Term, Term: "sex"}, {Role: record.Term, Term: "eventDate"},
		{Role: record.Term, Term: "locality"}, {Role: record.Measurement, Measurement: "snoutVentLength"}, {}, {Role: record.SetAside, Reason: "typist"},
	} {
		t.Columns = append(t.Columns, record.Column{Heading: string(rune('A' + i)), Number: i + 1, Meaning: m})
	}
	return t
}

func TestWhatIsFoundAndWhatIsNot(t *testing.T) {
	const row = `urn:uuid:1-2,"{""Mood"":""calm"",""title"":""Two  blanks"",""undecided"":{""SVL"":""570""},""verbatim"":{""sex"":""M""}}",MC-7,male,"lost toe | sex: ""M""",1 May 21,2021-05-01,"Tern ""the"" Slough | Plot 4"` + "\n"
	const facts = "urn:uuid:1-2,snout-vent length,57.5,mm,\"as written: \"\"57,5\"\" (frogs.csv, E2)\"\n"
	for _, c := range []struct {
		column int
		text   string
		want   account.Counts
		lost   bool
	}{
		{0, "MC-7", account.Counts{Published: 1}, false},
		{0, "MC", account.Counts{}, true},
		{0, "7", account.Counts{}, true},
		{1, "M", account.Counts{Published: 1}, false},
		{1, "calm", account.Counts{Published: 1}, false},
		{1, "F", account.Counts{}, true},
		{2, "1 May 21", account.Counts{Published: 1}, false},
		{2, "2021-05-01", account.Counts{Published: 1}, false},
		{2, "05", account.Counts{}, true},
		{3, "Plot  4", account.Counts{Published: 1}, false},
		{3, `Tern "the" Slough`, account.Counts{Published: 1}, false},
		{3, "Plot 45", account.Counts{}, true},
		{3, "Slough", account.Counts{Published: 1}, false}, // a word of it is as good as it gets
		{4, "57,5", account.Counts{Published: 1}, false},
		{4, "57.5", account.Counts{Published: 1}, false},
		{4, "7", account.Counts{}, true},
		{4, "570", account.Counts{Undecided: 1}, false},
		{4, "-", account.Counts{Marks: 1}, false},
		{5, "calm", account.Counts{Kept: 1}, false},
		{5, "Two  blanks", account.Counts{Kept: 1}, false},
		{5, "Two", account.Counts{Kept: 1}, false},
		{5, "wo  blanks", account.Counts{}, true},
		{5, "wild", account.Counts{}, true},
		{5, "male", account.Counts{}, true},
	} {
		b := account.New()
		filled := make([]int, 7)
		filled[c.column] = 1
		b.Add(pond(), filled, nil, "")
		r := b.Reader(core)
		capture := &record.Capture{File: "frogs.csv", Table: 1, Row: 2, Cells: []record.Written{{Column: int32(c.column), Text: c.text}}}
		r.Rows(capture, cut(row, fields), cut(facts, rows))
		b.Take(r)
		c.want.Read = 1
		if got := b.Column(pond(), c.column); got != c.want {
			t.Errorf("%q in column %d: %+v, want %+v", c.text, c.column, got, c.want)
		}
		err := b.Settle()
		if (err != nil) != c.lost {
			t.Errorf("%q in column %d: %v", c.text, c.column, err)
		}
		if err != nil && !strings.Contains(err.Error(), "frogs.csv, "+record.ColumnLetters(c.column+1)+"2") {
			t.Errorf("the error does not say where: %v", err)
		}
	}
}

// Cells that were read and came to no row are missed, and cells of columns that
// were set aside are not.
func TestRowsThatNeverCame(t *testing.T) {
	b := account.New()
	b.Add(pond(), []int{1, 0, 0, 0, 0, 0, 5}, nil, "")
	if err := b.Settle(); err == nil || !strings.Contains(err.Error(), "1 cell read, 0 accounted for") {
		t.Errorf("%v", err)
	}
	b = account.New()
	b.Add(pond(), []int{0, 0, 0, 0, 0, 0, 5}, nil, "")
	if err := b.Settle(); err != nil {
		t.Error(err)
	}
	if got := b.Column(pond(), 6); got != (account.Counts{Read: 5, SetAside: 5}) || got.String() != "5 set aside" {
		t.Errorf("%+v", got)
	}
}

// A remedy takes the place of what was written, and what is withheld is told to
// nobody.
func TestDecidedAndWithheld(t *testing.T) {
	b := account.New()
	b.Add(pond(), []int{0, 1, 0, 1, 0, 0, 0}, nil, "")
	r := b.Reader(core)
	r.Rows(&record.Capture{File: "frogs.csv", Table: 1, Row: 2, Cells: []record.Written{{Column: 1, Text: "Q", Decided: true}, {Column: 3}}}, cut(",,,,,,,\n", fields), darwincore.Cut{})
	b.Take(r)
	if err := b.Settle(); err != nil {
		t.Error(err)
	}
	if sex, site := b.Column(pond(), 1), b.Column(pond(), 3); sex.Decided != 1 || site.Withheld != 1 {
		t.Errorf("%+v %+v", sex, site)
	}
}

func FuzzReader(f *testing.F) {
	f.Add("a,\"b \"\"c\"\"\",d\n", "b \"c\"")
	f.Add("\"{\"\"a\"\":\"\"b\"\"}\"", "{\"a\":\"b\"}")
	f.Fuzz(func(t *testing.T, row, text string) {
		b := account.New()
		b.Add(pond(), []int{0, 0, 0, 0, 1, 1, 0}, nil, "")
		r := b.Reader(core)
		r.Rows(&record.Capture{File: "frogs.csv", Table: 1, Row: 2, Cells: []record.Written{{Column: 4, Text: text}, {Column: 5, Text: text}}}, cut(row, fields), cut(row, rows))
		b.Take(r)
		_ = b.Settle()
	})
}

// BenchmarkRows looks for the cells of a capture of sixteen cells in its rows.
func BenchmarkRows(b *testing.B) {
	t := &record.Table{File: "frogs.csv", Index: 1}
	c := &record.Capture{File: "frogs.csv", Table: 1, Row: 2}
	row := `urn:uuid:e5d3f9e2-774c-5849-8942-cb3320d61861,"{""verbatim"":{""sex"":""F"",""eventTime"":""22:04""}}",MC23-012,female,released at once,1 May 21,2021-05-01,Alder Seep` + "\n"
	measured := strings.Repeat("urn:uuid:e5d3f9e2-774c-5849-8942-cb3320d61861,urn:uuid:e5d3f9e2-774c-5849-8942-cb3320d61862,head width,19.3,0.058,mm,T. Okafor,2021-05-01,caliper 150 (graduation 0.1 mm),\n", 9) +
		"urn:uuid:e5d3f9e2-774c-5849-8942-cb3320d61861,urn:uuid:e5d3f9e2-774c-5849-8942-cb3320d61862,body mass,29.5,0.058,g,T. Okafor,2021-05-01,scale,\n"
	for i, text := range []string{"MC23-012", "F", "1 May 21", "Alder Seep", "released at once", "19.3", "19.3", "19.3", "19.3", "19.3", "19.3", "19.3", "19.3", "29.5", "29.5", "-"} {
		m := record.Meaning{Role: record.Measurement, Measurement: "headWidth"}
		if i < 5 {
			m = record.Meaning{Role: record.Term, Term: []string{"recordNumber", "sex", "eventDate", "locality", "occurrenceRemarks"}[i]}
		}
		t.Columns = append(t.Columns, record.Column{Heading: "H", Number: i + 1, Meaning: m})
		c.Cells = append(c.Cells, record.Written{Column: int32(i), Text: text})
	}
	book := account.New()
	book.Add(t, make([]int, len(t.Columns)), nil, "")
	r := book.Reader(core)
	b.ReportAllocs()
	core, facts := cut(row, fields), cut(measured, rows)
	for b.Loop() {
		r.Rows(c, core, facts)
	}
}
