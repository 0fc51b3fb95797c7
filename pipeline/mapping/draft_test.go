package mapping

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"spadefoot/pipeline/config"
	"spadefoot/pipeline/darwincore/terms"
	"spadefoot/pipeline/quantity"
	"spadefoot/pipeline/record"
	"spadefoot/pipeline/vocabulary"
)

// everything is what mappings may speak of, for drafts.
func everything() Known {
	known := func(ok bool) (bool, string) { return ok, "" }
	return Known{
		Term: func(name string) (bool, string) { return known(terms.Known(name)) },
		Measurement: func(name string) (bool, string) {
			m, ok := vocabulary.FindMeasurement(name)
			return known(ok && m.Name == name)
		},
		Unit:         func(code string) (bool, string) { return known(quantity.Dimension(code) != "") },
		Repeatable:   repeatableTerms.Repeatable,
		HeadingParts: quantity.HeadingUnit,
	}
}

// reread returns the mapping that the YAML of a draft is.
func reread(t testing.TB, d *Draft) *Mapping {
	t.Helper()
	doc, err := config.Parse("draft.yaml", d.YAML())
	if err != nil {
		t.Fatalf("%v\n%s", err, d.YAML())
	}
	m, err := Parse(doc, everything())
	if err != nil {
		t.Fatalf("%v\n%s", err, d.YAML())
	}
	return m
}

// Where marks name other animals at other places, and one at each, the draft says so.
func TestDraftProposesTheScopeOfMarks(t *testing.T) {
	for _, c := range []struct{ kinds, want string }{
		{"Lithobates pipiens|Anaxyrus americanus", "marks: [locality] # of 20 recaptures at another place 20 differ in kind or sex, of 40 at the same place 0: marks seem to start again"},
		{"Lithobates pipiens|Lithobates pipiens", "# marks: [locality] # if"},
	} {
		kinds := strings.Split(c.kinds, "|")
		tb := table("Date", "Species", "Site", "PIT tag", "SVL (mm)")
		tb.Rows = nil
		for i := range 80 {
			row := record.TableRow{Number: i + 2}
			for k, text := range []string{fmt.Sprintf("2024-05-%02d", 1+i/4), kinds[i/40], []string{"Tern Slough", "Mill Pond"}[i/40], fmt.Sprintf("9851210%02d", i%20), fmt.Sprint(60 + i%9)} {
				row.Cells = append(row.Cells, record.Cell{Row: i + 2, Column: k + 1, Kind: record.Text, Text: text})
			}
			tb.Rows = append(tb.Rows, row)
		}
		d := Propose("marked", []record.Table{*tb}, Clues{})
		if got := string(d.YAML()); !strings.Contains(got, "\n"+c.want) {
			t.Errorf("%s:\n%s", c.kinds, got)
		}
		if m := reread(t, d); len(m.Marks) != 1 && d.Marks != "" {
			t.Errorf("%s: %q", c.kinds, m.Marks)
		}
	}
}

// A draft read back gives every column the meaning that was guessed.
func TestDraftReadsBack(t *testing.T) {
	type named struct {
		name    string
		comma   bool
		columns []column
	}
	var all []named
	for _, s := range sheets {
		all = append(all, named(s))
	}
	for _, s := range blindSheets {
		all = append(all, named(s))
	}
	for _, s := range all {
		t.Run(s.name, func(t *testing.T) {
			tb := sheet(s.columns, 40, s.comma)
			d := Propose(s.name, []record.Table{tb}, repeatableTerms)
			m := reread(t, d)
			if _, err := Apply(m, &tb, everything()); err != nil {
				t.Fatalf("%v\n%s", err, d.YAML())
			}
			for _, c := range tb.Columns {
				i := slices.IndexFunc(d.Guesses, func(g *ColumnGuess) bool { return g.Heading == c.Heading })
				if want, got := said(d.Guesses[i].Meaning), said(c.Meaning); got != want {
					t.Errorf("%q: %q was proposed and %q was applied", c.Heading, want, got)
				}
			}
		})
	}
}

// plainTable is a table of texts: headings, then rows.
func plainTable(headings []string, rows ...[]string) record.Table {
	t := record.Table{File: "frogs.csv", HeadingRows: []int{1}}
	for i, h := range headings {
		t.Columns = append(t.Columns, record.Column{Heading: h, Parts: []string{h}, Number: i + 1})
	}
	for r, texts := range rows {
		row := record.TableRow{Number: r + 2}
		for i := range headings {
			row.Cells = append(row.Cells, record.Cell{Text: texts[i], Kind: record.Text, Row: r + 2, Column: i + 1})
		}
		t.Rows = append(t.Rows, row)
	}
	return t
}

