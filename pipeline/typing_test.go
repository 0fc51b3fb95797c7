package pipeline

import (
	"context"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"spadefoot/pipeline/typing"
)

// prepared is the demo survey, with a marked animal, prepared for typing. More
// is in the mapping of the marks.
func prepared(t *testing.T, more ...string) *Typing {
	t.Helper()
	folder := t.TempDir()
	if err := os.CopyFS(folder, os.DirFS(filepath.Join("..", "testdata", "demo"))); err != nil {
		t.Fatal(err)
	}
	// A column for marks, and one earlier capture of F-031.
	june := readFile(t, folder, "june.yaml")
	writeText(t, folder, "june.yaml", strings.Replace(string(june), "headings:\n", strings.Join(more, "")+"headings:\n  - {heading: Marca, term: organismID}\n", 1))
	sheet := strings.SplitAfter(string(readFile(t, folder, "june-2024-reyes.csv")), "\n")
	for i := range sheet {
		end := map[bool]string{true: "Marca", false: ""}[i == 0]
		if i == 4 {
			end = "F-031" // MC24-004: a male of 47.3 mm
		}
		if line := strings.TrimRight(sheet[i], "\r\n"); line != "" {
			sheet[i] = line + ";" + end + "\n"
		}
	}
	writeText(t, folder, "june-2024-reyes.csv", strings.Join(sheet, ""))
	l, err := Inspect(context.Background(), folder, Options{})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		if err := l.Close(); err != nil {
			t.Error(err)
		}
	})
	p, err := l.Typing()
	if err != nil {
		t.Fatal(err)
	}
	return p
}

func formNamed(t *testing.T, p *Typing, file string) *typing.Form {
	t.Helper()
	for i := range p.Forms {
		if p.Forms[i].File == file {
			return &p.Forms[i]
		}
	}
	t.Fatalf("no form goes to %s", file)
	return nil
}

// typed is a row of a form: cells by the beginning of the heading, the rest
// blank.
func typed(t *testing.T, f *typing.Form, cells ...string) []string {
	t.Helper()
	row := make([]string, len(f.Columns))
	for i := 0; i+1 < len(cells); i += 2 {
		k := slices.IndexFunc(f.Headings(), func(h string) bool { return strings.HasPrefix(h, cells[i]) })
		if k < 0 {
			t.Fatalf("no column %q among %q", cells[i], f.Headings())
		}
		row[k] = cells[i+1]
	}
	return row
}

func spring(t *testing.T, f *typing.Form, more ...string) []string {
	return typed(t, f, append([]string{"Field No", "MC24-900", "Date", "2024-06-20", "Site", "Tern Slough", "Species", "LISY", "Sex", "M", "Stage", "adult",
		"SVL", "47.3", "Tibia", "25.3", "HW", "16.0", "Eye", "5.8", "Tymp", "3.5", "Gross", "14.5", "Bag", "4.5", "Observer", "I. Varga"}, more...)...)
}

// A row is checked by the rules of a run: what is right is not doubted, and a
// slip is, at its cell.
func TestTypedRowIsChecked(t *testing.T) {
	p := prepared(t)
	f := formNamed(t, p, "typed/spring.csv")
	for _, c := range []struct {
		name   string
		more   []string
		column string // of the first doubt; "" for none
		rule   string
		says   string
	}{
		{"as it should be", nil, "", "", ""},
		{"decimal slipped", []string{"Tibia", "253"}, "Tibia", "", "too large"},
		{"digits of another species", []string{"SVL", "91"}, "SVL", "", ""},
		{"more than the scale shows", []string{"Gross", "131"}, "Gross", "reading-beyond-capacity", "100 g"},
		{"bag heavier than the frog in it", []string{"Bag", "38"}, "Bag", "", ""},
		{"no such species", []string{"Species", "Lithobates wrongus"}, "Species", "taxon-unmatched", ""},
		{"no such site", []string{"Site", "Tern Sluogh"}, "Site", "site-unknown", ""},
		{"no such day", []string{"Date", "2024-06-31"}, "Date", "", ""},
		{"no number", []string{"Eye", "5.x"}, "Eye", "letter-for-digit", ""},
		{"a key of another capture", []string{"Field No", "MC23-005"}, "Field No", "key-repeated", "already identifies another capture"},
	} {
		checked, err := p.Check(f, [][]string{spring(t, f, c.more...)})
		if err != nil {
			t.Fatal(c.name, err)
		}
		if c.column == "" {
			if len(checked.Doubts) > 0 {
				t.Errorf("%s: %+v", c.name, checked.Doubts)
			}
			continue
		}
		if len(checked.Doubts) == 0 {
			t.Errorf("%s: no doubt", c.name)
			continue
		}
		d := checked.Doubts[0]
		if d.Column < 0 || !strings.HasPrefix(f.Columns[d.Column].Heading, c.column) || c.rule != "" && d.Rule != c.rule || !strings.Contains(d.More, c.says) {
			t.Errorf("%s: %+v", c.name, d)
		}
	}
}

