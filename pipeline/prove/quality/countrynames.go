package quality

import (
	"slices"
	"strings"
	"sync"
	"unicode"

	"golang.org/x/text/unicode/norm"

	"spadefoot/schemas"
)

type divisionRow struct {
	Code  string `csv:"code"`
	Names string `csv:"names"`
}

// uninhabited are the codes of areas without a permanent population (common
// practice).
var uninhabited = wordSet("AQ BV GS HM IO TF UM")

// countryNames turns a folded name into the codes of the countries that have
// it, sorted. Where nobody lives for good there is no nation, though ISO 3166-1
// has a code.
var countryNames = sync.OnceValue(func() map[string][]string {
	names := map[string][]string{}
	for _, c := range schemas.Countries() {
		if !uninhabited[c.Code] {
			addNames(names, c.Names, c.Code)
		}
	}
	return names
})

// divisionNames turns a folded name into the ISO 3166-2 codes of the divisions
// that have it, sorted.
var divisionNames = sync.OnceValue(func() map[string][]string {
	rows := schemas.Must(schemas.Table[divisionRow]("quality_divisions.csv"))
	names := make(map[string][]string, 2*len(rows))
	for _, row := range rows {
		addNames(names, row.Names, row.Code)
	}
	return names
})

func divisionsOf(name string) []string {
	if strings.TrimSpace(name) != name || trim(name) != name {
		return nil
	}
	if found := divisionNames()[foldPlace(name)]; len(found) > 0 {
		return found
	}
	return divisionNames()[foldPlace(withoutKind(name, ""))]
}

func namesCountry(text string) bool { return len(countryCodesOf(text)) > 0 }

func namesDivision(text string) bool { return len(divisionsOf(text)) > 0 }

// NamesRegion reports whether a text is what its term asks for: a name of a
// country or its code, or a name of a division of a country.
func NamesRegion(term, text string) bool {
	switch term {
	case "country":
		return len(countryNames()[foldPlace(text)]) > 0
	case "countryCode":
		return schemas.IsCountryCode(text)
	case "stateProvince":
		return namesDivision(text)
	}
	return false
}

// divisionKinds are left off a name for a second entry: "Buenos Aires Province"
// is known as "Buenos Aires" too.
var divisionKinds = []string{" province", " region", " state", " governorate", " county", " prefecture", " department", " district", " oblast"}

func addNames(names map[string][]string, list, code string) {
	for name := range strings.SplitSeq(list, "|") {
		for _, writing := range []string{name, withoutKind(name, code)} {
			key := foldPlace(writing)
			if at, there := slices.BinarySearch(names[key], code); key != "" && !there {
				names[key] = slices.Insert(names[key], at, code)
			}
		}
	}
}

func withoutKind(name, code string) string {
	if len(code) == 2 {
		return ""
	}
	for _, kind := range divisionKinds {
		if short := len(name) - len(kind); short > 0 && strings.EqualFold(name[short:], kind) {
			return name[:short]
		}
	}
	return ""
}

// foldPlace brings the writings of a name together: case, accents, spaces and
// punctuation aside, "Saint" as "St" and "&" as "and", without a leading "the".
func foldPlace(name string) string {
	name = strings.ReplaceAll(strings.ToLower(name), "&", " and ")
	words := strings.FieldsFunc(name, func(r rune) bool {
		return !unicode.IsLetter(r) && !unicode.IsDigit(r) && !unicode.Is(unicode.Mn, r)
	})
	var b strings.Builder
	for i, word := range words {
		switch {
		case word == "the" && i == 0:
			continue
		case word == "saint":
			word = "st"
		}
		for _, r := range norm.NFD.String(word) {
			if !unicode.Is(unicode.Mn, r) {
				b.WriteRune(r)
			}
		}
	}
	return b.String()
}
