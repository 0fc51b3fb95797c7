package draft_test

import (
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/xuri/excelize/v2"

	"spadefoot/pipeline"
	"spadefoot/pipeline/draft"
	"spadefoot/pipeline/mapping"
	"spadefoot/pipeline/output"
	"spadefoot/pipeline/record"
	"spadefoot/pipeline/survey"
)

const (
	springRows = "Frog no,Date,Site,Species,SVL,Wt,Observer\nS1,03/04/2021,Otter Pond,Rana temporaria,61.5,21.0,T. Brook\nS2,04/04/2021,Otter Pond,Rana temporaria,58.0,18.5,TB\nS3,05/04/2021,Mill Ditch,Rana arvalis,55.2,15.5,T Brook\nS4,06/04/2021,Mill Ditch,Rana arvalis,54.0,15.0,K. Niles\nS5,06/05/2021,Mill Ditch,Rana arvalis,52.0,14.0,K. Niles\nS6,06/05/2021,Mill Ditch,Rana arvalis,51.0,13.0,K. Niles\n"
	laterRows  = "Frog no,Date,Site,Species,SVL,Wt,Observer\nA1,03/08/2022,Otter Pond,Rana temporaria,62.5,22.0,T. Brook\nA2,04/08/2022,Otter Pond,Rana temporaria,57.0,17.5,TB\n"
	otherRows  = "Frog no,Date,Site,Species,SVL,Wt,Recorder,Tibia\nB1,03/09/2022,Otter Pond,Rana temporaria,62.5,22.0,T. Brook,31.0\nB2,04/09/2022,Otter Pond,Rana temporaria,57.0,17.5,TB,28.5\n"
)

// A further season is given the mapping of the first; a form that changed gets a
// copy with the changes at its head; the rest of the survey stays as it is.
func TestDraftOntoASurvey(t *testing.T) {
	dir := t.TempDir()
	put(t, dir, "spring.csv", springRows)
	put(t, dir, "summer.csv", laterRows)
	put(t, dir, "autumn.csv", otherRows)
	folder := filepath.Join(dir, "survey")
	add := func(names ...string) *draft.Drafted {
		t.Helper()
		var paths []string
		for _, n := range names {
			paths = append(paths, filepath.Join(dir, n))
		}
		d, err := draft.Write(context.Background(), paths, folder, draft.Options{})
		if err != nil {
			t.Fatal(err)
		}
		return d
	}
	add("spring.csv")
	before := files(t, folder)
	d := add("summer.csv", "autumn.csv")
	if s := d.Sheets[0]; !s.Known || s.Mapping != "spring.yaml" || len(s.Added)+len(s.Gone) > 0 {
		t.Errorf("summer: %+v", s)
	}
	if s := d.Sheets[1]; !s.Known || s.Mapping != "autumn.yaml" || strings.Join(s.Added, " ") != "recorder tibia" || strings.Join(s.Gone, " ") != "observer" {
		t.Errorf("autumn: %+v", s)
	}
	after := files(t, folder)
	for name, text := range before {
		if name != survey.FileName && string(after[name]) != string(text) {
			t.Errorf("%s was changed", name)
		}
	}
	if s := string(after[survey.FileName]); !strings.HasPrefix(s, string(before[survey.FileName])) || !strings.Contains(s, "{file: summer.csv, mapping: spring.yaml}") {
		t.Errorf("survey.yaml:\n%s", s)
	}
	if s := string(after["autumn.yaml"]); !strings.Contains(s, "# gone: observer") || !strings.Contains(s, "# new: tibia; a guess: - {heading: Tibia, measurement: tibiaLength, unit: mm, unitGuessed: true}") || !strings.HasSuffix(s, string(before["spring.yaml"])) {
		t.Errorf("autumn.yaml:\n%s", s)
	}
	r, err := pipeline.Run(context.Background(), folder, t.TempDir(), pipeline.Options{})
	if err != nil || r.Counts.Captures != 10 {
		t.Errorf("%+v %v", r, err)
	}
	var out *output.Error
	if _, err := draft.Write(context.Background(), []string{filepath.Join(dir, "summer.csv")}, folder, draft.Options{}); !errors.As(err, &out) {
		t.Errorf("a sheet that is there already: %v", err)
	}
}

