package forms

import (
	"cmp"
	"errors"
	"fmt"
	"slices"
	"strconv"

	"spadefoot/pipeline/quantity"
	"spadefoot/pipeline/record"
	"spadefoot/pipeline/vocabulary"
)

// usualSessions is how many tabs there are to type into.
const usualSessions = 4

// maxSessions and maxReplicates keep a form handy.
const (
	maxSessions   = 60
	maxReplicates = 9
)

// New plans a form. It fails where nothing is left to write down, and for
// numbers of sessions or replicates that make no form.
func New(s Source) (*Form, error) {
	s.Sessions = cmp.Or(s.Sessions, usualSessions)
	switch {
	case s.Sessions < 1 || s.Sessions > maxSessions:
		return nil, fmt.Errorf("%d sessions: a form has 1 to %d", s.Sessions, maxSessions)
	case s.Replicates < 0 || s.Replicates > maxReplicates:
		return nil, fmt.Errorf("%d replicates: a form has 1 to %d", s.Replicates, maxReplicates)
	}
	if len(s.Key) == 0 {
		s.Key = []string{"recordNumber"}
	}
	p := planner{form: &Form{Source: s}, seen: map[string]bool{}}
	for _, e := range s.Entries {
		p.entry(e)
	}
	if !slices.ContainsFunc(p.form.Columns, func(c Column) bool { return c.Meaning.Role != record.SetAside }) {
		return nil, errors.New("the mapping has no heading that a form could carry")
	}
	p.named()
	p.bag()
	return p.form, nil
}

// planner settles the columns one after the other.
type planner struct {
	form *Form
	seen map[string]bool // what a column means already
}

// entry adds the columns of one heading of the mapping.
func (p *planner) entry(e Entry) {
	heading := cmp.Or(e.Heading, nameOf(e.Meaning))
	if heading == "" {
		return // set aside by a pattern: nobody has to write it
	}
	if len(e.Observers) > 0 && e.Meaning.Role == record.Measurement {
		for _, o := range e.Observers {
			m := e.Meaning
			m.Observer = o.Means
			p.repeat(heading+" "+o.Text, e.Repeats, m)
		}
		return
	}
	p.repeat(heading, e.Repeats, e.Meaning)
}

// repeat adds one column, or one for each replicate.
func (p *planner) repeat(heading string, pattern bool, m record.Meaning) {
	n := p.form.Replicates
	if pattern && n == 0 {
		n = 2
	}
	if m.Role != record.Measurement || m.Replicate > 0 || n < 2 || !pattern && quantity.Dimension(unitOf(m)) != "length" {
		p.add(heading, m)
		return
	}
	bare := heading
	if _, rest, ok := quantity.HeadingUnit(heading); ok {
		bare = rest
	}
	for i := 1; i <= n; i++ {
		one := m
		one.Replicate = i
		p.add(bare+" "+strconv.Itoa(i), one)
	}
}

// nameOf makes a heading for a meaning that the mapping only knows by a pattern.
func nameOf(m record.Meaning) string {
	switch m.Role {
	case record.Term:
		return hintOf(m.Term).Label
	case record.Measurement:
		if v, ok := vocabulary.FindMeasurement(m.Measurement); ok && len(v.Abbreviations) > 0 {
			return v.Abbreviations[0]
		}
		return spaced(m.Measurement)
	case record.WeighPart:
		return partNames[m.Part]
	case record.NameColumn:
		return "Measurement"
	case record.ValueColumn:
		return "Value"
	case record.UnitColumn:
		return "Unit"
	}
	return ""
}

var partNames = map[string]string{record.Gross: "Gross", record.Tare: "Bag", record.Net: "Net", record.Bag: "Bag No", record.Scale: "Scale"}

// unitOf is the unit that a column is written in.
func unitOf(m record.Meaning) string {
	if m.Unit != "" || m.Role != record.Measurement {
		return m.Unit
	}
	v, _ := vocabulary.FindMeasurement(m.Measurement)
	return v.Unit
}