// numbered makes rows of a number that restarts, a place, a date and a length.
func numbered(n, restart int) [][]string {
	var rows [][]string
	for i := range n {
		rows = append(rows, []string{fmt.Sprint(i%restart + 1), []string{"Otter Pond", "Heron Slough", "Mill Ditch"}[i/restart%3],
			fmt.Sprintf("2021-05-%02d", 1+i/restart%3), fmt.Sprintf("%.1f", 50+float64(i)*0.7)})
	}
	return rows
}

func marks(n int) (rows [][]string) {
	for i := range n {
		rows = append(rows, []string{fmt.Sprintf("A%d", 101+i), fmt.Sprintf("%.1f", 50+float64(i)*0.3)})
	}
	return rows
}

func TestDraftKey(t *testing.T) {
	headings := []string{"No", "Site", "Date", "SVL (mm)"}
	slip := numbered(40, 40)
	slip[7][0] = "7"
	gap := numbered(40, 40)
	gap[7][0] = ""
	long := plainTable([]string{"Frog no", "Trait", "Value", "Unit"},
		[]string{"F-1", "SVL", "61.0", "mm"}, []string{"F-1", "head width", "20.1", "mm"},
		[]string{"F-2", "SVL", "58.5", "mm"}, []string{"F-2", "head width", "19.0", "mm"},
		[]string{"F-3", "SVL", "66.0", "mm"}, []string{"F-3", "head width", "21.4", "mm"})
	var bySpecies [][]string // numbers that restart with each species, on dates that are nearly enough
	for i := range 60 {
		bySpecies = append(bySpecies, []string{fmt.Sprint(i%30 + 1), []string{"Rana temporaria", "Rana arvalis"}[i/30], fmt.Sprintf("2021-05-%02d", 1+i%29), fmt.Sprintf("%.1f", 50+float64(i)*0.3)})
	}
	bySpecies[31][2], bySpecies[40][2] = "2021-06-01", "2021-06-02"
	for i := range bySpecies[:30] {
		bySpecies[i][2] = fmt.Sprintf("2021-04-%02d", 1+i%29)
	}
	bySpecies[0][2], bySpecies[30][2] = "2021-05-01", "2021-05-01"
	inParts := []string{"Year", "Month", "Day", "Band", "SVL (mm)"}
	var recaptured [][]string // twelve animals caught on each of three days
	for i := range 36 {
		recaptured = append(recaptured, []string{"2021", "May", fmt.Sprint(1 + i/12), fmt.Sprintf("B-%02d", 10+i%12), fmt.Sprintf("%.1f", 50+float64(i)*0.3)})
	}
	seldom := slices.Clone(recaptured) // one animal caught again, on another day
	for i := range seldom {
		seldom[i] = slices.Clone(seldom[i])
		seldom[i][3] = fmt.Sprintf("B-%02d", 10+i%35)
	}
	marked := func(again ...string) record.Table { // sixty animals on days of their own, the last of them caught again
		var rows [][]string
		for i := range 60 {
			rows = append(rows, []string{fmt.Sprintf("A%d", 101+i), fmt.Sprintf("2021-05-%02d", 1+i/2), "Otter Pond", fmt.Sprintf("%.1f", 50+float64(i)*0.3)})
		}
		return plainTable([]string{"Ear tag", "Date", "Site", "SVL (mm)"}, append(rows, again)...)
	}
	var specimens, exported [][]string // the collector's number is that of an earlier specimen in the last row
	for i := range 30 {
		id := fmt.Sprintf("d3b4c5a6-1f2e-4d3c-8b9a-0123456789%02d", i)
		specimens = append(specimens, []string{fmt.Sprint(501 + i), fmt.Sprint(11 + i%29), fmt.Sprintf("%.1f", 50+float64(i)*0.3)})
		exported = append(exported, []string{id, specimens[i][1], specimens[i][2]})
	}
	for _, c := range []struct {
		name  string
		table record.Table
		want  []string
	}{
		{"a number that is in each row once goes first", plainTable([]string{"Catalog number", "Collector number", "SVL (mm)"}, specimens...), []string{"catalogNumber"}},
		{"identifiers of occurrences", plainTable([]string{"GUID", "Collector number", "SVL (mm)"}, exported...), []string{"occurrenceID"}},
		{"identifiers under a heading that says little", plainTable([]string{"UID", "Collector number", "SVL (mm)"}, exported...), []string{"occurrenceID"}},
		{"numbers under it", plainTable([]string{"UID", "Collector number", "SVL (mm)"}, specimens...), []string{"catalogNumber"}},
		{"identifiers of something else", plainTable([]string{"Trap GUID", "Collector number", "SVL (mm)"}, exported...), []string{"recordNumber"}},
		{"marks and a date in parts", plainTable(inParts, recaptured...), []string{"eventDate", "organismID"}},
		{"a mark that comes again is no slip", plainTable(inParts, seldom...), []string{"eventDate", "organismID"}},
		{"marks of animals", marked("A161", "2021-06-02", "Otter Pond", "68.3"), []string{"organismID"}},
		{"marks of animals, one caught again", marked("A160", "2021-06-02", "Otter Pond", "68.3"), []string{"eventDate", "organismID"}},
		{"one caught again at another site that day", marked("A160", "2021-05-30", "Mill Ditch", "68.3"), []string{"eventDate", "locality", "organismID"}},
		{"marks of animals, a row twice and no date", plainTable([]string{"Ear tag", "SVL (mm)"}, append(marks(30), []string{"A130", "58.7"})...), []string{"organismID"}},
		{"numbers that restart with each species", plainTable([]string{"No", "Species", "Date", "SVL (mm)"}, bySpecies...), []string{"scientificName", "recordNumber"}},
		{"one number each", plainTable(headings, numbered(30, 30)...), []string{"recordNumber"}},
		{"numbers that restart at each site", plainTable(headings, numbered(30, 10)...), []string{"eventDate", "recordNumber"}},
		{"one number twice is a slip", plainTable(headings, slip...), []string{"recordNumber"}},
		{"one number missing is a slip", plainTable(headings, gap...), []string{"recordNumber"}},
		{"no number at all", plainTable([]string{"Site", "SVL (mm)"}, []string{"Otter Pond", "60.1"}, []string{"Otter Pond", "58.2"}), nil},
		{"one row per measurement", long, []string{"recordNumber"}},
	} {
		d := Propose(c.name, []record.Table{c.table}, Clues{})
		if diff := cmp.Diff(c.want, d.Key); diff != "" {
			t.Errorf("%s: %s", c.name, diff)
		}
		if text := string(d.YAML()); (c.want == nil) != strings.Contains(text, "# key:") {
			t.Errorf("%s:\n%s", c.name, text)
		}
	}
}

