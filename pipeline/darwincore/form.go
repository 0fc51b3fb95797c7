package darwincore

import (
	"strconv"
	"strings"

	"spadefoot/pipeline/quantity"
	"spadefoot/pipeline/record"
	"spadefoot/pipeline/vocabulary"
)

// cell is a text of a row, without white space at the ends, and as CSV has it,
// or nil where it has not been encoded yet. Text is in a buffer that is
// used again, unless it is there as a string too.
type cell struct {
	text, csv []byte
	lasting   string
}

func newCell(text string) cell {
	text = strings.TrimSpace(text)
	return cell{[]byte(text), appendText(nil, text), text}
}

func (c *cell) string() string {
	if c.lasting != "" {
		return c.lasting
	}
	return string(c.text)
}

// form is what the readings of one kind have in common: of one measurement,
// one replicate, taken with one instrument by one person.
type form struct {
	key                          formKey
	cells                        [factCount]cell
	told                         marks // columns whose cells are those of the form, blank ones among them
	needs                        marks // those of them that hold something
	like                         *likeness
	taken                        bool // counted in the usage
	accuracy, resolution         float64
	accuracyText, resolutionText []byte

	sections []section // of a row, with so many columns
	columns  int
}

// section is a part of a row as CSV: what is the same in every row of a form, up
// to a column that a measurement has by itself.
type section struct {
	same []byte
	own  int // -1 at the end of the row
}

// sectionsFor cuts the rows of a file with these columns, which only become more.
func (f *form) sectionsFor(columns []int) []section {
	if f.columns == len(columns) {
		return f.sections
	}
	f.columns, f.sections = len(columns), nil
	var same []byte
	for i, column := range columns {
		if i > 0 {
			same = append(same, ',')
		}
		if f.told.has(column) {
			same = append(same, f.cells[column].csv...)
			continue
		}
		f.sections = append(f.sections, section{same, column})
		same = nil
	}
	f.sections = append(f.sections, section{append(same, '\n'), -1})
	return f.sections
}

type formKey struct {
	measurement, unit, instrument, observer, heading, side string
	replicate                                              int
	derived                                                bool
}

// likeness is shared by the forms whose identifiers are counted together: of
// one measurement, side and replicate.
type likeness struct {
	name    []byte // what the name of an identifier ends in
	capture uint64 // the capture that count is of
	count   int
}

type likeKey struct {
	measurement, side string
	replicate         int
}

// maxForms bounds the forms that are remembered. A survey has a few dozen.
const maxForms = 1 << 12

// forms remembers forms, and which was at which place of the last capture:
// the captures of a table have the same readings in the same order.
type forms struct {
	builder *RowBuilder
	at      []placed
	known   map[formKey]*form
	likes   map[likeKey]*likeness
}

// placed is the series of the last reading at a place, and its form.
type placed struct {
	series *record.Series
	form   *form
}

// begin forgets what there is too much of, between two captures: within one,
// readings are counted.
func (fs *forms) begin() {
	if fs.known == nil || len(fs.known) > maxForms {
		fs.known, fs.likes, fs.at = map[formKey]*form{}, map[likeKey]*likeness{}, nil
	}
}

// of returns the form of the reading at a place of a capture.
func (fs *forms) of(place int, r *record.Reading) *form {
	if place >= len(fs.at) {
		fs.at = append(fs.at, make([]placed, place+1-len(fs.at))...)
	}
	p := &fs.at[place]
	if p.series == r.Series {
		return p.form
	}
	p.series = r.Series
	if p.form == nil || !p.form.fits(r) {
		p.form = fs.find(r)
	}
	return p.form
}

func (f *form) fits(r *record.Reading) bool {
	k := &f.key
	return k.replicate == r.Replicate && k.derived == r.Derived && k.measurement == r.Measurement &&
		k.unit == r.Unit && k.instrument == r.Instrument && k.observer == r.Observer && k.heading == r.Heading && k.side == r.Side
}

func (fs *forms) find(r *record.Reading) *form {
	key := formKey{r.Measurement, r.Unit, r.Instrument, r.Observer, r.Heading, r.Side, r.Replicate, r.Derived}
	if f := fs.known[key]; f != nil {
		return f
	}
	for _, s := range []*string{&key.measurement, &key.unit, &key.instrument, &key.observer, &key.heading, &key.side} {
		*s = strings.Clone(*s)
	}
	f := fs.builder.form(key)
	like := likeKey{key.measurement, key.side, key.replicate}
	if f.like = fs.likes[like]; f.like == nil {
		f.like = &likeness{name: []byte(key.likeName())}
		fs.likes[like] = f.like
	}
	fs.known[key] = f
	return f
}

// likeName is what the identifiers of readings of one kind end in.
func (k *formKey) likeName() string {
	name := ":" + k.measurement
	if k.side != "" {
		name += ":" + k.side
	}
	if k.replicate > 0 {
		name += ":" + strconv.Itoa(k.replicate)
	}
	return name
}

// form works out what readings of one kind have in common.
func (m *RowBuilder) form(key formKey) *form {
	f := &form{key: key, columns: -1}
	tell := func(column int, text string) {
		f.cells[column] = newCell(text)
		f.told.add(column)
		if len(f.cells[column].text) > 0 {
			f.needs.add(column)
		}
	}
	tell(factType, m.kind(key.measurement))
	tell(factTypeID, firstOf(m.dataset.TypeIDs[key.measurement], vocabulary.MeasurementIRI(key.measurement)))
	tell(factUnit, key.unit)
	tell(factUnitID, quantity.UnitIRI(key.unit))
	tell(factMethod, m.method(key))
	tell(factVerbatim, key.heading)
	if strings.TrimSpace(key.observer) != "" || key.derived { // nobody determined what was computed
		tell(factBy, key.observer)
	}
	return f
}

// kind is the measurementType of a measurement.
func (m *RowBuilder) kind(measurement string) string {
	if m.label == nil {
		return measurement
	}
	return firstOf(m.label(measurement), measurement)
}

func (m *RowBuilder) method(key formKey) string {
	var parts []string
	if key.instrument != "" {
		parts = append(parts, m.instrument(key.instrument))
	}
	if key.side != "" {
		parts = append(parts, key.side+" side")
	}
	if key.derived {
		parts = append(parts, "computed")
	}
	if key.replicate > 0 {
		parts = append(parts, "replicate "+strconv.Itoa(key.replicate))
	}
	return strings.Join(parts, "; ")
}

// next counts one more reading of a capture, and returns its number from 1.
func (l *likeness) next(capture uint64) int {
	if l.capture != capture {
		l.capture, l.count = capture, 0
	}
	l.count++
	return l.count
}

// uncertainty returns the text of an accuracy. The readings of an instrument
// have the same one over and over.
func (f *form) uncertainty(r *record.Reading) []byte {
	u := r.Accuracy
	if u == 0 && r.Usable() && r.High() > r.Low() {
		u = (r.High() - r.Low()) / 2
	}
	if u != f.accuracy {
		f.accuracy, f.accuracyText = u, appendAccuracy(f.accuracyText[:0], u)
	}
	return f.accuracyText
}

// step says how finely a reading was read: "read to 0.5 g". Readings are mostly read as
// finely as the one before.
func (f *form) step(r *record.Reading) []byte {
	if r.Resolution != f.resolution {
		b := strconv.AppendFloat(append(f.resolutionText[:0], "read to "...), r.Resolution, 'g', 6, 64)
		f.resolution, f.resolutionText = r.Resolution, append(append(b, ' '), r.Unit...)
	}
	return f.resolutionText
}