// add settles one column, unless another means the same.
func (p *planner) add(heading string, m record.Meaning) {
	key := meaningKey(heading, m)
	if p.seen[key] {
		return
	}
	p.seen[key] = true
	c := Column{Heading: heading, Name: heading, Meaning: m}
	switch m.Role {
	case record.Term:
		p.term(&c)
	case record.Measurement:
		p.measured(&c)
	case record.WeighPart:
		p.part(&c)
	case record.SetAside:
		c.Label, c.Says, c.Width = "set aside", "For the team only; not published: "+m.Reason, 14
	default:
		c.Label, c.Says, c.Width, c.Ideal, c.Grow = "one measurement in each row", longSays[m.Role], 16, 24, 1
	}
	p.form.Columns = append(p.form.Columns, c)
}

var longSays = map[record.Role]string{
	record.NameColumn:  "Name or usual abbreviation of the measurement.",
	record.ValueColumn: "The value read.",
	record.UnitColumn:  "Unit of the value beside it.",
}

// meaningKey tells columns apart that may be on one form: a term once,
// except that texts may come together from several headings.
func meaningKey(heading string, m record.Meaning) string {
	switch m.Role {
	case record.Term:
		if listTerms[m.Term] {
			return fmt.Sprintf("term %s %s", m.Term, heading)
		}
		return "term " + m.Term
	case record.Measurement:
		return fmt.Sprintf("measurement %s %q %s %d", m.Measurement, m.Observer, m.Side, m.Replicate)
	case record.WeighPart:
		return "part " + m.Part
	case record.SetAside:
		return "aside " + heading
	}
	return fmt.Sprintf("long %d", m.Role)
}

// listTerms may be filled from several columns, whose texts are joined.
var listTerms = map[string]bool{"occurrenceRemarks": true, "eventRemarks": true, "fieldNotes": true, "locationRemarks": true,
	"habitat": true, "behavior": true, "organismRemarks": true, "otherCatalogNumbers": true, "associatedMedia": true}

// Terms of which one at least says when and where a capture was made.
var (
	dayTerms   = []string{"eventDate", "verbatimEventDate", "year", "day", "startDayOfYear"}
	placeTerms = []string{"locality", "verbatimLocality", "locationID", "decimalLatitude", "verbatimLatitude", "verbatimCoordinates", "footprintWKT"}
)

// named adds the terms that name a capture or its session, the day and the
// place, where nothing gives them yet.
func (p *planner) named() {
	wanted := slices.Concat(p.form.Key, p.form.Source.Session)
	given := func(term string) bool { return p.has(term) || slices.Contains(p.form.Defaults, term) }
	for _, terms := range [][]string{dayTerms, placeTerms} {
		if !slices.ContainsFunc(terms, given) && !slices.ContainsFunc(terms, func(t string) bool { return slices.Contains(wanted, t) }) {
			wanted = append(wanted, terms[0])
		}
	}
	var first []Column
	own := p.form.Columns
	for _, term := range wanted {
		if given(term) {
			continue
		}
		p.form.Columns = nil
		p.add(hintOf(term).Label, record.Meaning{Role: record.Term, Term: term})
		first = append(first, p.form.Columns...)
	}
	p.form.Columns = append(first, own...)
}

func (p *planner) has(term string) bool { return p.seen["term "+term] }

// bag adds a column for the empty bag where one tare holds for a whole
// session: the bag of a new session is weighed anew.
func (p *planner) bag() {
	if p.form.Weighing.Way != record.SessionTare || p.seen["part "+record.Tare] {
		return
	}
	at := slices.IndexFunc(p.form.Columns, func(c Column) bool { return c.Meaning.Part == record.Gross })
	if at < 0 {
		return
	}
	own := slices.Clone(p.form.Columns)
	p.form.Columns = nil
	p.add(partNames[record.Tare], record.Meaning{Role: record.WeighPart, Part: record.Tare, Unit: own[at].Meaning.Unit})
	p.form.Columns = slices.Insert(own, at+1, p.form.Columns...)
}
