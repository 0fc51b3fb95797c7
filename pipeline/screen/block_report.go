package screen

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"spadefoot/pipeline/record"
	"spadefoot/pipeline/record/sorting"
)

// addCorrected puts the cells of a row that a correction corrects into a piece.
func (j *search) addCorrected(p *causePiece, i int, m *correction) {
	if p.Rows == 0 {
		p.Top = j.rows[i].capture.Row
	}
	p.Bottom = j.rows[i].capture.Row
	p.Rows++
	var own []named
	for _, cell := range j.sights[i].view.cells {
		if slices.Contains(m.targets, cell.measurement) {
			for _, r := range cell.readings {
				own = append(own, named{r.From(), cell, r})
			}
		}
	}
	sorting.Func(own, func(a, b named) int { return a.at.Compare(b.at) })
	for _, o := range own {
		text := j.corrected(i, o.cell, o.reading, *m)
		if p.Cells == 0 {
			p.First = first{Capture: strings.Clone(j.rows[i].capture.Key), Field: strings.Clone(o.cell.measurement), Value: strings.Clone(o.cell.first().Verbatim), Suggestion: text, Number: o.cell.value}
		}
		p.addCell(o.at, text)
		p.Uncorrected = p.Uncorrected || text == ""
	}
}

// named is a reading of a cell.
type named struct {
	at      record.Address
	cell    *cell
	reading *record.Reading
}

// reportClaim writes a shared cause as one finding on the cells of all parts: at the
// first of them, with the others beside it.
func (x *Screening) reportClaim(p *causePiece) record.Finding {
	c := x.causes.claims[p.Claim]
	m := x.find.f.corrections()[c.Correction]
	out := p.finding("column-slip", record.Error)
	if c.Block.Kind == runOfRows {
		p.N, p.Title = p.Rows, fmt.Sprintf("in rows %d to %d of %s", p.Top, p.Bottom, p.Title)
	}
	out.Group = fmt.Sprintf("the captures %s, n = %d", p.Title, p.N)
	out.Figures = []record.Figure{
		{Name: "value", Value: p.First.Number}, {Name: "n", Value: float64(p.N)}, {Name: "cells", Value: float64(p.Cells)},
		{Name: "statistic", Value: c.Odds}, {Name: "threshold", Value: surely}, {Name: "posterior", Value: 1 / (1 + math.Exp(-c.Odds))},
	}
	if m.subtle() {
		out.Level = record.Warning
	}
	var names []string
	for _, t := range m.targets {
		names = append(names, label(t))
	}
	what := strings.Join(names, " and ")
	if len(m.targets) > 2 {
		what = "lengths"
	}
	out.Reason = fmt.Sprintf("%s %s: %s (%s of %s; log odds %.3g, limit %d). One cause: the same correction applies to every listed cell.",
		howMany(p, what, c.Block.Kind == runOfRows), p.Title, claimStories[m.slip], record.Plural(p.Cells, "cell"), record.Plural(p.Rows, "capture"), c.Odds, surely)
	if out.Suggestion != "" {
		out.Reason += " The first would become " + out.Suggestion + "."
	}
	return out
}

// howMany describes of which and how many captures the measurements are.
func howMany(p *causePiece, what string, run bool) string {
	switch {
	case run:
		return fmt.Sprintf("the %s of %s", what, record.Plural(p.Rows, "capture"))
	case p.Rows == p.N:
		return fmt.Sprintf("the %s of all %d captures", what, p.N)
	}
	return fmt.Sprintf("the %s of %d of the %d captures", what, p.Rows, p.N)
}

var claimStories = [numberOfSlips]string{
	tenTooSmall:    "ten times too small, as if written in a unit ten times larger (cm for mm), or the decimal point is one place too far left",
	tenTooLarge:    "ten times too large, as if written in a unit ten times smaller (mm for cm), or the decimal point is missing",
	inInches:       "recorded in inches",
	inOunces:       "weighed in ounces",
	tareLeftIn:     "the bag was not subtracted",
	tareTwice:      "the bag was subtracted twice",
	columnsSwapped: "the two columns were swapped",
}

// corrected returns the text of a reading of a cell as it would be written, "" where
// that is not known.
func (j *search) corrected(i int, c *cell, r *record.Reading, m correction) string {
	w := writtenOf(r)
	d := w.decimals
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
