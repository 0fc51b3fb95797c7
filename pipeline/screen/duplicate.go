package screen

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"spadefoot/pipeline/record"
)

// Numbers of equal readings from which two captures of one day are taken for
// one; two frogs do not share as many to the last digit.
const (
	leastAlike = 4
	leastSame  = 3 // where none differs
)

// sameCapture reports whether b looks like another entry of a.
func sameCapture(a, b *record.Capture) (record.Finding, bool) {
	same, differ := compareReadings(a, b)
	exact := len(differ) == 0
	least := float64(leastAlike)
	if exact {
		least = leastSame
	}
	if len(differ) > 1 || float64(same) < least {
		return record.Finding{}, false
	}
	out := record.Finding{
		Rule: "capture-twice", Level: record.Warning, At: b.Address(), Also: []record.Address{a.Address()}, Capture: b.Key,
		Group: "captures of " + cmp.Or(b.Get("scientificName"), "no name") + " on " + cmp.Or(b.Get("eventDate"), "no date"),
		Figures: []record.Figure{{Name: "n", Value: float64(same + len(differ))}, {Name: "statistic", Value: float64(same)},
			{Name: "threshold", Value: least}},
	}
	said := fmt.Sprintf("all %d readings are the same as in %s", same, a.Address())
	if !exact {
		d := differ[0]
		out.Rule, out.Field, out.Value, out.At = "capture-nearly-twice", d[1].Measurement, d[1].Verbatim, d[1].From
		said = fmt.Sprintf("%d readings are the same as in %s; only %s differs, %s there and %s here",
			same, a.Address(), label(d[0].Measurement), d[0].Text, d[1].Text)
	}
	out.Reason = "Probably the same capture entered twice: " + said + "."
	if ma, mb := a.Get("organismID"), b.Get("organismID"); ma != mb && ma != "" && mb != "" {
		out.Reason += fmt.Sprintf(" The marks differ, %s there and %s here: a row may have been copied and not filled in.", ma, mb)
	}
	return out, true
}

// compareReadings counts the readings that both captures have and that are
// equal as written, and lists the pairs that are not.
func compareReadings(a, b *record.Capture) (same int, differ [][2]*record.Reading) {
	for i := range a.Readings {
		x := &a.Readings[i]
		k := slices.IndexFunc(b.Readings, func(y record.Reading) bool {
			return y.Measurement == x.Measurement && y.Replicate == x.Replicate && y.Usable() && !y.Derived
		})
		if x.Derived || !x.Usable() || k < 0 {
			continue
		}
		if y := &b.Readings[k]; strings.EqualFold(x.Text, y.Text) {
			same++
		} else {
			differ = append(differ, [2]*record.Reading{x, y})
		}
	}
	return same, differ
}