func TestDraftSession(t *testing.T) {
	row := []string{"2021-05-03", "2021", "Otter Pond", "Alder Lake", "T7", "60.1"}
	headings := []string{"Date", "Year", "Site", "Lake", "Trap", "SVL (mm)"}
	for _, c := range []struct {
		columns []int
		want    string
	}{
		{[]int{0, 1, 2, 3, 4, 5}, "eventDate locality"}, {[]int{0, 3, 4, 5}, "eventDate waterBody"}, {[]int{0, 4, 5}, "eventDate locationID"},
		{[]int{1, 2, 4, 5}, "year locality"}, {[]int{2, 4, 5}, "locality"}, {[]int{0, 5}, "eventDate"}, {[]int{5}, ""},
	} {
		var names, cells []string
		for _, i := range c.columns {
			names, cells = append(names, headings[i]), append(cells, row[i])
		}
		d := Propose("frogs.csv", []record.Table{plainTable(names, cells, cells, cells, cells, cells)}, Clues{})
		if got := strings.Join(d.Session, " "); got != c.want {
			t.Errorf("%q: %q, want %q", names, got, c.want)
		}
	}
}

func TestDraftWayOfWeighing(t *testing.T) {
	rows := func(n int, cells ...float64) [][]string {
		var out [][]string
		for i := range n {
			row := []string{fmt.Sprint(i + 1), fmt.Sprintf("%.1f", 50+0.8*float64(i))}
			for _, c := range cells {
				row = append(row, fmt.Sprintf("%.1f", c+0.4*float64(i)*min(1, c/5)))
			}
			out = append(out, row)
		}
		return out
	}
	for _, c := range []struct {
		headings []string
		rows     [][]string
		want     record.WeighWay
	}{
		{[]string{"No", "SVL (mm)", "Gross (g)", "Bag (g)"}, rows(20, 22, 4.5), record.SameRow},
		{[]string{"No", "SVL (mm)", "Gross (g)"}, rows(20, 22), record.NoTare},
		{[]string{"No", "SVL (mm)", "Net (g)"}, rows(20, 18), record.AsWritten},
		{[]string{"No", "SVL (mm)"}, rows(20), ""},
	} {
		d := Propose("w", []record.Table{plainTable(c.headings, c.rows...)}, Clues{})
		if d.Way != c.want || strings.Contains(string(d.YAML()), "weighing: {way:") != (c.want != "") {
			t.Errorf("%v: way %q, want %q", c.headings, d.Way, c.want)
		}
	}
}

