package mapping

import (
	"strings"
	"sync"

	"spadefoot/mappings"
	"spadefoot/pipeline/vocabulary"
)

// Kinds of values in mappings/term_values.csv.
const (
	kindDate       = "date"
	kindTime       = "time"
	kindNumber     = "number"
	kindWord       = "word"
	kindName       = "name"
	kindIdentifier = "identifier"
	kindLabel      = "label"
	kindPlace      = "place"
	kindPerson     = "person"
	kindText       = "text"
	kindMedia      = "media"
	kindLatitude   = "latitude"
	kindLongitude  = "longitude"
	kindNorthing   = "northing"
	kindEasting    = "easting"
	kindPair       = "pair"
)

// termValues says what the values of a term look like.
type termValues struct {
	Term    string  `csv:"term"`
	Kind    string  `csv:"kind"`
	List    string  `csv:"list"`
	Minimum float64 `csv:"minimum"`
	Maximum float64 `csv:"maximum"`
}

// proportion is a length as a share of snout-vent length.
type proportion struct {
	Measurement string  `csv:"measurement"`
	Low         float64 `csv:"low"`
	High        float64 `csv:"high"`
}

// phrase is a known heading word by word.
type phrase struct {
	key   string
	words []string // folded
}

// knowledge is what the data files know, indexed for the draft.
type knowledge struct {
	headings     map[string][]vocabulary.Heading // by folded heading
	spelt        []string                        // the folded headings of five letters and more, in the order of the files
	phrases      []phrase
	values       map[string]termValues       // by term
	terms        []string                    // in the order of the file
	lists        map[string]*vocabulary.List // by name
	measurements map[string]vocabulary.Measurement
	proportions  map[string]proportion
}

var draftKnowledge = sync.OnceValues(func() (*knowledge, error) {
	k := &knowledge{headings: map[string][]vocabulary.Heading{}, values: map[string]termValues{}, lists: map[string]*vocabulary.List{},
		measurements: map[string]vocabulary.Measurement{}, proportions: map[string]proportion{}}
	headings, err := vocabulary.Headings()
	if err != nil {
		return nil, err
	}
	for _, h := range headings {
		key := vocabulary.Fold(h.Heading)
		if len(k.headings[key]) == 0 && len([]rune(key)) >= 5 {
			k.spelt = append(k.spelt, key)
		}
		if len(k.headings[key]) == 0 {
			p := phrase{key: key}
			for _, w := range strings.Fields(Fold(h.Heading)) {
				p.words = append(p.words, vocabulary.Fold(w))
			}
			k.phrases = append(k.phrases, p)
		}
		k.headings[key] = append(k.headings[key], h)
	}
	values, err := mappings.Table[termValues]("term_values.csv")
	if err != nil {
		return nil, err
	}
	for _, v := range values {
		k.values[v.Term] = v
		k.terms = append(k.terms, v.Term)
		if v.List != "" && k.lists[v.List] == nil {
			if k.lists[v.List], err = vocabulary.Load(v.List); err != nil {
				return nil, err
			}
		}
	}
	measurements, err := vocabulary.Measurements()
	if err != nil {
		return nil, err
	}
	for _, m := range measurements {
		k.measurements[m.Name] = m
	}
	proportions, err := mappings.Table[proportion]("proportions.csv")
	for _, p := range proportions {
		k.proportions[p.Measurement] = p
	}
	return k, err
})
