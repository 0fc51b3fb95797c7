package mapping

import (
	"slices"
	"strconv"
	"strings"

	"spadefoot/pipeline/place"
	"spadefoot/pipeline/quantity"
	"spadefoot/pipeline/record"
	"spadefoot/pipeline/record/pattern"
)

// match says which heading of the mapping a column has, and whether its name
// is in the mapping as it is written, unit and all.
type match struct {
	entry int
	full  bool
}

// findColumn tries the whole heading, then the lowest of several heading rows.
func (m *Mapping) findColumn(c *record.Column, known Known) (record.Meaning, match, bool) {
	if meaning, how, ok := m.find(c.Heading, known); ok {
		return meaning, how, true
	}
	if meaning, how, ok := m.findNumbered(c, known); ok {
		return meaning, how, true
	}
	if len(c.Parts) > 1 {
		for i := len(c.Parts) - 1; i >= 0; i-- {
			if text := strings.TrimSpace(c.Parts[i]); text != "" {
				meaning, how, ok := m.find(text, known)
				how.full = false
				return meaning, how, ok
			}
		}
	}
	return record.Meaning{}, match{}, false
}

// replicateNumber is what is under a merged heading for each replicate.
var replicateNumber = pattern.Of(`^#?([1-9])(?:st|nd|rd|th|[.)])?$`)

// findNumbered takes a number under a merged heading for the replicate of the
// measurement that the heading means: 1, 2 and 3 under SVL.
func (m *Mapping) findNumbered(c *record.Column, known Known) (record.Meaning, match, bool) {
	if len(c.Parts) < 2 {
		return record.Meaning{}, match{}, false
	}
	last := strings.TrimSpace(c.Parts[len(c.Parts)-1])
	g := replicateNumber().FindStringSubmatch(last)
	if g == nil {
		return record.Meaning{}, match{}, false
	}
	meaning, how, ok := m.find(strings.TrimSpace(strings.TrimSuffix(c.Heading, last)), known)
	if !ok || meaning.Role != record.Measurement || meaning.Replicate != 0 {
		return record.Meaning{}, match{}, false
	}
	meaning.Replicate, _ = strconv.Atoi(g[1])
	how.full = false
	return meaning, how, true
}

// find matches by name, then by name without the unit, then by pattern.
func (m *Mapping) find(heading string, known Known) (record.Meaning, match, bool) {
	full := Fold(heading)
	bare := full
	if known.HeadingParts != nil {
		if _, rest, ok := known.HeadingParts(heading); ok {
			bare = Fold(rest)
		}
	}
	for k, name := range []string{full, bare} {
		if name == "" {
			continue
		}
		for i := range m.Headings {
			if slices.Contains(m.Headings[i].names, name) {
				return m.Headings[i].Meaning(), match{entry: i, full: k == 0}, true
			}
		}
	}
	for i := range m.Headings {
		h := &m.Headings[i]
		if h.pattern == nil {
			continue
		}
		g := h.pattern.FindStringSubmatch(strings.TrimSpace(heading))
		if g == nil {
			continue
		}
		meaning := h.Meaning()
		if at := h.pattern.SubexpIndex("replicate"); at > 0 && meaning.Role == record.Measurement {
			if n, _ := strconv.Atoi(g[at]); n > 0 {
				meaning.Replicate = n
			}
		}
		h.observed(&meaning, g)
		return meaning, match{entry: i}, true
	}
	return record.Meaning{}, match{}, false
}

// Meaning is what the mapping says of a heading.
func (h *Heading) Meaning() record.Meaning {
	m := record.Meaning{Unit: h.Unit, Guessed: h.UnitGuessed, Instrument: h.Instrument, Decimal: h.Decimal, DateOrder: h.DateOrder, Compass: h.Compass, Angle: h.Angle, Vocabulary: h.Words}
	if h.CarryDown != nil {
		m.CarryDown = *h.CarryDown
	}
	if h.ZeroMissing != nil {
		m.ZeroMissing = *h.ZeroMissing
	}
	switch {
	case h.Term != "":
		m.Role, m.Term = record.Term, h.Term
	case h.Measurement != "":
		m.Role, m.Measurement, m.Side, m.Replicate, m.Observer = record.Measurement, h.Measurement, h.Side, h.Replicate, h.Observer
	case h.Weighing != "":
		m.Role, m.Part = record.WeighPart, h.Weighing
	case h.Long != "":
		m.Role = record.LongColumn(h.Long)
	default:
		m.Role, m.Reason = record.SetAside, h.Aside
	}
	return m
}

