package quality_test

import (
	"encoding/csv"
	"fmt"
	"os"
	"time"

	"spadefoot/pipeline/prove/quality"
)

func ExampleResponses() {
	rows := [][]string{
		{"MC-2021-017", "12 Apr 2021", "", "42.4401", "-76.4966"},
		{"MC-2021-018", "12 Apr 2021", "2021-04-12", "42.4401", ""},
	}
	row := quality.Columns([]string{"occurrenceID", "verbatimEventDate", "eventDate", "decimalLatitude", "decimalLongitude"})
	next := func() (quality.Record, bool, error) {
		if len(rows) == 0 {
			return nil, false, nil
		}
		r := row(rows[0])
		rows = rows[1:]
		return r, true, nil
	}
	w := csv.NewWriter(os.Stdout)
	only := []string{"AMENDMENT_EVENTDATE_FROM_VERBATIM", "AMENDMENT_COUNTRYCODE_FROM_COORDINATES"}
	today := time.Date(2026, 11, 25, 0, 0, 0, 0, time.UTC)
	if err := quality.Responses(w, next, only, quality.Params{Today: today}); err != nil {
		fmt.Println(err)
	}
	// Output:
	// record,id,label,GUID,status,result,comment
	// 1,MC-2021-017,AMENDMENT_COUNTRYCODE_FROM_COORDINATES,8c5fe9c9-4ba9-49ef-b15a-9ccd0424e6ae,FILLED_IN,"{""dwc:countryCode"":""US""}",the coordinates lie on land of US
	// 1,MC-2021-017,AMENDMENT_EVENTDATE_FROM_VERBATIM,6d0a0c10-5e4a-4759-b448-88932f399812,FILLED_IN,"{""dwc:eventDate"":""2021-04-12""}","verbatimEventDate ""12 Apr 2021"" is read as 2021-04-12"
	// 2,MC-2021-018,AMENDMENT_COUNTRYCODE_FROM_COORDINATES,8c5fe9c9-4ba9-49ef-b15a-9ccd0424e6ae,INTERNAL_PREREQUISITES_NOT_MET,,decimalLatitude or decimalLongitude is empty
	// 2,MC-2021-018,AMENDMENT_EVENTDATE_FROM_VERBATIM,6d0a0c10-5e4a-4759-b448-88932f399812,INTERNAL_PREREQUISITES_NOT_MET,,eventDate holds a value or verbatimEventDate is empty
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
