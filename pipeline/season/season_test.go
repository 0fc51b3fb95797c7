package season_test

import (
	"bytes"
	"encoding/csv"
	"fmt"
	"io"
	"maps"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"sync"
	"testing"

	"spadefoot/pipeline/record"
	"spadefoot/pipeline/record/need"
	"spadefoot/pipeline/season"
)

// files are results in memory.
type files map[string]*bytes.Buffer

// creating guards files, which two halves of the results create at once.
var creating sync.Mutex

func (f files) create(name string) (io.WriteCloser, error) {
	creating.Lock()
	defer creating.Unlock()
	b := &bytes.Buffer{}
	f[name] = b
	return closed{b}, nil
}

type closed struct{ io.Writer }

func (closed) Close() error { return nil }

// rows reads a table with one map a row.
func (f files) rows(t *testing.T, name string) []map[string]string {
	t.Helper()
	if f[name] == nil {
		t.Fatalf("%s was not written; there are %v", name, slices.Sorted(maps.Keys(f)))
	}
	return rowsOf(t, name, bytes.NewReader(f[name].Bytes()))
}

func rowsOf(t *testing.T, name string, r io.Reader) []map[string]string {
	t.Helper()
	all, err := csv.NewReader(r).ReadAll()
	if err != nil {
		t.Fatalf("%s: %v", name, err)
	}
	var out []map[string]string
	for _, line := range all[1:] {
		row := map[string]string{}
		for i, heading := range all[0] {
			row[heading] = line[i]
		}
		out = append(out, row)
	}
	return out
}

// capture is a capture in row n of a sheet; terms and sizes are in turn names and
// values, each in the cell of its own column.
func capture(n int, terms ...string) *record.Capture {
	c := &record.Capture{ID: fmt.Sprint("id", n), Key: fmt.Sprint("MC", n), File: "frogs.csv", Row: n}
	for i := 0; i+1 < len(terms); i += 2 {
		at := record.Address{File: "frogs.csv", Row: n, Column: 1 + i/2}
		if number, err := strconv.ParseFloat(terms[i+1], 64); err == nil && strings.HasSuffix(terms[i], "Length") {
			c.Readings = append(c.Readings, record.Reading{Series: &record.Series{Measurement: terms[i], Unit: "mm"}, Number: number}.At(at))
		} else if terms[i+1] != "" {
			c.Set(record.Value{Field: record.Of(terms[i]), Text: terms[i+1], Verbatim: terms[i+1]}.At(at))
		}
	}
	return c
}

// write makes the results of captures in this order.
func write(t *testing.T, s season.Settings, captures []*record.Capture, doubts *season.Doubts) (files, *season.Results) {
	t.Helper()
	g := season.Begin(t.TempDir(), s)
	defer g.Close()
	byMark := map[string][]int{}
	for i, c := range captures {
		if mark := c.Get("organismID"); mark != "" {
			byMark[mark] = append(byMark[mark], i)
		}
	}
	for _, mark := range slices.Sorted(maps.Keys(byMark)) {
		var of []*record.Capture
		for _, i := range byMark[mark] {
			of = append(of, captures[i])
		}
		g.Follow(of, byMark[mark])
	}
	for i, c := range captures {
		if err := g.Add(i, c, doubts); err != nil {
			t.Fatal(err)
		}
	}
	out := files{}
	r, err := g.Write(out.create, func(names []string) []string { return names })
	if err != nil {
		t.Fatal(err)
	}
	return out, r
}

// seasonCaptures are the captures that testdata/reference/season.R made up.
func seasonCaptures(t *testing.T) []*record.Capture {
	f, err := os.Open(filepath.Join(need.Root(t), "testdata", "reference", "season_captures.csv"))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	var out []*record.Capture
	for i, row := range rowsOf(t, "season_captures.csv", f) {
		out = append(out, capture(i+2, "scientificName", row["species"], "sex", row["sex"], "lifeStage", "adult", "locality", row["site"],
			"eventDate", row["day"], "snoutVentLength", row["svl"]))
	}
	return out
}

