package calendar

import (
	"strings"
	"testing"
	"time"

	"spadefoot/pipeline/record"
)

// rules returns the rules of problems, joined.
func rules(ps []record.Problem) string {
	var s []string
	for _, p := range ps {
		s = append(s, p.Rule)
	}
	return strings.Join(s, " ")
}

func TestParse(t *testing.T) {
	survey := Options{FirstYear: 1980, LastYear: 2021, Order: DMY, Hemisphere: 'N'}
	for _, c := range []struct{ text, iso, precision, rules string }{
		// ISO 8601
		{"2021-06-03", "2021-06-03", "day", ""},
		{"2021-06", "2021-06", "month", ""},
		{"2021年6月3日", "2021-06-03", "day", ""},
		{"2021年06月", "2021-06", "month", ""},
		{"2021년 6월 3일", "2021-06-03", "day", ""},
		{"2021", "2021", "year", ""},
		{"2021-06-03T21:30", "2021-06-03T21:30", "minute", ""},
		{"2021-06-03T21:30-04:00", "2021-06-03T21:30-04:00", "minute", ""},
		{"2021-06-03T21:30Z", "2021-06-03T21:30Z", "minute", ""},
		{"2021-06-03 21:30:05", "2021-06-03T21:30:05", "second", ""},
		{"2021-06-03T00:00:00", "2021-06-03", "day", ""},
		{"2021-06-03/2021-06-05", "2021-06-03/2021-06-05", "day", ""},
		{"2021-06-03/05", "2021-06-03/2021-06-05", "day", ""},
		{"2021-06-03/06-05", "2021-06-03/2021-06-05", "day", ""},
		{"2021-06-03T21:30/23:00", "2021-06-03T21:30/2021-06-03T23:00", "minute", ""},
		{"2021-06-03T21:30/2021-06-04T01:15", "2021-06-03T21:30/2021-06-04T01:15", "minute", ""},
		{"20210603", "2021-06-03", "day", ""},
		{"2021-154", "2021-06-03", "day", ""},
		// numbers
		{"3/6/2021", "2021-06-03", "day", ""},
		{"03-06-2021", "2021-06-03", "day", ""},
		{"3.6.2021", "2021-06-03", "day", ""},
		{"3. 6. 2021", "2021-06-03", "day", ""},
		{"3 6 2021", "2021-06-03", "day", ""},
		{"03/06/21", "2021-06-03", "day", ""},
		{"03/06/87", "1987-06-03", "day", ""},
		{"03062021", "2021-06-03", "day", ""},
		{"2021/06/03", "2021-06-03", "day", ""},
		{"1992.10.6", "1992-10-06", "day", ""},
		{"6/25/2021", "2021-06-25", "day", "date-order-other"},
		{"2021-28-10", "2021-10-28", "day", "date-order-other"},
		{"6/2021", "2021-06", "month", ""},
		{"00/06/1987", "1987-06", "month", ""},
		{"00/00/1987", "1987", "year", ""},
		{"1987-06-00", "1987-06", "month", ""},
		{"1987-00-00", "1987", "year", ""},
		{"1987-00-10", "", "none", "date-impossible"},
		{"10/00/1987", "", "none", "date-impossible"},
		{"1987-XX-10", "1987", "year", ""},
		{"１２／６／２０２１", "2021-06-12", "day", ""},
		{"87-06-25", "1987-06-25", "day", ""},
		// named months
		{"3 Jun 2021", "2021-06-03", "day", ""},
		{"3-Jun-21", "2021-06-03", "day", ""},
		{"3Jun2021", "2021-06-03", "day", ""},
		{"June 3, 2021", "2021-06-03", "day", ""},
		{"June 3rd 2021", "2021-06-03", "day", ""},
		{"2021 June 3", "2021-06-03", "day", ""},
		{"Friday 29th Oct. 2021", "2021-10-29", "day", ""},
		{"Thursday 29 Oct 2021", "2021-10-29", "day", "date-weekday-differs"},
		{"June 1987", "1987-06", "month", ""},
		{"June '87", "1987-06", "month", ""},
		{"3 de junio de 2021", "2021-06-03", "day", ""},
		{"15 de março de 2020", "2020-03-15", "day", ""},
		{"le 3 août 1987", "1987-08-03", "day", ""},
		{"1er févr. 2021", "2021-02-01", "day", ""},
		{"3. März 2021", "2021-03-03", "day", ""},
		{"XX DEC 1992", "1992-12", "month", ""},
		// Roman months
		{"3.vi.1987", "1987-06-03", "day", ""},
		{"3-VI-87", "1987-06-03", "day", ""},
		{"18/V/1981", "1981-05-18", "day", ""},
		{"xi.1996", "1996-11", "month", ""},
		// days of the year and day numbers
		{"day 154, 2021", "2021-06-03", "day", ""},
		{"DOY 154 2021", "2021-06-03", "day", ""},
		{"day 366, 2021", "", "none", "date-impossible"},
		{"44350", "2021-06-03", "day", "date-from-serial"},
		{"44350.895833333", "2021-06-03T21:30", "minute", "date-from-serial"},
		// ranges
		{"3-5 June 1987", "1987-06-03/1987-06-05", "day", ""},
		{"3–5 June 1987", "1987-06-03/1987-06-05", "day", ""},
		{"June 3-5, 1987", "1987-06-03/1987-06-05", "day", ""},
		{"30 Jun - 2 Jul 2021", "2021-06-30/2021-07-02", "day", ""},
		{"30 Dec 2020 to 2 Jan 2021", "2020-12-30/2021-01-02", "day", ""},
		{"30 Dec - 2 Jan 2021", "2020-12-30/2021-01-02", "day", ""},
		{"del 3 al 5 de junio de 1987", "1987-06-03/1987-06-05", "day", ""},
		{"vom 3. bis 5. Juni 1987", "1987-06-03/1987-06-05", "day", ""},
		{"du 3 au 5 juin 1987", "1987-06-03/1987-06-05", "day", ""},
		{"3/4 June 1987", "1987-06-03/1987-06-04", "day", ""},
		{"night of 3-4 June 2021", "2021-06-03/2021-06-04", "day", ""},
		{"30.06.-02.07.2021", "2021-06-30/2021-07-02", "day", ""},
		{"03/06/2021-05/06/2021", "2021-06-03/2021-06-05", "day", ""},
		{"June/July 1987", "1987-06/1987-07", "month", ""},
		{"1987-1989", "1987/1989", "year", ""},
		{"1987-89", "1987/1989", "year", ""},
		{"5 June 1987 - 3 June 1987", "", "none", "date-range-reversed"},
		{"2021-06-03T21:30/2021-06-04", "2021-06-03/2021-06-04", "day", "time-without-day"},
		{"Jun 3/4 1987", "1987-06-03/1987-06-04", "day", ""},
		{"June 3 - 5, 2021", "2021-06-03/2021-06-05", "day", ""},
		{"2021-06-03 to 05", "2021-06-03/2021-06-05", "day", ""},
		{"3.6.-5.6.2021", "2021-06-03/2021-06-05", "day", ""},
		{"3, 4 June 1987", "1987-06-03/1987-06-04", "day", ""},
		{"2021-06-30/07-02", "2021-06-30/2021-07-02", "day", ""},
		{"31/12/20 - 1/1/21", "2020-12-31/2021-01-01", "day", ""},
		{"3 June 2021, 17 frogs", "", "none", "date-unread"},
		{"3 June 2021, 5 July 2021", "2021-06-03/2021-07-05", "day", ""},
		{"3-31 Feb 2021", "", "none", "date-impossible"},
		// vague and doubtful
		{"mid-June 1987", "1987-06", "month", "date-part-of-period"},
		{"early 1987", "1987", "year", "date-part-of-period"},
		{"mediados de junio de 1987", "1987-06", "month", "date-part-of-period"},
		{"Anfang Juni 1987", "1987-06", "month", "date-part-of-period"},
		{"circa 1987", "1987", "year", "date-doubtful"},
		{"1987?", "1987", "year", "date-doubtful"},
		{"[1987]", "1987", "year", "date-doubtful"},
		{"1980s", "1980-01-01/1989-12-31", "decade", ""},
		{"Spring 1988", "1988-03/1988-05", "month", "date-season"},
		{"Frühling 1988", "1988-03/1988-05", "month", "date-season"},
		{"Winter 1987/88", "1987-12/1988-02", "month", "date-season"},
		{"winter 1988", "1988", "year", "date-season"},
		{"wet season 1990", "1990", "year", "date-season"},
		// with a time of day
		{"3 Jun 2021 9:30 pm", "2021-06-03T21:30", "minute", ""},
		{"3 June 2021 at 21h30", "2021-06-03T21:30", "minute", ""},
		{"3/6/2021 21:30", "2021-06-03T21:30", "minute", ""},
		{"3/6/2021 22:40-01:15", "2021-06-03T22:40/2021-06-04T01:15", "minute", "time-after-midnight"},
		// not to be read
		{"31 Feb 2021", "", "none", "date-impossible"},
		{"29/02/2021", "", "none", "date-impossible"},
		{"13/13/2021", "", "none", "date-impossible"},
		{"2021-13-45", "", "none", "date-impossible"},
		{"3 June", "", "none", "date-year-missing"},
		{"10-28", "", "none", "date-year-missing"},
		{"June", "", "none", "date-year-missing"},
		{"before 1987", "", "none", "date-unread"},
		{"last Tuesday", "", "none", "date-unread"},
		{"210603", "", "none", "date-unread"},
		{"12345678901234567890", "", "none", "date-unread"},
		{"5-6 1987", "", "none", "date-unread"},
		{strings.Repeat("3 ", 200), "", "none", "date-unread"},
		// outside the survey
		{"3 June 1887", "1887-06-03", "day", "date-outside-survey"},
	} {
		d := Parse(c.text, survey)
		if d.ISO != c.iso || d.Precision.String() != c.precision || rules(d.Problems) != c.rules {
			t.Errorf("%q: %q, %s, %q; want %q, %s, %q", c.text, d.ISO, d.Precision, rules(d.Problems), c.iso, c.precision, c.rules)
		}
		if d.Missing {
			t.Errorf("%q is missing", c.text)
		}
	}
}

