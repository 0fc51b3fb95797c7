package quantity

import (
	"strconv"
	"strings"
	"sync"
	"unicode"
	"unicode/utf8"

	"spadefoot/mappings"
)

type missingRow struct {
	Text     string `csv:"text"`
	Kind     string `csv:"kind"`
	Language string `csv:"language"`
}

// missingTable holds the words for "nothing taken" by their lower-case form.
type missingTable struct {
	words     map[string]string // to the kind
	sentinels map[float64]bool
	longest   int // words in the longest phrase
}

var loadMissing = sync.OnceValues(func() (*missingTable, error) {
	t := &missingTable{words: map[string]string{}, sentinels: map[float64]bool{}}
	rows, err := mappings.Table[missingRow]("missing.csv")
	if err != nil {
		return t, err
	}
	for _, r := range rows {
		if r.Kind == "sentinel" {
			v, err := strconv.ParseFloat(r.Text, 64)
			if err != nil {
				return t, err
			}
			t.sentinels[v] = true
			continue
		}
		k := missingKey(r.Text)
		t.words[k] = r.Kind
		t.longest = max(t.longest, strings.Count(k, " ")+1)
	}
	return t, nil
})

func missing() *missingTable {
	t, _ := loadMissing()
	return t
}

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

// missingKind gives "blank", "reason" or "doubt", and the words worth keeping.
func missingKind(s string) (kind, remark string) {
	if s == "" {
		return "blank", ""
	}
	if first, _ := utf8.DecodeRuneInString(s); isDigit(first) {
		return "", ""
	}
	t := missing()
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