// What cannot be told apart by a mapping is left open with its reason, so that
// a draft can always be applied.
func TestDraftOfEqualHeadings(t *testing.T) {
	var rows [][]string
	for i := range 20 {
		svl := 50 + 0.9*float64(i)
		rows = append(rows, []string{fmt.Sprint(i + 1), fmt.Sprintf("%.1f", svl), fmt.Sprintf("%.1f", svl+0.2), "M", "F", fmt.Sprintf("%.1f", svl/25.4)})
	}
	tb := plainTable([]string{"No", "SVL", "SVL", "Sex", "Sex", "SVL (in)"}, rows...)
	d := Propose("equal", []record.Table{tb}, Clues{})
	m := reread(t, d)
	fs, err := Apply(m, &tb, everything())
	if err != nil {
		t.Fatal(err)
	}
	var got []string
	for _, c := range tb.Columns {
		got = append(got, said(c.Meaning))
	}
	want := []string{"recordNumber", "snoutVentLength mm #1", "snoutVentLength mm #2", "", "", "snoutVentLength [in_i] #3"}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Errorf("%s\n%s", diff, d.YAML())
	}
	var rules []string
	for _, f := range fs {
		rules = append(rules, f.Rule+" "+f.At.String())
	}
	if diff := cmp.Diff([]string{"heading-replicated frogs.csv, B1", "heading-unmatched frogs.csv, D1", "unit-guessed frogs.csv, B1"}, rules); diff != "" {
		t.Error(diff)
	}
	if !strings.Contains(string(d.YAML()), "several columns have this heading") {
		t.Errorf("the reason is missing:\n%s", d.YAML())
	}
}

// The heading as it is written wins over the same without its unit.
func TestApplyPrefersTheWholeHeading(t *testing.T) {
	text := "headings:\n  - {heading: SVL, measurement: snoutVentLength, unit: mm}\n"
	for _, headings := range [][]string{{"SVL", "SVL (in)"}, {"SVL (in)", "SVL"}} {
		m, err := parse(t, text)
		if err != nil {
			t.Fatal(err)
		}
		tb := table(headings...)
		fs, err := Apply(m, tb, knownHere())
		if err != nil || len(fs) != 1 || fs[0].Rule != "heading-unmatched" || fs[0].Field != "SVL (in)" {
			t.Errorf("%v: %v, %v", headings, fs, err)
		}
	}
	m, err := parse(t, text)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := Apply(m, table("SVL (mm)", "SVL (in)"), knownHere()); err == nil {
		t.Error("two headings that both need their unit taken off were told apart")
	}
}

// Two tables of one tab in two units: the draft lets each heading say its own.
func TestDraftOfTwoUnits(t *testing.T) {
	var mm, in [][]string
	for i := range 20 {
		svl := 50 + 0.9*float64(i)
		mm = append(mm, []string{fmt.Sprint(i + 1), fmt.Sprintf("%.1f", svl)})
		in = append(in, []string{fmt.Sprint(i + 31), fmt.Sprintf("%.2f", svl/25.4)})
	}
	one, two := plainTable([]string{"No", "SVL"}, mm...), plainTable([]string{"No", "SVL"}, in...)
	one.Columns[1].Unit, two.Columns[1].Unit = "mm", "(in)"
	d := Propose("units", []record.Table{one, two}, Clues{})
	m := reread(t, d)
	for i, tb := range []*record.Table{&one, &two} {
		fs, err := Apply(m, tb, everything())
		if want := []string{"snoutVentLength mm", "snoutVentLength [in_i]"}[i]; err != nil || len(fs) > 0 || said(tb.Columns[1].Meaning) != want {
			t.Errorf("%s, want %s; %v %v\n%s", said(tb.Columns[1].Meaning), want, fs, err, d.YAML())
		}
	}
}

