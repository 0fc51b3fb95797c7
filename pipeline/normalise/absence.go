package normalise

import (
	"slices"
	"strings"
	"unicode/utf8"

	"spadefoot/pipeline/record"
	"spadefoot/pipeline/taxon"
	"spadefoot/pipeline/vocabulary"
)

// absence settles whether a row says that somebody looked and found nothing:
// only where it is stated, by occurrenceStatus or by a count of zero. The two
// must agree where both stand in the row.
func (r *row) absence() {
	if !r.plan.absences {
		return
	}
	status, count := r.value(tOccurrenceStatus), r.count()
	stated := status != nil && status.Text != "" && r.ofRow(status)
	switch {
	case count == nil:
	case !stated && zero(count.Text):
		r.put(tOccurrenceStatus, "absent", "", count.From()).Vary(func(f *record.Field) { f.Remark = "from a count of 0" })
	case stated && zero(count.Text) != (status.Text == "absent"):
		f := record.Problem{Rule: "absence-contradicted", Level: record.Error,
			Reason: "the row says " + status.Text + " but counts " + count.Text}.Finding(status.From(), status.Term, status.Verbatim)
		f.Also = []record.Address{count.From()}
		r.findings = append(r.findings, f)
	}
	switch {
	case !r.absent():
	case taxon.CatchOf(r.get(tVerbatimIdentification)) == taxon.Shut:
		r.doubtAbsence("absence-unsought", record.Warning, "the trap was not open, so that nothing is known of what was there")
	case r.sought() == "" && r.get(tFamily) == "" && r.get(tOrder) == "" && r.get(tClass) == "":
		r.doubtAbsence("absence-of-what", record.Warning, "nothing was found, but no name says what was looked for")
	}
}

// noAnimal reports whether the text of a species cell says that nothing was
// found: "none", "empty trap", or a word that the mapping gives as absent.
func (r *row) noAnimal(text string) bool {
	if taxon.CatchOf(text) != taxon.Unstated {
		return true
	}
	words := r.x.Words["occurrenceStatus"]
	if words == nil || utf8.RuneCountInString(strings.TrimSpace(text)) < 3 {
		return false // letters and figures are codes of species
	}
	return words.Says(text) == "absent"
}

// noVernacular takes a vernacular name that says that nothing was found, where
// no scientific name says what the animal was.
func (r *row) noVernacular() {
	_, c, ok := r.cellOf(tVernacularName)
	if !ok || !r.noAnimal(c.Text) {
		return
	}
	if v := r.value(tScientificName); v != nil && v.Text != "" && r.ofRow(v) {
		return
	}
	r.absentByName(c)
	r.put(tVernacularName, "", c.Verbatim(), r.at(c))
}

// absentByName takes a species cell that says that nothing was found. What was
// looked for may still stand in a default or in columns of higher ranks.
func (r *row) absentByName(c *record.Cell) {
	at := r.at(c)
	if v := r.value(tOccurrenceStatus); v == nil || v.Text == "" || !r.ofRow(v) {
		r.put(tOccurrenceStatus, "absent", c.Verbatim(), at)
	}
	r.ofName(&word{said: said{tVerbatimIdentification, c.Verbatim()}}, &at)
}

func (r *row) absent() bool { return r.get(tOccurrenceStatus) == "absent" }

// count is the number of animals that the row states, or nil.
func (r *row) count() *record.Value {
	for _, s := range [...]slot{tIndividualCount, tOrganismQuantity} {
		if v := r.value(s); v != nil && v.Text != "" && r.ofRow(v) {
			return v
		}
	}
	return nil
}

// ofRow reports whether a value stands in the table rather than in a default.
func (r *row) ofRow(v *record.Value) bool { return v.Row > 0 && v.Column.File == r.table.File }

func zero(text string) bool { return strings.Trim(text, "0.") == "" && strings.Contains(text, "0") }

// measuredAbsence doubts a row that found nothing and measured it, with the
// cells that were measured. What is measured of the place is left aside.
func (r *row) measuredAbsence() {
	if !r.absent() {
		return
	}
	var at []record.Address
	take := func(m *record.Reading) {
		if m != nil && m.State != record.Missing && m.From().Row > 0 && vocabulary.OfBody(m.Measurement) && !slices.Contains(at, m.From()) {
			at = append(at, m.From())
		}
	}
	for i := range r.readings {
		take(&r.readings[i])
	}
	if w := r.capture.Weighing; w != nil {
		take(w.Gross)
		take(w.Net)
	}
	if len(at) > 0 {
		f := r.doubtAbsence("absence-measured", record.Error, "the row says that nothing was found but holds measurements")
		f.Also = at
	}
}

func (r *row) doubtAbsence(rule string, level record.Level, reason string) *record.Finding {
	v := r.value(tOccurrenceStatus)
	at := v.From()
	if at.Row == 0 {
		at = r.capture.Address()
	}
	r.findings = append(r.findings, record.Problem{Rule: rule, Level: level, Reason: reason}.Finding(at, v.Term, v.Verbatim))
	return &r.findings[len(r.findings)-1]
}

// sought is what was looked for, by a name that was understood or as it was
// written.
func (r *row) sought() string {
	if name := r.get(tScientificName); name != "" {
		return name
	}
	if name := r.get(tVerbatimIdentification); !r.noAnimal(name) {
		return name
	}
	return ""
}

// nameAbsence names a row that found nothing, and so has no number of an
// animal, by its session and what was looked for. Without a day a session may
// be of many.
func (r *row) nameAbsence() {
	c := r.capture
	if !r.absent() || c.Key != "" || len(r.get(tEventDate)) < len("2006-01-02") {
		return
	}
	session := c.Session
	if session == "" {
		session = strings.Trim(r.get(tEventDate)+" / "+r.get(tLocality), " /")
	}
	for _, s := range [...]slot{tLocality, tLocationID} { // one trap of several
		if place := r.get(s); place != "" && !strings.Contains(" / "+session+" / ", " / "+place+" / ") && session != "" {
			session += " / " + place
		}
	}
	if session != "" {
		c.Key = strings.TrimSuffix("absent / "+session+" / "+r.sought(), " / ")
	}
}
