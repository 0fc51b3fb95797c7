package calendar

import "testing"

func TestYearless(t *testing.T) {
	for text, want := range map[string]bool{
		"June 4": true, "4 June": true, "29 Feb": true, "14-May": true, "3.VI.": true, "Wed 3 May": true, "31 juin": false, "13.3.": true, "13.3": false, "1.2.3": false, "32.1.": false,
		"June 4 2018": false, "June": false, "2018": false, "4/6": false, "Plot 3": false, "M 4": false, "": false, "Mayfly 3": false, "F12": false, "7.3.": true, "7A21": false, "12th 21": false,
	} {
		if got := Yearless(text); got != want {
			t.Errorf("%q: %v", text, got)
		}
	}
}

func TestDayMonth(t *testing.T) {
	for text, want := range map[string]bool{
		"3/24": true, "14/2": true, "12-03": true, "3/3": true, "24/13": false, "31/31": false, "30/2": false, "3.4": false, "7.3.": false, "-3/4": false, "3/24/21": false,
		"62/148": false, "1/2 cm": false, "3 / 4": false, "00/12": false, "": false,
	} {
		if got := DayMonth(text); got != want {
			t.Errorf("%q: %v", text, got)
		}
	}
}

// TestOrderWithoutYears has days of two numbers; those with a year go before them.
func TestOrderWithoutYears(t *testing.T) {
	for _, test := range []struct {
		days []string
		want Order
	}{
		{[]string{"3/3", "14/2", "5/5"}, DMY},
		{[]string{"3/24", "4/2"}, MDY},
		{[]string{"12-03", "15-03"}, DMY},
		{[]string{"3/4", "5/6"}, Unknown},
		{[]string{"3/24", "24/3"}, Unknown},
		{[]string{"12/14", "15/06/2021"}, DMY},
		{[]string{"06-21", "03/06/2021"}, Unknown},
	} {
		var e Evidence
		for _, d := range test.days {
			e.Add(d)
		}
		if got, _ := e.Decide(Unknown); got != test.want {
			t.Errorf("%v: %v, want %v", test.days, got, test.want)
		}
	}
}