// inherit fills what the heading leaves open: the unit that is written in the
// heading, in the unit row or above the table, then that of the weighing, then from the vocabulary, which
// is a guess.
func (m *Mapping) inherit(meaning *record.Meaning, c *record.Column, known Known, written string) {
	if meaning.Decimal == "" {
		meaning.Decimal = m.Decimal
	}
	if meaning.DateOrder == "" {
		meaning.DateOrder = m.DateOrder
	}
	if meaning.Compass == "" {
		meaning.Compass = compassOf(c.Heading, meaning.Term)
	}
	if axisOf(meaning.Term) != "" || meaning.Term == "verbatimCoordinates" {
		meaning.Zone, _ = place.HeadingZone(c.Heading)
	}
	meaning.ZeroMissing = meaning.ZeroMissing || (m.ZeroMissing && meaning.Role != record.Term)
	if meaning.Role == record.Term && meaning.Vocabulary == nil {
		meaning.Vocabulary = m.Words[meaning.Term]
	}
	if meaning.Unit == "" && (strings.HasSuffix(meaning.Term, "InMeters") || meaning.Term == "verbatimElevation" || meaning.Term == "verbatimDepth") {
		meaning.Unit = written
	}
	if meaning.Role != record.Measurement && meaning.Role != record.WeighPart {
		return
	}
	if written != "" && (meaning.Unit == "" || meaning.Guessed) {
		meaning.Unit, meaning.Guessed = written, false
	}
	if meaning.Role == record.WeighPart {
		if meaning.Unit == "" {
			meaning.Unit = m.Weighing.Unit
		}
		if meaning.Instrument == "" {
			meaning.Instrument = m.Weighing.Scale
		}
		if meaning.Unit == "" && meaning.IsMass() {
			meaning.Unit, meaning.Guessed = "g", true
		}
		return
	}
	if meaning.Unit == "" && known.UnitOf != nil {
		meaning.Unit = known.UnitOf(meaning.Measurement)
		meaning.Guessed = !quantity.Implied(meaning.Unit)
	}
}

// headingUnit is the unit that a heading or the unit row under it gives, or "".
func headingUnit(c *record.Column, known Known) string {
	if known.HeadingParts == nil {
		return ""
	}
	texts := []string{c.Heading}
	if unit := strings.Trim(c.Unit, " ()[]"); unit != "" {
		texts = append(texts, c.Heading+" ("+unit+")")
	}
	for _, text := range texts {
		if u, _, ok := known.HeadingParts(text); ok {
			return u
		}
	}
	return ""
}

// Matcher tells whether a text is a heading of the mapping, so that the layout
// stage can look for heading rows without knowing what they mean.
func (m *Mapping) Matcher(known Known) func(text string) bool {
	names := map[string]bool{}
	for i := range m.Headings {
		for _, n := range m.Headings[i].names {
			names[n] = true
		}
	}
	return func(text string) bool {
		k := Fold(text)
		if k == "" {
			return false
		}
		if names[k] {
			return true
		}
		_, _, ok := m.find(text, known)
		return ok
	}
}

// Meaning tells whether a text is a heading of the mapping that means a term.
func (m *Mapping) Meaning(known Known, term string) func(text string) bool {
	return func(text string) bool {
		if Fold(text) == "" {
			return false
		}
		meaning, _, ok := m.find(text, known)
		return ok && meaning.Term == term
	}
}

// KeepsBlank tells whether the mapping says of a heading that a blank under it
// means nothing, so that the layout stage fills none from above.
func (m *Mapping) KeepsBlank(known Known) func(heading string) bool {
	return func(heading string) bool {
		_, how, ok := m.find(heading, known)
		if !ok {
			return false
		}
		carry := m.Headings[how.entry].CarryDown
		return carry != nil && !*carry
	}
}
