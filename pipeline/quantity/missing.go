package quantity

import (
	"strconv"
	"strings"
	"sync"
	"unicode"
	"unicode/utf8"

	"spadefoot/mappings"
	"spadefoot/schemas"
)

type missingRow struct {
	Text     string `csv:"text"`
	Kind     string `csv:"kind"`
	Language string `csv:"language"`
}

// missingTable holds the words for "nothing taken" by their lower-case form.
type missingTable struct {
	words     map[string]string // to the kind
	elsewhere map[string]bool   // first words of a text that says where the number is
	sentinels map[float64]bool
	longest   int // words in the longest phrase

	starts map[string]bool // first words of them all
	digits bool            // one of them holds a digit
	marks  [256]bool       // first bytes of the marks
}

var missing = sync.OnceValue(func() *missingTable {
	t := &missingTable{words: map[string]string{}, elsewhere: map[string]bool{}, sentinels: map[float64]bool{}, starts: map[string]bool{}}
	for _, r := range schemas.Must(mappings.Table[missingRow]("missing.csv")) {
		if r.Kind == "sentinel" {
			t.sentinels[schemas.Must(strconv.ParseFloat(r.Text, 64))] = true
			continue
		}
		k := missingKey(r.Text)
		if r.Kind == "elsewhere" {
			t.elsewhere[k] = true
			continue
		}
		t.words[k] = r.Kind
		t.longest = max(t.longest, strings.Count(k, " ")+1)
		first, _, _ := strings.Cut(k, " ")
		t.starts[first] = true
		if r.Kind == "mark" {
			t.marks[k[0]], t.marks[strings.ToUpper(k)[0]] = true, true
		}
		t.digits = t.digits || strings.ContainsAny(k, "0123456789")
	}
	return t
})

// missingKey folds a word but keeps its blanks, and keeps dots and dashes
// where nothing else was written.
func missingKey(s string) string {
	s = strings.TrimSpace(s)
	if strings.IndexFunc(s, func(r rune) bool { return unicode.IsLetter(r) }) < 0 {
		return s
	}
	fields := strings.Fields(s)
	for i, f := range fields {
		fields[i] = fold(f)
	}
	return strings.Join(fields, " ")
}

// Missing reports whether the cell says that nothing was taken: it is blank,
// or holds one of the words of mappings/missing.csv, alone or followed by more
// words ("escaped before weighing"). Numbers that stand for nothing are not
// looked at here.
func Missing(text string) bool {
	kind, _ := missingKind(clean(text))
	return kind != ""
}

// Sentinel reports whether the whole cell is a number below zero that stands for
// nothing, as -999 does: no name, word or code is written so.
func Sentinel(text string) bool {
	if text == "" || text[0] != '-' && !unicode.IsSpace(rune(text[0])) {
		return false
	}
	x, err := strconv.ParseFloat(strings.TrimSpace(text), 64)
	return err == nil && x < 0 && missing().sentinels[x]
}

// Mark reports whether the whole cell is a mark that stands for nothing in any
// column, also in one of free text or of names: blank, "-", "n/a", "NA", "NaN".
// Written with a capital, as a name is ("Nan", "Null"), it is none.
func Mark(text string) bool {
	if text != "" && '!' <= text[0] && text[0] <= '~' {
		if t := missing(); !t.marks[text[0]] || len(text) > 1 && !t.digits && '0' <= text[1] && text[1] <= '9' {
			return false
		}
	}
	s := clean(text)
	if s == "" {
		return true
	}
	t := missing()
	return len(s) <= longestMark && t.marks[s[0]] && t.words[missingKey(s)] == "mark" && !capitalised(s)
}

const longestMark = 8 // bytes

// Blank reports whether a mark says no more than an empty cell does: signs alone, or
// NA, as statistics programs write an empty cell. Other words, as "n/a" and "NaN", are
// kept where they stand.
func Blank(text string) bool {
	return Mark(text) && (strings.TrimSpace(text) == "NA" || !strings.ContainsFunc(text, unicode.IsLetter))
}

// capitalised reports whether s is letters alone, a capital and then small ones.
func capitalised(s string) bool {
	for i, r := range s {
		if i == 0 && !unicode.IsUpper(r) || i > 0 && !unicode.IsLower(r) {
			return false
		}
	}
	return utf8.RuneCountInString(s) > 1
}