// Answers change the draft; questions come by weight.
func TestDraftAsks(t *testing.T) {
	dir := t.TempDir()
	put(t, dir, "spring.csv", springRows)
	folder := filepath.Join(dir, "survey")
	var asked []string
	give := map[string]int{"Which order": 1, "Are": 0, "Is \"SVL\"": 1, "Is \"Wt\"": 0, "Is the mass": 1}
	_, err := draft.Write(context.Background(), []string{filepath.Join(dir, "spring.csv")}, folder, draft.Options{
		Ask: func(where string, q mapping.Question) (int, error) {
			asked = append(asked, q.Text)
			for k, n := range give {
				if strings.HasPrefix(q.Text, k) {
					return n, nil
				}
			}
			return 0, nil
		}})
	if err != nil {
		t.Fatal(err)
	}
	if len(asked) < 4 || !strings.HasPrefix(asked[0], "Which order is 03/04/2021") {
		t.Errorf("asked %q", asked)
	}
	text := string(files(t, folder)["spring.yaml"])
	for _, want := range []string{"dateOrder: dmy", "{heading: SVL, measurement: snoutVentLength, unit: cm}", "weighing: gross", "way: no-tare"} {
		if !strings.Contains(text, want) {
			t.Errorf("no %q in\n%s", want, text)
		}
	}
	failed := errors.New("the terminal is gone")
	_, err = draft.Write(context.Background(), []string{filepath.Join(dir, "spring.csv")}, filepath.Join(dir, "other"), draft.Options{
		Ask: func(string, mapping.Question) (int, error) { return 0, failed }})
	if _, there := os.Stat(filepath.Join(dir, "other")); !errors.Is(err, failed) || there == nil {
		t.Errorf("%v", err)
	}
}

// What the sheets hold of species, places and people is written down for a
// person to complete.
func TestDraftStubs(t *testing.T) {
	dir := t.TempDir()
	put(t, dir, "spring.csv", springRows)
	put(t, dir, "summer.csv", strings.ReplaceAll(laterRows, "Rana temporaria", "RATE"))
	put(t, dir, "species.csv", "Code,Name,Family\nRATE,Rana temporaria,Ranidae\nRAAR,Rana arvalis,Ranidae\nBUBU,Bufo bufo,Bufonidae\n")
	put(t, dir, "key.csv", "Column,Meaning,Unit\nSVL,snout-vent length,mm\nWt,body mass,g\nObserver,who measured,\n")
	folder := filepath.Join(dir, "survey")
	var paths []string
	for _, n := range []string{"spring.csv", "summer.csv", "species.csv", "key.csv"} {
		paths = append(paths, filepath.Join(dir, n))
	}
	d, err := draft.Write(context.Background(), paths, folder, draft.Options{})
	if err != nil {
		t.Fatal(err)
	}
	if len(d.Sheets) != 2 || d.Sheets[0].Mapping != d.Sheets[1].Mapping {
		t.Errorf("%+v", d.Sheets)
	}
	got := files(t, folder)
	for name, wants := range map[string][]string{
		"checklist.csv": {"Rana temporaria,RATE,,4\n", "Rana arvalis,,,4\n"},
		"sites.csv":     {"Otter Pond,,,,4\n", "Mill Ditch,,,,4\n"},
		"survey.yaml":   {"K. Niles (3)", "T. Brook (2), TB (2), T Brook (1)", "species.csv: a list of species", "key.csv: a legend of headings", "graduation: 0.1"},
		"spring.yaml":   {"{heading: SVL, measurement: snoutVentLength, unit: mm}"},
	} {
		for _, want := range wants {
			if !strings.Contains(string(got[name]), want) {
				t.Errorf("%s does not say %q:\n%s", name, want, got[name])
			}
		}
	}
}

// A tab that explains codes fills the checklist, which then holds for the run.
func TestDraftReadsTheTabOfCodes(t *testing.T) {
	dir := t.TempDir()
	book := excelize.NewFile()
	for tab, rows := range map[string][][]any{
		"Sheet1": {{"No", "Date", "Sp", "SVL (mm)"}, {1, "3 May 2021", "RATE", 61.2}, {2, "3 May 2021", "RAAR", 48.5}, {3, "4 May 2021", "RATE", 58.1}},
		"Codes":  {{"What the letters stand for"}, {"RATE", "Rana temporaria"}, {"RAAR", "Rana arvalis"}, {"BUBU", "Bufo bufo"}},
	} {
		if _, err := book.NewSheet(tab); err != nil {
			t.Fatal(err)
		}
		for i, row := range rows {
			if err := book.SetSheetRow(tab, fmt.Sprintf("A%d", i+1), &row); err != nil {
				t.Fatal(err)
			}
		}
	}
	path := filepath.Join(dir, "ponds.xlsx")
	if err := book.SaveAs(path); err != nil {
		t.Fatal(err)
	}
	folder, r := runDraft(t, draft.Options{}, path)
	got := files(t, folder)
	for name, want := range map[string]string{
		"checklist.csv": "scientificName,code,vernacularName,count\nRana temporaria,RATE,,2\nRana arvalis,RAAR,,1\n",
		"survey.yaml":   "tables: {checklist: checklist.csv}\n",
	} {
		if !strings.Contains(string(got[name]), want) {
			t.Errorf("%s does not say %q:\n%s", name, want, got[name])
		}
	}
	if slices.ContainsFunc(r.Findings, func(f record.Finding) bool { return f.Rule == "taxon-unread" }) {
		t.Error("a code was not read")
	}
}

