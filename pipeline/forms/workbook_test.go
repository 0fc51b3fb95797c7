package forms

import (
	"bytes"
	"slices"
	"strings"
	"testing"
	"unicode/utf8"

	"github.com/xuri/excelize/v2"

	"spadefoot/pipeline/record"
)

func opened(t testing.TB, w *Workbook) *excelize.File {
	t.Helper()
	b, err := w.Bytes()
	if err != nil {
		t.Fatal(err)
	}
	f, err := excelize.OpenReader(bytes.NewReader(b))
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { f.Close() })
	return f
}

// wide is a form that strains every bound: three readings of all lengths, many
// words, and a survey with a window.
func wide(s *Source) {
	s.Replicates, s.Sessions = 9, 3
	s.Entries = append(s.Entries, lengthEntry("Foot", "footLength", "mm"), lengthEntry("Femur", "femurLength", "cm"), lengthEntry("Hand", "handLength", "mm"),
		partEntry("Sack", record.Bag), partEntry("Which scale", record.Scale))
	s.Limits = append(s.Limits, Limit{"Anaxyrus americanus", "femurLength", "mm", "female", "adult", "invented", nil, ptr(60)})
}

func TestWorkbookTabs(t *testing.T) {
	f := opened(t, planned(t, func(s *Source) { s.Sessions = 2 }).Workbook())
	if got := f.GetSheetList(); !slices.Equal(got, []string{"Session 1", "Session 2", KeyTab, ListsTab}) {
		t.Errorf("tabs %q", got)
	}
	if shown, _ := f.GetSheetVisible(ListsTab); shown {
		t.Error("the tab of lists is not hidden")
	}
	if got := len(planned(t, nil).Workbook().Sessions); got != 4 {
		t.Errorf("%d sessions, want 4 where nothing is said", got)
	}
	panes, err := f.GetPanes("Session 2")
	if err != nil || !panes.Freeze || panes.YSplit != 1 || panes.XSplit != 1 {
		t.Errorf("panes %+v, %v", panes, err)
	}
	layout, err := f.GetPageLayout("Session 1")
	if err != nil || *layout.Orientation != "landscape" || *layout.FitToWidth != 1 {
		t.Errorf("page layout %+v, %v", layout, err)
	}
}

// Every column that is typed into is formatted as text.
func TestCellsHoldText(t *testing.T) {
	form := planned(t, wide)
	f := opened(t, form.Workbook())
	for i := range form.Columns {
		id, err := f.GetColStyle("Session 3", record.ColumnLetters(i+1))
		if err != nil {
			t.Fatal(err)
		}
		style, err := f.GetStyle(id)
		if err != nil || style.NumFmt != 49 {
			t.Errorf("column %s has number format %d, %v", form.Columns[i].Heading, style.NumFmt, err)
		}
	}
}

// Checks warn and never forbid, their texts are shown whole, their formulas
// are no longer than spreadsheet programs take.
func TestChecks(t *testing.T) {
	for name, change := range map[string]func(*Source){"station": nil, "wide": wide} {
		w := planned(t, change).Workbook()
		f := opened(t, w)
		vs, err := f.GetDataValidations("Session 1")
		if err != nil {
			t.Fatal(err)
		}
		checks := 0
		for _, c := range w.Columns {
			k := c.Check
			if k == nil {
				continue
			}
			checks++
			for _, text := range []struct {
				s    string
				most int
			}{{k.Title, maxTitle}, {k.Warning, maxText}, {k.Prompt, maxPrompt}, {k.Formula, longestFormula}} {
				if n := utf8.RuneCountInString(text.s); n > text.most {
					t.Errorf("%s: %q has %d characters, %d are shown: %s", name, c.Heading, n, text.most, text.s)
				}
			}
		}
		if len(vs) != checks || checks < 14 {
			t.Errorf("%s: %d checks described, %d written", name, checks, len(vs))
		}
		for _, v := range vs {
			if v.ErrorStyle == nil || *v.ErrorStyle != "warning" || !v.ShowErrorMessage || !v.AllowBlank {
				t.Errorf("%s: the check of %s does not warn: %+v", name, v.Sqref, v)
			}
		}
	}
}

