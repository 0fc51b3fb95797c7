package draft_test

import (
	"fmt"
	"path/filepath"
	"strings"
	"testing"

	"spadefoot/pipeline/draft"
)

// Sheets that others refer to by codes are not captures, and what they say goes
// into the tables beside the draft.
func TestDraftSetsListsAside(t *testing.T) {
	dir := t.TempDir()
	var captures strings.Builder
	captures.WriteString("No,SiteCode,SpCode,Date,SVL (mm)\n")
	for i := range 20 {
		fmt.Fprintf(&captures, "%d,%s,%s,2024-06-%02d,%d.5\n", i+1, []string{"A1", "B2"}[i%2], []string{"RATE", "BUBU"}[i/10], i+1, 50+i)
	}
	for name, text := range map[string]string{
		"captures.csv": captures.String(),
		"places.csv":   "SiteCode,SiteName,Lat,Long\nA1,Mill Pond,44.41,-72.31\nB2,Kettle Bog,44.42,-72.32\nC3,Old Quarry,44.43,-72.33\n",
		"names.csv":    "SpCode,Scientific name\nRATE,Rana temporaria\nBUBU,Bufo bufo\n",
	} {
		put(t, dir, name, text)
	}
	folder, r := runDraft(t, draft.Options{}, filepath.Join(dir, "captures.csv"), filepath.Join(dir, "places.csv"), filepath.Join(dir, "names.csv"))
	if r.Counts.Captures != 20 {
		t.Errorf("%d captures", r.Counts.Captures)
	}
	for file, line := range map[string]string{"sites.csv": "A1,44.41,-72.31,,10\n", "checklist.csv": "Rana temporaria,RATE,,10\n", "survey.yaml": "places.csv: a list of places"} {
		if text := string(files(t, folder)[file]); !strings.Contains(text, line) {
			t.Errorf("%s does not say %q:\n%s", file, line, text)
		}
	}
}
