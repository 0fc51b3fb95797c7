package mapping

import (
	"slices"
	"strings"

	"spadefoot/pipeline/quantity"
	"spadefoot/pipeline/record"
)

// keyCandidate is what may name a capture: terms, and whether a slip may repeat a few
// of their texts.
type keyCandidate struct {
	terms []string
	slips bool
}

// keyCandidates are best first; the later ones need the company of date or place. A
// mark that comes again is a recapture, perhaps of the same day, and fish may be
// numbered anew in each haul, so that only a number by itself repeats by a slip.
var keyCandidates = []keyCandidate{
	{terms: []string{"occurrenceID"}}, {terms: []string{"recordNumber"}}, {terms: []string{"catalogNumber"}},
	{[]string{"recordNumber"}, true}, {[]string{"catalogNumber"}, true}, {[]string{"otherCatalogNumbers"}, true}, {terms: []string{"organismID"}}, {[]string{"fieldNumber"}, true}, {terms: []string{"materialSampleID"}},
	{terms: []string{"eventDate", "recordNumber"}}, {terms: []string{"locality", "recordNumber"}}, {terms: []string{"eventDate", "locality", "recordNumber"}},
	{terms: []string{"eventDate", "catalogNumber"}}, {terms: []string{"locality", "catalogNumber"}},
	{terms: []string{"eventDate", "organismID"}}, {terms: []string{"eventDate", "locality", "organismID"}}, {terms: []string{"eventDate", "scientificName", "organismID"}},
	{terms: []string{"eventDate", "eventTime", "organismID"}}, {terms: []string{"eventDate", "locality", "scientificName", "organismID"}},
	{terms: []string{"scientificName", "recordNumber"}}, {terms: []string{"eventDate", "locality", "scientificName", "recordNumber"}},
}

// nearlyAll is the share of different texts from which a column counts as the
// one that names the captures, although a slip repeats a few.
const nearlyAll = 0.95

// keyOf takes the first candidate whose texts are all there and all different, or come
// near to it; failing that the longest that is there at all.
func (d *Draft) keyOf(tables []record.Table, clues Clues) (key []string, repeats bool) {
	applied := d.applied(tables, clues)
	for _, k := range keyCandidates {
		texts, there := keyTexts(k.terms, applied)
		if !there {
			continue
		}
		different := map[string]bool{}
		for _, t := range texts {
			if t != "" {
				different[t] = true
			}
		}
		if len(different) == len(texts) || k.slips && float64(len(different)) >= nearlyAll*float64(len(texts)) {
			return k.terms, false
		}
		if len(k.terms) > len(key) && !narrow(k.terms) {
			key = k.terms
		}
	}
	return key, key != nil
}

// narrow reports whether a key names the mark of an animal by more than the day and the
// place, which only helps where it tells all captures apart.
func narrow(terms []string) bool {
	return slices.Contains(terms, "organismID") && (slices.Contains(terms, "scientificName") || slices.Contains(terms, "eventTime"))
}

// KeyTexts returns what is in the columns of some terms, one text for each
// capture, empty where a part is missing; ok is false where a table has no such
// column or there is no row at all. In a sheet with one row per measurement the
// rows of one animal, which follow each other, give one text.
func (d *Draft) KeyTexts(terms []string, tables []record.Table, clues Clues) (texts []string, ok bool) {
	return keyTexts(terms, d.applied(tables, clues))
}

// Texts returns what is in the column of each term, as KeyTexts would; no
// text where there is none.
func (d *Draft) Texts(terms []string, tables []record.Table, clues Clues) map[string][]string {
	applied := d.applied(tables, clues)
	out := map[string][]string{}
	for _, term := range terms {
		out[term], _ = keyTexts([]string{term}, applied)
	}
	return out
}

// applied returns the tables with the draft applied to them.
func (d *Draft) applied(tables []record.Table, clues Clues) []record.Table {
	m, known := d.mapping(), Known{Repeatable: clues.Repeatable, OneColumn: true, HeadingParts: quantity.HeadingUnit}
	out := make([]record.Table, len(tables))
	for i := range tables {
		out[i] = clone(tables[i])
		_, _ = Apply(m, &out[i], known) // settled before: the draft can be applied
	}
	return out
}

func keyTexts(terms []string, applied []record.Table) (texts []string, ok bool) {
	marks := make([]bool, len(terms))
	for k, term := range terms {
		marks[k] = draftKnowledge().values[term].Kind == kindIdentifier
	}
	for i := range applied {
		t := &applied[i]
		columns := make([][]int, len(terms))
		for k, term := range terms {
			if columns[k] = columnsOf(t, term); columns[k] == nil {
				return nil, false
			}
		}
		long := slices.ContainsFunc(t.Columns, func(c record.Column) bool { return c.Meaning.Role == record.NameColumn })
		for r, row := range t.Rows {
			key := keyText(row, columns, marks)
			if long && r > 0 && key != "" && key == texts[len(texts)-1] {
				continue
			}
			texts = append(texts, key)
		}
	}
	return texts, len(texts) > 0
}

// keyText returns the texts of some columns, "" where one is empty. In those of marks and
// numbers, what says that there is none is no text.
func keyText(row record.TableRow, columns [][]int, marks []bool) string {
	parts := make([]string, len(columns))
	for k, of := range columns {
		if parts[k] = textIn(row, of); parts[k] == "" || marks[k] && (quantity.Missing(parts[k]) || quantity.Sentinel(parts[k])) {
			return ""
		}
	}
	return strings.Join(parts, " / ")
}