// missingKind returns "mark", "blank", "reason" or "doubt", and the words worth keeping.
func missingKind(s string) (kind, remark string) {
	if s == "" {
		return "blank", ""
	}
	if first, _ := utf8.DecodeRuneInString(s); isDigit(first) {
		return "", ""
	}
	t := missing()
	if !t.mayBe(s) {
		return "", ""
	}
	return t.kindOf(s)
}

// kindOf looks at a text of which mayBe says that it has to be looked at.
func (t *missingTable) kindOf(s string) (kind, remark string) {
	if k, ok := t.words[missingKey(s)]; ok {
		if k == "reason" {
			return k, s
		}
		return k, ""
	}
	if inner := strings.Trim(s, "()[]*\"' "); inner != s {
		if k, ok := t.words[missingKey(inner)]; ok {
			return k, inner
		}
	}
	return t.phrase(s)
}

// mayBe tells most texts that say something from those that must be looked at:
// a text with a digit is not a word for nothing, nor is one whose first word,
// taken at a blank or at the marks that phrase and brackets part words at, begins
// none. Texts without a plain letter, and with others than plain ones, are all
// looked at.
func (t *missingTable) mayBe(s string) bool {
	letters := false
	for i := 0; i < len(s); i++ {
		switch b := s[i]; {
		case b >= utf8.RuneSelf:
			return true
		case isDigit(rune(b)):
			if !t.digits {
				return false
			}
		case 'a' <= b|0x20 && b|0x20 <= 'z':
			letters = true
		}
	}
	if !letters {
		return true
	}
	body := strings.TrimLeft(s, ",;:()[]*\"' ")
	return t.begins(s, " ") || t.begins(body, " ") || t.begins(strings.TrimRight(body, "()[]*\"' "), " ") || t.begins(body, " ,;:()[]")
}

// begins reports whether the first word of s, which ends at one of the marks,
// is the first word of something that means nothing taken.
func (t *missingTable) begins(s, marks string) bool {
	var buf [longestStart]byte
	key := buf[:0]
	for i := 0; i < len(s) && strings.IndexByte(marks, s[i]) < 0; i++ {
		b := s[i]
		switch {
		case b == '.':
			continue
		case len(key) == longestStart:
			return true // longer than any; let others look
		case 'A' <= b && b <= 'Z':
			b |= 0x20
		}
		key = append(key, b)
	}
	return t.starts[string(key)]
}

const longestStart = 32

// phrase looks for a word for "nothing taken" at the start of a longer text
// without digits. The whole text is then the remark.
func (t *missingTable) phrase(s string) (kind, remark string) {
	if strings.ContainsAny(s, "0123456789") {
		return "", ""
	}
	words := strings.FieldsFunc(s, func(r rune) bool { return r == ' ' || strings.ContainsRune(",;:()[]", r) })
	for n := min(len(words), t.longest); n > 0; n-- {
		head := strings.Join(words[:n], " ")
		k := missingKey(head)
		kind, ok := t.words[k]
		if !ok || kind == "doubt" || utf8.RuneCountInString(head) < 2 || !hasLetter(head) {
			continue
		}
		return "reason", s
	}
	return "", ""
}

func hasLetter(s string) bool { return strings.IndexFunc(s, unicode.IsLetter) >= 0 }

// tells reports whether s says in words why there is no number: "scale was wet". One
// word may be a number that is hard to read, or belong to another column, and "see
// book" has a number elsewhere.
func (t *missingTable) tells(s string) bool {
	words, long := strings.Fields(s), false
	if strings.ContainsAny(s, "0123456789") || len(words) < 2 || t.elsewhere[missingKey(words[0])] {
		return false
	}
	for _, w := range words {
		if !hasLetter(w) {
			return false
		}
		long = long || utf8.RuneCountInString(w) >= shortestCut
	}
	return long
}

const shortestCut = 3 // letters

// cutShort reports whether s is a word for why nothing was taken, or several for
// nothing, of which the last is cut short: "esc", "illeg.", "not meas.".
func (t *missingTable) cutShort(s string) bool {
	if strings.ContainsAny(s, "0123456789") {
		return false
	}
	cut := missingKey(s)
	blanks := strings.Count(cut, " ")
	if utf8.RuneCountInString(cut[strings.LastIndexByte(cut, ' ')+1:]) < shortestCut {
		return false
	}
	for words, kind := range t.words {
		if strings.HasPrefix(words, cut) && (blanks == 0 && kind == "reason" || blanks > 0 && strings.Count(words, " ") == blanks) {
			return true
		}
	}
	return false
}