func TestParseMissing(t *testing.T) {
	for _, s := range []string{"", "  ", "-", "?", "n/a", "NA", "X", "s/d", "unknown", "--"} {
		d := Parse(s, Options{})
		if !d.Missing || d.ISO != "" || len(d.Problems) > 0 {
			t.Errorf("%q: %+v", s, d)
		}
	}
}

func TestParseExtent(t *testing.T) {
	for _, c := range []struct {
		text       string
		start, end Day
	}{
		{"2021", Day{2021, 1, 1}, Day{2021, 12, 31}},
		{"Feb 2020", Day{2020, 2, 1}, Day{2020, 2, 29}},
		{"3 Jun 2021", Day{2021, 6, 3}, Day{2021, 6, 3}},
		{"30 Jun - 2 Jul 2021", Day{2021, 6, 30}, Day{2021, 7, 2}},
		{"1987-1989", Day{1987, 1, 1}, Day{1989, 12, 31}},
	} {
		if d := Parse(c.text, Options{}); d.Start != c.start || d.End != c.end {
			t.Errorf("%q: %v to %v, want %v to %v", c.text, d.Start, d.End, c.start, c.end)
		}
	}
}

func TestAmbiguousOrder(t *testing.T) {
	d := Parse("03/06/2021", Options{})
	if d.ISO != "2021" || rules(d.Problems) != ruleOrder || !strings.HasSuffix(d.Problems[0].Reason, ": 2021-06-03 or 2021-03-06") {
		t.Errorf("%+v", d)
	}
	if d := Parse("06/06/2021", Options{}); d.ISO != "2021-06-06" || len(d.Problems) > 0 {
		t.Errorf("day and month alike: %+v", d)
	}
	if d := Parse("03/06/2021", Options{Order: MDY}); d.ISO != "2021-03-06" {
		t.Errorf("month first: %+v", d)
	}
	if d := Parse("03/06/2021 - 05/06/2021", Options{}); d.ISO != "2021" || rules(d.Problems) != ruleOrder {
		t.Errorf("range: %+v", d)
	}
}

