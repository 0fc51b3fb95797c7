package quality

import (
	"strings"
	"unicode"
)

// licenceTests know the Creative Commons licences of version 4.0 and CC0 1.0.
var licenceTests = map[string]answer{
	"VALIDATION_LICENSE_STANDARD":    licenceStandard,
	"AMENDMENT_LICENSE_STANDARDIZED": standardiseLicence,
}

const (
	licenceRoot = "creativecommons.org/licenses/"
	zeroRoot    = "creativecommons.org/publicdomain/zero/1.0/"
)

var (
	licenceKinds = wordSet("by by-sa by-nc by-nc-sa by-nd by-nc-nd")
	// languages into which the licence texts are translated, as the published
	// test lists them
	licenceLanguages = wordSet(`id eu da de en es fr fy hr it lv lt ni no pl pt ro si fi sv tr cs el
		ru uk ar jp zh-hans zh-hant ko`)
)

func licenceStandard(r Record, p Params) Response {
	v := r("license")
	switch {
	case !p.authority():
		return p.noAuthority()
	case Empty(v):
		return internal("license is empty")
	}
	return judged(isLicenceIRI(v), "license is the address of a Creative Commons licence",
		"license is not the address of a Creative Commons 4.0 licence or of CC0")
}

// isLicenceIRI accepts the address of a licence, of its deed or legal code, and
// either in one of the languages.
func isLicenceIRI(text string) bool {
	rest, ok := strings.CutPrefix(text, "https://")
	if !ok {
		if rest, ok = strings.CutPrefix(text, "http://"); !ok {
			return false
		}
	}
	page, zero := strings.CutPrefix(rest, zeroRoot)
	if !zero {
		kind, isLicence := strings.CutPrefix(rest, licenceRoot)
		if !isLicence {
			return false
		}
		var known bool
		kind, page, known = strings.Cut(kind, "/4.0/")
		if !known || !licenceKinds[kind] {
			return false
		}
	}
	if page == "" {
		return true
	}
	page, language, translated := strings.Cut(page, ".")
	if page != "deed" && page != "legalcode" {
		return false
	}
	return !translated || licenceLanguages[language] || language == "mi" && !zero
}

// standardiseLicence reads the usual names of the licences. A name without a
// version is read only for CC0, which has one; for the others the version is
// for the rights holder to say.
func standardiseLicence(r Record, p Params) Response {
	v := r("license")
	switch {
	case !p.authority():
		return p.noAuthority()
	case Empty(v):
		return notAmended("license is empty")
	case isLicenceIRI(v):
		return notAmended("license is already the address of a licence")
	}
	iri, ok := licenceMeant(v)
	if !ok {
		return notAmended("license %q cannot be read as one Creative Commons licence of one version", v)
	}
	return proposal(Amended, map[string]string{"dcterms:license": iri}, "license %q is read as %s", v, iri)
}

func licenceMeant(text string) (iri string, ok bool) {
	trimmed := trim(text)
	if isLicenceIRI(trimmed) {
		return trimmed, true
	}
	if withSlash := trimmed + "/"; isLicenceIRI(withSlash) {
		return withSlash, true
	}
	words := licenceWords(trimmed)
	if words == "cc0" || words == "cc0 1.0" || words == "cc zero" || words == "cc zero 1.0" {
		return "https://" + zeroRoot + "legalcode", true
	}
	kind, four := strings.CutSuffix(words, " 4.0")
	if !four {
		return "", false
	}
	kind, isCC := strings.CutPrefix(kind, "cc ")
	kind = strings.ReplaceAll(kind, " ", "-")
	if !isCC || !licenceKinds[kind] {
		return "", false
	}
	return "https://" + licenceRoot + kind + "/4.0/legalcode", true
}

// licenceWords returns the words of a licence's name in a canonical order of
// abbreviations: "Creative Commons Attribution 4.0 International" becomes
// "cc by 4.0".
func licenceWords(text string) string {
	short := map[string]string{
		"creative": "", "commons": "cc", "attribution": "by", "noncommercial": "nc", "sharealike": "sa",
		"noderivatives": "nd", "noderivs": "nd", "international": "", "license": "", "licence": "", "public": "",
		"domain": "", "dedication": "", "the": "", "v4.0": "4.0", "universal": "", "non": "nc", "commercial": "",
		"share": "sa", "alike": "", "no": "nd", "derivatives": "", "derivs": "", "http": "", "https": "", "1.0": "1.0",
	}
	var words []string
	for _, w := range strings.FieldsFunc(strings.ToLower(text), func(r rune) bool {
		return unicode.IsSpace(r) || strings.ContainsRune("-_/,()+:", r)
	}) {
		if s, ok := short[w]; ok {
			w = s
		}
		if w != "" {
			words = append(words, w)
		}
	}
	return strings.Join(words, " ")
}
