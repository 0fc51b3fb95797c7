package normalise

import (
	"fmt"
	"math/rand/v2"
	"reflect"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"

	"spadefoot/pipeline/record"
)

// asWritten are texts as they stand under each heading.
var asWritten = [][]string{
	{"", "MC-1", "MC-2", "17"},
	{"2021-05-03", "3 May 2021", "4.5.2021", "May 2021", "", "13/5/2021", "3/5/21", "?"},
	{"21:30", "2:15", "03:10", "", "noon", "25:10"},
	{"Tern Slough", " Holm  Pond", "", "n/a"},
	{"45.1040", "45.1N", "", "95", `45° 6' 14"`},
	{"-78.1360", "78.1 W", "", "-78"},
	{"Rana temporaria", "common frog", "R. temporaria", "Rana tempraria", "", "?"},
	{"F", "male", "", "fem", "x"},
	{"67.4", "6.11 cm", "", "-", "57,5", "<0.5", "40-42", "57.5?", "3 5/16", "57 / 19 g", "61 (toe off)", "sixty"},
	{"33.0", "1 oz", "", "31", "?"},
	{"5.5", "5", "", "n/a"},
	{"", "toe clipped", "in reeds, calling"},
	{"", "x"},
}

const writtenHeadings = "No=recordNumber|Date=eventDate|Time=eventTime|Site=locality|Lat=decimalLatitude|Long=decimalLongitude|Species=scientificName|" +
	"Sex=sex|SVL=m:snoutVentLength mm|Gross=w:gross|Bag=w:tare|Notes=occurrenceRemarks|Ring="

func someLines(r *rand.Rand, n int) []string {
	var lines []string
	for range n {
		var parts []string
		for _, texts := range asWritten {
			k := r.IntN(len(texts))
			if r.IntN(2) == 0 {
				k = 0
			}
			parts = append(parts, texts[k])
		}
		lines = append(lines, strings.Join(parts, "|"))
	}
	return lines
}

// inParts reads a table in chunks cut at random.
func inParts(r *rand.Rand, t *record.Table, x *Context) ([]*record.Capture, []record.Finding) {
	rows := Begin(t, x)
	var captures []*record.Capture
	var fs []record.Finding
	for from := 0; from < len(t.Rows); {
		to := min(len(t.Rows), from+1+r.IntN(400))
		cs, found := rows.Add(t.Rows[from:to])
		captures, fs, from = append(captures, cs...), append(fs, found...), to
	}
	cs, found := rows.End()
	return append(captures, cs...), append(fs, found...)
}

func sameInParts(t *testing.T, r *rand.Rand, table *record.Table, x *Context) {
	t.Helper()
	want, wantFindings := Table(table, x)
	got, findings := inParts(r, table, x)
	record.SortFindings(wantFindings)
	record.SortFindings(findings)
	if reflect.DeepEqual(want, got) && reflect.DeepEqual(wantFindings, findings) {
		return
	}
	if d := cmp.Diff(want, got, cmpopts.IgnoreFields(record.Capture{}, "Terms")) + cmp.Diff(wantFindings, findings); d != "" {
		t.Fatal(d)
	}
}

// A table that is read in chunks gives the captures and the findings that it
// gives at once.
func TestRowsReadAsTable(t *testing.T) {
	for seed := range uint64(12) {
		r := rand.New(rand.NewPCG(seed, 2))
		x := context(t)
		x.NightStated = seed%3 == 0
		sameInParts(t, r, sheet(writtenHeadings, someLines(r, 20+r.IntN(900))...), x)
	}
}

// Where each row is one measurement, an animal may stand in two chunks.
func TestLongRowsReadAsTable(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	var lines []string
	for i := range 900 {
		what := [][2]string{{"SVL", "67.4"}, {"gross", "31 g"}, {"tare", "5"}, {"nonsense", "1"}}[r.IntN(4)]
		lines = append(lines, fmt.Sprintf("MC-%d|2021-05-03|%s|%s|", i/3, what[0], what[1]))
	}
	sameInParts(t, r, sheet("No=recordNumber|Date=eventDate|What=long:name|Value=long:value|Unit=long:unit", lines...), context(t))
}

// No more is held of a long table than a bound; what is beyond it is given at
// once or counted.
func TestGatheredIsBounded(t *testing.T) {
	g := gathered{most: most{causes: 2, addresses: 10, ofOne: 2}}
	given := 0
	for i := range 8 {
		for _, value := range []string{"x", "y", "z"} {
			if !g.add(&record.Finding{Rule: "word-doubtful", Level: record.Warning, Value: value, Reason: "no word", At: record.Address{Row: i + 1}}) {
				given++
			}
		}
	}
	fs := g.end()
	if len(fs) != 2 || given != 8 || len(fs[0].Also) != 2 || fs[1].Reason != "no word; 8 cells in all, of which the first 3 are named" {
		t.Errorf("%d given, %+v", given, fs)
	}
}

// A cell that rows share is one cell, of however many rows it is said.
func TestSharedCellsCountOnce(t *testing.T) {
	g := gathered{}
	for _, row := range []int{3, 3, 3, 8, 8} {
		g.add(&record.Finding{Rule: "word-doubtful", Level: record.Warning, Value: "x", Reason: "no word", At: record.Address{Row: row, Column: 1}})
	}
	if fs := g.end(); len(fs) != 1 || len(fs[0].Also) != 1 || fs[0].Reason != "no word; it applies to 5 rows; 2 cells in all" {
		t.Errorf("%+v", fs)
	}
}
