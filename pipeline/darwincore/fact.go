package darwincore

import (
	"bytes"
	"strings"

	"github.com/google/uuid"

	"spadefoot/pipeline/record"
)

// Places of the terms of a measurement, in the order of the columns.
const (
	factEvent = iota // where the core is of events
	factOccurrence
	factID
	factType
	factVerbatim
	factValue
	factAccuracy
	factUnit
	factBy
	factDate
	factMethod
	factRemarks
	factTypeID
	factUnitID
	factCount
)

var factTerms = [factCount]string{"eventID", "occurrenceID", "measurementID", "measurementType", "verbatimMeasurementType", "measurementValue", "measurementAccuracy",
	"measurementUnit", "measurementDeterminedBy", "measurementDeterminedDate", "measurementMethod", "measurementRemarks",
	"measurementTypeID", "measurementUnitID"}

// fact is the row of one measurement.
type fact struct {
	cells [factCount]cell
	form  *form
}

// facts makes the rows of the measurements of a capture one after the other,
// in the same room: one for each reading that was taken and understood. Where
// only the columns are asked for, the identifiers need not be the right ones.
func (s *RowWriter) facts(c *record.Capture, published []*record.Reading, identified bool, use func(*fact)) {
	s.forms.begin()
	s.captures++
	f := &s.fact
	s.ofCapture(f, c)
	for i, r := range published {
		s.room.value = appendNumbers(s.room.value[:0], r)
		if len(s.room.value) == 0 {
			continue
		}
		form := s.forms.of(i, r)
		f.form = form
		id := s.room.id[:]
		if identified {
			id = s.measurementID(form.like)
		}
		f.cells[factID] = cell{text: id, csv: id}
		f.cells[factType], f.cells[factUnit], f.cells[factMethod] = form.kind, form.unit, form.method
		f.cells[factVerbatim] = form.heading
		f.cells[factBy] = form.observer
		f.cells[factTypeID], f.cells[factUnitID] = form.kindID, form.unitID
		if len(form.observer.text) == 0 && !form.key.derived { // nobody determined what was computed
			f.cells[factBy] = s.by
		}
		s.room.remarks = appendRemarks(s.room.remarks[:0], r, s.room.value)
		f.cells[factValue] = cell{text: bytes.TrimSpace(s.room.value)}
		f.cells[factRemarks] = cell{text: bytes.TrimSpace(s.room.remarks)}
		accuracy := form.uncertainty(r)
		f.cells[factAccuracy] = cell{text: accuracy, csv: accuracy}
		use(f)
	}
}

// factRoom is where the texts of a row are made.
type factRoom struct {
	occurrence, by, date [2][]byte // text and CSV
	name                 []byte    // what the identifier of a measurement is made from
	id                   [45]byte
	value, remarks       []byte
	seen                 []byte // the row of an occurrence with what its event says
}

// ofCapture fills in what all measurements of a capture have.
func (s *RowWriter) ofCapture(f *fact, c *record.Capture) {
	d := &s.builder.dataset
	id := s.identity(c)
	observer := firstOf(s.get(foundDeterminer), s.get(foundRecorder), d.Defaults["measurementDeterminedBy"], d.Defaults["recordedBy"])
	date := firstOf(s.get(foundDetermined), s.get(foundDate))
	switch {
	case s.undecided(foundDetermined):
		date = ""
	case !s.undecided(foundDate):
		date = firstOf(date, d.Defaults["eventDate"])
	}
	f.cells[factOccurrence] = inRoom(&s.room.occurrence, id)
	s.by = inRoom(&s.room.by, observer)
	f.cells[factDate] = inRoom(&s.room.date, date)
	s.room.name = append(append(s.room.name[:0], uuid.NameSpaceURL[:]...), id...)
}

// inRoom makes a cell without new memory.
func inRoom(room *[2][]byte, text string) cell {
	text = strings.TrimSpace(text)
	room[0] = append(room[0][:0], text...)
	room[1] = appendText(room[1][:0], text)
	return cell{room[0], room[1], text}
}

// measurementID names a measurement after its occurrence, the measurement, the
// replicate, and, where those are the same, the count among its like (from 1).
func (s *RowWriter) measurementID(like *likeness) []byte {
	own := len(s.room.name)
	name := append(s.room.name, like.name...)
	if count := like.next(s.captures); count > 1 {
		name = appendCount(name, count)
	}
	s.room.name = name[:own]
	return appendURN(s.room.id[:0], fingerprint(name))
}
