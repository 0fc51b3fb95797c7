package darwincore

import (
	"math/bits"
	"strconv"

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

// fact is the row of one measurement: the cells of its form, and its own.
type fact struct {
	own  [factCount]cell
	form *form
}

// cell is the text of a column.
func (f *fact) cell(column int) *cell {
	if f.form.told.has(column) {
		return &f.form.cells[column]
	}
	return &f.own[column]
}

// ownColumns are those that a form may leave to the measurement.
var ownColumns = marksOf(factEvent, factOccurrence, factID, factValue, factAccuracy, factBy, factDate, factRemarks)

// mark adds the columns that hold something, which are all within the first word.
func (f *fact) mark(m *marks) {
	m[0] |= f.form.needs[0]
	for own := ownColumns[0] &^ f.form.told[0] &^ m[0]; own != 0; own &= own - 1 {
		if column := bits.TrailingZeros64(own); len(f.own[column].text) > 0 {
			m.add(column)
		}
	}
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
		f.form = s.forms.of(i, r)
		s.nameMeasurement(f)
		s.buffers.remarks = f.form.appendRemarks(s.buffers.remarks[:0], r, s.buffers.value)
		f.own[factValue].text = trimmed(s.buffers.value)
		f.own[factRemarks].text = trimmed(s.buffers.remarks)
		accuracy := f.form.uncertainty(r)
		f.own[factAccuracy].text, f.own[factAccuracy].csv = accuracy, accuracy
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
	observer := firstOf(s.get(foundDeterminer), s.get(foundRecorder), s.builder.determiner)
	f.own[factOccurrence] = buffered(&s.buffers.occurrence, s.identity(c))
	f.own[factBy] = buffered(&s.buffers.by, observer)
	f.own[factDate] = buffered(&s.buffers.date, s.get(foundDetermined)) // without one, it is the day of the core
}

// buffered makes a cell without new memory.
func buffered(buffer *[2][]byte, text string) cell {
	text = trimmed(text)
	buffer[0] = append(buffer[0][:0], text...)
	buffer[1] = appendText(buffer[1][:0], text)
	return cell{buffer[0], buffer[1], text}
}

// nameMeasurement makes the identifier of a measurement: that of the occurrence
// with the name of the measurement behind it, its replicate, and, where those are
// the same, the count among its like (from 2): ID:headWidth, ID:headWidth:1,
// ID:headWidth.2.
func (s *RowWriter) nameMeasurement(f *fact) {
	occurrence := &f.own[factOccurrence]
	id := append(append(s.buffers.id[:0], occurrence.text...), f.form.like.name...)
	if count := f.form.like.next(s.captures); count > 1 {
		id = strconv.AppendInt(append(id, '.'), int64(count), 10)
	}
	s.buffers.id = id
	f.own[factID].text, f.own[factID].csv = id, id
	if len(occurrence.csv) != len(occurrence.text) { // it is in quotes
		f.own[factID].csv = nil
	}
}