// Lines above and below a table that say what codes of species and of states
// stand for fill the checklist and the words of the mapping.
func TestDraftReadsLinesOfCodes(t *testing.T) {
	dir := t.TempDir()
	put(t, dir, "bats.csv", "# MYLU = Myotis lucifugus; EPFU = Eptesicus fuscus\nNo,Date,Sp,FA (mm),Repro\n1,3 May 2021,MYLU,38.2,NR\n2,3 May 2021,EPFU,46.5,L\n3,4 May 2021,MYLU,37.1,L\n4,4 May 2021,MYSE,36.1,L\n\nNR non-reproductive; L lactating\nMYEV = Myotis evotis,,,MYSE = Myotis septentrionalis\n")
	folder, r := runDraft(t, draft.Options{}, filepath.Join(dir, "bats.csv"))
	got := files(t, folder)
	for name, want := range map[string]string{
		"checklist.csv": "Myotis lucifugus,MYLU,,2\nEptesicus fuscus,EPFU,,1\nMyotis septentrionalis,MYSE,,1\n",
		"bats.yaml":     `{heading: Repro, term: reproductiveCondition, words: {L: lactating, NR: "non-reproductive"}}`,
	} {
		if !strings.Contains(string(got[name]), want) {
			t.Errorf("%s does not say %q:\n%s", name, want, got[name])
		}
	}
	if slices.ContainsFunc(r.Findings, func(f record.Finding) bool { return f.Rule == "taxon-unread" || f.Rule == "word-unknown" }) {
		t.Error("a code was not read")
	}
}

// A line above a table that names a column and says what its codes stand for tells what the
// column is, though its heading does not.
func TestDraftReadsCodesOfNamedColumns(t *testing.T) {
	dir := t.TempDir()
	put(t, dir, "frogs.csv", "st: 1 = metamorph, 2 = juvenile, 3 = adult\nNo,Date,st,SVL (mm)\n1,3 May 2021,3,38.2\n2,3 May 2021,1,26.5\n3,4 May 2021,3,37.1\n4,4 May 2021,2,36.1\n")
	folder, _ := runDraft(t, draft.Options{}, filepath.Join(dir, "frogs.csv"))
	if got, want := string(files(t, folder)["frogs.yaml"]), `{heading: st, term: lifeStage, words: {"1": metamorph, "2": juvenile, "3": adult}}`; !strings.Contains(got, want) {
		t.Errorf("the mapping does not say %q:\n%s", want, got)
	}
}

// Tabs of one form that are all named after places or species say where their captures
// were made or what they are; tabs of nights and of people do not.
func TestDraftReadsNamesOfTabs(t *testing.T) {
	for _, c := range []struct {
		tabs []string
		term string
	}{
		{[]string{"Pond A", "Creek"}, "locality"},
		{[]string{"Pond A", "Night 2"}, ""},
		{[]string{"Anna", "Ben"}, ""},
		{[]string{"Sheet1", "Sheet2"}, ""},
		{[]string{"Pond A"}, ""},
		{[]string{"Rana arvalis", "Bufo bufo"}, "scientificName"},
		{[]string{"Rana arvalis"}, "scientificName"},
		{[]string{"Rana arvalis", "Night 2"}, ""},
		{[]string{"Field data", "Trap site"}, ""},
	} {
		book := excelize.NewFile()
		for _, tab := range c.tabs {
			if _, err := book.NewSheet(tab); err != nil {
				t.Fatal(err)
			}
			for i, row := range [][]any{{"Date", "Trap", "Sex", "SVL (mm)"}, {"3 May 2021", "N1", "F", 61.2}, {"4 May 2021", "N7", "M", 48.5}} {
				if err := book.SetSheetRow(tab, fmt.Sprintf("A%d", i+1), &row); err != nil {
					t.Fatal(err)
				}
			}
		}
		path := filepath.Join(t.TempDir(), "traps.xlsx")
		if err := book.SaveAs(path); err != nil {
			t.Fatal(err)
		}
		folder, _ := runDraft(t, draft.Options{}, path)
		text := string(files(t, folder)["survey.yaml"])
		for _, tab := range c.tabs {
			for _, term := range []string{"locality", "scientificName"} {
				if strings.Contains(text, fmt.Sprintf("defaults: {%s: %s}", term, tab)) != (c.term == term) {
					t.Errorf("of %q, %s: want a name for %q\n%s", c.tabs, tab, c.term, text)
				}
			}
		}
	}
}

