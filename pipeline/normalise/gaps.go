package normalise

import (
	"fmt"
	"slices"
	"strings"

	"spadefoot/pipeline/calendar"
	"spadefoot/pipeline/quantity"
	"spadefoot/pipeline/record"
)

// maxGaps is the number of runs of rows that are told one by one. Where a table
// has more of them they are one finding: it is how the table is kept.
const maxGaps = 20

// maxGapRuns bounds the runs that are remembered of one table.
const maxGapRuns = 1000

// gap gathers the captures of a table of which something is not said.
type gap struct {
	said, missing int
	runs          []record.Run
	keys          []string // of the first capture of each run, while these are few
}

// add takes a capture, with the column of the sheet where it is said.
func (g *gap) add(c *record.Capture, t *record.Table, column int, said bool) {
	if said {
		g.said++
		return
	}
	g.missing++
	runs := record.Extend(g.runs, cellAt(c, t, column))
	if len(runs) > maxGapRuns {
		return
	}
	if len(runs) > len(g.runs) && len(runs) <= maxGaps {
		g.keys = append(g.keys, strings.Clone(c.Key))
	}
	g.runs = runs
}

// findings returns one finding for each run of rows, or one for all where there are
// many or nothing is said anywhere.
func (g *gap) findings(rule, field string, level record.Level, reason string) []record.Finding {
	if g.missing == 0 {
		return nil
	}
	of := func(runs []record.Run, n int) record.Finding {
		f := record.Finding{Rule: rule, Level: level, At: runs[0].Address, Field: field, Reason: reason}
		if n > 1 {
			f.Runs = runs
			f.Reason += fmt.Sprintf("; %d captures", n)
		}
		return f
	}
	if len(g.runs) > maxGaps || g.said == 0 {
		f := of(g.runs, g.missing)
		if len(g.runs) == maxGapRuns {
			f.Reason += fmt.Sprintf(", of which the first %d runs of rows are listed", maxGapRuns)
		}
		return []record.Finding{f}
	}
	var out []record.Finding
	for i, r := range g.runs {
		f := of([]record.Run{r}, r.Last-r.Row+1)
		if len(f.Runs) == 0 {
			f.Capture = g.keys[i]
		}
		out = append(out, f)
	}
	return out
}

// gaps are the captures of a table without a date, those without a place, and those
// without an animal: near is a place that is named or measured, around the region
// that it lies in.
type gaps struct {
	date, near, around, animal gap
	dateAt, placeAt            int // columns of the sheet, 0 for none
}

var (
	nearTerms   = []string{"locality", "verbatimLocality", "locationID", "decimalLatitude", "verbatimLatitude", "verbatimCoordinates", "decimalLongitude", "verbatimLongitude"}
	animalTerms = []string{"verbatimIdentification", "family", "order", "class", "taxonID", "individualCount", "organismQuantity", "sex", "lifeStage", "reproductiveCondition", "caste", "vitality", "behavior",
		"organismID", "organismName", "recordNumber", "catalogNumber", "otherCatalogNumbers", "materialSampleID", "occurrenceID", "occurrenceRemarks", "organismRemarks", "preparations", "typeStatus"}
	aroundTerms = []string{"waterBody", "island", "islandGroup", "municipality", "county", "stateProvince", "country", "countryCode", "higherGeography"}
)

func newGaps(t *record.Table) gaps {
	columnOf := func(terms ...string) int {
		for _, term := range terms {
			for i := range t.Columns {
				if c := &t.Columns[i]; c.Meaning.Role == record.Term && c.Meaning.Term == term {
					return c.Number
				}
			}
		}
		return 0
	}
	return gaps{dateAt: columnOf("eventDate", "year"), placeAt: columnOf(nearTerms...)}
}

// add looks at a capture that is whole, and its date.
func (g *gaps) add(c *record.Capture, date *record.Value, t *record.Table) {
	g.date.add(c, t, g.dateAt, date != nil && (date.Text != "" || unread(date)) || c.Get("year") != "")
	near := slices.ContainsFunc(nearTerms, func(term string) bool {
		v := c.Value(term)
		return v != nil && !quantity.Mark(v.Called())
	})
	around := near || slices.ContainsFunc(aroundTerms, func(term string) bool {
		v := c.Value(term)
		return v != nil && v.Text != "" && v.Column.File == t.File
	})
	g.near.add(c, t, g.placeAt, near)
	g.around.add(c, t, g.placeAt, around)
	g.animal.add(c, t, 0, ofAnimal(c))
}

// ofAnimal reports whether a capture says anything of an animal, or that there was
// none. Otherwise its row may be a visit, or a trap in which there was nothing.
func ofAnimal(c *record.Capture) bool {
	return len(c.Readings) > 0 || c.Weighing != nil || c.Name() != nil || c.Absent() || slices.ContainsFunc(animalTerms, func(term string) bool {
		v := c.Value(term)
		return v != nil && !quantity.Mark(v.Called())
	})
}

// cellAt is the cell of a capture in a column of the sheet, or its row.
func cellAt(c *record.Capture, t *record.Table, column int) record.Address {
	at := record.Address{File: t.File, Sheet: t.Sheet, Row: c.Row, Column: column}
	if t.Transposed {
		at.Row, at.Column = column, c.Row
	}
	return at
}

// unread reports whether something was written for a date that is none: that
// has a finding of its own.
func unread(date *record.Value) bool {
	return date.Verbatim != "" && !calendar.Missing(date.Verbatim)
}

func (g *gaps) findings() []record.Finding {
	reason := "the capture has no date"
	if g.date.said > 0 {
		reason += ", but others in the table have one"
	}
	out := g.date.findings("date-missing", "eventDate", record.Warning, reason)
	g.animal.said = 0 // what all of them have in common is one doubt
	out = append(out, g.animal.findings("animal-missing", "", record.Warning, "nothing that was understood in the row is about an animal")...)
	if g.near.said > 0 {
		return append(out, g.near.findings("place-missing", "locality", record.Warning, "the capture has no place, but others in the table have one")...)
	}
	return append(out, g.around.findings("place-missing", "locality", record.Note, "the capture has no place")...)
}