func TestLists(t *testing.T) {
	w := planned(t, func(s *Source) {
		s.Entries[5].Meaning.Vocabulary = map[string]string{"M": "male", "F": "female"}
		s.Bags = []Word{{"B1", "4.5 g"}, {"B2", "5 g"}}
		s.Entries[13] = partEntry("Bag no", record.Bag)
	}).Workbook()
	f := opened(t, w)
	for heading, want := range map[string][]string{
		"Sex":      {"F", "M", "male", "female", "indeterminate"},
		"Site":     {"Marrow Creek, lower beaver pond", "Tern Slough"},
		"Species":  {"Lithobates sylvaticus", "Anaxyrus americanus", "LISY", "ANAM"},
		"Bag no":   {"B1", "B2"},
		"Observer": {"Ines Varga", "Tomasz Okafor"},
	} {
		i := slices.IndexFunc(w.Lists, func(l List) bool { return l.Heading == heading })
		if i < 0 {
			t.Errorf("no list for %s", heading)
			continue
		}
		var got []string
		cols, err := f.GetCols(ListsTab)
		if err != nil {
			t.Fatal(err)
		}
		for _, s := range cols[i][1:] {
			if s != "" {
				got = append(got, s)
			}
		}
		if !slices.Equal(got, want) {
			t.Errorf("%s: %q, want %q", heading, got, want)
		}
		if !slices.ContainsFunc(f.GetDefinedName(), func(n excelize.DefinedName) bool {
			return n.Name == w.Lists[i].Name && strings.HasSuffix(n.RefersTo, "$"+itoa(len(want)+1))
		}) {
			t.Errorf("%s: no name reaches to the last word", heading)
		}
	}
}

func itoa(n int) string { return plain(float64(n)) }

func TestLimitLines(t *testing.T) {
	f := planned(t, nil)
	svl := f.index("lifeStage") + 1
	var got []LimitLine
	for _, l := range f.limitLines() {
		if l.Column == svl {
			got = append(got, l)
		}
	}
	want := []LimitLine{
		{svl, "", "", "", 0, 150},
		{svl, "Lithobates sylvaticus", "adult", "", 30, 83}, {svl, "LISY", "adult", "", 30, 83},
		{svl, "Anaxyrus americanus", "adult", "", 40, 111}, {svl, "ANAM", "adult", "", 40, 111},
	}
	if !slices.Equal(got, want) {
		t.Errorf("got %+v\nwant %+v", got, want)
	}
	// a survey of one species has no column for it, a stage that nobody writes
	// cannot be judged by
	one := planned(t, func(s *Source) {
		s.Entries = slices.Delete(s.Entries, 4, 7)
		s.Taxon = "anaxyrus americanus"
		s.Limits = append(s.Limits, Limit{"Anaxyrus americanus", "tibiaLength", "mm", "", "", "", ptr(10), nil})
	})
	lines := one.limitLines()
	if len(lines) != 6 || lines[2] != (LimitLine{6, "", "", "", 10, beyond}) {
		t.Errorf("got %+v", lines)
	}
}

// The key names every heading, word, limit and caution.
func TestKey(t *testing.T) {
	form := planned(t, nil)
	f := opened(t, form.Workbook())
	rows, err := f.GetRows(KeyTab)
	if err != nil {
		t.Fatal(err)
	}
	var b strings.Builder
	for _, r := range rows {
		b.WriteString(strings.Join(r, "\t") + "\n")
	}
	for _, want := range append(append(headings(form), cautions...), "30 to 83 mm", "LISY\tLithobates sylvaticus", "Invented permit MC-2023-07.", "steps of 0.5 g") {
		if !strings.Contains(b.String(), want) {
			t.Errorf("the key does not say %q", want)
		}
	}
}

func TestSameFormSameBytes(t *testing.T) {
	for name, change := range map[string]func(*Source){"station": nil, "wide": wide} {
		var first [][]byte
		for range 3 {
			f := planned(t, change)
			book, err := f.Workbook().Bytes()
			if err != nil {
				t.Fatal(err)
			}
			page, err := f.Page(A4)
			if err != nil {
				t.Fatal(err)
			}
			m, err := f.Mapping()
			if err != nil {
				t.Fatal(err)
			}
			now := [][]byte{book, page, m}
			for i := range first {
				if !bytes.Equal(first[i], now[i]) {
					t.Errorf("%s: output %d differs", name, i)
				}
			}
			first = now
		}
	}
}
