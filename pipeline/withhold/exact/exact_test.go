package exact

import (
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"spadefoot/pipeline/record"
)

// No cell of the file of exact places is taken for a formula by a spreadsheet.
func TestExactPlacesAreForSpreadsheets(t *testing.T) {
	e := New(filepath.Join(t.TempDir(), "exact.csv"))
	was := &record.Capture{Key: "@F1", File: "frogs.csv", Row: 2, Values: []record.Value{{Field: record.Of("locality"), Text: "=1+1"}, {Field: record.Of("decimalLatitude"), Text: "-45.5"}}}
	err := errors.Join(e.Begin(nil), e.Write(&record.Capture{Key: "F1", ID: "urn:uuid:1", File: "frogs.csv", Row: 2}, was), e.End(), e.Commit())
	if err != nil {
		t.Fatal(err)
	}
	text, err := os.ReadFile(e.path)
	if want := "F1,urn:uuid:1,'@F1,frogs.csv,,2,,'=1+1,-45.5,\n"; err != nil || !strings.HasSuffix(string(text), want) {
		t.Errorf("%v, %q", err, text)
	}
}
