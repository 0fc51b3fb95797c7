package infer

import (
	"slices"
	"strings"
	"unicode"

	"spadefoot/pipeline/record"
)

// presence is what a note says of a sign.
type presence uint8

const (
	unsaid presence = iota
	present
	absent
	unsure
)

var (
	noWords    = []string{"no", "not", "without", "lacks", "lacking", "absent", "none", "missing", "n", "non", "sin", "sans", "sem", "keine", "ohne"}
	yesWords   = []string{"y", "yes", "x", "present", "1", "true", "+", "++", "+++", "developed", "visible"}
	doubtWords = []string{"?", "maybe", "possible", "possibly", "perhaps", "unsure", "slight", "faint"}
)

// note is one text in which a sign may stand.
type note struct {
	term, heading, text string
	at                  record.Address // where it is not a term
	low, lowHeading     string         // in small letters
}

func (n *note) address(c *record.Capture) record.Address {
	if n.term != "" {
		return valueAddress(c, n.term)
	}
	return n.at
}

// usualTerms are the terms in which signs are looked for, beside the cells
// that no heading matched and what was written beside the values. Clues
// have them at these places.
var usualTerms = [...]string{"reproductiveCondition", "occurrenceRemarks", "organismRemarks", "fieldNotes"}

// eachNote returns the texts of a capture in which the sign of the rule is looked
// for, until take is false.
func (r *sexRule) eachNote(c *record.Capture, said *clues, take func(*note) bool) {
	ofTerm := func(term string, v *record.Value) bool {
		return v == nil || v.Text == "" || take(&note{term: term, text: v.Text, low: strings.ToLower(v.Text)})
	}
	for _, term := range r.where {
		if !ofTerm(term, said.value(c, term)) {
			return
		}
	}
	if len(r.where) > 0 {
		return
	}
	for i, v := range said.notes {
		if !ofTerm(usualTerms[i], v) {
			return
		}
	}
	for i := range c.Extras {
		e := &c.Extras[i]
		if e.Text != "" && !take(&note{heading: e.Heading, text: e.Text, at: e.From, low: strings.ToLower(e.Text), lowHeading: strings.ToLower(e.Heading)}) {
			return
		}
	}
	for _, r := range c.Remarks {
		if !take(&note{text: r, at: c.Address(), low: strings.ToLower(r)}) {
			return
		}
	}
}

// value returns the value of a term, or nil.
func (s *clues) value(c *record.Capture, term string) *record.Value {
	if i := slices.Index(usualTerms[:], term); i >= 0 {
		return s.notes[i]
	}
	return c.Value(term)
}

// wordingsOf cuts the wordings of a sign, joined by |, into words.
func wordingsOf(sign string) [][]string {
	var out [][]string
	for wording := range strings.SplitSeq(sign, "|") {
		out = append(out, wordsOf(strings.ToLower(wording)))
	}
	return out
}

// lookForAny says what a note says of a sign. Most notes hold no word of it,
// and are not cut into words.
func (n *note) lookForAny(wordings [][]string) presence {
	var text, heading []string
	cut := false
	for _, w := range wordings {
		if len(w) == 0 || !strings.Contains(n.low, w[0]) && !strings.Contains(n.lowHeading, w[0]) {
			continue
		}
		if !cut {
			text, heading, cut = wordsOf(n.low), wordsOf(n.lowHeading), true
		}
		if indexOf(heading, w) >= 0 && len(text) > 0 {
			return answer(text)
		}
		if i := indexOf(text, w); i >= 0 {
			return around(text, i, i+len(w))
		}
	}
	return unsaid
}

// answer reads the cell of a column that is headed by the sign.
func answer(text []string) presence {
	switch {
	case anyOf(text, doubtWords):
		return unsure
	case anyOf(text, noWords), text[0] == "0", text[0] == "-":
		return absent
	case anyOf(text, yesWords):
		return present
	}
	return unsure
}

// around reads a sign within a sentence by the words next to it.
func around(text []string, from, to int) presence {
	before := clause(text[max(0, from-3):from], true)
	after := clause(text[to:min(len(text), to+2)], false)
	switch {
	case anyOf(before, doubtWords), anyOf(after, doubtWords):
		return unsure
	case anyOf(before, noWords), anyOf(after, noWords), len(after) > 0 && (after[0] == "0" || after[0] == "-"):
		return absent
	}
	return present
}

// clause keeps what belongs to the sign: up to the nearest comma or stop.
func clause(words []string, before bool) []string {
	isStop := func(w string) bool { return w == "," || w == "." || w == ";" }
	if before {
		for i := len(words) - 1; i >= 0; i-- {
			if isStop(words[i]) {
				return words[i+1:]
			}
		}
		return words
	}
	if i := slices.IndexFunc(words, isStop); i >= 0 {
		return words[:i]
	}
	return words
}

// wordsOf splits a text in small letters into words and the marks that matter; colon
// and equals sign only join a sign with its answer and fall away.
func wordsOf(text string) []string {
	var out []string
	var word strings.Builder
	flush := func() {
		if word.Len() > 0 {
			out = append(out, word.String())
			word.Reset()
		}
	}
	runes := []rune(text)
	for i, r := range runes {
		switch {
		case r == '-' && i > 0 && i+1 < len(runes) && unicode.IsLetter(runes[i-1]) && unicode.IsLetter(runes[i+1]):
			flush() // "thumb-pads" is two words
		case unicode.IsLetter(r), unicode.IsDigit(r), unicode.IsMark(r), r == '+':
			word.WriteRune(r)
		case strings.ContainsRune("?,.;-", r):
			flush()
			out = append(out, string(r))
		default:
			flush()
		}
	}
	flush()
	return out
}

func indexOf(text, part []string) int {
	for i := 0; len(part) > 0 && i+len(part) <= len(text); i++ {
		if slices.Equal(text[i:i+len(part)], part) {
			return i
		}
	}
	return -1
}

func anyOf(words, list []string) bool {
	return slices.ContainsFunc(words, func(w string) bool { return slices.Contains(list, w) })
}
