package infer

import (
	"fmt"
	"maps"
	"math"
	"slices"
	"strings"

	"gonum.org/v1/gonum/stat"

	"spadefoot/pipeline/record"
)

// Place places one capture by its shape. It is false where the model declines
// or the capture has too few of the measurements.
func (m *Model) Place(c *record.Capture) (Placement, bool) {
	if m.Missing != "" {
		return Placement{}, false
	}
	name, _ := binomial(c)
	return m.place(exampleOf(c, m.settings), name)
}

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
	f.Reason = fmt.Sprintf("recorded as %s; the shape fits %s better: probability %s, taking a recorded name as right in %.0f of 100 cases; typicality %s, against %s of the recorded. Most telling: %s. %s",
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
	f.Reason = fmt.Sprintf("recorded as %s; the shape fits none of %s: typicality %s for the nearest, %s, below %s. Most telling: %s. %s",
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
		if r := c.Reading(p.SpeaksField); r != nil && r.From.File != "" {
			f.Also = []record.Address{r.From}
		}
	}
	var ratios []float64
	for i, class := range p.f.class {
		if class == g {
			ratios = append(ratios, p.f.ratios[i][p.speaksRow])
		}
	}
	centre, scale := stat.MeanStdDev(ratios, nil)
	f.Figures = figures("value", p.ratios[p.speaksRow], "n", float64(len(ratios)), "centre", centre)
	if !math.IsNaN(scale) {
		f.Figures = append(f.Figures, figures("scale", scale)...)
	}
	return f
}

// species learns, places and judges, and gives the captures whose name is in
// doubt. Captures must be in order.
func species(captures []*record.Capture, flagged map[string]bool, in Inputs, s Settings, r *Result) map[*record.Capture]bool {
	var t Training
	for _, c := range captures {
		t.Add(c, flagged[c.ID], s)
	}
	for _, p := range in.Specimens {
		t.AddSpecimen(p, s)
	}
	r.Models = t.Models(s)
	byStage := map[string]*Model{}
	for _, m := range r.Models {
		byStage[m.Stage] = m
	}
	type placed struct {
		c *record.Capture
		p Placement
	}
	var all []placed
	for _, c := range captures {
		m := byStage[s.stageOf(c.Get("lifeStage"))]
		if m == nil {
			continue
		}
		if p, ok := m.Place(c); ok {
			all = append(all, placed{c, p})
			r.Placements = append(r.Placements, p)
		}
	}
	doubtful := map[*record.Capture]bool{}
	for _, a := range all {
		if fs := byStage[a.p.Stage].Judge(a.c, a.p, flagged[a.c.ID], len(all)); len(fs) > 0 {
			doubtful[a.c] = true
			r.Findings = append(r.Findings, fs...)
		}
	}
	r.Findings = append(r.Findings, declined(captures, byStage, &t, s)...)
	return doubtful
}

// comparison are the captures of one life stage that could be compared.
type comparison struct {
	at   record.Address // sheet of the first of them
	taxa map[string]bool
	n    int
}

func comparables(captures []*record.Capture, s Settings) map[string]*comparison {
	out := map[string]*comparison{}
	for _, c := range captures {
		name, _ := binomial(c)
		if e := exampleOf(c, s); name == "" || len(e.logs) < 2 {
			continue
		}
		a := c.Address()
		a.Row = 0
		stage := s.stageOf(c.Get("lifeStage"))
		g := out[stage]
		if g == nil {
			g = &comparison{at: a, taxa: map[string]bool{}}
			out[stage] = g
		}
		if a.Before(g.at) {
			g.at = a
		}
		g.taxa[name] = true
		g.n++
	}
	return out
}

// declined says for each life stage with two names or more, or with something
// to learn from, why captures were not compared or not with all names.
func declined(captures []*record.Capture, byStage map[string]*Model, t *Training, s Settings) []record.Finding {
	groups := comparables(captures, s)
	var out []record.Finding
	for _, stage := range slices.Sorted(maps.Keys(groups)) {
		g, m := groups[stage], byStage[stage]
		if m == nil {
			m = &Model{Stage: stage, settings: s}
			m.decline(t.unsure)
		}
		var reason string
		switch {
		case m.Missing != "" && (len(g.taxa) > 1 || len(m.examples) > 0):
			reason = "species not compared: " + m.Missing
		case m.Missing == "" && len(m.LeftTaxa) > 0:
			reason = fmt.Sprintf("compared only with %s; too few to learn from (%d wanted): %s",
				strings.Join(m.Taxa, ", "), m.least(), strings.Join(m.LeftTaxa, ", "))
		default:
			continue
		}
		out = append(out, record.Finding{Rule: "too-little-training", Level: record.Note, At: g.at, Field: "scientificName",
			Group: stage, Reason: reason + ". " + speciesCaution,
			Figures: figures("value", float64(len(m.examples)), "n", float64(g.n), "threshold", float64(m.least()))})
	}
	return out
}
