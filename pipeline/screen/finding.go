package screen

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"spadefoot/pipeline/record"
)

// report writes a verdict as one finding: at the cell that is wrong, with the
// strongest evidence as its figures and the others in its reason.
func (f *fitted) report(d verdict, level record.Level) record.Finding {
	v := d.view
	if len(d.cells) == 0 {
		return f.reportRow(d)
	}
	if d.ofSeveral() {
		return f.reportSeveral(d, level)
	}
	i := d.cells[0]
	c := v.cells[i]
	strongest, others := v.weighEvidence(i, f)
	out := record.Finding{
		Rule: strongest.rule, Level: level, Capture: v.row.capture.Key, Field: c.measurement,
		Group: strongest.group, Reference: strongest.reference,
		Figures: append(strongest.figures(c.value), record.Figure{Name: "posterior", Value: d.share}),
	}
	f.place(&out, d)
	var b strings.Builder
	fmt.Fprintf(&b, "%s: %s", v.doubt(i, v.alone(i)), strongest.text)
	for _, o := range others {
		b.WriteString("; " + o)
	}
	lo, hi := v.range95(i)
	predicting := "The other measurements predict"
	if len(v.cells) == 1 {
		predicting = "Its group predicts"
	}
	fmt.Fprintf(&b, ". %s %s (%s to %s).", predicting, v.show(i, math.Exp(v.expected(i))), v.show(i, lo), v.show(i, hi))
	b.WriteString(f.accounts(d))
	out.Reason = b.String()
	return out
}

// doubt opens the reason.
func (v *view) doubt(i int, residual float64) string {
	side := "large"
	if residual < 0 {
		side = "small"
	}
	return fmt.Sprintf("%s is too %s", v.cellText(i), side)
}

// cellText is cell i with its value.
func (v *view) cellText(i int) string {
	c := v.cells[i]
	value := v.show(i, c.value)
	if r := c.first(); len(c.readings) == 1 && r.Text != "" {
		value = readingText(r)
	}
	return label(c.measurement) + " " + value
}

// show writes a value of cell i to three figures with its unit.
func (v *view) show(i int, value float64) string {
	return figures(value, 3) + " " + unitName(v.cells[i].first().Unit)
}

func (v *view) range95(i int) (lo, hi float64) {
	e, w := v.expected(i), 1.96*v.tolerance(i)
	return math.Exp(e - w), math.Exp(e + w)
}

// weighEvidence returns the strongest comparison of a cell, and the others that
// are beyond their thresholds in words.
func (v *view) weighEvidence(i int, f *fitted) (evidence, []string) {
	all := []evidence{v.amongOthers(i, f)}
	if e, ok := v.inGroup(i, f.settings); ok {
		all = append(all, e)
	}
	if e, ok := v.onLine(i, f.settings); ok {
		all = append(all, e)
	}
	best := 0
	for k, e := range all {
		// A distance is a square: its excess counts by the root.
		if root(e) > root(all[best])*1.0001 && e.excess() > 1 || all[best].excess() <= 1 && root(e) > root(all[best]) {
			best = k
		}
	}
	var others []string
	for k, e := range all {
		if k != best && e.excess() > 1 {
			others = append(others, e.text)
		}
	}
	return all[best], others
}

func root(e evidence) float64 {
	if e.rule == "shape-unusual" {
		return math.Sqrt(e.excess())
	}
	return e.excess()
}

// place sets address, verbatim value and suggestion: those of the cell that
// the likeliest account rewrites.
func (f *fitted) place(out *record.Finding, d verdict) {
	v := d.view
	c := v.cells[d.cells[0]]
	r := c.first()
	if c.measurement == bodyMass && r.Derived && v.row.capture.Weighing != nil {
		if w := v.row.capture.Weighing; w.Gross != nil {
			r = w.Gross
			if w.Tare != nil && w.Tare.From().File != "" {
				out.Also = append(out.Also, w.Tare.From())
			}
		}
	}
	if len(d.accounts) > 0 {
		best := d.accounts[0]
		suggest := func(text string) {
			if best.posterior >= f.settings.SuggestAbove {
				out.Suggestion = text
			}
		}
		switch {
		case best.slip == columnsSwapped:
			exchanged := v.cells[d.cells[1]]
			other := exchanged.first()
			out.Rule = "columns-swapped"
			out.Also = []record.Address{other.From()}
			suggest(swapText(r, other))
			if len(c.readings) == 1 && len(exchanged.readings) == 1 {
				exchange(out, r, other)
			}
		case best.rewrites() != nil:
			if at := best.change.reading; at != r && d.rewrites(at) > 0.5*d.share {
				out.Also, r = nil, at
			}
			suggest(best.change.text())
			if best.slip == grossForTare {
				out.Rule = "gross-tare-swapped"
				w := v.row.capture.Weighing
				exchange(out, w.Gross, w.Tare)
			}
		}
	}
	for _, more := range c.readings[1:] {
		out.Also = append(out.Also, more.From())
	}
	out.At, out.Value = r.From(), r.Verbatim
	out.Also = slices.DeleteFunc(out.Also, func(a record.Address) bool { return a == out.At })
}