// The tables hold what R says of the same captures (testdata/reference/season.R,
// whose version is in season.json), row by row.
func TestResultsAgreeWithR(t *testing.T) {
	out, _ := write(t, season.Defaults(), seasonCaptures(t), nil)
	for _, table := range []struct {
		ours, theirs string
		keys, values map[string]string // our columns by those of R
	}{
		{"sizes-snoutVentLength.csv", "season_sizes.csv",
			map[string]string{"species": "scientificName", "sex": "sex", "site": "locality", "season": "season"},
			map[string]string{"n": "n", "mean": "mean (mm)", "sd": "SD (mm)", "median": "median (mm)", "min": "minimum (mm)", "max": "maximum (mm)", "low": "mean from (mm)", "high": "mean to (mm)"}},
		{"changes-snoutVentLength.csv", "season_changes.csv",
			map[string]string{"species": "scientificName", "sex": "sex", "site": "locality", "earlier": "earlier", "later": "later"},
			map[string]string{"difference": "difference (mm)", "error": "standard error (mm)", "freedom": "degrees of freedom", "low": "difference from (mm)", "high": "difference to (mm)"}},
		{"sexes.csv", "season_sexes.csv",
			map[string]string{"species": "scientificName", "site": "locality", "season": "season"},
			map[string]string{"animals": "animals", "males": "males", "females": "females", "share": "share of males", "low": "share from", "high": "share to"}},
		{"catch.csv", "season_catch.csv",
			map[string]string{"species": "scientificName", "season": "season"},
			map[string]string{"nights": "nights", "captures": "captures", "mean": "captures per night", "sd": "SD between nights", "low": "per night from", "high": "per night to"}},
	} {
		f, err := os.Open(filepath.Join(need.Root(t), "testdata", "reference", table.theirs))
		if err != nil {
			t.Fatal(err)
		}
		reference := rowsOf(t, table.theirs, f)
		f.Close()
		ours := map[string]map[string]string{}
		key := func(row map[string]string, theirs bool) string {
			var words []string
			for _, k := range slices.Sorted(maps.Keys(table.keys)) {
				if theirs {
					words = append(words, row[k])
				} else {
					words = append(words, row[table.keys[k]])
				}
			}
			return strings.Join(words, ", ")
		}
		rows := out.rows(t, table.ours)
		for _, row := range rows {
			if table.ours == "catch.csv" && row["locality"] != "all" {
				continue
			}
			ours[key(row, false)] = row
		}
		if len(ours) != len(reference) {
			t.Errorf("%s has %d groups, R %d", table.ours, len(ours), len(reference))
		}
		for _, want := range reference {
			got := ours[key(want, true)]
			for theirs, column := range table.values {
				a, err := strconv.ParseFloat(got[column], 64)
				b, err2 := strconv.ParseFloat(want[theirs], 64)
				if (err == nil) != (err2 == nil) || math.Abs(a-b) > 1e-5*math.Abs(b)+1e-9 {
					t.Errorf("%s, %s, %s: %q, R has %q", table.ours, key(want, true), column, got[column], want[theirs])
				}
			}
		}
	}
}

// The same captures in any order, and with so little memory that everything goes
// through files, come to the same bytes.
func TestOrderAndMemoryDoNotMatter(t *testing.T) {
	captures := seasonCaptures(t)
	for i, c := range captures {
		if i%7 == 0 {
			c.Set(record.Value{Field: record.Of("organismID"), Text: fmt.Sprint("M", i%70)})
		}
	}
	want, _ := write(t, season.Defaults(), captures, nil)
	t.Run("memory", func(t *testing.T) {
		defer season.HoldAtMost(5)()
		got, _ := write(t, season.Defaults(), captures, nil)
		same(t, got, want)
	})
	t.Run("order", func(t *testing.T) {
		got, _ := write(t, season.Defaults(), shuffled(captures), nil)
		delete(got, "animals.csv") // in the order of the sheets
		short := maps.Clone(want)
		delete(short, "animals.csv")
		same(t, got, short)
	})
}

func shuffled(captures []*record.Capture) []*record.Capture {
	out := slices.Clone(captures)
	draw := rand.New(rand.NewPCG(16, 3))
	draw.Shuffle(len(out), func(i, j int) { out[i], out[j] = out[j], out[i] })
	return out
}

func same(t *testing.T, got, want files) {
	t.Helper()
	for _, name := range slices.Sorted(maps.Keys(want)) {
		if got[name] == nil || !bytes.Equal(got[name].Bytes(), want[name].Bytes()) {
			t.Errorf("%s differs", name)
		}
	}
	if len(got) != len(want) {
		t.Errorf("%d files, want %d", len(got), len(want))
	}
}

