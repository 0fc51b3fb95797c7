package mapping

import (
	"strings"
	"sync"

	"spadefoot/mappings"
	"spadefoot/pipeline/vocabulary"
	"spadefoot/schemas"
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
	kindVernacular = "vernacular"
	kindEpithet    = "epithet"
	kindRank       = "rank"
	kindShape      = "shape"
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

// nearly reports whether a share is usual, or hardly beyond what is.
func (p proportion) nearly(share float64) bool { return share >= p.Low/1.3 && share <= p.High*1.3 }

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
	parts        map[string][]part            // parts of animals and of places by folded word
	partNames    []string                     // the words, in the order of the file
	extents      map[string]map[string]string // length, width, height or temperature by language and folded word
	massBy       map[string]proportion        // grams over the cube of a length in centimetres
	wordKinds    map[string]map[string]bool   // folded words of headings by their kind
	sides        [][2]string                  // folded words for left and right
	short        map[string]string            // by folded word, the folded word that it is cut down from
	contrasts    [][]string                   // folded words of headings that exclude each other
	groupWords   map[string][]string          // groups of animals by folded word
	animals      map[string]bool              // folded words for animals
	everyday     map[string]bool              // folded words that are not part of a scientific name
	genera       map[string]bool
	names        map[string]bool            // folded species whose second word is an everyday word too
	lacks        map[string]map[string]bool // by group, measurements of parts that none of its animals has
	larval       map[string]map[string]bool // by group, measurements of parts that only its larvae have
	grown        map[string]map[string]bool // by group, measurements of parts that its larvae do not have
}

// listOf is the vocabulary of a term, nil for none.
func (k *knowledge) listOf(term string) *vocabulary.List { return k.lists[k.values[term].List] }

// withoutMarks writes letters as people do whose keys or programs lack them:
// Gewaesser, Laenge.
var withoutMarks = strings.NewReplacer("ä", "ae", "ö", "oe", "ü", "ue", "ß", "ss", "æ", "ae", "ø", "oe", "å", "aa")

var draftKnowledge = sync.OnceValue(func() *knowledge {
	k := &knowledge{headings: map[string][]vocabulary.Heading{}, values: map[string]termValues{}, lists: map[string]*vocabulary.List{},
		measurements: map[string]vocabulary.Measurement{}, proportions: map[string]proportion{}}
	for _, h := range vocabulary.Headings() {
		key := vocabulary.Fold(h.Heading)
		if len(k.headings[key]) == 0 && len([]rune(key)) >= 5 {
			k.spelt = append(k.spelt, key)
		}
		if len(k.headings[key]) == 0 {
			k.phrases = append(k.phrases, phrase{key, vocabulary.FoldEach(strings.Fields(Fold(h.Heading)))})
		}
		k.headings[key] = append(k.headings[key], h)
		if plain := vocabulary.Fold(withoutMarks.Replace(strings.ToLower(h.Heading))); plain != key {
			k.headings[plain] = append(k.headings[plain], h)
		}
	}
	for _, v := range schemas.Must(mappings.Table[termValues]("term_values.csv")) {
		k.values[v.Term] = v
		k.terms = append(k.terms, v.Term)
		if v.List != "" && k.lists[v.List] == nil {
			k.lists[v.List] = schemas.Must(vocabulary.Load(v.List))
		}
	}
	for _, m := range vocabulary.Measurements() {
		k.measurements[m.Name] = m
	}
	k.proportions, k.massBy = proportions("proportions.csv"), proportions("mass_by_length.csv")
	k.readParts()
	k.readWords()
	return k
})

func proportions(file string) map[string]proportion {
	all := map[string]proportion{}
	for _, p := range schemas.Must(mappings.Table[proportion](file)) {
		all[p.Measurement] = p
	}
	return all
}

// readWords reads the tables of single words.
func (k *knowledge) readWords() {
	k.wordKinds, k.groupWords, k.animals = map[string]map[string]bool{}, map[string][]string{}, map[string]bool{}
	k.everyday, k.genera, k.names, k.short, k.extents = map[string]bool{}, map[string]bool{}, map[string]bool{}, map[string]string{}, map[string]map[string]string{}
	for _, row := range schemas.Must(mappings.Table[struct {
		Kind     string           `csv:"kind"`
		Language string           `csv:"language"`
		Words    vocabulary.Words `csv:"words"`
	}]("heading_words.csv")) {
		if k.wordKinds[row.Kind] == nil {
			k.wordKinds[row.Kind] = map[string]bool{}
		}
		if row.Kind == contrastWord {
			k.contrasts = append(k.contrasts, vocabulary.FoldEach(row.Words))
		}
		if row.Kind == shortWord {
			for _, w := range row.Words[1:] {
				k.short[vocabulary.Fold(w)] = vocabulary.Fold(row.Words[0])
			}
		}
		if row.Kind == extentWord {
			if k.extents[row.Language] == nil {
				k.extents[row.Language] = map[string]string{}
			}
			for _, w := range row.Words {
				k.extents[row.Language][vocabulary.Fold(w)] = row.Words[0]
			}
			continue
		}
		if row.Kind == sideWord && len(row.Words) == 2 {
			k.sides = append(k.sides, [2]string{vocabulary.Fold(row.Words[0]), vocabulary.Fold(row.Words[1])})
		}
		for _, w := range row.Words {
			if w = vocabulary.Fold(w); row.Kind != sideWord || len([]rune(w)) > 1 || w > "z" {
				k.wordKinds[row.Kind][w] = true
			}
		}
	}
	k.lacks, k.larval, k.grown = map[string]map[string]bool{}, map[string]map[string]bool{}, map[string]map[string]bool{}
	measured := map[string]map[string]map[string]bool{"lacks": k.lacks, "larval": k.larval, "grown": k.grown}
	for _, row := range schemas.Must(mappings.Table[struct {
		Group string           `csv:"group"`
		Kind  string           `csv:"kind"` // word: an animal; sign: a part of one; genus
		Words vocabulary.Words `csv:"words"`
	}]("animal_groups.csv")) {
		if of := measured[row.Kind]; of != nil {
			if of[row.Group] == nil {
				of[row.Group] = map[string]bool{}
			}
			for _, name := range row.Words {
				of[row.Group][name] = true
			}
			continue
		}
		for _, w := range row.Words {
			f := vocabulary.Fold(w)
			k.groupWords[f] = append(k.groupWords[f], row.Group)
			switch row.Kind {
			case "word":
				k.animals[f], k.everyday[f] = true, true
			case "genus":
				k.genera[f] = true
			}
		}
	}
	for _, row := range schemas.Must(mappings.Table[struct {
		Word string `csv:"word"`
		Kind string `csv:"kind"`
	}]("animal_words.csv")) {
		switch f := vocabulary.Fold(row.Word); row.Kind {
		case "vernacular", "remark", "unknown":
			k.everyday[f] = true
		case "name":
			k.names[f] = true
		}
	}
}