// rewrites is the share of the verdict that the accounts have by which a cell of the
// sheet is rewritten.
func (d *verdict) rewrites(r *record.Reading) (share float64) {
	for i := range d.accounts {
		if d.accounts[i].rewrites() == r {
			share += d.accounts[i].posterior
		}
	}
	return share
}

// exchange makes a finding one on two cells of a sheet whose texts stand in each
// other's place. What they would be is only written where it is suggested.
func exchange(out *record.Finding, a, b *record.Reading) {
	if a.From().File != b.From().File || a.From().Sheet != b.From().Sheet {
		return
	}
	out.Spread, out.Also = record.Together, []record.Address{a.From(), b.From()}
	if out.Suggestion != "" {
		out.Rewrites = []record.Rewrite{{At: a.From(), Text: swapText(a, b)}, {At: b.From(), Text: swapText(b, a)}}
	}
}

// swapText writes the cell at a as it would stand with the text of b.
func swapText(a, b *record.Reading) string {
	wa, wb := writtenOf(a), writtenOf(b)
	return wa.as(wb.value*wb.factor/wa.factor, wb.decimals)
}

// noSlip ends the reason of a cell that no common slip explains.
const noSlip = " No common slip explains it."

// accounts lists which values would fit and by which slip, likeliest first.
func (f *fitted) accounts(d verdict) string {
	v := d.view
	var b strings.Builder
	for n, h := range d.accounts {
		if n > 0 && h.posterior < 0.02*d.share || n == 4 {
			break
		}
		if h.ofSeveral() {
			continue
		}
		var what string
		if h.slip != columnsSwapped {
			what = h.change.text()
		} else {
			what = fmt.Sprintf("swapping %s and %s", label(v.cells[h.cells[0]].measurement), label(v.cells[h.cells[1]].measurement))
		}
		start := " Also possible: "
		if n == 0 {
			start, what = " ", record.Capital(what)
		}
		fmt.Fprintf(&b, "%s%s would fit: %s (probability %s).", start, what, f.story(h, v), percent(h.posterior))
	}
	switch {
	case d.copied > 0.5:
		fmt.Fprintf(&b, " The row above has the same value, so it was probably copied (probability %s).", percent(d.copied))
	case d.across > 0.5:
		fmt.Fprintf(&b, " The %s is the same, so it was probably copied (probability %s).", label(v.cells[v.twin(d.cells[0])].measurement), percent(d.across))
	case len(d.accounts) == 0:
		b.WriteString(noSlip)
	case d.accounts[0].posterior < f.settings.SuggestAbove:
		b.WriteString(" None of these is certain enough to suggest.")
	}
	if d.rivalled > 0.05 {
		fmt.Fprintf(&b, " Or else %s is wrong (%s).", v.names(d.rival), percent(d.rivalled))
	}
	return b.String()
}

// story describes how the slip came about, naming the cell where it is another
// than that of the measurement.
func (f *fitted) story(h hypothesis, v *view) string {
	w := v.row.capture.Weighing
	kind := neither
	if len(h.cells) > 0 {
		kind = v.cells[h.cells[0]].kind
	}
	if w == nil || h.change == nil {
		return storyOf(h.slip, kind)
	}
	switch h.change.reading {
	case w.Gross:
		return "in the gross mass, " + stories[h.slip]
	case w.Tare:
		return "in the tare, " + stories[h.slip]
	}
	return storyOf(h.slip, kind)
}

func (v *view) names(cells []int) string {
	if len(cells) == 0 {
		return "the animal as a whole is unlike its group and nothing"
	}
	var out []string
	for _, i := range cells {
		out = append(out, label(v.cells[i].measurement))
	}
	return strings.Join(out, " and ")
}

// reportRow writes the finding for an animal that no single cell explains.
func (f *fitted) reportRow(d verdict) record.Finding {
	v := d.view
	top := 0
	for i := range v.cells {
		if math.Abs(v.alone(i)) > math.Abs(v.alone(top)) {
			top = i
		}
	}
	e := v.amongOthers(top, f)
	lo, hi := v.range95(top)
	return record.Finding{
		Rule: "animal-unusual", Level: record.Warning, At: v.row.capture.Address(), Capture: v.row.capture.Key,
		Group: e.group, Reference: e.reference,
		Figures: []record.Figure{
			{Name: "n", Value: float64(e.n)}, {Name: "statistic", Value: e.statistic},
			{Name: "threshold", Value: e.threshold}, {Name: "posterior", Value: d.share},
		},
		Reason: "this animal's measurements taken together are unlike its group, and no common slip in one of them explains it: " +
			fmt.Sprintf("%s. Farthest off is %s, where the other measurements predict %s (%s to %s).", e.text, v.cellText(top),
				v.show(top, math.Exp(v.expected(top))), v.show(top, lo), v.show(top, hi)) +
			" Check the name, the sex and the life stage, and whether the row was mixed up with another.",
	}
}