func frog(n int, day, site, svl string, more ...string) *record.Capture {
	return capture(n, append([]string{"scientificName", "Lithobates clamitans", "sex", "male", "lifeStage", "adult", "locality", site, "eventDate", day, "snoutVentLength", svl}, more...)...)
}

// What is in doubt is left out and counted: a value, a capture whose group is in
// doubt, and of two rows that are one the later.
func TestDoubtsAreLeftOut(t *testing.T) {
	captures := []*record.Capture{
		frog(2, "2024-05-01", "Tern Slough", "61"), frog(3, "2024-05-01", "Tern Slough", "610"), frog(4, "2024-05-01", "Tern Slough", "62"),
		frog(5, "2024-05-02", "Tern Slough", "63"), frog(6, "2024-05-02", "Tern Sluogh", "64"), frog(7, "2024-05-02", "Tern Slough", "60"),
	}
	at := func(row, column int) record.Address {
		return record.Address{File: "frogs.csv", Row: row, Column: column}
	}
	var doubts season.Doubts
	doubts.Add([]record.Finding{
		{Rule: "value-far", Level: record.Error, At: at(3, 6)},
		{Rule: "sex-disagrees", Level: record.Warning, At: at(4, 2)},
		{Rule: "capture-twice", Level: record.Warning, At: at(5, 0), Also: []record.Address{at(2, 0)}},
		{Rule: "site-unknown", Level: record.Warning, At: at(6, 4)},
		{Rule: "key-repeated", Level: record.Error, At: at(7, 6), Field: "key"},
		{Rule: "unit-guessed", Level: record.Note, At: at(7, 6)},
	})
	out, r := write(t, season.Defaults(), captures, &doubts)
	got := map[string][3]string{}
	for _, row := range out.rows(t, "sizes-snoutVentLength.csv") {
		got[row["locality"]+" "+row["season"]] = [3]string{row["n"], row["mean (mm)"], row["left out"]}
	}
	want := map[string][3]string{"Tern Slough 2024": {"2", "60.5", "1"}, "in doubt 2024": {"1", "64", "0"}, "all 2024": {"3", "61.6667", "1"}, "all all": {"3", "61.6667", "1"}}
	if !maps.Equal(got, want) {
		t.Errorf("sizes: %v, want %v", got, want)
	}
	left := []season.LeftOut{{"capture", "capture-twice", 1}, {"capture", "sex-disagrees", 1}, {"night", "no full date, or a site in doubt", 1}, {"snoutVentLength", "value-far", 1}}
	if !slices.Equal(r.LeftOut, left) {
		t.Errorf("left out: %v, want %v", r.LeftOut, left)
	}
}

// A night at a place that is withheld may be one at a site that is not: it is
// listed, and counts in no captures per night.
func TestWithheldPlacesAreNoFurtherSites(t *testing.T) {
	const say = "informationWithheld"
	hidden := func(n int, day, region string, more ...string) *record.Capture {
		c := capture(n, append([]string{"scientificName", "Ambystoma maculatum", "locality", region, "eventDate", day}, more...)...)
		c.Set(record.Value{Field: record.Of(say), Text: "The exact place is withheld."})
		return c
	}
	captures := []*record.Capture{
		frog(2, "2024-05-01", "Tern Slough", "61"), frog(3, "2024-05-01", "Heron Bluff", "62", say, "the finder's name"), frog(4, "2024-05-02", "Tern Slough", "60"),
		hidden(5, "2024-05-01", ""), hidden(6, "2024-05-01", ""), hidden(7, "2024-05-03", "Tern Slough"), hidden(8, "2024-05-02", "", "occurrenceStatus", "absent"),
	}
	out, r := write(t, season.Defaults(), captures, nil)
	var nights, catch []string
	for _, row := range out.rows(t, "nights.csv") {
		nights = append(nights, strings.Join([]string{row["night"], row["locality"], row["scientificName"], row["captures"]}, " "))
	}
	for _, row := range out.rows(t, "catch.csv") {
		catch = append(catch, strings.Join([]string{row["scientificName"], row["locality"], row["nights"], row["captures"]}, " "))
	}
	wantNights := []string{"2024-05-01 Heron Bluff Lithobates clamitans 1", "2024-05-01 Tern Slough Lithobates clamitans 1", "2024-05-01 not stated Ambystoma maculatum 2",
		"2024-05-02 Tern Slough Lithobates clamitans 1", "2024-05-03 Tern Slough Ambystoma maculatum 1"}
	wantCatch := []string{"Lithobates clamitans Heron Bluff 1 1", "Lithobates clamitans Tern Slough 2 2", "Lithobates clamitans all 3 3"}
	if !slices.Equal(nights, wantNights) || !slices.Equal(catch, wantCatch) {
		t.Errorf("nights %q\nwant   %q\ncatch  %q\nwant   %q", nights, wantNights, catch, wantCatch)
	}
	if want := []season.LeftOut{{"captures per night", "the place is withheld", 4}}; !slices.Equal(r.LeftOut, want) {
		t.Errorf("left out: %v, want %v", r.LeftOut, want)
	}
}

