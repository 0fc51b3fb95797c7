package infer

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"spadefoot/pipeline/record"
)

// Judge says whether the shape of a placed capture fits its recorded name. n is
// how many captures are judged in all. A capture that screening has flagged can
// look like another species, but "like none" would only say the slip again.
func (m *Model) Judge(c *record.Capture, p Placement, flagged bool, n int) []record.Finding {
	cut := m.settings.cutFor(n)
	switch {
	case p.other(m.settings, cut):
		return []record.Finding{m.looksLikeOther(c, p)}
	case p.none(cut) && !flagged:
		return []record.Finding{m.looksLikeNone(c, p, cut)}
	}
	return nil
}

func (m *Model) looksLikeOther(c *record.Capture, p Placement) record.Finding {
	at := slices.Index(p.Taxa, p.Recorded)
	f := m.finding(c, p, "looks-like-other", at)
	f.Suggestion = p.Taxa[p.Best]
	f.Reason = fmt.Sprintf("recorded as %s; the proportions fit %s better: probability %s, assuming that %.0f of 100 recorded names are right; typicality %s, against %s for the recorded name. Most informative: %s. %s",
		p.Recorded, p.Taxa[p.Best], percent(p.Posterior[p.Best]), 100*(1-m.settings.NameDoubt), small(p.Typicality[p.Best]), small(p.Typicality[at]), p.Speaks, speciesCaution)
	f.Figures = append(f.Figures, figures("statistic", p.Posterior[p.Best], "threshold", m.settings.OtherPosterior,
		"distance", p.Distance[at], "typicality", p.Typicality[p.Best])...)
	return f
}

func (m *Model) looksLikeNone(c *record.Capture, p Placement, cut float64) record.Finding {
	nearest := 0
	for g := range p.Distance {
		if p.Typicality[g] > p.Typicality[nearest] {
			nearest = g
		}
	}
	p.setSpeaks(p.f.d.DistanceParts(p.x, nearest, p.f.shaping.frame))
	f := m.finding(c, p, "looks-like-none", nearest)
	f.Reason = fmt.Sprintf("recorded as %s; the proportions fit none of %s: typicality %s for the nearest, %s, below %s. Most informative: %s. %s",
		p.Recorded, strings.Join(p.Taxa, ", "), small(p.Typicality[nearest]), p.Taxa[nearest], small(cut), p.Speaks, speciesCaution)
	f.Figures = append(f.Figures, figures("statistic", p.Typicality[nearest], "threshold", cut, "distance", p.Distance[nearest])...)
	return f
}

// finding fills in what both findings share. The statistic that is set against
// the threshold is the posterior for "other" and the typicality for "none"; the
// distance is the squared one from taxon g. Value, centre and scale are of the
// ratio that speaks most, against the examples of taxon g.
func (m *Model) finding(c *record.Capture, p Placement, rule string, g int) record.Finding {
	f := record.Finding{Rule: rule, Level: record.Warning, At: valueAddress(c, "scientificName"), Capture: c.Key,
		Field: "scientificName", Value: written(c, "scientificName"),
		Group:     fmt.Sprintf("%s, %s; %s", p.Taxa[g], m.Stage, strings.Join(p.Measurements, ", ")),
		Reference: "Mosimann 1970; Ledoit and Wolf 2004"}
	if p.SpeaksField != "" {
		if r := c.Reading(p.SpeaksField); r != nil && r.From().File != "" {
			f.Also = []record.Address{r.From()}
		}
	}
	of := m.spread(p.f, g, p.speaksRow)
	f.Figures = figures("value", p.ratios[p.speaksRow], "n", float64(of.n), "centre", of.centre)
	if !math.IsNaN(of.scale) {
		f.Figures = append(f.Figures, figures("scale", of.scale)...)
	}
	return f
}