func TestTwoDigitYear(t *testing.T) {
	for _, c := range []struct {
		first, last int
		want        string
	}{
		{1920, 1925, "1921-06-25"}, {2010, 2024, "2021-06-25"}, {1815, 1830, "1821-06-25"},
		{1990, 2005, "2021-06-25"}, // sixteen years away, 1921 is sixty-nine
	} {
		o := Options{Order: DMY, FirstYear: c.first, LastYear: c.last}
		if d := Parse("25/06/21", o); d.ISO != c.want {
			t.Errorf("survey of %d to %d: %q, want %q", c.first, c.last, d.ISO, c.want)
		}
	}
	if d := Parse("25/06/68", Options{Latest: Day{2026, 11, 25}}); d.ISO != "1968-06-25" || rules(d.Problems) != ruleTwoDigits {
		t.Errorf("not after the last day: %+v", d)
	}
	if d := Parse("25/06/87", Options{From: Day{1987, 4, 1}, To: Day{1987, 9, 30}}); d.ISO != "1987-06-25" || len(d.Problems) > 0 {
		t.Errorf("days of the survey: %+v", d)
	}
	d := Parse("25/06/68", Options{})
	if d.ISO != "2068-06-25" || rules(d.Problems) != ruleTwoDigits {
		t.Errorf("no survey: %+v", d)
	}
}

