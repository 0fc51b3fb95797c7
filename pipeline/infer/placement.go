package infer

import (
	"math"
	"slices"
	"strings"

	"spadefoot/pipeline/statistics"
)

// Placement is where the shape of one capture is among the species.
type Placement struct {
	Capture  string // ID
	Recorded string // "Genus epithet", "" if not named to the species
	Stage    string
	Taxa     []string
	// Posterior of each taxon; the prior gives the recorded name 1-NameDoubt
	// and shares the rest out.
	Posterior  []float64
	Typicality []float64 // of each taxon
	Distance   []float64 // squared Mahalanobis distance of each taxon
	Best       int       // taxon of the highest posterior
	// Measurements that the capture has of those compared.
	Measurements []string
	Speaks       string // what speaks most for Best against the recorded name, or the next best
	SpeaksField  string // the measurement of it, "" for overall size

	speaksRow int
	f         *fitted
	x         []float64
	ratios    []float64
}

// place places an example by a fit that has not seen it. It is false where the
// capture has fewer than two of the measurements, or too few examples share
// them.
func (m *Model) place(e *example, recorded string) (Placement, bool) {
	f, names := m.fitFor(e)
	if f == nil {
		return Placement{}, false
	}
	d := f.d
	x := f.shaping.columns(e.logs)
	if class, ok := f.class[e.n]; ok {
		var err error
		if d, err = d.Without(x, int(class)); err != nil {
			return Placement{}, false
		}
	}
	pl, err := d.Place(x)
	if err != nil {
		return Placement{}, false
	}
	p := Placement{Recorded: recorded, Stage: m.Stage, Taxa: m.Taxa, Typicality: pl.Typicality,
		Distance: pl.Distance, Measurements: names, f: f, x: x, ratios: f.shaping.ratios(e.logs)}
	at := slices.Index(m.Taxa, recorded)
	p.Posterior = statistics.Posteriors(pl.LogLikelihood, m.priorsFor(at))
	for g := range p.Posterior {
		if math.IsNaN(p.Posterior[g]) {
			return Placement{}, false
		}
		if p.Posterior[g] > p.Posterior[p.Best] {
			p.Best = g
		}
	}
	p.speak(d, at)
	return p, true
}

// priorsFor returns the priors with the weight of a recorded name.
func (m *Model) priorsFor(recorded int) []float64 {
	base := m.inFull.d.Priors()
	if recorded < 0 {
		return base
	}
	rest := 1 - base[recorded]
	for g := range base {
		switch {
		case g == recorded:
			base[g] = 1 - m.settings.NameDoubt
		case rest > 0:
			base[g] *= m.settings.NameDoubt / rest
		}
	}
	return base
}

// speak finds what speaks most for the best taxon against the recorded one, or
// against the next best where the best is the recorded.
func (p *Placement) speak(d *statistics.Discriminant, recorded int) {
	against := recorded
	if against < 0 || against == p.Best {
		against = -1
		for g := range p.Posterior {
			if g != p.Best && (against < 0 || p.Posterior[g] > p.Posterior[against]) {
				against = g
			}
		}
	}
	parts := d.Contribution(p.x, p.Best, against, p.f.shaping.frame)
	p.setSpeaks(parts)
}

func (p *Placement) setSpeaks(parts []float64) {
	row := 0
	for r, v := range parts {
		if v > parts[row] {
			row = r
		}
	}
	p.speaksRow = row
	p.Speaks, p.SpeaksField = p.f.shaping.label(row), p.f.shaping.measurement(row)
}

// fitFor returns the fit on those of the model's measurements that the example
// has: the full one, or one on fewer, which is kept.
func (m *Model) fitFor(e *example) (*fitted, []string) {
	if e.logs.has(m.Measurements) {
		return m.inFull, m.Measurements
	}
	var names []string
	for _, n := range m.Measurements {
		if _, ok := e.logs.of(n); ok {
			names = append(names, n)
		}
	}
	return m.fitOn(names), names
}

// fitOn returns the fit on some of the measurements, in their order, or nil.
func (m *Model) fitOn(names []string) *fitted {
	switch {
	case len(names) == len(m.Measurements):
		return m.inFull
	case len(names) < 2:
		return nil
	}
	key := strings.Join(names, "|")
	if f, ok := m.fits.Load(key); ok {
		return f.(*fitted)
	}
	f, err := m.fit(names)
	if err != nil {
		f = nil
	}
	m.fits.Store(key, f)
	return f
}

// other reports whether the placement names another taxon than the recorded,
// and one that is typical at the cut.
func (p *Placement) other(s Settings, cut float64) bool {
	return p.Recorded != "" && p.Taxa[p.Best] != p.Recorded && slices.Contains(p.Taxa, p.Recorded) &&
		p.Posterior[p.Best] >= s.OtherPosterior && p.Typicality[p.Best] >= cut
}

// none reports whether no taxon is typical at the cut.
func (p *Placement) none(cut float64) bool {
	return slices.Contains(p.Taxa, p.Recorded) && slices.Max(p.Typicality) < cut
}

// cutFor shares the level of a false "none" over n captures.
func (s *Settings) cutFor(n int) float64 {
	return -math.Expm1(math.Log1p(-s.NoneLevel) / float64(max(n, 1)))
}

// setAside puts aside trusted examples that look like another or like none, and
// reports whether there were new ones.
func (m *Model) setAside() bool {
	cut := m.settings.cutFor(len(m.examples))
	var found []int32
	for i := range m.examples {
		e := &m.examples[i]
		if m.aside[e.n] || e.n < 0 {
			continue
		}
		if p, ok := m.place(e, e.taxon); ok && (p.other(m.settings, cut) || p.none(cut)) {
			found = append(found, e.n)
		}
	}
	for _, n := range found {
		m.aside[n] = true
	}
	return len(found) > 0
}
