package terms

import (
	"slices"
	"strings"
	"sync"

	"spadefoot/schemas"
)

// Strength says how binding the list of values of a term is.
type Strength uint8

// The strengths.
const (
	Free   Strength = iota // any text
	Should                 // the standard advises a list
	Must                   // no other value has a meaning
)

type valueRow struct {
	Term     string `csv:"term"`
	Value    string `csv:"value"`
	IRI      string `csv:"iri"`
	Strength string `csv:"strength"`
}

type list struct {
	values   []string
	strength Strength
}

var lists = sync.OnceValue(func() map[string]*list {
	out := map[string]*list{}
	for _, r := range schemas.Must(schemas.Table[valueRow]("darwin_core_values.csv")) {
		l := out[r.Term]
		if l == nil {
			l = &list{strength: Should}
			if r.Strength == "must" {
				l.strength = Must
			}
			out[r.Term] = l
		}
		l.values = append(l.values, r.Value)
	}
	return out
})

// Values returns the controlled values of a term and how binding they are.
func Values(term string) ([]string, Strength) {
	l := lists()[Bare(term)]
	if l == nil {
		return nil, Free
	}
	return slices.Clone(l.values), l.strength
}

// Allowed reports whether the text is a controlled value of the term, spelt
// as in the list. Where it is not, near is the listed value that differs only
// in case, blanks or hyphens, or "". Terms without a list allow every text.
func Allowed(term, text string) (ok bool, near string, strength Strength) {
	l := lists()[Bare(term)]
	if l == nil {
		return true, "", Free
	}
	if slices.Contains(l.values, text) {
		return true, "", l.strength
	}
	folded := fold(text)
	for _, v := range l.values {
		if fold(v) == folded {
			near = v
		}
	}
	return false, near, l.strength
}

// Licence is one of the three licences under which repositories take
// occurrence data.
type Licence struct {
	Name string // as people write it: CC BY 4.0
	URL  string // the address that is published
	Full string // the full name
}

// Licences are CC0 1.0, CC BY 4.0 and CC BY-NC 4.0 (common practice).
var licences = []Licence{
	{"CC0 1.0", "http://creativecommons.org/publicdomain/zero/1.0/legalcode", "Creative Commons Zero 1.0 Universal"},
	{"CC BY 4.0", "http://creativecommons.org/licenses/by/4.0/legalcode", "Creative Commons Attribution 4.0 International"},
	{"CC BY-NC 4.0", "http://creativecommons.org/licenses/by-nc/4.0/legalcode", "Creative Commons Attribution-NonCommercial 4.0 International"},
}

// Licences returns the accepted licences.
func Licences() []Licence { return slices.Clone(licences) }

// FindLicence reads a licence by address (with or without https, www, a final
// slash, "legalcode" or "deed") or by short name such as "CC BY 4.0",
// "CC-BY-4.0" or "CC0-1.0".
func FindLicence(text string) (Licence, bool) {
	key := licenceKey(text)
	for _, l := range licences {
		if key == licenceKey(l.URL) || key == licenceKey(l.Name) {
			return l, true
		}
	}
	return Licence{}, false
}

var licenceSeparators = strings.NewReplacer(" ", "", "-", "", "_", "")

func licenceKey(s string) string {
	s = strings.ToLower(strings.TrimSpace(s))
	s = strings.TrimPrefix(s, "https://")
	s = strings.TrimPrefix(s, "http://")
	s = strings.TrimPrefix(s, "www.")
	if i := strings.Index(s, "/legalcode"); i >= 0 {
		s = s[:i]
	}
	if i := strings.Index(s, "/deed"); i >= 0 {
		s = s[:i]
	}
	s = strings.TrimRight(s, "/")
	if strings.HasPrefix(s, "creativecommons.org/") {
		return s
	}
	return licenceSeparators.Replace(s)
}