func TestApplyDoubtsAnotherUnit(t *testing.T) {
	m, err := parse(t, "headings:\n  - {heading: SVL, measurement: snoutVentLength, unit: mm}\n")
	if err != nil {
		t.Fatal(err)
	}
	for heading, want := range map[string]bool{"SVL": false, "SVL (mm)": false, "SVL (cm)": true, "SVL in": true} {
		tb := table(heading)
		fs, err := Apply(m, tb, knownHere())
		if err != nil || (len(fs) == 1 && fs[0].Rule == "heading-unit-differs") != want || tb.Columns[0].Meaning.Unit != "mm" {
			t.Errorf("%q: %v, %v", heading, fs, err)
		}
	}
}

// A unit that neither the heading nor the mapping states is a finding.
func TestGuessedUnits(t *testing.T) {
	for _, c := range []struct {
		mapping, heading string
		guessed          bool
	}{
		{"measurement: snoutVentLength, unit: mm", "SVL", false},
		{"measurement: snoutVentLength", "SVL (mm)", false},
		{"measurement: snoutVentLength", "SVL", true},
		{"measurement: snoutVentLength, unit: mm, unitGuessed: true", "SVL", true},
		{"measurement: snoutVentLength, unit: mm, unitGuessed: true", "SVL (mm)", false}, // the heading says so now
		{"weighing: net", "SVL", true},
		{"weighing: bag", "SVL", false},
		{"term: occurrenceRemarks", "SVL", false},
	} {
		m, err := parse(t, "headings:\n  - {heading: SVL, "+c.mapping+"}\n")
		if err != nil {
			t.Fatal(err)
		}
		known := everything()
		known.UnitOf = func(string) string { return "mm" }
		tb := table(c.heading)
		fs, err := Apply(m, tb, known)
		if err != nil || tb.Columns[0].Meaning.Guessed != c.guessed || (len(fs) == 1 && fs[0].Rule == "unit-guessed" && fs[0].Level == record.Warning) != c.guessed {
			t.Errorf("%s under %q: %+v %v %v", c.mapping, c.heading, tb.Columns[0].Meaning, fs, err)
		}
	}
	if _, err := parse(t, "headings:\n  - {heading: SVL, measurement: snoutVentLength, unitGuessed: true}\n"); err == nil {
		t.Error("a guess without a unit was taken")
	}
}

func TestDraftLanguage(t *testing.T) {
	for _, s := range sheets {
		d := Propose(s.name, []record.Table{sheet(s.columns, 30, s.comma)}, repeatableTerms)
		want := map[string]string{"german": "de", "spanish": "es", "portuguese": "pt", "french": "fr", "english, plain": "en", "english, headings that say nothing": ""}
		if w, ok := want[s.name]; ok && d.Language != w {
			t.Errorf("%s: language %q, want %q", s.name, d.Language, w)
		}
	}
}

// TestDraftOrdersDates has dates that read both ways under headings of one
// language.
func TestDraftOrdersDates(t *testing.T) {
	for _, c := range []struct {
		headings []string
		last     string // of the dates
		want     string
	}{
		{[]string{"Datum", "Fundort", "Geschlecht", "Gewicht (g)"}, "06.09.2016", "dmy"},
		{[]string{"Fecha", "Sitio", "Sexo", "Peso (g)"}, "06-09-2016", "dmy"},
		{[]string{"Fecha", "Sitio", "Sexo", "Peso (g)"}, "06-19-2016", ""}, // shows an order
		{[]string{"Date", "Site", "Sex", "Weight (g)"}, "06/09/2016", ""},  // English has both
		{[]string{"Datum", "Fundort", "Geschlecht", "Gewicht (g)"}, "2016-09-06", ""},
	} {
		dates := "05" + c.last[2:]
		if c.last[4] == '-' {
			dates = c.last[:8] + "05"
		}
		d := Propose("sheet", []record.Table{plainTable(c.headings, []string{dates, "Mill", "m", "8.1"}, []string{dates, "Bog", "f", "9.2"}, []string{c.last, "Mill", "m", "8.8"})}, repeatableTerms)
		if g := d.Guesses[0]; g.Meaning.Term != "eventDate" || g.Meaning.DateOrder != c.want {
			t.Errorf("%v up to %s: %s in the order %q, want %q: %s", c.headings, c.last, g.Meaning.Term, g.Meaning.DateOrder, c.want, g.Reason)
		}
	}
}

