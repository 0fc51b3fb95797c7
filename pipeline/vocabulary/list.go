package vocabulary

import (
	"fmt"
	"maps"
	"slices"
	"strings"
	"sync"

	"spadefoot/mappings"
	"spadefoot/schemas"
)

// List is one vocabulary: the values that may be published, and the words that
// stand for them. It does not change once loaded and may be shared.
type List struct {
	name      string
	values    []string          // in the order of the file
	words     map[string]string // folded word to value
	elsewhere map[string]string // folded word to the term it belongs to
	sorted    []string          // the folded words, for the nearest one
}

// open are the lists of terms for which Darwin Core (2026-05-26) names no values: other
// words stand as written.
var open = map[string]bool{"reproductive_condition": true}

// Words is a field of a data file with a bar between its words.
type Words []string

// UnmarshalCSV splits the field at its bars.
func (w *Words) UnmarshalCSV(field string) error {
	for word := range strings.SplitSeq(field, "|") {
		if word = strings.TrimSpace(word); word != "" {
			*w = append(*w, word)
		}
	}
	return nil
}

type listRow struct {
	Value     string `csv:"value"`
	Elsewhere string `csv:"elsewhere"`
	Language  string `csv:"language"`
	Words     Words  `csv:"words"`
}

// Load reads a vocabulary from mappings/: "sex", "life_stage",
// "basis_of_record", "occurrence_status", "establishment_means",
// "degree_of_establishment", "reproductive_condition", "vitality" or
// "sampling_protocol". It fails if there is no such file, or if a word stands
// for two things.
func Load(name string) (*List, error) {
	rows, err := mappings.Table[listRow](name + ".csv")
	if err != nil {
		return nil, fmt.Errorf("vocabulary %s: %w", name, err)
	}
	return build(name, rows)
}

func build(name string, rows []listRow) (*List, error) {
	l := &List{name: name, words: map[string]string{}, elsewhere: map[string]string{}}
	for _, row := range rows {
		if row.Value == "" {
			continue
		}
		if !slices.Contains(l.values, row.Value) {
			l.values = append(l.values, row.Value)
		}
		if err := l.add(l.words, row.Value, append(row.Words, row.Value)); err != nil {
			return nil, err
		}
	}
	if len(l.values) == 0 {
		return nil, fmt.Errorf("vocabulary %s: the file has no row with a value and words", name)
	}
	for _, row := range rows {
		if row.Value != "" {
			continue
		}
		if err := l.add(l.elsewhere, row.Elsewhere, row.Words); err != nil {
			return nil, err
		}
	}
	l.sorted = slices.Sorted(maps.Keys(l.words))
	return l, nil
}

func (l *List) add(to map[string]string, value string, words []string) error {
	for _, word := range words {
		for _, form := range spellings(word) {
			for _, m := range []map[string]string{l.words, l.elsewhere} {
				if other, ok := m[form]; ok && other != value {
					return fmt.Errorf("vocabulary %s: the word %q stands for %s and for %s; keep one", l.name, word, other, value)
				}
			}
			to[form] = value
		}
	}
	return nil
}

// Values returns the values that may be published, in the order of the file.
func (l *List) Values() []string { return slices.Clone(l.values) }

// ByTerm returns the controlled vocabularies by the term that they belong to.
var ByTerm = sync.OnceValue(func() map[string]*List {
	out := map[string]*List{}
	for term, name := range map[string]string{
		"sex": "sex", "lifeStage": "life_stage", "basisOfRecord": "basis_of_record",
		"occurrenceStatus": "occurrence_status", "establishmentMeans": "establishment_means",
		"degreeOfEstablishment": "degree_of_establishment", "reproductiveCondition": "reproductive_condition",
		"vitality": "vitality",
	} {
		out[term] = schemas.Must(Load(name))
	}
	return out
})
