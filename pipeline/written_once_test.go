package pipeline

import (
	"fmt"
	"strings"
	"testing"
)

// What was written once and holds for many rows is doubted once, at the cell, whether
// it stands above the table, between its rows, or in a row whose blanks repeat it, and
// in however many parts these rows are read.
func TestWhatIsWrittenOnceIsDoubtedOnce(t *testing.T) {
	const head = "No,Date,Position,Species,SVL\n"
	rows := func(first, last int, date, position string) string {
		var b strings.Builder
		for i := first; i <= last; i++ {
			fmt.Fprintf(&b, "MC%04d,%s,%s,Lithobates clamitans,%d.%d\n", i, date, position, 55+i%17, i*7%10)
		}
		return b.String()
	}
	undated := func(text string) string { return strings.NewReplacer(",Date", "", ",,", ",").Replace(text) }
	at := `"45.4 N, 375.7 W"`
	for _, c := range []struct {
		name, sheet string
		want        []string // cells and what is said of them
	}{
		{"above the table", "Position:," + at + "\n" + strings.Replace(head, ",Position", "", 1) + rows(1, 100, "2024-05-03", ""), []string{
			"error coordinates-range frogs.csv, B1: it applies to 100 captures"}},
		{"between rows", undated(head) + "Date: 2024-02-31,,,\n" + undated(rows(1, 90, "", "")) + "Date: 2024-02-30,,,\n" + undated(rows(91, 93, "", "")), []string{
			"error date-impossible frogs.csv, A2: it applies to 90 captures",
			"error date-impossible frogs.csv, A93: it applies to 3 captures"}},
		{"filled from above", head + rows(1, 1, "2024-02-31", at) + rows(2, 80, "", "") + rows(81, 81, "2024-03-02", `"45.4 N, 75.7 W"`) + rows(82, 90, "", ""), []string{
			"error date-impossible frogs.csv, B2: it applies to 80 captures",
			"error coordinates-range frogs.csv, C2: it applies to 80 captures"}},
	} {
		folder := t.TempDir()
		writeText(t, folder, "survey.yaml", strings.Replace(longSurvey, "    - {heading: SVL", "    - {heading: Position, term: verbatimCoordinates}\n    - {heading: SVL", 1))
		writeText(t, folder, "frogs.csv", c.sheet)
		r := alikeInParts(t, folder, Options{}, "findings.csv", "captures.csv", "darwin-core/occurrence.csv")
		var got []string
		for _, f := range r.Findings {
			if _, n, some := strings.Cut(f.Reason, "; it applies"); some {
				got = append(got, fmt.Sprintf("%s %s %s: it applies%s", f.Level, f.Rule, f.At, n))
			}
		}
		if strings.Join(got, "\n") != strings.Join(c.want, "\n") {
			t.Errorf("%s:\n%s\nwant\n%s", c.name, strings.Join(got, "\n"), strings.Join(c.want, "\n"))
		}
	}
}

// The habit of a column is an error of every cell that has it, in whatever part it is.
func TestHabitOfAColumnInParts(t *testing.T) {
	folder := t.TempDir()
	writeText(t, folder, "survey.yaml", strings.Replace(longSurvey, "    - {heading: SVL", "    - {heading: Lat, term: decimalLatitude}\n    - {heading: Long, term: decimalLongitude}\n    - {heading: SVL", 1))
	var b strings.Builder
	b.WriteString("No,Date,Species,Lat,Long,SVL\n")
	for i := range 200 {
		fmt.Fprintf(&b, "MC%04d,2024-05-03,Lithobates clamitans,45.%03d,284.%03d,%d.%d\n", i, i, 900-i, 55+i%17, i*7%10)
	}
	writeText(t, folder, "frogs.csv", b.String())
	r := alikeInParts(t, folder, Options{}, "findings.csv", "darwin-core/occurrence.csv")
	if n := r.Tally.ByRule["coordinates-full-circle"]; n != 1 || r.Tally.Levels.Error != 1 {
		t.Errorf("%d findings on the column, %s", n, r.Tally.Levels)
	}
	for _, c := range r.Captures {
		if v := c.Value("verbatimLongitude"); v == nil || v.Undecided == "" {
			t.Errorf("%s: %+v is published", c.Address(), v)
		}
	}
}
