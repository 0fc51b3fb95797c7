package screen

import (
	"fmt"
	"maps"
	"slices"
	"strings"

	"spadefoot/pipeline/record"
	"spadefoot/pipeline/record/digest"
	"spadefoot/pipeline/record/sorting"
)

// onTwoDays are captures of one mark on a certain day that are hardly of the animals
// that bore them on another: where they are many among all that were read on both,
// the marks were handed out again, which is one cause and one finding.
type onTwoDays struct {
	days     [2]string
	others   int                               // that are of another kind, or otherwise certainly of another animal
	captures map[record.Address]record.Address // of the later day, with the cells of their marks
	first    record.Address                    // of these cells
}

const (
	minReused = 5       // pairs of captures
	minOthers = 3       // of them that are not a matter of size or sex alone
	maxReused = 1.0 / 3 // share of the pairs of the two days beyond which slips do not go
)

// daysOf identifies the days of two captures of one mark, 0 where
// either is not certain.
func daysOf(a, b string) uint64 {
	if len(a) < 10 || len(b) < 10 {
		return 0
	}
	return digest.Spread(hash(a[:10])) + hash(b[:10])
}

// Doubt is Follow before any pair is reported: it takes note of what contradicts, by the
// days of the two captures, and of what both are doubted for.
func (m *Marks) Doubt(a, b *record.Capture) []record.Finding {
	fs := m.j.follow(b.Get("organismID"), a, b)
	first, second := a.Get("eventDate"), b.Get("eventDate")
	days := daysOf(first, second)
	if days == 0 || first[:10] == second[:10] {
		return fs
	}
	if !warns(fs) {
		m.addAgreeing(a, b)
		return fs
	}
	if m.doubted == nil {
		m.doubted = map[uint64]*onTwoDays{}
	}
	d := m.doubted[days]
	if d == nil {
		d = &onTwoDays{days: [2]string{strings.Clone(first[:10]), strings.Clone(second[:10])}, captures: map[record.Address]record.Address{}}
		m.doubted[days] = d
	}
	at := b.Address()
	if v := b.Value("organismID"); v != nil && v.From().File != "" {
		at = v.From()
	}
	if _, there := d.captures[b.Address()]; !there && slices.ContainsFunc(fs, func(f record.Finding) bool { return f.Rule == "recapture-species" || f.Rule == "mark-reused" }) {
		d.others++
	}
	at = at.Clone()
	if len(d.captures) == 0 || at.Compare(d.first) < 0 {
		d.first = at
	}
	d.captures[b.Address().Clone()] = at
	return fs
}

func warns(fs []record.Finding) bool {
	return slices.ContainsFunc(fs, func(f record.Finding) bool { return f.Level >= record.Warning })
}

// reused returns what is reported in place of the findings on two captures whose marks
// were handed out again between their days: at the first of them one finding, at the
// others nothing.
func (m *Marks) reused(a, b *record.Capture) (fs []record.Finding, some bool) {
	days := daysOf(a.Get("eventDate"), b.Get("eventDate"))
	d := m.doubted[days]
	if d == nil || len(m.j.days) >= maxMarks {
		return nil, false
	}
	own, doubted := d.captures[b.Address()]
	n, of := len(d.captures), m.j.days[days]
	if !doubted || n < minReused || d.others < minOthers || float64(n) < maxReused*float64(of) {
		return nil, false
	}
	if own != d.first {
		return nil, true
	}
	cells := slices.Collect(maps.Values(d.captures))
	sorting.Func(cells, record.Address.Compare)
	return []record.Finding{{Rule: "marks-begin-anew", Level: record.Warning, At: own, Also: cells[1:], Capture: b.Key, Field: "organismID", Value: b.Get("organismID"),
		Group:   "captures of one mark",
		Figures: []record.Figure{{Name: "n", Value: float64(of)}, {Name: "value", Value: float64(n)}},
		Reason: fmt.Sprintf("of %d marks read on %s and next on %s, %d are hardly the same animals (different kind, sex or size): these marks seem to have been used again. The first: %s",
			of, d.days[0], d.days[1], n, m.j.follow(b.Get("organismID"), a, b)[0].Reason)}}, true
}
