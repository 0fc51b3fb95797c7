package calendar

import (
	"bufio"
	"encoding/csv"
	"encoding/json"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"spadefoot/pipeline/record/need"
)

// Reference values by Python's datetime and pandas; the versions are in the
// file.
func TestReferenceDays(t *testing.T) {
	f, err := os.Open(filepath.Join(need.Root(t), "testdata", "reference", "calendar_days.csv"))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	in := csv.NewReader(bufio.NewReader(f))
	in.Comment = '#'
	rows, err := in.ReadAll()
	if err != nil || len(rows) < 500 {
		t.Fatal(len(rows), err)
	}
	for _, row := range rows[1:] {
		d := Parse(row[0], Options{})
		number := func(i int) int { n, _ := strconv.Atoi(row[i]); return n }
		if d.ISO != row[0] || d.Start.Weekday() != number(1) {
			t.Errorf("%s: %q, weekday %d, want %s", row[0], d.ISO, d.Start.Weekday(), row[1])
		}
		if o := Parse(fmt.Sprintf("%d-%03d", d.Start.Year, number(2)), Options{}); o.ISO != row[0] {
			t.Errorf("day %s of %d: %q, want %s", row[2], d.Start.Year, o.ISO, row[0])
		}
		if s, ok := SerialDay(number(3), false); !ok || s != d.Start {
			t.Errorf("day number %s: %v, want %s", row[3], s, row[0])
		}
		if row[4] == "" {
			continue
		}
		if s, ok := SerialDay(number(4), true); !ok || s != d.Start {
			t.Errorf("day number %s of 1904: %v, want %s", row[4], s, row[0])
		}
	}
}

func TestSerialEdges(t *testing.T) {
	for _, c := range []struct {
		n    int
		mac  bool
		want string
		ok   bool
	}{
		{1, false, "1900-01-01", true}, {59, false, "1900-02-28", true}, {60, false, "", false},
		{61, false, "1900-03-01", true}, {0, false, "", false}, {0, true, "1904-01-01", true},
		{-1, true, "", false}, {2958465, false, "9999-12-31", true}, {2958466, false, "", false},
	} {
		d, ok := SerialDay(c.n, c.mac)
		if ok != c.ok || ok && d.String() != c.want {
			t.Errorf("%d: %v %v, want %s %v", c.n, d, ok, c.want, c.ok)
		}
	}
}

// The rows of the Biodiversity Data Quality tests that amend dates. A row that
// is amended must give the same date; one that is not must give none.
func TestPublishedDateRows(t *testing.T) {
	f, err := os.Open(need.Shared(t, "standards/bdq/test_validation_data.csv"))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	in := csv.NewReader(f)
	head, err := in.Read()
	if err != nil {
		t.Fatal(err)
	}
	column := map[string]int{}
	for i, h := range head {
		column[strings.TrimPrefix(h, "\ufeff")] = i
	}
	seen := 0
	for {
		row, err := in.Read()
		if err == io.EOF {
			break
		}
		if err != nil {
			t.Fatal(err)
		}
		get := func(name string) string { return row[column[name]] }
		text := get("dwc:verbatimEventDate")
		switch get("Label") {
		case "AMENDMENT_EVENTDATE_STANDARDIZED":
			text = get("dwc:eventDate")
		case "AMENDMENT_EVENTDATE_FROM_VERBATIM":
			if get("dwc:eventDate") != "" {
				// Such a row asks that a filled eventDate is left alone, which
				// is not for a parser to do; it must still be able to say what
				// the verbatim text means.
				if d := Parse(text, Options{}); d.ISO == "" {
					t.Errorf("line %s: %q is not read", get("LineNumber"), text)
				}
				seen++
				continue
			}
		default:
			continue
		}
		seen++
		var want struct {
			Date string `json:"dwc:eventDate"`
		}
		if r := get("Response.result"); r != "" {
			if err := json.Unmarshal([]byte(r), &want); err != nil {
				t.Fatalf("line %s: %v", get("LineNumber"), err)
			}
		}
		if d := Parse(text, Options{}); d.ISO != want.Date {
			t.Errorf("line %s: %q gives %q, want %q", get("LineNumber"), text, d.ISO, want.Date)
		}
	}
	if seen != 17 {
		t.Errorf("%d rows, want 17", seen)
	}
}

// Days and times are written as fmt writes them.
func TestDaysAndTimesAsText(t *testing.T) {
	for _, n := range []int{-1, 0, 1, 9, 10, 12, 59, 99, 100, 987, 2021, 9999, 12021} {
		for _, m := range []int{-3, 0, 7, 12, 99, 100} {
			if got, want := (Day{n, m, 5}).String(), fmt.Sprintf("%04d-%02d-%02d", n, m, 5); got != want {
				t.Errorf("%q, want %q", got, want)
			}
		}
	}
	for h := range 25 {
		c := Clock{h, 2 * h, 59 - h}
		if got, want := c.text(ToSecond), fmt.Sprintf("%02d:%02d:%02d", c.Hour, c.Minute, c.Second); got != want {
			t.Errorf("%q, want %q", got, want)
		}
		if got, want := c.text(ToMinute), fmt.Sprintf("%02d:%02d", c.Hour, c.Minute); got != want {
			t.Errorf("%q, want %q", got, want)
		}
	}
}
