package quality

import (
	"strings"
	"unicode"
)

// licenceTests know the Creative Commons licences of version 4.0 and CC0 1.0.
var licenceTests = map[string]answer{
	"VALIDATION_LICENSE_STANDARD": holding("license", isLicenceIRI, "license is the address of a Creative Commons licence",
		"license is not the address of a Creative Commons 4.0 licence or of CC0"),
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

// standardiseLicence leaves an empty term as it is.
func standardiseLicence(r Record, p Params) Response {
	if !r.has("license") {
		return notAmended("license is empty")
	}
	return standardised("dcterms:license", isLicenceIRI, licenceMeant, "the address of a licence", "Creative Commons licence of one version")(r, p)
}

// licenceMeant reads the usual names of the licences. A name without a version is
// read only for CC0, which has one; for the others the version is for the rights
// holder to say.
func licenceMeant(text string) string {
	trimmed := trim(text)
	if isLicenceIRI(trimmed) {
		return trimmed
	}
	if withSlash := trimmed + "/"; isLicenceIRI(withSlash) {
		return withSlash
	}
	words := licenceWords(trimmed)
	if words == "cc0" || words == "cc0 1.0" || words == "cc zero" || words == "cc zero 1.0" {
		return "https://" + zeroRoot + "legalcode"
	}
	kind, four := strings.CutSuffix(words, " 4.0")
	if !four {
		return ""
	}
	kind, isCC := strings.CutPrefix(kind, "cc ")
	kind = strings.ReplaceAll(kind, " ", "-")
	if !isCC || !licenceKinds[kind] {
		return ""
	}
	return "https://" + licenceRoot + kind + "/4.0/legalcode"
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
