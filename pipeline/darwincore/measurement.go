package darwincore

import (
	"cmp"
	"fmt"
	"math"
	"regexp"
	"strconv"
	"strings"

	"spadefoot/pipeline/record"
)

// Names of the masses of a weighing, for readings that carry none.
const (
	grossMass = "grossMass" // animal and bag together
	bagMass   = "bagMass"
	bodyMass  = "bodyMass"
)

// Measurements makes the rows of the MeasurementOrFact extension for one
// capture; where rows of many captures are made, a Maker does it.
func Measurements(c *record.Capture, d Dataset, label func(string) string) []Row {
	return NewMaker(d, label).Measurements(c)
}

// Measurements makes the rows of the MeasurementOrFact extension, one for each
// reading that was taken and understood.
func (m *Maker) Measurements(c *record.Capture) []Row {
	d := &m.dataset
	id := identity(c, d)
	all := published(c)
	observer := firstOf(c.Get("measurementDeterminedBy"), c.Get("recordedBy"), d.Defaults["measurementDeterminedBy"], d.Defaults["recordedBy"])
	date := firstOf(c.Get("measurementDeterminedDate"), c.Get("eventDate"), d.Defaults["eventDate"])
	rows := make([]Row, 0, len(all))
	for i, r := range all {
		value := Value(r)
		if value == "" {
			continue
		}
		kind := r.Measurement
		if m.label != nil {
			kind = firstOf(m.label(r.Measurement), kind)
		}
		row := make(Row, 0, 10)
		for _, f := range [...]Field{
			{"occurrenceID", id},
			{"measurementID", measurementID(id, r.Measurement, r.Replicate, countOf(all[:i+1], r))},
			{"measurementType", kind},
			{"measurementValue", value},
			{"measurementUnit", r.Unit},
			{"measurementAccuracy", accuracy(r)},
			{"measurementMethod", m.method(r)},
			{"measurementDeterminedBy", firstOf(r.Observer, observer)},
			{"measurementDeterminedDate", date},
			{"measurementRemarks", remarks(r, value)},
		} {
			row = row.set(f.Term, f.Text)
		}
		rows = append(rows, row.sorted())
	}
	return rows
}

// countOf counts the readings with a value that are of the same measurement
// and replicate.
func countOf(all []*record.Reading, r *record.Reading) int {
	n := 0
	for _, o := range all {
		if o.Measurement == r.Measurement && o.Replicate == r.Replicate && (o == r || Value(o) != "") {
			n++
		}
	}
	return n
}

// published gives the readings of a capture in the order of its columns, then
// the masses of its weighing that are not among them.
func published(c *record.Capture) []*record.Reading {
	out := make([]*record.Reading, 0, len(c.Readings)+3)
	for i := range c.Readings {
		out = append(out, &c.Readings[i])
	}
	w := c.Weighing
	if w == nil {
		return out
	}
	for _, p := range []struct {
		r    *record.Reading
		name string
	}{{w.Gross, grossMass}, {w.Tare, bagMass}, {w.Net, bodyMass}} {
		if p.r == nil {
			continue
		}
		r := p.r
		if r.Measurement == "" || r.Instrument == "" && w.Scale != "" {
			whole := *r
			whole.Measurement, whole.Instrument = cmp.Or(r.Measurement, p.name), cmp.Or(r.Instrument, w.Scale)
			r = &whole
		}
		if !among(out, r) {
			out = append(out, r)
		}
	}
	return out
}

func among(rs []*record.Reading, r *record.Reading) bool {
	for _, o := range rs {
		if o.Measurement == r.Measurement && o.Replicate == r.Replicate && o.State == r.State && o.Number == r.Number && o.From == r.From {
			return true
		}
	}
	return false
}

// Value is the published text of a reading: a number, "<" or ">" and a number,
// or two numbers joined by a hyphen. It is "" for a reading that was not taken
// or not understood.
func Value(r *record.Reading) string {
	text := r.Text
	if text == "" {
		text = digits(r.Number, r.Decimals)
	}
	switch r.State {
	case record.Measured, record.Doubtful:
		return text
	case record.Below:
		return "<" + text
	case record.Above:
		return ">" + text
	case record.Interval:
		return digits(r.Low, r.Decimals) + "-" + digits(r.High, r.Decimals)
	}
	return ""
}

func digits(x float64, decimals int) string { return strconv.FormatFloat(x, 'f', max(decimals, 0), 64) }

func number(x float64) string { return strconv.FormatFloat(x, 'f', -1, 64) }

// accuracy is the expanded uncertainty with two significant digits, which is
// as many as JCGM 100:2008 7.2.6 has a use for.
func accuracy(r *record.Reading) string {
	u := r.Accuracy
	if u == 0 && r.Usable() && r.High > r.Low {
		u = (r.High - r.Low) / 2
	}
	if !(u > 0) || math.IsInf(u, 0) {
		return ""
	}
	rounded, err := strconv.ParseFloat(strconv.FormatFloat(u, 'e', 1, 64), 64)
	if err != nil {
		return ""
	}
	return number(rounded)
}

var numberForm = regexp.MustCompile(`^-?\d+(?:\.\d+)?$`)

func isNumber(text string) bool { return numberForm.MatchString(text) }

func (m *Maker) method(r *record.Reading) string {
	var parts []string
	if r.Instrument != "" {
		parts = append(parts, m.instrument(r.Instrument))
	}
	if r.Derived {
		parts = append(parts, "computed from other readings")
	}
	if r.Replicate > 0 {
		parts = append(parts, "replicate "+strconv.Itoa(r.Replicate))
	}
	return strings.Join(parts, "; ")
}

// remarks says what the number alone does not, and what was written where it
// differs from what is published.
func remarks(r *record.Reading, value string) string {
	var parts []string
	switch r.State {
	case record.Doubtful:
		parts = append(parts, "the writer doubted this value")
	case record.Below:
		parts = append(parts, "less than the number given")
	case record.Above:
		parts = append(parts, "more than the number given")
	case record.Interval:
		parts = append(parts, "a range was written, not one number")
	}
	if s := strings.TrimSpace(r.Remark); s != "" {
		parts = append(parts, s)
	}
	if written := strings.TrimSpace(r.Verbatim); written != "" && written != value && !r.Derived {
		s := fmt.Sprintf("as written: %q", written)
		if r.WrittenUnit != "" && r.WrittenUnit != r.Unit {
			s += " in " + r.WrittenUnit
		}
		if r.From.File != "" {
			s += " (" + r.From.String() + ")"
		}
		parts = append(parts, s)
	}
	return strings.Join(parts, "; ")
}
