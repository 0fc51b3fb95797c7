package report_test

import (
	"fmt"
	"os"

	"spadefoot/pipeline/record"
	"spadefoot/pipeline/report"
)

// The same slip, before and after the sheet was saved as a workbook with its
// columns in another order, and a new one beside it.
func ExampleKnownFindings_Compare() {
	before := []record.Finding{{Rule: "value-far", Level: record.Warning, Capture: "MC-7", Field: "tibiaLength", Value: "73,90",
		At: record.Address{File: "frogs.csv", Row: 7, Column: 4}, Reason: "too large"}}
	known := report.KnownOf(before, report.Identify(before, nil), nil)

	now := []record.Finding{
		{Rule: "value-far", Level: record.Warning, Capture: "MC-7", Field: "tibiaLength", Value: "73.9",
			At: record.Address{File: "frogs.xlsx", Sheet: "Spring", Row: 9, Column: 2}, Reason: "far too large"},
		{Rule: "key-missing", Level: record.Error, Field: "key", At: record.Address{File: "frogs.xlsx", Sheet: "Spring", Row: 12, Column: 1}, Reason: "no number"},
	}
	s := known.Compare(now, report.Identify(now, nil))
	for _, i := range s.New {
		fmt.Println("new:", now[i].Rule, "at", now[i].At)
	}
	fmt.Println(len(s.Known), "known,", len(s.Gone), "gone")
	if err := report.WriteKnown(os.Stdout, known); err != nil {
		fmt.Println(err)
	}
	// Output:
	// new: key-missing at frogs.xlsx, tab Spring, A12
	// 1 known, 0 gone
	// {
	//  "version": 1,
	//  "findings": [
	//   {"fingerprint":"d0eb099a229fbe110118857ea6f33853","rule":"value-far","level":"warning","capture":"MC-7","field":"tibiaLength","value":"73,90"}
	//  ]
	// }
}
