package darwincore

import (
	"cmp"
	"slices"
	"strings"
	"sync"

	"spadefoot/pipeline/darwincore/terms"
	"spadefoot/pipeline/parallel"
	"spadefoot/pipeline/record"
)

// Names of what the core of an archive may be (Dataset.Core).
const (
	OccurrenceCore = "occurrence"
	EventCore      = "event"
)

// EventFile is the core of an archive of events.
const EventFile = "event.csv"

// events are the core of an archive of events: the survey, its sessions, and
// what all captures of a session agree on. A capture without a session belongs
// to the event of its day and place. A row of occurrences has only what its
// event does not say.
type events struct {
	known  map[string]*happening
	order  []*happening
	shapes map[string]*shape
	texts  map[string]string // those that many events have
	used   marks             // slots of the columns
}

// eventRow is what a line says of its event.
type eventRow struct {
	id, parent string
	fields     []slotText
}

// eventSlots are the terms that say something of an event rather than of an
// animal: those that Darwin Core organises under Event, Location and
// GeologicalContext, and what is the same for a whole dataset.
var eventSlots = sync.OnceValue(func() marks {
	var out marks
	for i, name := range slots().All {
		t, ok := terms.Lookup(name)
		switch {
		case !ok || name == "eventID" || name == "parentEventID":
		case t.Class == "Event" || t.Class == "Location" || t.Class == "GeologicalContext":
			out.add(i)
		}
	}
	for _, name := range []string{"language", "license", "rightsHolder", "accessRights", "bibliographicCitation", "institutionCode", "institutionID",
		"ownerInstitutionCode", "datasetID", "datasetName"} {
		out.add(must(name))
	}
	return out
})

// Gather learns what the captures of each event have in common. Where the core
// is of events it has to be called with all captures before the first of them
// is added, and else does nothing. Its memory grows with the events.
func (a *Archive) Gather(captures []*record.Capture) error {
	if a.events == nil {
		return nil
	}
	defer a.rest()
	return parallel.InOrder(slices.Values(captures), func(captures []*record.Capture) []eventRow {
		s := a.writer()
		defer a.resting(s)
		var out []eventRow
		for _, c := range captures {
			out = append(out, a.ofEvent(s.Occurrence(c)))
		}
		return out
	}, func(rows []eventRow) error {
		for _, row := range rows {
			a.events.see(row)
		}
		return nil
	})
}

// ofEvent copies what a line says of its event.
func (a *Archive) ofEvent(l *Line) eventRow {
	own := eventSlots()
	own.meet(&l.has)
	row := eventRow{id: a.eventID(l), parent: cmp.Or(l.text(a.builder.at.parent), a.builder.survey)}
	for _, i := range own.numbers() {
		row.fields = append(row.fields, slotText{strings.Clone(l.texts[i]), int32(i)})
	}
	return row
}

// eventID is the event that a line belongs to.
func (a *Archive) eventID(l *Line) string {
	return cmp.Or(l.text(a.builder.at.event), placeAndDay(&a.dataset, l))
}

func (e *events) see(row eventRow) {
	h := e.known[row.id]
	if h == nil {
		h = e.add(strings.Clone(row.id), e.once(row.parent))
	}
	h.gathered.see(row.fields, e.once)
}

// maxTexts bounds the texts of events that are held once; any other is held by each
// event that has it.
const maxTexts = 1 << 16

// once returns a text in memory that all events share.
func (e *events) once(text string) string {
	shared, known := e.texts[text]
	if !known {
		if shared = strings.Clone(text); len(e.texts) < maxTexts {
			e.texts[shared] = shared
		}
	}
	return shared
}

func (e *events) add(id, parent string) *happening {
	h := &happening{id: id, parent: parent, gathered: &common{}}
	e.known[id] = h
	e.order = append(e.order, h)
	return h
}

