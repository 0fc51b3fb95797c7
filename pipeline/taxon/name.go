package taxon

import (
	"strings"
	"unicode"

	"golang.org/x/text/unicode/norm"
)

// doubt is where in a name its qualifier is, and so how much of the name is certain.
type doubt uint8

const (
	certain      doubt = iota
	doubtInfra         // the subspecies
	doubtSpecies       // the species; the genus is certain
	doubtGenus         // the whole name
)

// name is a text read as a scientific name.
type name struct {
	genus     string // or the one word of a name above the species
	subgenus  string
	sign      string // "×" or "kl." between genus and epithet
	species   string
	infra     string
	author    string
	qualifier string // as it goes into identificationQualifier
	lead      string // the words of doubt before the whole name
	doubt     doubt
	unnamed   bool // "sp.", "spp.": no species named
	short     bool // the genus is abbreviated
}

// String returns the name without author and qualifier.
func (n name) String() string {
	var parts []string
	for _, p := range []string{n.genus, n.sign, n.species, n.infra} {
		if p != "" {
			parts = append(parts, p)
		}
	}
	return strings.Join(parts, " ")
}

// key is what names are compared by: small letters without accents, hyphens or
// signs, one blank between words.
func (n name) key() string { return key(n.genus, n.species, n.infra) }

func key(words ...string) string {
	var parts []string
	for _, w := range words {
		if w = letters(w); w != "" {
			parts = append(parts, w)
		}
	}
	return strings.Join(parts, " ")
}

// letters reduces a word to small letters and digits without accents.
func letters(text string) string {
	return strings.Map(func(r rune) rune {
		if unicode.IsLetter(r) || unicode.IsDigit(r) {
			return unicode.ToLower(r)
		}
		return -1
	}, norm.NFKD.String(text))
}

// rank returns the rank that the shape of the name tells: by its parts, and for
// one word by the endings that the zoological code fixes for families and
// subfamilies (ICZN, article 29.2). Otherwise it is "".
func (n name) rank() string {
	switch {
	case n.infra != "":
		return "subspecies"
	case n.species != "":
		return "species"
	case strings.HasSuffix(n.genus, "idae"):
		return "family"
	case strings.HasSuffix(n.genus, "inae"):
		return "subfamily"
	case groupRank(n.genus) != "":
		return groupRank(n.genus)
	case n.unnamed:
		return "genus"
	}
	return ""
}
