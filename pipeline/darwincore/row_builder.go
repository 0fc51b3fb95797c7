package darwincore

import (
	"maps"
	"slices"
	"strings"
	"sync"

	"github.com/google/uuid"

	"spadefoot/pipeline/darwincore/terms"
)

// RowBuilder makes the rows of one dataset. It holds what is the same for every
// capture, so that it is worked out once, and may be used by many goroutines.
type RowBuilder struct {
	dataset     Dataset
	label       func(string) string
	same        []same // terms of every row that does not say otherwise, in the order of the columns
	at          slotsOf
	fixed       map[int]same // texts that every row has that does not say otherwise, by slot
	fixedSlots  marks
	language    string            // three letters
	space       uuid.UUID         // of the identifiers of the dataset
	survey      string            // identifier of the survey as an event
	instruments map[string]string // descriptions by name
	judged      bool              // rows are judged, and nobody publishes them
	determiner  string            // of measurements where a capture names nobody
	covered     []int             // slots of coveredTerms
	writers     sync.Pool         // of *RowWriter, for rows made one at a time
}

// Judged saves the identifiers of events and the members of dynamicProperties, in rows
// that are judged and that nobody publishes: one word stands for all of them.
func (m *RowBuilder) Judged() *RowBuilder {
	m.judged = true
	return m
}

// same is a text that is the same for every row, also as CSV has it.
type same struct {
	slot int
	text string
	csv  []byte
}

// NewRowBuilder prepares for the rows of a dataset. Label gives the measurementType
// of a measurement; where it is nil or gives "", that is the name of
// the measurement. It is asked once for each measurement, or a few times.
func NewRowBuilder(d Dataset, label func(string) string) *RowBuilder {
	m := &RowBuilder{dataset: d, label: label, language: threeLetters(d.Language), space: spaceOf(d.ID), survey: EventID(d.ID, ""), instruments: map[string]string{},
		determiner: firstOf(d.Defaults["measurementDeterminedBy"], d.Defaults["recordedBy"]), covered: Slots(coveredTerms[:])}
	m.at = slotsOf{occurrence: must("occurrenceID"), country: must("country"), code: must("countryCode"), event: must("eventID"),
		parent: must("parentEventID"), remarks: must("occurrenceRemarks"), dynamic: must("dynamicProperties"), media: must("associatedMedia"),
		count: must("individualCount"), quantity: must("organismQuantity")}
	var taken marks
	for _, f := range sameFields(&d) {
		slot, text := slots().Place(f.Term), strings.TrimSpace(f.Text)
		if slot >= 0 && text != "" && !taken.has(slot) {
			taken.add(slot)
			m.same = append(m.same, same{slot, text, appendText(nil, text)})
		}
	}
	slices.SortFunc(m.same, func(a, b same) int { return a.slot - b.slot })
	m.fix()
	for _, i := range d.Instruments {
		if _, named := m.instruments[i.Name]; !named {
			m.instruments[i.Name] = i.String()
		}
	}
	return m
}

// fix gathers what rows have that say nothing else. meta.xml may say it once for
// all.
func (m *RowBuilder) fix() {
	m.fixed = map[int]same{}
	for _, f := range m.same {
		m.fixed[f.slot] = f
	}
	for slot, text := range map[int]string{m.at.country: m.dataset.Country, m.at.code: m.dataset.CountryCode, m.at.parent: m.survey} {
		if text = strings.TrimSpace(text); text != "" && m.fixed[slot].text == "" {
			m.fixed[slot] = same{slot, text, appendText(nil, text)}
		}
	}
	for slot := range m.fixed {
		m.fixedSlots.add(slot)
	}
}

// sameFields lists the terms that are the same for every row, the likeliest to
// be given first.
func sameFields(d *Dataset) []Field {
	var out []Field
	for _, term := range slices.Sorted(maps.Keys(d.Defaults)) {
		if t, ok := terms.Lookup(term); ok && t.Class != "MeasurementOrFact" {
			out = append(out, Field{t.Name, d.Defaults[term]})
		}
	}
	licence := d.Licence
	if l, ok := terms.FindLicence(licence); ok {
		licence = l.URL
	}
	return append(out, []Field{
		{"license", licence}, {"rightsHolder", d.RightsHolder}, {"language", d.Language},
		{"datasetID", d.ID}, {"datasetName", d.Title},
		{"basisOfRecord", "HumanObservation"}, {"occurrenceStatus", "present"},
	}...)
}

// instrument describes the instrument of this name.
func (m *RowBuilder) instrument(name string) string {
	if text, ok := m.instruments[name]; ok {
		return text
	}
	return Instrument{Name: name}.String()
}
