package normalise

import (
	"fmt"
	"strings"
	"testing"

	"spadefoot/pipeline/calendar"
)

func TestDatesOutOfOrder(t *testing.T) {
	trips := "2021-05-03 2021-05-10 2021-05-18 2021-06-01 2021-06-09 2021-06-20 2021-07-02 2021-07-11"
	for _, c := range []struct{ name, dates, want string }{
		{"in order", trips, ""},
		{"last year's number", strings.Replace(trips, "2021-06-01", "2020-06-01", 1), "B5 2021-06-01: another year was written"},
		{"day and month exchanged", strings.Replace(trips, "2021-06-09", "2021-09-06", 1), "B6 2021-06-09: day and month were exchanged"},
		{"last month's number", strings.Replace(trips, "2021-07-02", "2021-07-02 2021-06-03", 1), "B9 2021-07-03: another month was written"},
		{"a digit of the day in a block of rows", strings.Replace(trips, "2021-05-10", "2021-05-10 2021-05-10 2021-05-16 2021-05-10", 1), "B5 2021-05-10: another digit of the day was written"},
		{"rows of a whole day", strings.Replace(trips, "2021-06-01", "2020-06-01 2020-06-01 2020-06-01", 1), "B5:B7 2021-06-01: another year was written"},
		{"from the last to the first", "2021-07-02 2021-06-20 2021-06-09 2020-06-01 2021-05-18 2021-05-10 2021-05-03 2021-04-20 2021-04-11", "B5 2021-06-01: another year was written"},
		{"no slip explains it", strings.Replace(trips, "2021-06-01", "2021-08-14", 1), ""},
		{"entered late", strings.Replace(trips, "2021-05-18", "2021-05-18 2021-05-16 2021-05-18", 1), ""},
		{"two next to each other", strings.Replace(trips, "2021-06-01", "2020-06-01 2020-06-02", 1), ""},
		{"too few days to show an order", "2021-05-03 2020-05-10 2021-05-18", ""},
		{"a stray row in blocks in no order", strings.Repeat("2021-06-09 ", 6) + strings.Repeat("2021-05-03 ", 4) + "2021-03-05 " + strings.Repeat("2021-05-03 ", 2) + strings.Repeat("2021-04-20 ", 5) + "2021-08-01 2021-03-02 2021-07-07 2021-05-09 2021-04-08 2021-06-06",
			"B12 2021-05-03: day and month were exchanged"},
		{"sites visited on the same days of two years", "2020-05-03 2021-05-03 2020-05-03 2021-05-03 2020-05-10 2021-05-10 2020-05-18 2021-05-18", ""},
		{"animals below each other", "2021-05-03 2021-06-01 2021-05-03 2021-05-18 2021-07-02 2021-05-10 2021-06-20 2021-05-03 2021-06-01", ""},
	} {
		t.Run(c.name, func(t *testing.T) {
			var lines []string
			for i, day := range strings.Fields(c.dates) {
				lines = append(lines, fmt.Sprintf("%d|%s|Alder Seep", i+1, day))
			}
			x := context(t)
			x.First, x.Last = calendar.Day{}, calendar.Day{}
			_, fs := Table(sheet("No=recordNumber|Date=eventDate|Site=locality", lines...), x)
			var got []string
			for _, f := range fs {
				if f.Rule == "date-out-of-order" {
					at := strings.TrimPrefix(f.At.String(), "frogs.csv, ")
					if n := len(f.Also); n > 0 {
						at += ":" + strings.TrimPrefix(f.Also[n-1].String(), "frogs.csv, ")
					}
					_, slip, _ := strings.Cut(f.Reason, "would fit: ")
					slip, _, _ = strings.Cut(slip, ";")
					got = append(got, at+" "+f.Suggestion+": "+slip)
				}
			}
			if got := strings.Join(got, "\n"); got != c.want {
				t.Errorf("got %s, want %s", got, c.want)
			}
		})
	}
}
