package draft_test

import (
	"fmt"
	"path/filepath"
	"strings"
	"testing"

	"github.com/xuri/excelize/v2"

	"spadefoot/pipeline/draft"
)

// Sheets that others refer to by codes are not captures, and what they say goes
// into the tables beside the draft.
func TestDraftSetsListsAside(t *testing.T) {
	dir := t.TempDir()
	var captures strings.Builder
	captures.WriteString("No,SiteCode,SpCode,Date,SVL (mm)\n")
	for i := range 20 {
		fmt.Fprintf(&captures, "%d,%s,%s,2024-06-%02d,%d.5\n", i+1, []string{"A1", "B2"}[i%2], []string{"RATE", "NA"}[i/10], i+1, 50+i) // a code that means nothing elsewhere
	}
	for name, text := range map[string]string{
		"captures.csv": captures.String(),
		"places.csv":   "SiteCode,SiteName,Lat,Long\nA1,Mill Pond,44.41,-72.31\nB2,Kettle Bog,44.42,-72.32\nC3,Old Quarry,44.43,-72.33\n",
		"names.csv":    "SpCode,Scientific name\nRATE,Rana temporaria\nNA,Neotoma albigula\n",
	} {
		put(t, dir, name, text)
	}
	folder, r := runDraft(t, draft.Options{}, filepath.Join(dir, "captures.csv"), filepath.Join(dir, "places.csv"), filepath.Join(dir, "names.csv"))
	if r.Counts.Captures != 20 {
		t.Errorf("%d captures", r.Counts.Captures)
	}
	for line, file := range map[string]string{"A1,44.41,-72.31,,10\n": "sites.csv", "Rana temporaria,RATE,,10\n": "checklist.csv", "Neotoma albigula,NA,,10\n": "checklist.csv", "places.csv: a list of places": "survey.yaml"} {
		if text := string(files(t, folder)[file]); !strings.Contains(text, line) {
			t.Errorf("%s does not say %q:\n%s", file, line, text)
		}
	}
}

// A tab of codes is read by a run, which quotes it and makes no captures of it.
func TestDraftListsLegends(t *testing.T) {
	path := filepath.Join(t.TempDir(), "frogs.xlsx")
	f := excelize.NewFile()
	for tab, rows := range map[string][][]any{
		"Sheet1": {{"No", "Date", "Species", "SVL (mm)"}, {1, "2024-06-01", "RATE", 61.5}, {2, "2024-06-01", "BUBU", 58}, {3, "2024-06-02", "RATE", 60}, {4, "2024-06-02", "RATE", 63}},
		"codes":  {{"RATE", "Rana temporaria"}, {"BUBU", "Bufo bufo"}, {"Measured by one person throughout"}},
	} {
		if _, err := f.NewSheet(tab); err != nil {
			t.Fatal(err)
		}
		for i, row := range rows {
			if err := f.SetSheetRow(tab, fmt.Sprintf("A%d", i+1), &row); err != nil {
				t.Fatal(err)
			}
		}
	}
	if err := f.SaveAs(path); err != nil {
		t.Fatal(err)
	}
	folder, r := runDraft(t, draft.Options{}, path)
	if text := string(files(t, folder)["survey.yaml"]); !strings.Contains(text, "tabs: [codes], mapping: frogs-sheet1.yaml}") {
		t.Error(text)
	}
	quoted := ""
	for _, f := range r.Findings {
		if f.Rule == "sheet-legend" {
			quoted = f.Value
		}
	}
	if r.Counts.Captures != 4 || !strings.Contains(quoted, "Measured by one person throughout") || !strings.Contains(quoted, "Bufo bufo") {
		t.Errorf("%d captures, quoted %q", r.Counts.Captures, quoted)
	}
}

// Counts of species beside captures are none, and are set aside.
func TestDraftSetsCountsAside(t *testing.T) {
	dir := t.TempDir()
	put(t, dir, "measured.csv", "No,Date,Species,SVL (mm)\n1,2024-06-01,Rana temporaria,61.5\n2,2024-06-01,Bufo bufo,58\n3,2024-06-02,Rana temporaria,60\n")
	put(t, dir, "seen.csv", "Date,Pond,Rana temporaria,Bufo bufo,Total\n2024-06-01,Mill,3,1,\n2024-06-02,Mill,5,0,\n2024-06-03,Otter,2,2,\n")
	folder, r := runDraft(t, draft.Options{}, filepath.Join(dir, "measured.csv"), filepath.Join(dir, "seen.csv"))
	if text := string(files(t, folder)["survey.yaml"]); r.Counts.Captures != 3 || !strings.Contains(text, "# seen.csv: counts of species") {
		t.Errorf("%d captures\n%s", r.Counts.Captures, text)
	}
	if _, r := runDraft(t, draft.Options{}, filepath.Join(dir, "seen.csv")); r.Counts.Captures != 3 {
		t.Errorf("%d rows of counts alone", r.Counts.Captures)
	}
}
