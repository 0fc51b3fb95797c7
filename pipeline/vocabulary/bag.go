package vocabulary

import (
	"regexp"
	"slices"
	"strings"
	"sync"
)

// besideBag is a mass and that of something else beside it: 12.5 (bag 2.1), 12.5 (w/ bag 2.1).
var besideBag = regexp.MustCompile(`^\s*([0-9]+(?:[.,][0-9]+)?(?:\s*g)?)\s*[,;(\[]?\s*(\pL[\pL /.]*?)\s*[:=]?\s*([0-9]+(?:[.,][0-9]+)?(?:\s*g)?)\s*[)\]]?\s*$`)

// withWords say before the word for a bag that a mass includes it: common practice.
var withWords = []string{"with", "w", "incl", "including", "plus", "con", "com", "c", "mit", "inkl", "avec", "met", "med"}

// bagWords are the words that stand over columns of the masses of bags.
var bagWords = sync.OnceValue(func() map[string]bool {
	words := map[string]bool{}
	for _, h := range Headings() {
		if h.Role == HeadingWeighing && h.Value == "tare" {
			words[Fold(h.Heading)] = true
		}
	}
	return words
})

// MassAndBag takes apart a text that holds a mass and that of a bag. included says that the
// text states that the first includes the second: "23.5 (w/ bag 5)". It is not ok for any
// other text.
func MassAndBag(text string) (mass, bag string, included, ok bool) {
	m := besideBag.FindStringSubmatch(text)
	if m == nil {
		return "", "", false, false
	}
	first, rest, _ := strings.Cut(m[2], " ")
	if included = slices.Contains(withWords, Fold(first)) && bagWords()[Fold(rest)]; !included && !bagWords()[Fold(m[2])] {
		return "", "", false, false
	}
	return m[1], m[3], included, true
}
