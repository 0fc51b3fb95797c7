package darwincore

import (
	"slices"
	"strings"

	"github.com/google/uuid"

	"spadefoot/pipeline/record"
)

// remarkSeparator joins several texts in one cell, as Darwin Core recommends
// for lists.
const remarkSeparator = " | "

// verbatimTerms are the terms that keep the text of a cell beside the value
// that was read from it.
var verbatimTerms = map[string]string{
	"eventDate":                "verbatimEventDate",
	"scientificName":           "verbatimIdentification",
	"locality":                 "verbatimLocality",
	"decimalLatitude":          "verbatimLatitude",
	"decimalLongitude":         "verbatimLongitude",
	"geodeticDatum":            "verbatimSRS",
	"taxonRank":                "verbatimTaxonRank",
	"minimumElevationInMeters": "verbatimElevation",
	"minimumDepthInMeters":     "verbatimDepth",
}

// Occurrence makes the row of the core, in memory of its own.
func (m *RowBuilder) Occurrence(c *record.Capture) Row {
	s := m.borrow()
	defer m.giveBack(s)
	return s.Occurrence(c).Row()
}

// slotsOf are the slots that the row of a capture is filled in by name.
type slotsOf struct {
	occurrence, country, code, event, parent, remarks, dynamic, media, count, quantity int
}

// Occurrence makes the row of the core. A term of the capture wins over the
// defaults of the dataset, and those over what is true of every capture: that
// the animal was present, and was observed by a person.
func (s *RowWriter) Occurrence(c *record.Capture) *Line { return s.occurrence(c, s.read(c)) }

func (s *RowWriter) occurrence(c *record.Capture, published []*record.Reading) *Line {
	d, at, l := &s.builder.dataset, &s.builder.at, &s.line
	l.clear()
	s.made, s.spans, s.left = s.made[:0], s.spans[:0], marks{}
	l.texts[at.occurrence] = s.identity(c)
	l.has.add(at.occurrence)
	s.dynamic.begin(s.found[foundDynamic], c.Extras)
	s.values(c)
	for i := range s.builder.same {
		if f := &s.builder.same[i]; !l.has.has(f.slot) && !s.left.has(f.slot) {
			l.texts[f.slot] = f.text
			l.has.add(f.slot)
			l.same.add(f.slot)
			l.fixed.add(f.slot)
		}
	}
	if !l.has.has(at.country) && !l.has.has(at.code) { // a row that names one may lie in another country
		s.setFixed(at.country, d.Country)
		s.setFixed(at.code, d.CountryCode)
	}
	if c.Session != "" && !l.has.has(at.event) {
		if s.builder.judged {
			l.set(at.event, "event")
		} else {
			l.set(at.event, s.session.event(s.builder.space, c.Session))
		}
		if !l.has.has(at.parent) {
			s.setFixed(at.parent, s.builder.survey)
		}
	}
	if len(published) > 0 && !s.absent() && !l.has.has(at.count) && !l.has.has(at.quantity) && !c.CountUnread() {
		l.set(at.count, "1") // what is measured in a row is one animal
	}
	s.remarks(c)
	s.dynamic.readings(published, c.Weighing)
	if from := len(s.made); s.builder.judged && len(s.dynamic.all) > 0 {
		s.put(at.dynamic, "properties")
	} else {
		s.made = s.dynamic.appendJSON(s.made)
		s.keep(at.dynamic, from)
	}
	s.place()
	return l
}

// setFixed sets what is the same for every row that does not say otherwise.
func (s *RowWriter) setFixed(slot int, text string) {
	s.line.set(slot, text)
	s.line.fixed.add(slot)
}

// values takes over the terms of a capture.
func (s *RowWriter) values(c *record.Capture) {
	for i := range c.Values {
		v := &c.Values[i]
		switch m := s.means[i]; {
		case v.Undecided != "":
			s.leaveOut(c.Values[:i], v, m)
		case m.way == intoRow:
			s.line.set(m.slot, v.Text)
			if v.Verbatim == "" && s.builder.fixedSlots.has(m.slot) && trimmed(v.Text) == s.builder.fixed[m.slot].text {
				s.line.fixed.add(m.slot) // a default that normalising gave to each capture
			}
			s.keepVerbatim(c, m.slot, v)
		case m.way == intoProperties:
			s.dynamic.put(v.Term, v.Text)
			s.dynamic.put(v.Term, v.Verbatim)
		case m.way == leftOut:
			s.ofMeasurements(m, v)
		}
	}
}

