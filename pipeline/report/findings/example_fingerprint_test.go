package findings_test

import (
	"bytes"
	"fmt"

	"spadefoot/pipeline/record"
	"spadefoot/pipeline/report/findings"
)

// The same slip, before and after the sheet was saved as a workbook with its
// columns in another order, and a new one beside it.
func ExampleKnownFindings_Mark() {
	identified := func(fs ...record.Finding) findings.Findings {
		told, err := findings.WithIdentities(func(yield func(record.Finding, error) bool) {
			for _, f := range fs {
				if !yield(f, nil) {
					return
				}
			}
		}, func(f *record.Finding) (string, error) { return f.Capture, nil })
		if err != nil {
			fmt.Println(err)
		}
		return told
	}
	before := identified(record.Finding{Rule: "value-far", Level: record.Warning, Capture: "MC-7", Field: "tibiaLength", Value: "73,90",
		At: record.Address{File: "frogs.csv", Row: 7, Column: 4}, Reason: "too large"})
	var file bytes.Buffer
	if err := findings.WriteKnown(&file, before, nil); err != nil {
		fmt.Println(err)
	}
	fmt.Print(file.String())
	known, err := findings.ReadKnown("known.json", file.Bytes())
	if err != nil {
		fmt.Println(err)
	}
	now, standing, err := known.Mark(identified(
		record.Finding{Rule: "value-far", Level: record.Warning, Capture: "MC-7", Field: "tibiaLength", Value: "73.9",
			At: record.Address{File: "frogs.xlsx", Sheet: "Spring", Row: 9, Column: 2}, Reason: "far too large"},
		record.Finding{Rule: "key-missing", Level: record.Error, Field: "key", At: record.Address{File: "frogs.xlsx", Sheet: "Spring", Row: 12, Column: 1}, Reason: "no number"}))
	if err != nil {
		fmt.Println(err)
	}
	for t := range now {
		if !t.Known {
			fmt.Println("new:", t.Rule, "at", t.At)
		}
	}
	fmt.Println(standing.Known, "known,", len(standing.Gone), "gone")
	// Output:
	// {
	//  "version": 1,
	//  "findings": [
	//   {"fingerprint":"d0eb099a229fbe110118857ea6f33853","rule":"value-far","level":"warning","capture":"MC-7","field":"tibiaLength","value":"73,90"}
	//  ]
	// }
	// new: key-missing at frogs.xlsx, tab Spring, A12
	// 1 known, 0 gone
}
