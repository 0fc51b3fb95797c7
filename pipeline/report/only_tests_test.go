package report

import (
	"io"

	"spadefoot/pipeline/record"
	"spadefoot/pipeline/report/findings"
)

// What only tests call.

// CapturesCSV writes the cleaned table for spreadsheets: one row per capture
// with its place in the sheets, its terms and its readings in the unit that
// the heading names. Where a published value differs from what was written,
// a column "… as written" is beside it; what nobody decided on stands
// under undecided, with the rule of its finding. counts gives the findings of a
// capture.
func CapturesCSV(w io.Writer, captures []*record.Capture, counts func(*record.Capture) findings.Counts, terms, measurements Order) error {
	var columns Columns
	for _, c := range captures {
		columns.Add(c)
	}
	table := columns.Table(terms, measurements)
	text, rows := table.Header(), table.Rows()
	for _, c := range captures {
		text = rows.Append(text, c, counts(c))
	}
	_, err := w.Write(text)
	return err
}
