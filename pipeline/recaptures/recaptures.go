// Package recaptures links the successive captures of a marked animal.
package recaptures

import (
	"cmp"
	"maps"
	"slices"
	"strings"

	"spadefoot/pipeline/darwincore"
	"spadefoot/pipeline/record"
	"spadefoot/pipeline/record/sorting"
	"spadefoot/pipeline/record/succession"
	"spadefoot/pipeline/vocabulary"
)

// recaptureOf is the association of a capture with the one before it of the
// same animal.
const (
	recaptureOf = "recapture of"
	Term        = "associatedOccurrences"
)

// Caught is a capture of a marked animal as far as its place among the others goes.
type Caught struct {
	Ordinal                      int
	Mark, Date, Time, Identifier string
}

// CaughtAs tells of a capture.
func CaughtAs(c *record.Capture, ordinal int) Caught {
	return Caught{ordinal, c.Mark(), c.Get("eventDate"), c.Get("eventTime"), Identifier(c)}
}

// Following pairs captures, each with the one before it of its mark.
func Following(captures []Caught) (out [][2]Caught) {
	byMark := map[string][]Caught{}
	for _, c := range captures {
		byMark[c.Mark] = append(byMark[c.Mark], c)
	}
	for _, mark := range slices.Sorted(maps.Keys(byMark)) {
		before, known := Caught{}, false
		for _, day := range days(byMark[mark]) {
			if known = known && ordered(day); !ordered(day) {
				continue
			}
			for _, c := range day {
				if known {
					out = append(out, [2]Caught{before, c})
				}
				before, known = c, true
			}
		}
	}
	return out
}

// days parts captures by day, in the order of the days and, within one, of the
// times of day. Those of no single day are left out.
func days(captures []Caught) [][]Caught {
	byDay := map[string][]Caught{}
	for _, c := range captures {
		if len(c.Date) == len("2006-01-02") {
			byDay[c.Date] = append(byDay[c.Date], c)
		}
	}
	var out [][]Caught
	for _, day := range slices.Sorted(maps.Keys(byDay)) {
		sorting.StableFunc(byDay[day], func(a, b Caught) int { return strings.Compare(a.Time, b.Time) })
		out = append(out, byDay[day])
	}
	return out
}

// ordered reports whether the times of the captures of one day tell them apart.
func ordered(day []Caught) bool {
	for i, c := range day {
		if len(day) > 1 && (c.Time == "" || i > 0 && c.Time == day[i-1].Time) {
			return false
		}
	}
	return true
}

// Identifier is what a capture is published under.
func Identifier(c *record.Capture) string { return cmp.Or(c.Get("occurrenceID"), c.ID) }

// Link adds the identifier of the capture before to what a person wrote of
// associated occurrences.
func Link(c *record.Capture, before string) {
	v := record.Value{Field: record.Of(Term), Text: darwincore.Relation(recaptureOf, before)}
	if old := c.Value(v.Term); old != nil && old.Text != "" {
		text := v.Text
		v = *old
		v.Text += " | " + text
	}
	c.Set(v)
}

// Mention is a capture of which a remark says that its animal was caught before.
type Mention struct {
	Mark, Term, Text string
	At               record.Address
}

// Remarks reads the remarks of one capture after another.
type Remarks struct{ terms succession.Terms }

// NewRemarks begins with no list of terms known.
func NewRemarks() *Remarks { return &Remarks{succession.By(remarked)} }

// remarked is 0 for a term of remarks, -1 for any other.
func remarked(term string) int {
	if strings.HasSuffix(term, "Remarks") || term == "fieldNotes" || term == "associatedOrganisms" {
		return 0
	}
	return -1
}

// MentionIn reads the remarks of a capture. The mark that the capture has itself
// is no news.
func (r *Remarks) MentionIn(c *record.Capture) (said Mention, ok bool) {
	try := func(term, text string, at record.Address) {
		if ok || text == "" {
			return
		}
		if mark, names := vocabulary.Recaught(text); names && !sameMark(mark, c.Get("organismID")) {
			said, ok = Mention{strings.Clone(mark), term, strings.Clone(text), at.Clone()}, true
		}
	}
	for i, of := range r.terms.Of(c) {
		if v := &c.Values[i]; of >= 0 {
			try(v.Term, cmp.Or(v.Verbatim, v.Text), v.From())
		}
	}
	for i := range c.Readings {
		if r := &c.Readings[i]; r.Remark() != "" && !r.Derived {
			try(r.Measurement, r.Verbatim, r.From())
		}
	}
	for i := range c.Extras {
		try(strings.Clone(c.Extras[i].Heading), c.Extras[i].Text, c.Extras[i].From)
	}
	return said, ok
}

func sameMark(a, b string) bool { return vocabulary.Fold(a) == vocabulary.Fold(b) }

// maxEarlier bounds the captures of an animal that are shown beside a proposal:
// the latest ones.
const maxEarlier = 12

// Seen is a capture of a marked animal, in a line.
type Seen struct {
	Date, Said string
	At         record.Address
}

// LookAmong notes a capture that is of one of the animals asked for, the first one
// of each.
func LookAmong(asked map[string]Seen, c *record.Capture) {
	for _, name := range []string{c.Get("organismID"), c.Key, c.Get("recordNumber"), c.Get("catalogNumber")} {
		key := vocabulary.Fold(name)
		if old, is := asked[key]; is && name != "" {
			if s := (Seen{Date: strings.Clone(c.Get("eventDate")), Said: strings.Clone(c.Key), At: c.Address().Clone()}); old.At.File == "" || s.Date < old.Date {
				asked[key] = s
			}
		}
	}
}

// RowsOf are the rows of the sheet that a capture was read from.
func RowsOf(c *record.Capture) map[record.Address]bool {
	rows := map[record.Address]bool{c.Address(): true}
	for i := range c.Readings {
		if from := c.Readings[i].From(); from.File == c.File && from.Sheet == c.Sheet {
			rows[from.OfRow()] = true
		}
	}
	return rows
}

// Before lists the captures of an animal before one of them, in the order of
// their dates; those without a date come first.
func Before(all []Seen, own Seen) []string {
	var out []string
	sorting.StableFunc(all, func(a, b Seen) int { return cmp.Or(strings.Compare(a.Date, b.Date), a.At.Compare(b.At)) })
	for _, s := range all {
		if s.At != own.At && (own.Date == "" || s.Date < own.Date || s.Date == own.Date && s.At.Before(own.At)) {
			out = append(out, s.Said)
		}
	}
	return out[max(0, len(out)-maxEarlier):]
}