// A marked animal counts once a season among sizes and sexes and every time
// among captures; its history has growth per day since the last value.
func TestAnimalsThatAreCaughtAgain(t *testing.T) {
	captures := []*record.Capture{
		frog(2, "2024-06-11", "Tern Slough", "52", "organismID", "F-031"), // written out of order
		frog(3, "2024-05-02", "Tern Slough", "50", "organismID", "F-031"),
		frog(4, "2024-06-01", "Tern Slough", "", "organismID", "F-031"),
		frog(5, "2025-05-02", "Tern Slough", "58.1", "organismID", "F-031"),
		frog(6, "2024-05-02", "Tern Slough", "66", "organismID", "F-032"),
	}
	out, r := write(t, season.Defaults(), captures, nil)
	for _, row := range out.rows(t, "sexes.csv") {
		if row["locality"] == "all" && row["season"] == "2024" && row["males"] != "2" {
			t.Errorf("%s males in 2024, want 2", row["males"])
		}
	}
	captured := 0
	for _, row := range out.rows(t, "nights.csv") {
		n, _ := strconv.Atoi(row["captures"])
		captured += n
	}
	if captured != len(captures) {
		t.Errorf("%d captures by night, want %d", captured, len(captures))
	}
	var got []string
	for _, row := range out.rows(t, "animals.csv") {
		got = append(got, strings.Join([]string{row["capture"], row["capture of the animal"], row["days (d)"], row["snoutVentLength (mm)"], row["snoutVentLength per day (mm/d)"]}, " "))
	}
	want := []string{"MC3 1  50 ", "MC4 2 30  ", "MC2 3 10 52 0.05", "MC5 4 325 58.1 0.0187692"}
	if !slices.Equal(got, want) {
		t.Errorf("history: %q, want %q", got, want)
	}
	if len(r.Lives) != 4 || r.Lives[2].Sizes[0].PerDay != 0.05 {
		t.Errorf("lives: %+v", r.Lives)
	}
}

// Captures per effort: nights in one unit are taken together, a night that
// states two efforts has none, and a night in which nothing was found counts.
func TestCapturesPerEffort(t *testing.T) {
	var captures []*record.Capture
	add := func(day, effort string, n int) {
		for range n {
			captures = append(captures, frog(len(captures)+2, day, "Tern Slough", "60", "samplingEffort", effort))
		}
	}
	add("2024-05-01", "2 person-hours", 5)
	add("2024-05-02", "3 person-hours", 9)
	add("2024-05-03", "3 Person-hours", 4)
	none := capture(90, "scientificName", "Lithobates clamitans", "locality", "Tern Slough", "eventDate", "2024-05-04", "samplingEffort", "1,5 person-hours", "occurrenceStatus", "absent")
	captures = append(captures, none)
	add("2024-05-05", "4 person-hours", 1)
	add("2024-05-05", "5 person-hours", 1)
	add("2024-05-06", "2 people, 3 h", 1)
	out, _ := write(t, season.Defaults(), captures, nil)
	for _, row := range out.rows(t, "catch.csv") {
		if row["locality"] != "all" {
			continue
		}
		got := []string{row["nights"], row["captures"], row["nights with effort"], row["captures with effort"], row["effort"], row["effort unit"], row["captures per effort"]}
		if want := []string{"6", "21", "4", "18", "9.5", "person-hours", "1.89474"}; !slices.Equal(got, want) {
			t.Errorf("catch: %q, want %q", got, want)
		}
	}
	for _, row := range out.rows(t, "nights.csv") {
		if row["night"] == "2024-05-04" && (row["captures"] != "0" || row["scientificName"] != "") {
			t.Errorf("the night without captures: %v", row)
		}
		if row["night"] == "2024-05-05" && row["effort"] != "" {
			t.Errorf("the night with two efforts: %v", row)
		}
	}
}

