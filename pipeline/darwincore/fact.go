package darwincore

import (
	"bytes"
	"strconv"
	"strings"

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
// in the same buffers: one for each reading that was taken and understood.
func (s *RowWriter) facts(c *record.Capture, published []*record.Reading, use func(*fact)) {
	s.forms.begin()
	s.captures++
	f := &s.fact
	s.ofCapture(f, c)
	for i, r := range published {
		s.buffers.value = appendNumbers(s.buffers.value[:0], r)
		if len(s.buffers.value) == 0 {
			continue
		}
		form := s.forms.of(i, r)
		f.form = form
		f.cells[factID] = s.measurementID(&f.cells[factOccurrence], form.like)
		f.cells[factType], f.cells[factUnit], f.cells[factMethod] = form.kind, form.unit, form.method
		f.cells[factVerbatim] = form.heading
		f.cells[factBy] = form.observer
		f.cells[factTypeID], f.cells[factUnitID] = form.kindID, form.unitID
		if len(form.observer.text) == 0 && !form.key.derived { // nobody determined what was computed
			f.cells[factBy] = s.by
		}
		s.buffers.remarks = appendRemarks(s.buffers.remarks[:0], r, s.buffers.value)
		f.cells[factValue] = cell{text: bytes.TrimSpace(s.buffers.value)}
		f.cells[factRemarks] = cell{text: bytes.TrimSpace(s.buffers.remarks)}
		accuracy := form.uncertainty(r)
		f.cells[factAccuracy] = cell{text: accuracy, csv: accuracy}
		use(f)
	}
}

// factBuffers are what the texts of a row are made in.
type factBuffers struct {
	occurrence, by, date [2][]byte // text and CSV
	id                   []byte    // of a measurement
	value, remarks       []byte
	seen                 []byte // the row of an occurrence with what its event says
}

// ofCapture fills in what all measurements of a capture have.
func (s *RowWriter) ofCapture(f *fact, c *record.Capture) {
	d := &s.builder.dataset
	id := s.identity(c)
	observer := firstOf(s.get(foundDeterminer), s.get(foundRecorder), d.Defaults["measurementDeterminedBy"], d.Defaults["recordedBy"])
	f.cells[factOccurrence] = buffered(&s.buffers.occurrence, id)
	s.by = buffered(&s.buffers.by, observer)
	f.cells[factDate] = buffered(&s.buffers.date, s.get(foundDetermined)) // without one, it is the day of the core
}

// buffered makes a cell without new memory.
func buffered(buffer *[2][]byte, text string) cell {
	text = strings.TrimSpace(text)
	buffer[0] = append(buffer[0][:0], text...)
	buffer[1] = appendText(buffer[1][:0], text)
	return cell{buffer[0], buffer[1], text}
}

// measurementID is the identifier of the occurrence with the name of the
// measurement behind it, its replicate, and, where those are the same, the
// count among its like (from 2): ID:headWidth, ID:headWidth:1, ID:headWidth.2.
func (s *RowWriter) measurementID(occurrence *cell, like *likeness) cell {
	id := append(append(s.buffers.id[:0], occurrence.text...), like.name...)
	if count := like.next(s.captures); count > 1 {
		id = strconv.AppendInt(append(id, '.'), int64(count), 10)
	}
	s.buffers.id = id
	if len(occurrence.csv) != len(occurrence.text) { // it stands in quotes
		return cell{text: id}
	}
	return cell{text: id, csv: id}
}
