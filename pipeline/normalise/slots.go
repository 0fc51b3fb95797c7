package normalise

import (
	"strings"
	"unsafe"

	"spadefoot/pipeline/record"
)

// slot is the number of a term in a table, by which a row finds its value
// without comparing names.
type slot uint16

// The terms that this stage fills by itself; those of columns and defaults that
// are none of them get the numbers behind.
const (
	tScientificName slot = iota
	tScientificNameAuthorship
	tTaxonRank
	tKingdom
	tPhylum
	tClass
	tOrder
	tFamily
	tGenus
	tSubgenus
	tSpecificEpithet
	tInfraspecificEpithet
	tIdentificationQualifier
	tTaxonID
	tVerbatimIdentification
	tIdentificationRemarks
	tVernacularName
	tEventDate
	tVerbatimEventDate
	tEventTime
	tYear
	tMonth
	tDay
	tStartDayOfYear
	tLocality
	tLocationID
	tVerbatimLocality
	tDecimalLatitude
	tDecimalLongitude
	tGeodeticDatum
	tCoordinatePrecision
	tCoordinateUncertainty
	tVerbatimLatitude
	tVerbatimLongitude
	tVerbatimCoordinates
	tVerbatimCoordinateSystem
	tVerbatimSRS
	tGeoreferenceSources
	tGeoreferenceRemarks
	tCounty
	tStateProvince
	tCountry
	tCountryCode
	tMinimumElevation
	tMaximumElevation
	tVerbatimElevation
	tMinimumDepth
	tMaximumDepth
	tVerbatimDepth
	tLanguage
	tOccurrenceStatus
	tIndividualCount
	tOrganismQuantity
	ownTerms
)

var ownNames = [ownTerms]string{
	tScientificName: "scientificName", tScientificNameAuthorship: "scientificNameAuthorship", tTaxonRank: "taxonRank",
	tKingdom: "kingdom", tPhylum: "phylum", tClass: "class", tOrder: "order", tFamily: "family", tGenus: "genus", tSubgenus: "subgenus",
	tSpecificEpithet: "specificEpithet", tInfraspecificEpithet: "infraspecificEpithet",
	tIdentificationQualifier: "identificationQualifier", tTaxonID: "taxonID", tVerbatimIdentification: "verbatimIdentification", tIdentificationRemarks: "identificationRemarks",
	tVernacularName: "vernacularName",
	tEventDate:      "eventDate", tVerbatimEventDate: "verbatimEventDate", tEventTime: "eventTime", tYear: "year", tMonth: "month", tDay: "day", tStartDayOfYear: "startDayOfYear",
	tLocality: "locality", tLocationID: "locationID", tVerbatimLocality: "verbatimLocality",
	tDecimalLatitude: "decimalLatitude", tDecimalLongitude: "decimalLongitude", tGeodeticDatum: "geodeticDatum",
	tCoordinatePrecision: "coordinatePrecision", tCoordinateUncertainty: "coordinateUncertaintyInMeters",
	tVerbatimLatitude: "verbatimLatitude", tVerbatimLongitude: "verbatimLongitude", tVerbatimCoordinates: "verbatimCoordinates",
	tVerbatimCoordinateSystem: "verbatimCoordinateSystem", tVerbatimSRS: "verbatimSRS",
	tGeoreferenceSources: "georeferenceSources", tGeoreferenceRemarks: "georeferenceRemarks",
	tCounty: "county", tStateProvince: "stateProvince", tCountry: "country", tCountryCode: "countryCode",
	tMinimumElevation: "minimumElevationInMeters", tMaximumElevation: "maximumElevationInMeters", tVerbatimElevation: "verbatimElevation",
	tMinimumDepth: "minimumDepthInMeters", tMaximumDepth: "maximumDepthInMeters", tVerbatimDepth: "verbatimDepth",
	tLanguage: "language", tOccurrenceStatus: "occurrenceStatus", tIndividualCount: "individualCount", tOrganismQuantity: "organismQuantity",
}

// slots numbers terms.
type slots struct {
	names []string
	of    map[string]slot
}

func newSlots() *slots {
	s := &slots{names: append([]string(nil), ownNames[:]...), of: map[string]slot{}}
	for i, name := range s.names {
		s.of[name] = slot(i)
	}
	return s
}

// slot returns the number of a term, a new one if it has none.
func (s *slots) slot(term string) slot {
	n, ok := s.of[term]
	if !ok {
		n = slot(len(s.names))
		s.of[term], s.names = n, append(s.names, term)
	}
	return n
}

func (s *slots) all(terms []string) []slot {
	out := make([]slot, len(terms))
	for i, t := range terms {
		out[i] = s.slot(t)
	}
	return out
}

// value returns the value of a term, or nil. It is good until the next put.
func (r *row) value(s slot) *record.Value {
	if k := r.index[s]; k > 0 {
		return &r.values[k-1]
	}
	return nil
}

// get returns the published text of a term, or "".
func (r *row) get(s slot) string {
	if k := r.index[s]; k > 0 {
		return r.values[k-1].Text
	}
	return ""
}

// put returns space for the value of a term: that of the value that is there, or
// behind the others. What a database writes for nothing is what was written, and no
// text to publish.
func (r *row) put(s slot, text, verbatim string, from record.Address) *record.Value {
	return r.putAt(s, text, verbatim, &from)
}

// putAt is put for those that put several values of one place.
func (r *row) putAt(s slot, text, verbatim string, from *record.Address) *record.Value {
	if record.Null(text) {
		text = ""
	}
	k := int(r.index[s])
	if k == 0 {
		r.values, r.order = append(r.values, record.Value{}), append(r.order, s)
		k = len(r.values)
		r.index[s] = uint16(k)
	}
	v := &r.values[k-1]
	v.Field, v.Text, v.Verbatim, v.Row, v.Word = r.field(s, from), text, verbatim, int32(from.Row), 0
	return v
}

// word is a value that many rows have of one term, with its number.
type word struct {
	said
	number uint32
}

// numbered numbers values. It leaves out those without a text.
func (x *Context) numbered(all ...said) (out []word) {
	for _, s := range all {
		if s.value != "" {
			out = append(out, x.word(s))
		}
	}
	return out
}

func (x *Context) word(s said) (w word) {
	if w.said = s; x.Word != nil {
		w.value, w.number = x.Word(s.value)
	}
	return w
}

// field is what the values of a term from a column have in common: mostly that of
// the row before.
func (r *row) field(s slot, from *record.Address) *record.Field {
	if f := r.fields[s]; f != nil && f.Column.Column == from.Column && f.Column.File == from.File && f.Column.Sheet == from.Sheet {
		return f
	}
	key := termIn{s, *from}
	key.column.Row = 0
	f := r.plan.fields.find(key)
	if f == nil {
		f = r.plan.fields.keep(key, &record.Field{Term: r.plan.names[s], Column: key.column})
	}
	r.fields[s] = f
	return f
}

// termIn is a term that is read from a column.
type termIn struct {
	slot
	column record.Address
}

// list is the terms of the values in their order, which captures share.
func (r *row) list() *record.Names {
	known := r.plan.lists
	order := unsafe.String((*byte)(unsafe.Pointer(unsafe.SliceData(r.order))), len(r.order)*int(unsafe.Sizeof(slot(0))))
	if l := known.find(order); l != nil || known.full.Load() {
		return l
	}
	terms := make([]string, len(r.order))
	for i, s := range r.order {
		terms[i] = r.plan.names[s]
	}
	return known.keep(strings.Clone(order), record.NewNames(terms))
}