// settle makes the rows of the events, after all captures were seen. Events
// that are named as parents only get a row too.
func (e *events) settle(m *RowBuilder) {
	if e.known[m.survey] == nil {
		e.add(m.survey, "")
	}
	for i := 0; i < len(e.order); i++ { // which may become longer
		h := e.order[i]
		if h.id == h.parent || h.id == m.survey {
			h.parent = ""
		}
		if h.parent != "" && e.known[h.parent] == nil {
			e.add(h.parent, m.survey)
		}
		e.settleOne(h, m)
		for _, slot := range h.shape.slots {
			e.used.add(slot)
		}
	}
}

func (e *events) settleOne(h *happening, m *RowBuilder) {
	fields := map[int][]byte{m.at.event: appendText(nil, h.id)}
	if h.parent != "" {
		fields[m.at.parent] = appendText(nil, h.parent)
	}
	var agreed marks
	for i := range h.gathered.fields {
		if f := &h.gathered.fields[i]; h.gathered.agreed(f) {
			agreed.add(int(f.slot))
			fields[int(f.slot)] = appendText(nil, f.text)
		}
	}
	if h.gathered.rows == 0 { // nothing but the name of an event
		for _, f := range m.same {
			if own := eventSlots(); own.has(f.slot) && recordLevel(f.slot) {
				fields[f.slot] = f.csv
			}
		}
	}
	h.gathered = nil
	h.put(fields, &agreed, e.shapes)
}

func recordLevel(slot int) bool {
	t, _ := terms.Lookup(slots().All[slot])
	return t.Class == "Record-level"
}

// write writes the rows of the events, the survey's with the days that it
// covers.
func (e *events) write(a *Archive) error {
	survey, category, date := e.known[a.builder.survey], must("eventCategory"), must("eventDate")
	fields := survey.fields()
	fields[category] = []byte("Survey")
	e.used.add(category)
	c := a.Coverage()
	if span := c.span(); span != "" && fields[date] == nil {
		fields[date] = []byte(span)
		e.used.add(date)
	}
	survey.put(fields, &survey.shape.agreed, e.shapes)
	a.core.begin(e.used)
	a.core.used = a.core.known
	var row []byte
	for _, h := range e.order {
		row = row[:0]
		said := h.cursor()
		for i, slot := range a.core.columns {
			if i > 0 {
				row = append(row, ',')
			}
			row = append(row, said.at(slot)...)
		}
		if err := a.core.write(a, append(row, '\n'), 1); err != nil {
			return err
		}
	}
	return nil
}

// put moves what an event says of all its captures out of a line, and returns the
// event.
func (a *Archive) put(l *Line) *happening {
	id := a.eventID(l)
	h := a.events.known[id]
	if h == nil { // it was not gathered, and says nothing but its name
		h = &happening{id: id}
		h.put(map[int][]byte{a.builder.at.event: appendText(nil, id)}, &marks{}, map[string]*shape{})
	}
	l.set(a.builder.at.event, id)
	l.drop(a.builder.at.parent)
	for _, slot := range h.shape.agreed.numbers() {
		l.drop(slot)
	}
	return h
}

// seen are the columns under which a witness sees a row of the core: of
// occurrences, and what their events say of them.
func (a *Archive) seen() []int {
	if a.events == nil {
		return a.occurrences.columns
	}
	all := a.occurrences.known
	all.join(&a.events.used)
	return all.numbers()
}

// appendSeen appends the row of an occurrence with what its event says.
func (s *RowWriter) appendSeen(b []byte, columns []int, h *happening) []byte {
	said := h.cursor()
	for i, slot := range columns {
		if i > 0 {
			b = append(b, ',')
		}
		if s.line.has.has(slot) {
			b = appendText(b, s.line.texts[slot])
		} else {
			b = append(b, said.at(slot)...)
		}
		s.cuts[0] = append(s.cuts[0], len(b))
	}
	return append(b, '\n')
}
