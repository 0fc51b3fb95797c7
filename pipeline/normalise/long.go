package normalise

import (
	"fmt"
	"strings"

	"spadefoot/pipeline/quantity"
	"spadefoot/pipeline/record"
)

// long finds what the value of a one-measurement-per-row table measures, and
// what the row calls it.
func (r *row) long(value record.Meaning) (m record.Meaning, called string, ok bool) {
	name, unit := &nothing, &nothing
	for i := range r.cells {
		switch r.table.Columns[i].Meaning.Role {
		case record.NameColumn:
			name = &r.cells[i]
		case record.UnitColumn:
			unit = &r.cells[i]
		}
	}
	if name.Empty() {
		return value, "", false
	}
	m = value
	m.Role = record.Measurement
	switch part := strings.ToLower(strings.TrimSpace(name.Text)); part {
	case record.Gross, record.Tare, record.Net:
		m.Role, m.Part = record.WeighPart, part
	default:
		got, ok := "", false
		if own, has := value.Vocabulary[strings.TrimSpace(name.Text)]; has {
			got, ok = own, true
		} else if r.x.Measurement != nil {
			got, ok = r.x.Measurement(name.Text)
			if code, rest, has := quantity.HeadingUnit(name.Text); !ok && has {
				got, ok = r.x.Measurement(rest)
				m.Unit, m.Guessed = code, false
			}
		}
		if !ok {
			r.problem(record.Problem{Rule: "measurement-unknown", Level: record.Warning,
				Reason: fmt.Sprintf("%q is not in the measurement vocabulary; the value beside it is not read", name.Text)}, name, "measurementType")
			return m, "", false
		}
		m.Measurement = got
	}
	if u, ok := quantity.FindUnit(unit.Text); ok {
		m.Unit = u
	} else if m.Unit == "" && r.x.UnitOf != nil {
		m.Unit = r.x.UnitOf(m.Measurement)
		if m.Guessed = !quantity.Implied(m.Unit); m.Guessed {
			r.problem(record.Problem{Rule: "unit-guessed", Level: record.Warning,
				Reason: fmt.Sprintf("no unit is written for it; values without their own are read in %s", m.Unit)}, name, "measurementUnit")
		}
	}
	return m, squeezed(name.Verbatim()), true
}