// Days without a year get the one that is above them, and none where two
// do.
func TestDraftFindsTheYear(t *testing.T) {
	for title, want := range map[string]string{
		"Frog log, summer 2018":  "defaults: {year: 2018}} # its dates have no year, and a line above the table gives this one\n",
		"Frog log, 2018 to 2019": "mapping: frogs.yaml}\n",
	} {
		dir := t.TempDir()
		put(t, dir, "frogs.csv", "\""+title+"\"\nNo,Date,Species,SVL (mm)\n1,June 4,Rana temporaria,61.2\n2,June 5,Rana arvalis,48.5\n3,July 11,Rana temporaria,58.1\n")
		folder, r := runDraft(t, draft.Options{}, filepath.Join(dir, "frogs.csv"))
		text := string(files(t, folder)["survey.yaml"])
		if !strings.Contains(text, want) {
			t.Errorf("%s: %s", title, text)
		}
		if day := r.Captures[2].Value("eventDate").Text; strings.Contains(want, "year") != (day == "2018-07-11") {
			t.Errorf("%s: the day is %q", title, day)
		}
	}
}

// The year of one day of a column is that of the others where it is the only one.
func TestDraftTakesTheYearOfTheColumn(t *testing.T) {
	dir := t.TempDir()
	put(t, dir, "fence.csv", "No;Date;Species;SVL (mm)\n1;12.3.2019;Rana temporaria;61.2\n2;13.3.;Rana arvalis;48.5\n3;14.3.;Rana temporaria;58.1\n")
	folder, r := runDraft(t, draft.Options{}, filepath.Join(dir, "fence.csv"))
	if day := r.Captures[1].Value("eventDate").Text; day != "2019-03-13" {
		t.Errorf("%q\n%s", day, files(t, folder)["survey.yaml"])
	}
}

// A draft states no day and no time zone that the sheets do not show.
func TestDraftInventsNoDays(t *testing.T) {
	dir := t.TempDir()
	put(t, dir, "undated.csv", "No,Species,SVL (mm)\n1,Rana temporaria,61.2\n2,Rana arvalis,48.5\n3,Rana temporaria,58.0\n")
	folder := filepath.Join(dir, "survey")
	if _, err := draft.Write(context.Background(), []string{filepath.Join(dir, "undated.csv")}, folder, draft.Options{}); err != nil {
		t.Fatal(err)
	}
	text := string(files(t, folder)["survey.yaml"])
	if !strings.Contains(text, "from: YYYY-MM-DD") || regexp.MustCompile(`timezone: "?[A-Z][a-z]+/[A-Z][a-z]+`).FindString(text) != "timezone: Area/City" || regexp.MustCompile(`\b(19|20)\d\d-`).MatchString(text) {
		t.Error(text)
	}
}

// What a person answered is not asked again, and a column of numbers that the
// vocabulary has no word for comes with a measurement of the team's own to fill
// in, which a run then takes.
func TestDraftOwnMeasurement(t *testing.T) {
	dir := t.TempDir()
	put(t, dir, "crests.csv", "No,Date,Site,Species,SVL (mm),Wt (g),Crest height (mm)\n1,2025-04-03,Pond,Rana temporaria,61.2,22.1,3.1\n2,2025-04-03,Pond,Rana temporaria,51.2,14.1,2.1\n3,2025-04-05,Pond,Rana arvalis,48.9,12.4,1.9\n")
	folder := filepath.Join(dir, "survey")
	if _, err := draft.Write(context.Background(), []string{filepath.Join(dir, "crests.csv")}, folder, draft.Options{
		Ask: func(string, mapping.Question) (int, error) { return 0, nil }}); err != nil {
		t.Fatal(err)
	}
	now := files(t, folder)
	m, s := string(now["crests.yaml"]), string(now["survey.yaml"])
	if strings.Contains(m, "without the bag") || !strings.Contains(m, "- {heading: Crest height (mm), measurement: …, unit: mm}") {
		t.Error(m)
	}
	own := "#   - {name: crestHeight, label: crest height, dimension: length, unit: mm, definition: say what is measured and from where to where}"
	if !strings.Contains(s, "# measurements:") || !strings.Contains(s, own) {
		t.Fatal(s)
	}
	s = strings.Replace(strings.Replace(s, "# measurements:", "measurements:", 1), own, "  "+strings.TrimPrefix(own, "#   "), 1)
	put(t, folder, "survey.yaml", s)
	put(t, folder, "crests.yaml", m+"  - {heading: Crest height (mm), measurement: crestHeight, unit: mm}\n")
	out := t.TempDir()
	if _, err := pipeline.Run(context.Background(), folder, out, pipeline.Options{}); err != nil {
		t.Fatal(err)
	}
	if text := string(files(t, filepath.Join(out, "darwin-core"))["measurementorfact.csv"]); !strings.Contains(text, ",crest height,Crest height (mm),3.1,mm\n") {
		t.Error(text)
	}
}
