package vocabulary

import (
	"fmt"
	"maps"
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"

	"github.com/hbollon/go-edlib"

	"spadefoot/pipeline/record"
)

// Rules raised by [List.Find]; each has a row in schemas/rules/vocabulary.csv.
const (
	RuleUnknown   = "word-unknown"   // not in the vocabulary
	RuleElsewhere = "word-elsewhere" // belongs in another column
	RuleDoubtful  = "word-doubtful"  // the writer doubted it
	RuleOwn       = "word-own"       // given by the mapping, not in the vocabulary
)

// Find looks text up and returns the value to publish.
//
// Words of extra come first: they are the mapping's own, word to value, and are
// compared as the list's are. Blank text and the marks for nothing ("-", "n/a")
// give "" and ok. A question mark behind or before a known word gives the value
// with a problem. An unknown word gives "", not ok and a problem, which carries
// a suggestion where one value is likely. In a list that the standard leaves open
// it stands as written if none is, and if it is a word and not a code.
func (l *List) Find(text string, extra map[string]string) (value string, ok bool, problem *record.Problem) {
	value, ok, problem = l.Known(text, extra)
	if problem != nil && problem.Rule == RuleUnknown {
		switch near, why := l.likely(text, Fold(text)); {
		case near != "":
			problem.Suggestion = near
			problem.Reason += "; " + why
		case open[l.name] && isWord(text):
			return strings.TrimSpace(text), true, nil
		}
	}
	return value, ok, problem
}

// isWord reports whether a text has a word that speaks for itself, and not only codes
// of one or two letters, or of digits.
func isWord(text string) bool {
	return slices.ContainsFunc(strings.FieldsFunc(text, func(r rune) bool { return !unicode.IsLetter(r) && !unicode.Is(unicode.Mn, r) }), func(word string) bool {
		return utf8.RuneCountInString(word) > 2 || strings.ContainsFunc(word, IsSign)
	})
}

// IsSign reports whether a character is one of Chinese, Japanese or Korean, of which one
// or two are a word.
func IsSign(r rune) bool {
	return unicode.In(r, unicode.Han, unicode.Hiragana, unicode.Katakana, unicode.Hangul)
}

// Known is Find without a suggestion, which takes a search of the whole list.
func (l *List) Known(text string, extra map[string]string) (value string, ok bool, problem *record.Problem) {
	key := Fold(text)
	if value, ok := own(text, key, extra); ok {
		return l.checkOwn(text, value)
	}
	if value, ok := l.words[key]; ok {
		return value, true, l.doubt(text, value)
	}
	if key == "" || nothing[key] || strings.Trim(key, "-–—_./\\") == "" {
		return "", true, nil
	}
	if term, ok := l.elsewhere[key]; ok {
		return "", false, &record.Problem{Rule: RuleElsewhere, Level: record.Warning,
			Reason: fmt.Sprintf("%q describes %s, not %s", text, spaced(term), spaced(l.name))}
	}
	return "", false, &record.Problem{Rule: RuleUnknown, Level: record.Warning,
		Reason: fmt.Sprintf("%q is not a known word for %s", text, spaced(l.name))}
}

// Says is the value that a text says without a doubt, or "".
func (l *List) Says(text string) string {
	if strings.Contains(text, "?") {
		return ""
	}
	return l.words[Fold(text)]
}

// Elsewhere returns the term that a word belongs to where it often is in this
// list's columns and is not of it, or "".
func (l *List) Elsewhere(text string) string { return l.elsewhere[Fold(text)] }

// own looks a text up among the mapping's words: as it stands, then folded. The
// words are tried in order so that two which fold alike always give the same
// answer.
func own(text, key string, extra map[string]string) (string, bool) {
	if value, ok := extra[text]; ok || len(extra) == 0 {
		return value, ok
	}
	for _, word := range slices.Sorted(maps.Keys(extra)) {
		if Fold(word) == key {
			return extra[word], true
		}
	}
	return "", false
}

// checkOwn publishes what the mapping says, in the list's spelling where the
// list knows it.
func (l *List) checkOwn(text, value string) (string, bool, *record.Problem) {
	if known, ok := l.words[Fold(value)]; ok || value == "" {
		return known, true, nil
	}
	return value, true, &record.Problem{Rule: RuleOwn, Level: record.Note,
		Reason: fmt.Sprintf("the mapping gives %q for %q, which is not a standard value of %s (%s)",
			value, text, spaced(l.name), strings.Join(l.values, ", "))}
}

// doubt reports a question mark beside a known word.
func (l *List) doubt(text, value string) *record.Problem {
	if !strings.Contains(text, "?") || !strings.ContainsFunc(text, bare) {
		return nil
	}
	return &record.Problem{Rule: RuleDoubtful, Level: record.Warning,
		Reason: fmt.Sprintf("%q was written with a question mark; read as %s", text, value)}
}

// nothing holds the folded marks for "not taken".
var nothing = map[string]bool{"na": true, "nodata": true, "notrecorded": true, "nottaken": true, "null": true, "sindato": true, "sindatos": true, "keineangabe": true, "ka": true, "semdados": true, "pasdedonnees": true}

// likely returns the value that was probably meant: the only one whose word
// is within the text, or else that of the nearest spelling.
func (l *List) likely(text, key string) (value, why string) {
	if Denies(text) {
		return "", ""
	}
	found := map[string]string{}
	for word := range strings.FieldsFuncSeq(text, func(r rune) bool { return !bare(r) && !unicode.Is(unicode.Mn, r) }) {
		if v, ok := l.words[Fold(word)]; ok && len(Fold(word)) > 2 {
			found[v] = word
		}
	}
	if len(found) == 1 {
		for v, word := range found {
			return v, fmt.Sprintf("the word %q in it is", word)
		}
	}
	if word, tie := nearest(key, l.sorted, l.words); word != "" && !tie {
		return l.words[word], fmt.Sprintf("%q is spelled similarly", word)
	}
	return "", ""
}

// nearest returns the first word within the allowed number of slips of the key
// (one per four letters, two at most), and whether another as near stands for
// something else.
func nearest(key string, sorted []string, meaning map[string]string) (word string, tie bool) {
	length := len([]rune(key))
	best := min(2, length/4) + 1
	for _, w := range sorted {
		if n := len([]rune(w)); n < 4 || n-length > best || length-n > best {
			continue
		}
		switch d := edlib.OSADamerauLevenshteinDistance(key, w); {
		case d < best:
			best, word, tie = d, w, false
		case d == best && word != "" && meaning[w] != meaning[word]:
			tie = true
		}
	}
	return word, tie
}

// spaced writes a name such as lifeStage or life_stage as words.
func spaced(name string) string {
	var b strings.Builder
	for _, r := range name {
		switch {
		case r == '_':
			b.WriteByte(' ')
		case unicode.IsUpper(r):
			b.WriteByte(' ')
			b.WriteRune(unicode.ToLower(r))
		default:
			b.WriteRune(r)
		}
	}
	return b.String()
}
