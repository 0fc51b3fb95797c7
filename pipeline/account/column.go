package account

import (
	"strings"

	"spadefoot/pipeline/darwincore/terms"
	"spadefoot/pipeline/record"
)

// column says where the cells of a column of a sheet may be in the archive,
// beside remarks and dynamicProperties, where all may.
type column struct {
	term     string // column of the core; "" for none
	remarks  string // term that notes beside values go to
	facts    bool   // the rows of measurements
	named    bool   // it says what a measurement is, or its unit: the row of the measurement says so in its own words
	anywhere bool   // any column
}

func columnOf(m record.Meaning, remarks string) column {
	c := column{remarks: remarks}
	switch m.Role {
	case record.Term:
		c.term = m.Term
		if t, ok := terms.Lookup(m.Term); ok {
			c.term, c.facts = t.Name, t.Class == "MeasurementOrFact"
		}
	case record.Measurement, record.WeighPart, record.ValueColumn:
		c.facts = true
	case record.NameColumn, record.UnitColumn:
		c.facts, c.named = true, true
	}
	return c
}

// rowColumns are the columns of the core, by what they may hold.
type rowColumns struct {
	at      map[string]int
	beside  []int // verbatim terms and remarks
	dynamic int   // -1 for none
}

func newRowColumns(names []string) *rowColumns {
	r := &rowColumns{at: make(map[string]int, len(names)), dynamic: -1}
	for i, n := range names {
		r.at[n] = i
		switch {
		case n == "dynamicProperties":
			r.dynamic = i
		case strings.HasPrefix(n, "verbatim"), strings.HasSuffix(n, "Remarks"):
			r.beside = append(r.beside, i)
		}
	}
	return r
}

// of is the place of a column, -1 for none.
func (r *rowColumns) of(name string) int {
	if i, there := r.at[name]; there {
		return i
	}
	return -1
}
