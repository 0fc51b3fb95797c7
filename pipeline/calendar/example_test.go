package calendar_test

import (
	"fmt"
	"time"

	"spadefoot/pipeline/calendar"
)

func ExampleParse() {
	for _, s := range []string{"3 Jun 2021", "June 1987", "3.vi.1987", "30 Jun - 2 Jul 2021", "29 Feb 2021"} {
		d := calendar.Parse(s, calendar.Options{})
		fmt.Printf("%s: %q", s, d.ISO)
		for _, p := range d.Problems {
			fmt.Printf(" %s, probably %s", p.Rule, p.Suggestion)
		}
		fmt.Println()
	}
	// Output:
	// 3 Jun 2021: "2021-06-03"
	// June 1987: "1987-06"
	// 3.vi.1987: "1987-06-03"
	// 30 Jun - 2 Jul 2021: "2021-06-30/2021-07-02"
	// 29 Feb 2021: "" date-impossible, probably 2021-02-28
}

// A column decides its own order of day and month.
func ExampleEvidence() {
	column := []string{"03/06/2021", "04/06/2021", "25/06/2021"}
	var e calendar.Evidence
	for _, s := range column {
		e.Add(s)
	}
	order, ambiguous := e.Decide(calendar.Unknown)
	fmt.Println(order, ambiguous, calendar.Parse(column[0], calendar.Options{Order: order}).ISO)
	// Output: dmy 0 2021-06-03
}

// A night survey that goes past midnight ends on the day after.
func ExampleJoin() {
	zone := time.FixedZone("", -4*3600)
	date := calendar.Parse("3 June 2021", calendar.Options{})
	fmt.Println(calendar.Join(date, calendar.ParseTime("22:40-01:15"), zone).ISO)
	// Output: 2021-06-03T22:40-04:00/2021-06-04T01:15-04:00
}