func TestSuggestions(t *testing.T) {
	year := Options{FirstYear: 2021, LastYear: 2021, Order: DMY}
	for _, c := range []struct {
		text string
		o    Options
		want string
	}{
		{"29 Feb 2021", Options{}, "2021-02-28"},
		{"30 Feb 2021", Options{}, ""},
		{"31/06/2021", Options{}, "2021-06-30"},
		{"45/06/2021", Options{}, ""},
		{"3 June 2012", year, "2021-06-03"},
		{"Jun-21", year, "2021-06"},
		{"5 June 1987 - 3 June 1987", Options{}, "1987-06-03/1987-06-05"},
		{"202106", Options{}, "2021-06"},
		{"42888", year, "2021-06-03"}, // the system of 1904
	} {
		d := Parse(c.text, c.o)
		if len(d.Problems) == 0 || d.Problems[0].Suggestion != c.want {
			t.Errorf("%q: %+v, want the suggestion %q", c.text, d.Problems, c.want)
		}
	}
}

func TestWindow(t *testing.T) {
	o := Options{From: Day{2021, 4, 1}, To: Day{2021, 9, 30}, Latest: Day{2021, 12, 1}}
	for _, c := range []struct{ text, rules string }{
		{"2021-04-01", ""}, {"2021-09-30", ""}, {"2021-03-31", ruleOutside}, {"2021-10-01", ruleOutside},
		{"2021", ""}, {"2021-12-02", ruleLate}, {"2020", ruleOutside},
	} {
		if d := Parse(c.text, o); rules(d.Problems) != c.rules || d.ISO == "" {
			t.Errorf("%q: %q %v, want %q", c.text, d.ISO, d.Problems, c.rules)
		}
	}
}

func TestDefaultYear(t *testing.T) {
	o := Options{DefaultYear: 2021, Order: DMY}
	for _, c := range []struct{ text, iso string }{
		{"3 June", "2021-06-03"}, {"3/6", "2021-06-03"}, {"June", "2021-06"}, {"3-5 June", "2021-06-03/2021-06-05"},
	} {
		if d := Parse(c.text, o); d.ISO != c.iso || rules(d.Problems) != ruleYearTaken {
			t.Errorf("%q: %q %v, want %q", c.text, d.ISO, d.Problems, c.iso)
		}
	}
}

func TestSeasonSouth(t *testing.T) {
	for _, c := range []struct{ text, iso string }{
		{"spring 1988", "1988-09/1988-11"}, {"summer 1988/89", "1988-12/1989-02"},
		{"summer 1988", "1988"}, {"invierno 1988", "1988-06/1988-08"},
	} {
		if d := Parse(c.text, Options{Hemisphere: 'S'}); d.ISO != c.iso || !d.Doubtful {
			t.Errorf("%q: %+v, want %q", c.text, d, c.iso)
		}
	}
	if d := Parse("spring 1988", Options{}); d.ISO != "1988" || d.Season != "spring" {
		t.Errorf("no hemisphere: %+v", d)
	}
}

func TestRemarks(t *testing.T) {
	for _, c := range []struct{ text, iso, remark string }{
		{"3 June 2021 (night)", "2021-06-03", "night"},
		{"3 June 2021 evening", "2021-06-03", "evening"},
		{"mid-June 1987", "1987-06", "mid-June 1987"},
		{"3 and 7 June 1987", "1987-06-03/1987-06-07", "3 and 7 June 1987"},
		{"3 and 4 June 1987", "1987-06-03/1987-06-04", ""},
	} {
		if d := Parse(c.text, Options{}); d.ISO != c.iso || d.Remark != c.remark {
			t.Errorf("%q: %q, remark %q", c.text, d.ISO, d.Remark)
		}
	}
}

func TestZone(t *testing.T) {
	zone := time.FixedZone("UTC-4", -4*3600)
	if d := Parse("3 Jun 2021 21:30", Options{Zone: zone}); d.ISO != "2021-06-03T21:30-04:00" {
		t.Errorf("%+v", d)
	}
	if d := Parse("3 Jun 2021", Options{Zone: zone}); d.ISO != "2021-06-03" {
		t.Errorf("a day needs no offset: %+v", d)
	}
}

func TestVocabulary(t *testing.T) {
	w, err := loadWords()
	if err != nil {
		t.Fatal(err)
	}
	if len(w.months) < 60 || len(w.weekdays) < 40 || len(w.seasons) < 20 || len(w.missing) < 60 {
		t.Errorf("%d months, %d weekdays, %d seasons, %d words for missing", len(w.months), len(w.weekdays), len(w.seasons), len(w.missing))
	}
	for n := range w.weekdays {
		if w.months[n] > 0 || romans[n] > 0 {
			t.Errorf("%q is a day of the week and a month", n)
		}
	}
}

// A text is not parted at each of many marks into two dates.
func TestManyMarksTakeNoTime(t *testing.T) {
	text := strings.Repeat("1/2/", 38)
	if n := testing.AllocsPerRun(10, func() { Parse(text, Options{}) }); n > 500 { // 946 when it was parted at every mark
		t.Errorf("%v allocations", n)
	}
}
