package terms

import (
	"strings"

	"github.com/hbollon/go-edlib"
)

// Nearest returns the current term whose name is most like the word, or "" if
// none is near. Case, blanks, underscores and hyphens do not count. A name is
// near within one slip (insert, drop, change or swap of a letter) per four
// letters, two at least and never more than half of the word.
func Nearest(word string) string {
	w := fold(Bare(strings.TrimSpace(word)))
	if w == "" {
		return ""
	}
	most := max(2, len(w)/4)
	most = min(most, len(w)/2)
	best, name := most+1, ""
	for _, t := range load().all {
		if !t.Current() || !t.Property() || t.Class == "UseWithIRI" {
			continue
		}
		f := fold(t.Name)
		if d := len(f) - len(w); d > most || -d > most {
			continue
		}
		if d := edlib.OSADamerauLevenshteinDistance(w, f); d < best {
			best, name = d, t.Name
		}
	}
	return name
}

// Named returns the current term of one record whose name a heading is, or "".
// Case, blanks, underscores and hyphens do not count. Names of one word (type,
// order, class) are everyday words too: a heading names a term by them only with
// the prefix of its namespace (dwc:class).
func Named(heading string) string {
	heading = strings.TrimSpace(heading)
	bare := Bare(heading)
	name := load().named[fold(bare)]
	if bare == heading && strings.ToLower(name) == name {
		return ""
	}
	return name
}

var separators = strings.NewReplacer(" ", "", "_", "", "-", "", ".", "")

func fold(s string) string { return separators.Replace(strings.ToLower(s)) }