// What the other measurements predict, the mass of the animal, its bag and
// its earlier captures are told beside their columns.
func TestWhatIsToldOfATypedRow(t *testing.T) {
	p := prepared(t)
	f := formNamed(t, p, "typed/spring.csv")
	said := func(notes []typing.Note, column string) string {
		for _, n := range notes {
			if n.Column >= 0 && strings.HasPrefix(f.Columns[n.Column].Heading, column) {
				return n.Says
			}
		}
		return ""
	}
	var rows [][]string
	for range 3 {
		rows = append(rows, spring(t, f, "Field No", "MC24-80"+string(rune('0'+len(rows)))))
	}
	checked, err := p.Check(f, append(rows, spring(t, f, "Tibia", "", "Bag", "8.5", "Gross", "18.5")))
	if err != nil {
		t.Fatal(err)
	}
	if got := said(checked.Told, "Gross"); !strings.HasPrefix(got, "Net 10.0 g") || !strings.Contains(got, "±") {
		t.Errorf("the net is %q", got)
	}
	if got := said(checked.Expected, "Tibia"); !strings.Contains(got, " to 2") || !strings.HasSuffix(got, "mm") {
		t.Errorf("of the tibia is expected %q", got)
	}
	if len(checked.Doubts) != 1 || !strings.HasPrefix(checked.Doubts[0].Says, "This bag was 4.5 g all evening (weighed 3 times)") {
		t.Errorf("of the bag: %+v", checked.Doubts)
	}
	june := formNamed(t, p, "typed/june.csv")
	f = june
	checked, err = p.Check(june, [][]string{typed(t, june, "Marca", "F-031", "No", "MC24-901", "Fecha", "2024-07-20", "Sitio", "Tern Slough", "Especie", "LISY", "Sexo", "hembra", "LHC", "47.5")})
	if err != nil {
		t.Fatal(err)
	}
	if got := said(checked.Told, "Marca"); !strings.HasPrefix(got, "F-031 was caught on 10 June 2024: male, adult, snout-vent length 47.3 mm") {
		t.Errorf("of the mark: %q", got)
	}
	if !slices.ContainsFunc(checked.Doubts, func(d typing.Doubt) bool { return d.Rule == "recapture-sex" }) {
		t.Errorf("the sex changed: %+v", checked.Doubts)
	}
}

// Where marks begin anew at each site, one at another site is another animal.
func TestMarkOfATypedRowAtAnotherSite(t *testing.T) {
	p := prepared(t, "marks: [locality]\n")
	f := formNamed(t, p, "typed/june.csv")
	for _, c := range []struct {
		site string
		told bool
	}{{"Old Ferry Ditch", true}, {"Tern Slough", false}} {
		checked, err := p.Check(f, [][]string{typed(t, f, "Marca", "F-031", "No", "MC24-901", "Fecha", "2024-07-20", "Sitio", c.site, "Especie", "LISY", "Sexo", "hembra", "LHC", "47.5")})
		if err != nil {
			t.Fatal(err)
		}
		earlier := slices.ContainsFunc(checked.Told, func(n typing.Note) bool { return strings.Contains(n.Says, "was caught on 10 June 2024") })
		doubted := slices.ContainsFunc(checked.Doubts, func(d typing.Doubt) bool { return d.Rule == "recapture-sex" })
		if earlier != c.told || doubted != c.told {
			t.Errorf("at %s: %+v, %+v", c.site, checked.Told, checked.Doubts)
		}
	}
}

// An answer takes less than a tenth of a second.
func TestTypedRowIsCheckedAtOnce(t *testing.T) {
	p := prepared(t)
	f := formNamed(t, p, "typed/spring.csv")
	var rows [][]string
	for range 200 {
		rows = append(rows, spring(t, f))
	}
	best := time.Hour
	for range 5 {
		began := time.Now()
		if _, err := p.Check(f, rows); err != nil {
			t.Fatal(err)
		}
		best = min(best, time.Since(began))
	}
	if best > 100*time.Millisecond {
		t.Errorf("a row was checked in %v", best)
	}
}
