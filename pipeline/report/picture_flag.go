package report

import (
	"slices"
	"strings"

	"spadefoot/pipeline/record"
	"spadefoot/pipeline/report/plot"
	"spadefoot/schemas"
)

// flag says that an entry doubts something of a capture.
type flag struct {
	of     *entry
	field  string    // a term or measurement; "" for none
	at     rowColumn // a cell; zero for none
	whole  bool      // the animal as a whole
	chosen bool      // the entry's choice of a capture to be drawn
}

// maxChosen bounds the captures of an entry of a large survey that a picture
// shows. So many are kept whether or not they are in the sample.
const maxChosen = 4

// take notes for every capture that a finding is about what the entry doubts,
// and returns the captures.
func (e *entry) take(finding *record.Finding, own *owners) []*sketch {
	var concerned []*sketch
	note := func(s *sketch, f flag) {
		f.of = e
		if len(s.flags) == 0 || s.flags[len(s.flags)-1] != f {
			s.flags = append(s.flags, f)
		}
	}
	for a := range cellsIn(finding) {
		s := own.of(a)
		if s == nil {
			continue
		}
		concerned = append(concerned, s)
		if a.Column > 0 {
			note(s, flag{at: rowColumn{int32(a.Row), int32(a.Column)}})
		}
	}
	if s := own.named(finding.Capture); s != nil && len(concerned) == 0 {
		concerned = append(concerned, s)
	}
	screened := schemas.RuleOf()[finding.Rule].Stage == "screen"
	for _, s := range concerned {
		switch {
		case finding.Field != "":
			note(s, flag{field: own.all.fieldName(finding.Field)})
		case finding.At.Column == 0 && screened:
			note(s, flag{whole: true})
		}
	}
	return concerned
}

// fieldName returns the gatherer's own copy of a term, measurement or heading.
func (g *Gatherer) fieldName(name string) string {
	return g.fields.All[numbered(&g.fields, name)]
}

// chosen reports whether an entry that may be shown chose the capture.
func (s *sketch) chosen() bool {
	return slices.ContainsFunc(s.flags, func(f flag) bool { return f.chosen && !f.of.now().dropped })
}

// choose lets the entry have a capture drawn, if it has not got enough.
func (e *entry) choose(s *sketch) bool {
	if len(s.flags) == 0 || e.chosen >= maxChosen {
		return false
	}
	if last := &s.flags[len(s.flags)-1]; last.of == e && !last.chosen {
		last.chosen = true
		e.chosen++
	}
	return true
}

// least returns the first entry of several: the lowest number, then unshown,
// then none.
func least(a, b int) int {
	switch {
	case a == 0 || a == plot.Unshown && b > 0:
		return b
	case b > 0 && b < a:
		return b
	}
	return a
}

// doubts returns the first entry whose flag on a capture is one of these.
func (s *sketch) doubts(is func(*flag) bool) int {
	no := 0
	for i := range s.flags {
		if f := &s.flags[i]; is(f) {
			no = least(no, f.of.number())
		}
	}
	return no
}

// cellNo is the entry that doubts a cell of a capture: its number, 0 for none,
// or unshown.
func (s *sketch) cellNo(at rowColumn) int {
	if at.column == 0 {
		return 0
	}
	return s.doubts(func(f *flag) bool { return f.at == at })
}

// fieldNo is the entry that doubts a term or measurement of a capture, whose
// value is in a cell.
func (s *sketch) fieldNo(field string, at rowColumn) int {
	return s.doubts(func(f *flag) bool { return f.field == field || at.column > 0 && f.at == at })
}

// doubtedIn reports whether any entry doubts a term.
func (s *sketch) doubtedIn(field string, at rowColumn) bool { return s.fieldNo(field, at) != 0 }

// wholeNo is the entry that doubts the animal as a whole.
func (s *sketch) wholeNo() int { return s.doubts(func(f *flag) bool { return f.whole }) }

// Names of the masses of a weighing.
const (
	bodyMass  = "bodyMass"
	bagMass   = "bagMass"
	grossMass = "grossMass"
)

// readingNo is the entry that doubts a reading, or for the mass of the animal
// one of the readings behind it. An animal is judged as a whole by its lengths
// and its mass.
func (g *Gatherer) readingNo(s *sketch, r *reading) int {
	if len(s.flags) == 0 {
		return 0
	}
	m := g.measured[r.measure]
	sized := m.Kind == "length" || m.Kind == "mass"
	no := s.doubts(func(f *flag) bool {
		return r.at.column > 0 && f.at == r.at || f.field != "" && f.field == m.name || sized && f.whole
	})
	if m.name != bodyMass || !s.weighed {
		return no
	}
	no = least(no, least(s.fieldNo(grossMass, rowColumn{}), s.fieldNo(bagMass, rowColumn{})))
	for _, at := range s.masses {
		no = least(no, s.cellNo(at))
	}
	return no
}

// shortener abbreviates the genus of a name where no other name of the survey
// would look the same.
type shortener map[string]string

func shortenerOf(taxa map[string]*taxon) shortener {
	short := shortener{}
	users := map[string]int{}
	for name := range taxa {
		short[name] = abbreviate(name)
		users[short[name]]++
	}
	for name, s := range short {
		if users[s] > 1 {
			short[name] = name
		}
	}
	return short
}

// of is the short form of a name. One that was not counted stays as it is.
func (s shortener) of(name string) string {
	if short, there := s[name]; there {
		return short
	}
	return name
}

func abbreviate(name string) string {
	genus, rest, ok := strings.Cut(name, " ")
	if !ok || len(genus) < 3 || !strings.HasPrefix(record.Capital(genus), genus) {
		return name
	}
	for _, r := range genus {
		return string(r) + ". " + rest
	}
	return name
}