// A column without a heading is matched by a pattern if it holds scientific names, and
// left alone if it numbers the rows or if there are two of them.
func TestDraftOfNamesWithoutHeading(t *testing.T) {
	names := cycle("Corvus_corax", "Corvus_ossifragus", "Lanius_collurio", "Lullula_arborea")
	for _, c := range []struct {
		headings []string
		values   []func(int) string
		want     string
	}{
		{[]string{"", "wing (mm)"}, []func(int) string{names, rising("%.0f", 90, 1)}, "scientificName"},
		{[]string{"", "wing (mm)"}, []func(int) string{rising("%.0f", 1, 1), rising("%.0f", 90, 1)}, ""},
		{[]string{"", "wing (mm)", ""}, []func(int) string{names, rising("%.0f", 90, 1), rising("%.0f", 1, 1)}, ""},
	} {
		tables := []record.Table{tableOf("birds.csv", c.headings, c.values...)}
		d := Propose("birds.csv", tables, repeatableTerms)
		m := reread(t, d)
		if _, err := Apply(m, &tables[0], everything()); err != nil {
			t.Fatal(err)
		}
		if got := tables[0].Columns[0].Meaning.Term; got != c.want {
			t.Errorf("%q: the column without a heading is %q, want %q\n%s", c.headings, got, c.want, d.YAML())
		}
	}
}

func TestDraftOfNothingUnderstood(t *testing.T) {
	tb := plainTable([]string{"Zorb", "Quux", "…"}, []string{"blue", "x7!", "?"}, []string{"blue", "%%", "?"}, []string{"red", "#!", "?"})
	d := Propose("nothing", []record.Table{tb}, Clues{})
	m := reread(t, d)
	if _, err := Apply(m, &tb, everything()); err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{`"Zorb"`, `"Quux"`, `"…"`} {
		want = strings.Trim(want, `"`)
		if !strings.Contains(string(d.YAML()), want) {
			t.Errorf("%s is not named:\n%s", want, d.YAML())
		}
	}
}

func TestQuote(t *testing.T) {
	for _, s := range []string{
		"SVL", "SVL (mm)", "yes", "No", "12", "1e3", "null", "~", "2021-05-03", " a ", "", "a: b", "a #b", "it's", `"x"`, `C:\x`, "Größe",
		"a\nb", "tab\there", "\u0085\u2028\u2029\ufeff", "bell\a\x00", "a\u00a0b", "🐸", "- a", "? a", "{a}", "<<", "!!str", "&a", "*a", "%x", "@x", "`x`", "=", "0x1F", "0o7", "1_000", ".inf",
	} {
		text := "{heading: " + Quote(s) + ", term: sex} # " + Comment(s) + "\n"
		doc, err := config.Parse("q.yaml", []byte(text))
		if err != nil {
			t.Errorf("%q: %v", s, err)
			continue
		}
		if got := doc.Root.(map[string]any)["heading"]; got != s {
			t.Errorf("%q was read back as %#v from %s", s, got, text)
		}
	}
}

func FuzzDraftYAML(f *testing.F) {
	f.Add("SVL (mm)", "61.2", "Species", "Rana temporaria")
	f.Add("No", "12", "no.", "13")
	f.Add("a: {b", "\x00", "", "\u2028# x")
	f.Add("\"SVL\"", "57,5 mm", "SVL", "2 5/8\"")
	f.Fuzz(func(t *testing.T, one, x, two, y string) {
		if len(one)+len(two)+len(x)+len(y) > 2000 {
			return
		}
		one, two = strings.ToValidUTF8(one, "?"), strings.ToValidUTF8(two, "?")
		rows := [][]string{{x, y}, {x, y + "1"}, {"4" + x, y}, {"61.5", x}}
		tb := plainTable([]string{one, two}, rows...)
		d := Propose(one, []record.Table{tb}, repeatableTerms)
		m := reread(t, d)
		if _, err := Apply(m, &tb, everything()); err != nil {
			t.Fatalf("%v\n%s", err, d.YAML())
		}
		text := string(d.YAML())
		for _, h := range []string{one, two} {
			if h != "" && !strings.Contains(text, Quote(h)) && !(Fold(one) == Fold(two) && Fold(h) != "") {
				t.Fatalf("%q is not named:\n%s", h, text)
			}
		}
		for i := range m.Headings {
			if h := m.Headings[i].Heading; h != one && h != two && h != "none of them" {
				t.Fatalf("%q was read back as %q", []string{one, two}, h)
			}
		}
	})
}
