package screen

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"spadefoot/pipeline/record"
	"spadefoot/pipeline/record/sorting"
)

// reportClaim writes a shared cause as one finding on the cells of the part: at the
// first of them, with the others beside it; false where it has none of them.
func (j *search) reportClaim(c claim) (out record.Finding, own bool) {
	if c = j.ownOf(c); len(c.rows) == 0 {
		return out, false
	}
	m, title := j.corrections[c.correction], j.titleOf(&j.blocks[c.block])
	type place struct {
		at      record.Address
		row     int
		cell    *cell
		reading *record.Reading
	}
	var places []place
	for _, i := range c.rows {
		for _, cell := range j.sights[i].view.cells {
			if slices.Contains(m.targets, cell.measurement) {
				for _, r := range cell.readings {
					places = append(places, place{r.From, i, cell, r})
				}
			}
		}
	}
	sorting.Func(places, func(a, b place) int { return a.at.Compare(b.at) })
	first := places[0]
	out = record.Finding{
		Rule: "column-slip", Level: record.Error, At: first.at, Capture: j.rows[first.row].capture.Key,
		Field: first.cell.measurement, Value: first.cell.first().Verbatim,
		Group: fmt.Sprintf("the captures %s, n = %d", title, c.n), Suggestion: j.mended(first.row, first.cell, first.reading, m),
		Figures: []record.Figure{
			{Name: "value", Value: first.cell.value}, {Name: "n", Value: float64(c.n)}, {Name: "cells", Value: float64(len(places))},
			{Name: "statistic", Value: c.odds}, {Name: "threshold", Value: surely}, {Name: "posterior", Value: 1 / (1 + math.Exp(-c.odds))},
		},
	}
	if m.slip == tareLeftIn || m.slip == tareTwice {
		out.Level = record.Warning
	}
	out.Spread = record.Together
	for _, p := range places[1:] {
		out.Also = append(out.Also, p.at)
	}
	for _, p := range places {
		text := j.mended(p.row, p.cell, p.reading, m)
		if text == "" {
			out.Mends = nil
			break
		}
		out.Mends = append(out.Mends, record.Mend{At: p.at, Text: text})
	}
	var names []string
	for _, t := range m.targets {
		names = append(names, label(t))
	}
	what := strings.Join(names, " and ")
	if len(m.targets) > 2 {
		what = "lengths"
	}
	out.Reason = fmt.Sprintf("%s %s: %s (%s of %s; log odds %.3g against %d). One cause, mended alike in every cell named.",
		howMany(c, what), title, claimStories[m.slip], record.Plural(len(places), "cell"), record.Plural(len(c.rows), "capture"), c.odds, surely)
	if out.Suggestion != "" {
		out.Reason += " The first would be " + out.Suggestion + "."
	}
	return out, true
}

// ownOf is what a claim says of the part itself.
func (j *search) ownOf(c claim) claim {
	out := c
	out.rows, out.n = nil, 0
	for _, i := range c.rows {
		if j.own.holds(i) {
			out.rows = append(out.rows, i)
		}
	}
	for _, i := range j.blocks[c.block].rows {
		if g := j.gains[c.correction][i]; g == g && j.own.holds(int(i)) {
			out.n++
		}
	}
	return out
}

// titleOf says which captures a block holds, with the rows where a part of the
// survey may have cut it.
func (j *search) titleOf(b *block) string {
	rows := b.rows
	for len(rows) > 0 && !j.own.holds(int(rows[0])) {
		rows = rows[1:]
	}
	for len(rows) > 0 && !j.own.holds(int(rows[len(rows)-1])) {
		rows = rows[:len(rows)-1]
	}
	first, last := int(rows[0]), int(rows[len(rows)-1])
	if !j.partial || first > j.own.from && last < j.own.to-1 && b.kind != blockKinds[observers] {
		return b.title()
	}
	return fmt.Sprintf("%s, rows %d to %d", b.title(), j.rows[first].capture.Row, j.rows[last].capture.Row)
}

// howMany says of which and how many captures the measurements are.
func howMany(c claim, what string) string {
	if len(c.rows) == c.n {
		return fmt.Sprintf("the %s of all %d captures", what, c.n)
	}
	return fmt.Sprintf("the %s of %d of the %d captures", what, len(c.rows), c.n)
}

var claimStories = map[slip]string{
	tenTooSmall:    "ten times too small, as if written in a unit ten times larger (cm for mm) or with the decimal point one place too far left",
	tenTooLarge:    "ten times too large, as if written in a unit ten times smaller (mm for cm) or without the decimal point",
	inInches:       "recorded in inches",
	inOunces:       "weighed in ounces",
	tareLeftIn:     "the bag was not subtracted",
	tareTwice:      "the bag was subtracted twice",
	columnsSwapped: "the two columns were exchanged",
}

// mended returns the text of a reading of a cell as it would be written, "" where
// that cannot be told.
func (j *search) mended(i int, c *cell, r *record.Reading, m correction) string {
	w := writtenOf(r)
	d := w.decimals()
	switch m.slip {
	case columnsSwapped:
		other := m.targets[0]
		if other == c.measurement {
			other = m.targets[1]
		}
		return swapText(r, j.rows[i].find(other).sameReplicate(r))
	case tareLeftIn, tareTwice:
		if v, ok := j.withoutBag(j.rows[i], c, m.slip); ok && !r.Derived && len(c.readings) == 1 {
			return w.as(v, d)
		}
		return ""
	}
	if r.Derived {
		return ""
	}
	switch m.slip {
	case tenTooSmall:
		d--
	case tenTooLarge:
		d++
	default:
		d = j.sum.usualDecimals(c.measurement)
	}
	return w.as(w.value*m.factor, d)
}
