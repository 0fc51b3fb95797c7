package calendar

import "testing"

func TestYearless(t *testing.T) {
	for text, want := range map[string]bool{
		"June 4": true, "4 June": true, "29 Feb": true, "14-May": true, "3.VI.": true, "Wed 3 May": true, "31 juin": false, "13.3.": true, "13.3": false, "1.2.3": false, "32.1.": false,
		"June 4 2018": false, "June": false, "2018": false, "4/6": false, "Plot 3": false, "M 4": false, "": false, "Mayfly 3": false, "F12": false,
	} {
		if got := Yearless(text); got != want {
			t.Errorf("%q: %v", text, got)
		}
	}
}

func TestDayMonth(t *testing.T) {
	for text, want := range map[string]bool{
		"4/6": true, "04-06": true, "5.31": true, "31/5": true, "29/2": true, "13.3.": true,
		"13/13": false, "31/6": false, "4/6/19": false, "June 4": false, "4": false, "0/6": false, "2 5/8": false, "": false,
	} {
		if got := DayMonth(text); got != want {
			t.Errorf("%q: %v", text, got)
		}
	}
}
