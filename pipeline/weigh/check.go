package weigh

import (
	"fmt"
	"io"
	"slices"
	"strings"

	"spadefoot/pipeline/calendar"
	"spadefoot/pipeline/quantity"
	"spadefoot/pipeline/record"
	"spadefoot/pipeline/record/lines"
)

// Checks are what scales read with check weights on them, with the cells that say
// so, and what of them was not understood.
type Checks struct {
	All    []Check
	At     []record.Address
	Unread []record.Finding
}

func (k *Checks) add(at record.Address, checks ...Check) {
	for _, c := range checks {
		k.All, k.At = append(k.All, c), append(k.At, at)
	}
}

// refuse notes a cell that was not understood.
func (k *Checks) refuse(at record.Address, text, why string) {
	k.Unread = append(k.Unread, record.Finding{Rule: ruleCheckUnread, Level: record.Note, At: at, Value: text,
		Reason: fmt.Sprintf("“%s” is about a scale check but could not be read: %s; it was not used", text, why)})
}

// checkLine is one line of the table of checks.
type checkLine struct {
	Scale   string `csv:"scale"`
	Date    string `csv:"date"` // ISO 8601 day
	Load    string `csv:"load"`
	Reading string `csv:"reading"`
	Unit    string `csv:"unit"`
}

// ReadChecks reads the table of checks that survey.yaml names. A line that is not
// understood is a note at its cell.
func ReadChecks(r io.Reader, name string, scales []Instrument) (k Checks, err error) {
	rows, err := lines.Read[checkLine](r, name, lines.Columns{Needed: []string{"date", "load", "reading"}, Allowed: []string{"scale", "unit"}})
	if err != nil {
		return k, err
	}
	for _, row := range rows {
		l := row.Cells
		at := record.Address{File: name, Row: row.Line}
		day := dayOf(l.Date)
		if day == "" {
			k.refuse(at, l.Date, "give the day of the check as YYYY-MM-DD")
			continue
		}
		found, why := checksIn(fmt.Sprintf("%s: %s %s = %s %s", l.Scale, l.Load, l.Unit, l.Reading, l.Unit), scales)
		if why != "" || len(found) != 1 {
			k.refuse(at, strings.Join([]string{l.Scale, l.Load, l.Reading, l.Unit}, " "), why)
			continue
		}
		found[0].Date = day
		k.add(at, found...)
	}
	return k, nil
}

// dayOf is a written day as YYYY-MM-DD, "" where it is none or could be another.
func dayOf(text string) string {
	if d := calendar.Parse(text, calendar.Options{}); d.Precision == calendar.ToDay && len(d.Problems) == 0 && len(d.ISO) == len("2006-01-02") {
		return d.ISO
	}
	return ""
}

// Weighs reports whether one of the instruments is a scale.
func Weighs(instruments []Instrument) bool {
	return slices.ContainsFunc(instruments, func(in Instrument) bool { return quantity.Dimension(in.Unit) == "mass" })
}

// Check is a reading of a scale with a known mass on it, or with nothing: a check
// weight, or a look at the zero. Load and Reading are in the unit of the scale.
type Check struct {
	Scale   string
	Date    string // YYYY-MM-DD
	Load    float64
	Reading float64
}
