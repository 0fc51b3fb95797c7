package quality_test

import (
	"fmt"
	"time"

	"spadefoot/pipeline/prove/quality"
)

func ExampleInquiry() {
	row := quality.Columns([]string{"occurrenceID", "verbatimEventDate", "eventDate", "decimalLatitude", "decimalLongitude"})
	only := []string{"AMENDMENT_EVENTDATE_FROM_VERBATIM", "AMENDMENT_COUNTRYCODE_FROM_COORDINATES"}
	q, err := quality.NewInquiry(only, quality.Params{Today: time.Date(2026, 11, 25, 0, 0, 0, 0, time.UTC)})
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, cells := range [][]string{
		{"MC-2021-017", "12 Apr 2021", "", "42.4401", "-76.4966"},
		{"MC-2021-018", "12 Apr 2021", "2021-04-12", "42.4401", ""},
	} {
		answers := q.Ask(row(cells))
		for i, r := range answers.Responses {
			fmt.Println(cells[0], answers.Tests[i].Label, r.Status+r.Result)
		}
	}
	// Output:
	// MC-2021-017 AMENDMENT_COUNTRYCODE_FROM_COORDINATES FILLED_IN{"dwc:countryCode":"US"}
	// MC-2021-017 AMENDMENT_EVENTDATE_FROM_VERBATIM FILLED_IN{"dwc:eventDate":"2021-04-12"}
	// MC-2021-018 AMENDMENT_COUNTRYCODE_FROM_COORDINATES INTERNAL_PREREQUISITES_NOT_MET
	// MC-2021-018 AMENDMENT_EVENTDATE_FROM_VERBATIM INTERNAL_PREREQUISITES_NOT_MET
}

func ExampleFind() {
	test, _ := quality.Find("VALIDATION_DAY_INRANGE")
	r := quality.FromMap(map[string]string{"dwc:day": "30", "dwc:month": "2", "dwc:year": "2021"})
	answer := test.Run(r, quality.Params{})
	fmt.Println(answer.Status, answer.Result)
	fmt.Println(answer.Comment)
	// Output:
	// RUN_HAS_RESULT NOT_COMPLIANT
	// the month does not have that day
}
