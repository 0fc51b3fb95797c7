package calendar

import (
	"testing"
	"time"
)

func TestParseTime(t *testing.T) {
	for _, c := range []struct{ text, iso string }{
		{"21:30", "21:30"}, {"21h30", "21:30"}, {"21 h 30", "21:30"}, {"21h", "21:00"},
		{"9:30 pm", "21:30"}, {"9:30PM", "21:30"}, {"9.30 p.m.", "21:30"}, {"9pm", "21:00"},
		{"12 am", "00:00"}, {"12:15 pm", "12:15"}, {"2130", "21:30"}, {"930", "09:30"},
		{"0015", "00:15"}, {"21.30", "21:30"}, {"2130h", "21:30"}, {"2130 hrs", "21:30"},
		{"21:30 Uhr", "21:30"}, {"21:30:05", "21:30:05"}, {"21:30:05.123", "21:30:05"},
		{"noon", "12:00"}, {"midnight", "24:00"}, {"24:00", "24:00"}, {"21:30Z", "21:30Z"},
		{"21:30+02:00", "21:30+02:00"}, {"0.895833333333333", "21:30"}, {"0.5001", "12:00:09"},
		{"21:30?", "21:30"}, {"ca. 21:30", "21:30"}, {"21:30 (dusk)", "21:30"},
		{"22:40-01:15", "22:40/01:15"}, {"22:40–23:15", "22:40/23:15"}, {"9:30 - 11 pm", "21:30/23:00"},
		{"1730-1830", "17:30/18:30"}, {"21h30 à 23h", "21:30/23:00"},
		{"25:00", ""}, {"21:60", ""}, {"13 pm", ""}, {"evening", ""}, {"9", ""}, {"7:5", ""}, {"24:01", ""}, {"2461", ""},
	} {
		got := ParseTime(c.text)
		if got.ISO != c.iso || (c.iso == "") != (len(got.Problems) == 1) || got.Missing {
			t.Errorf("%q: %+v, want %q", c.text, got, c.iso)
		}
	}
	for _, s := range []string{"", "n/a", "-"} {
		if got := ParseTime(s); !got.Missing || got.ISO != "" || len(got.Problems) > 0 {
			t.Errorf("%q: %+v", s, got)
		}
	}
	if got := ParseTime("ca. 21:30"); !got.Doubtful {
		t.Error("ca. 21:30 is doubtful")
	}
}

func TestJoin(t *testing.T) {
	zone := time.FixedZone("", -4*3600)
	for _, c := range []struct{ date, time, iso, rules string }{
		{"2021-06-03", "21:30", "2021-06-03T21:30-04:00", ""},
		{"2021-06-03", "21:30:05", "2021-06-03T21:30:05-04:00", ""},
		{"2021-06-03", "22:40-01:15", "2021-06-03T22:40-04:00/2021-06-04T01:15-04:00", ruleNight},
		{"2021-06-03", "21:00-22:00", "2021-06-03T21:00-04:00/2021-06-03T22:00-04:00", ""},
		{"2021-06-03", "midnight", "2021-06-04T00:00-04:00", ""},
		{"2021-12-31", "24:00", "2022-01-01T00:00-04:00", ""},
		{"2021-06-03", "21:30Z", "2021-06-03T21:30Z", ""},
		{"2021-06-03", "", "2021-06-03", ""},
		{"2021-06", "21:30", "2021-06", ruleTimeLoose},
		{"2021-06-03/2021-06-05", "21:30", "2021-06-03/2021-06-05", ruleTimeLoose},
		{"31 Feb 2021", "21:30", "", ruleImpossible + " " + ruleTimeLoose},
	} {
		d := Join(Parse(c.date, Options{}), ParseTime(c.time), zone)
		if d.ISO != c.iso || rules(d.Problems) != c.rules {
			t.Errorf("%s and %s: %q %q, want %q %q", c.date, c.time, d.ISO, rules(d.Problems), c.iso, c.rules)
		}
	}
	if d := Join(Parse("2021-06-03", Options{}), ParseTime("21:30"), nil); d.ISO != "2021-06-03T21:30" {
		t.Errorf("no zone: %q", d.ISO)
	}
}

// The clocks of New York: on 2021-03-14 02:30 did not exist, on 2021-11-07
// 01:30 came twice (tz database).
func TestClockChange(t *testing.T) {
	zone, err := time.LoadLocation("America/New_York")
	if err != nil {
		t.Skip("no tz database: ", err)
	}
	for _, c := range []struct{ date, time, iso, rules string }{
		{"2021-03-14", "01:59", "2021-03-14T01:59-05:00", ""},
		{"2021-03-14", "02:30", "2021-03-14T02:30", ruleTimeShift},
		{"2021-03-14", "03:00", "2021-03-14T03:00-04:00", ""},
		{"2021-11-07", "00:59", "2021-11-07T00:59-04:00", ""},
		{"2021-11-07", "01:30", "2021-11-07T01:30", ruleTimeShift},
		{"2021-11-07", "02:00", "2021-11-07T02:00-05:00", ""},
	} {
		d := Join(Parse(c.date, Options{}), ParseTime(c.time), zone)
		if d.ISO != c.iso || rules(d.Problems) != c.rules {
			t.Errorf("%s %s: %q %q, want %q %q", c.date, c.time, d.ISO, rules(d.Problems), c.iso, c.rules)
		}
	}
}

// The tens of minutes as ringers write them: common practice.
func TestParseTens(t *testing.T) {
	for text, want := range map[string]string{
		"084": "08:40", " 000 ": "00:00", "235": "23:50", "120": "12:00",
		"240": "24:00", "086": "", "250": "", "84": "", "0840": "", "8:4": "", "08a": "", "": "",
	} {
		got, ok := ParseTens(text)
		if got.ISO != want || ok != (want != "") {
			t.Errorf("%q: %q %t, want %q", text, got.ISO, ok, want)
		}
	}
}

// Minutes after midnight that a program wrote as numbers: common practice.
func TestParseMinutes(t *testing.T) {
	for text, want := range map[string]string{"0": "00:00", " 5 ": "00:05", "05": "00:05", "59": "00:59", "60": "", "120": "", "-5": "", "5.0": "", "": ""} {
		got, ok := ParseMinutes(text)
		if got.ISO != want || ok != (want != "") {
			t.Errorf("%q: %q %t, want %q", text, got.ISO, ok, want)
		}
	}
}
