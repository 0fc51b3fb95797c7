package withhold

import (
	"slices"
	"strings"
	"unicode/utf8"

	edlib "github.com/hbollon/go-edlib"

	"spadefoot/pipeline/record"
)

// spread knows which texts of open terms stand with captures of several places,
// or with one whose place is public: such a text tells no hidden place. One that
// is at a single hidden place may be its name, in whatever column it is.
type spread map[[2]string]*standing

type standing struct {
	at   *secret // the hidden place where it is
	wide bool
}

// maxSpread bounds the texts that are remembered; any further one is withheld.
const maxSpread = 1 << 18

// add notes the texts of a capture; at is nil where its place is public.
func (s spread) add(c *record.Capture, at *secret) {
	for i := range c.Values {
		v := &c.Values[i]
		if !Keeps(v.Term) || !written(v, c) || sayPlainly(v.Term, v.Text) && v.Verbatim == "" {
			continue
		}
		for _, text := range []string{v.Text, v.Verbatim} {
			for part := range strings.SplitSeq(text, " | ") {
				s.note(v.Term, part, at)
			}
		}
	}
}

func (s spread) note(term, text string, at *secret) {
	key := [2]string{term, shape(term, text)}
	known := s[key]
	switch {
	case text == "" || known != nil && known.wide:
	case known == nil && len(s) < maxSpread:
		s[[2]string{strings.Clone(term), strings.Clone(key[1])}] = &standing{at, at == nil}
	case known != nil:
		known.wide = at == nil || apart(at, known.at)
	}
}

// has reports whether each part of a text is at several places.
func (s spread) has(term, text string) bool {
	for part := range strings.SplitSeq(text, " | ") {
		if known := s[[2]string{term, shape(term, part)}]; part != "" && (known == nil || !known.wide) {
			return false
		}
	}
	return true
}

// shape is what texts of a term are compared by: numbers make no difference
// between the names of captures and animals.
func shape(term, text string) string {
	t := tokens(text)
	if identifies(term) {
		for i := range t {
			if _, digits := t[i : i+1].count(); digits > 0 {
				t[i] = "0"
			}
		}
	}
	return t.String()
}

// apart reports whether two places are surely not one: both have names, and no
// word of the one is like a word of the other.
func apart(a, b *secret) bool {
	if len(a.words) == 0 || len(b.words) == 0 {
		return false
	}
	for w := range a.words {
		for o := range b.words {
			if alike(w, o) {
				return false
			}
		}
	}
	return true
}

// alike reports whether two words may be one, misspelled: a quarter of their
// letters may differ.
func alike(a, b string) bool {
	if a == b {
		return true
	}
	long, short := utf8.RuneCountInString(a), utf8.RuneCountInString(b)
	if long < short {
		long, short = short, long
	}
	return (long-short)*4 <= long && edlib.OSADamerauLevenshteinDistance(a, b)*4 <= long
}

// written reports whether a value was written in the sheet of its capture, and
// not in survey.yaml or a table beside it.
func written(v *record.Value, c *record.Capture) bool {
	return v.From().Row > 0 && v.From().File == c.File
}

// nameWords are the words of the names that a checklist has, for telling names
// of animals from other texts.
type nameWords map[string]bool

// smallWords are in texts on what an animal is.
var smallWords = []string{"sp", "spp", "ssp", "subsp", "cf", "aff", "nr", "near", "or", "x", "complex", "indet", "juv", "unknown", "unidentified"}

func newNameWords(names []string) nameWords {
	out := nameWords{}
	for _, n := range append(slices.Clone(smallWords), names...) {
		for _, w := range tokens(n) {
			out[w] = true
		}
	}
	return out
}

// tell reports whether a text is made of words of names, which may be cut short
// or misspelled, and of no more than one number.
func (n nameWords) tell(text string) bool {
	numbers := 0
	for _, w := range tokens(text) {
		if _, digits := (phrase{w}).count(); digits > 0 {
			if numbers++; digits > 4 || numbers > 1 {
				return false
			}
		} else if !n.has(w) {
			return false
		}
	}
	return true
}

func (n nameWords) has(word string) bool {
	if n[word] {
		return true
	}
	cut := utf8.RuneCountInString(word) >= 4
	for w := range n {
		if cut && (strings.HasPrefix(w, word) || alike(w, word)) {
			return true
		}
	}
	return false
}