// ofMeasurements keeps what a cell says of the measurements and none of their
// rows does.
func (s *RowWriter) ofMeasurements(m *meaning, v *record.Value) {
	if m.term == "occurrenceID" || m.term == "dynamicProperties" || v.Verbatim == "" {
		return
	}
	told := (m.found == foundDeterminer || m.found == foundDetermined) && s.found[m.found] == v &&
		slices.ContainsFunc(s.readings, func(r *record.Reading) bool {
			return taken(r) && (m.found == foundDetermined || r.Observer == "")
		})
	if !told {
		s.dynamic.put(v.Term, v.Text)
	}
	if !told || strings.TrimSpace(v.Verbatim) != strings.TrimSpace(v.Text) {
		s.dynamic.put(v.Term, v.Verbatim)
	}
}

// taken reports whether a reading has a row of its own.
func taken(r *record.Reading) bool {
	return r.Undecided == "" && r.State != record.Missing && r.State != record.Unread
}

// leaveOut keeps a value that nobody decided on out of its column, and no
// default takes its place. What was written goes under "undecided", once
// where several terms were read from the cell.
func (s *RowWriter) leaveOut(before []record.Value, v *record.Value, m *meaning) {
	if m.way == intoRow {
		s.left.add(m.slot)
	}
	same := func(o record.Value) bool {
		return o.Undecided != "" && o.From() == v.From() && o.Verbatim == v.Verbatim
	}
	if written := strings.TrimSpace(v.Verbatim); written != "" && !slices.ContainsFunc(before, same) {
		s.dynamic.nest(undecidedGroup, v.Term, written)
	}
}

// keepVerbatim puts what was written beside a value that reads otherwise.
func (s *RowWriter) keepVerbatim(c *record.Capture, slot int, v *record.Value) {
	if v.Verbatim == "" || v.Verbatim == v.Text {
		return
	}
	written := trimmed(v.Verbatim)
	if written == "" || written == trimmed(v.Text) {
		return
	}
	table := s.line.table
	there := ""
	if beside := table.beside[slot]; beside >= 0 && !record.Null(written) {
		if there = c.Get(table.All[beside]); there == "" {
			s.line.set(beside, written)
			return
		}
	}
	if there != written {
		s.dynamic.nest(verbatimGroup, table.All[slot], written)
	}
}

// remarks joins the remarks of a capture, each once, in the order given.
func (s *RowWriter) remarks(c *record.Capture) {
	if len(c.Remarks) == 0 {
		return
	}
	slot := s.builder.at.remarks
	first := s.line.text(slot)
	from := len(s.made)
	s.made = append(s.made, first...)
	for i, text := range c.Remarks {
		text = strings.TrimSpace(text)
		if text == "" || text == first || slices.ContainsFunc(c.Remarks[:i], func(o string) bool { return strings.TrimSpace(o) == text }) {
			continue
		}
		if len(s.made) > from {
			s.made = append(s.made, remarkSeparator...)
		}
		s.made = append(s.made, text...)
	}
	s.keep(slot, from)
}

// keep notes that what was made from here on belongs into a slot.
func (s *RowWriter) keep(slot, from int) {
	if len(s.made) > from {
		s.spans = append(s.spans, span{slot, from, len(s.made)})
	}
}

// place puts the texts that were made into their slots.
func (s *RowWriter) place() {
	if len(s.spans) == 0 {
		return
	}
	all := string(s.made)
	for _, p := range s.spans {
		s.put(p.slot, all[p.from:p.to])
	}
}

// put puts a text into a slot that is this row's own.
func (s *RowWriter) put(slot int, text string) {
	s.line.set(slot, text)
	s.line.same[slot>>6] &^= 1 << (slot & 63)
	s.line.fixed[slot>>6] &^= 1 << (slot & 63)
}

func firstOf(texts ...string) string {
	for _, s := range texts {
		if strings.TrimSpace(s) != "" {
			return s
		}
	}
	return ""
}

// session remembers the identifier of the last session: those of one come
// one after the other.
type session struct {
	name []byte
	id   string
}

func (s *session) event(space uuid.UUID, name string) string {
	if s.id == "" || string(s.name) != name {
		s.name, s.id = append(s.name[:0], name...), eventIn(space, name)
	}
	return s.id
}
