package calendar

import (
	"encoding/csv"
	"os"
	"path/filepath"
	"strconv"
	"testing"

	"spadefoot/pipeline/record/need"
)

// Names of months and days as Unicode CLDR has them (babel 2.10.3,
// testdata/reference/names.py). Short names of days that are also months are
// left out.
func TestNamesAgainstCLDR(t *testing.T) {
	f, err := os.Open(filepath.Join(need.Root(t), "testdata", "reference", "names_calendar.csv"))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	if err != nil || len(rows) < 200 {
		t.Fatalf("%d rows, %v", len(rows), err)
	}
	v := vocabulary()
	for _, row := range rows[1:] {
		want, name := row[2], fold(row[3])
		got := strconv.Itoa(v.months[name])
		if row[0] == "weekday" {
			if v.months[name] > 0 {
				continue
			}
			got = strconv.Itoa(v.weekdays[name])
		}
		if got != want {
			t.Errorf("%s %q (%s) is number %s, want %s", row[0], row[3], row[1], got, want)
		}
	}
}