func TestSeasonsAndNights(t *testing.T) {
	s := season.Defaults()
	s.Starts, s.Night = 7, true
	captures := []*record.Capture{
		frog(2, "2024-07-01", "Tern Slough", "60", "eventTime", "00:40"), // of the night of 30 June
		frog(3, "2024-12-31", "Tern Slough", "61", "eventTime", "22:10"),
		frog(4, "2025-01", "Tern Slough", "62"),
		frog(5, "2025", "Tern Slough", "63"),
		frog(6, "2025-06-29/2025-07-02", "Tern Slough", "64"),
		frog(7, "2025-06-29/30", "Tern Slough", "65"),
	}
	out, _ := write(t, s, captures, nil)
	got := map[string]string{}
	for _, row := range out.rows(t, "sizes-snoutVentLength.csv") {
		if row["locality"] == "all" {
			got[row["season"]] = row["n"]
		}
	}
	if want := map[string]string{"2024/25": "4", "not stated": "2", "all": "6"}; !maps.Equal(got, want) {
		t.Errorf("seasons: %v, want %v", got, want)
	}
	nights := map[string]string{}
	for _, row := range out.rows(t, "nights.csv") {
		nights[row["night"]] = row["season"]
	}
	if want := map[string]string{"2024-06-30": "2023/24", "2024-12-31": "2024/25"}; !maps.Equal(nights, want) {
		t.Errorf("nights: %v, want %v", nights, want)
	}
}

// Every column of every table is in columns.csv, under the very heading.
func TestColumnsAreDocumented(t *testing.T) {
	out, r := write(t, season.Defaults(), seasonCaptures(t), nil)
	said := map[string]bool{}
	for _, row := range out.rows(t, "columns.csv") {
		if row["meaning"] == "" {
			t.Errorf("%s, %s: no meaning", row["file"], row["column"])
		}
		said[row["file"]+", "+row["column"]] = true
	}
	for name, text := range out {
		heading, err := csv.NewReader(bytes.NewReader(text.Bytes())).Read()
		if err != nil {
			t.Fatal(name, err)
		}
		for _, h := range heading {
			if name != "columns.csv" && !said[name+", "+h] {
				t.Errorf("%s: nothing says what %q means", name, h)
			}
		}
	}
	if len(r.Files) != len(out) {
		t.Errorf("%d files are named, %d written", len(r.Files), len(out))
	}
}

// Classes do not overlap, hold every animal, and are no more than twenty.
func TestClassesHoldEveryAnimal(t *testing.T) {
	out, _ := write(t, season.Defaults(), seasonCaptures(t), nil)
	n, lower := 0, map[string]bool{}
	for _, row := range out.rows(t, "classes-snoutVentLength.csv") {
		k, err := strconv.Atoi(row["n"])
		from, err2 := strconv.ParseFloat(row["from (mm)"], 64)
		below, err3 := strconv.ParseFloat(row["below (mm)"], 64)
		if err != nil || err2 != nil || err3 != nil || k < 1 || below-from != 2 {
			t.Fatalf("class: %v", row)
		}
		n += k
		lower[row["scientificName"]+row["from (mm)"]] = true
	}
	if n != 900 || len(lower) > 40 {
		t.Errorf("%d animals in %d classes of two species", n, len(lower))
	}
}

func FuzzEffort(f *testing.F) {
	f.Add("40 trap-nights", "", "")
	f.Add("", "2", "m2")
	f.Add("2 people, 3 h", "", "")
	f.Fuzz(func(t *testing.T, text, value, unit string) {
		amount, word, ok := season.EffortOf(capture(2, "samplingEffort", text, "sampleSizeValue", value, "sampleSizeUnit", unit))
		if ok && (!(amount > 0) || word == "" || strings.ContainsAny(word, "0123456789")) {
			t.Errorf("%q, %q, %q: %g %q", text, value, unit, amount, word)
		}
	})
}
