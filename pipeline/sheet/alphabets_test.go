package sheet

import (
	"encoding/csv"
	"os"
	"path/filepath"
	"testing"
	"unicode"

	"spadefoot/pipeline/record/need"
)

// The alphabets are those of ICU 72.1 (testdata/reference/names.py).
func TestAlphabetsAgainstICU(t *testing.T) {
	f, err := os.Open(filepath.Join(need.Root(t), "testdata", "reference", "names_letters.csv"))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	if err != nil || len(rows)-2 != len(alphabets())-1 {
		t.Fatalf("%d rows for %d alphabets, %v", len(rows)-1, len(alphabets()), err)
	}
	for i, row := range rows[1:] {
		want := ""
		for _, r := range row[1] {
			if !unicode.IsUpper(r) {
				want += string(r)
			}
		}
		if got := alphabets()[i]; got != want {
			t.Errorf("%s: letters %q, want %q", row[0], got, want)
		}
	}
}
