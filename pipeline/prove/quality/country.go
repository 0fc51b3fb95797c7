package quality

import (
	"slices"
	"strings"

	"spadefoot/schemas"
)

// countryTests look at names and codes of countries and their divisions.
var countryTests = map[string]answer{
	"AMENDMENT_COUNTRYCODE_STANDARDIZED":          standardiseCountryCode,
	"VALIDATION_COUNTRYCODE_STANDARD":             countryCodeStandard,
	"VALIDATION_COUNTRYCOUNTRYCODE_CONSISTENT":    countryConsistent,
	"VALIDATION_COUNTRYSTATEPROVINCE_UNAMBIGUOUS": divisionUnambiguous,
	"VALIDATION_COUNTRY_FOUND":                    countryFound,
	"VALIDATION_STATEPROVINCE_FOUND":              divisionFound,
}

const (
	highSeas       = "XZ" // user-assigned code of ISO 3166-1, as Darwin Core uses it
	unknownCountry = "ZZ" // the same
)

// isCountryCode knows the codes of ISO 3166-1 alpha-2 that are assigned now,
// and the two that Darwin Core takes from the user-assigned ones.
func isCountryCode(code string) bool {
	return code == highSeas || code == unknownCountry || schemas.IsCountryCode(code)
}

func countryCodeStandard(r Record, p Params) Response {
	v := r("countryCode")
	switch {
	case !p.authority():
		return p.noAuthority()
	case Empty(v):
		return internal("countryCode is empty")
	}
	return judged(isCountryCode(v), "countryCode is an ISO 3166-1 alpha-2 code", "countryCode is not an ISO 3166-1 alpha-2 code")
}

func standardiseCountryCode(r Record, p Params) Response {
	v := r("countryCode")
	switch {
	case !p.authority():
		return p.noAuthority()
	case Empty(v):
		return internal("countryCode is empty")
	case isCountryCode(v):
		return notAmended("countryCode is already an ISO 3166-1 alpha-2 code")
	}
	code := codeMeant(v)
	if code == "" {
		return notAmended("countryCode %q cannot be read as one country", v)
	}
	return proposal(Amended, map[string]string{"dwc:countryCode": code}, "countryCode %q is read as %s", v, code)
}

// codeMeant reads a code in small letters, a code of three letters, the three
// digits of ISO 3166-1, or the name of a country.
func codeMeant(text string) string {
	text = trim(text)
	upper := strings.ToUpper(text)
	if isCountryCode(upper) {
		return upper
	}
	if n, ok := integer(text); ok && len(text) == 3 {
		return countryOfNumber()[n]
	}
	if len(text) == 3 {
		if code := alpha3Codes()[upper]; code != "" {
			return code
		}
	}
	if len(text) < 3 {
		return ""
	}
	if codes := countryNames()[foldPlace(text)]; len(codes) == 1 {
		return codes[0]
	}
	return ""
}

// countryFound compares names in any of the languages of the table, case and
// accents aside.
func countryFound(r Record, p Params) Response {
	v := r("country")
	switch {
	case !p.authority():
		return p.noAuthority()
	case Empty(v):
		return internal("country is empty")
	}
	return judged(len(countryCodesOf(v)) > 0, "country is the name of a country", "country is not the name of one country")
}

// countryCodesOf returns the codes of the countries with a name; none where the
// name has white space around it.
func countryCodesOf(name string) []string {
	if strings.TrimSpace(name) != name || trim(name) != name {
		return nil
	}
	return countryNames()[foldPlace(name)]
}

func countryConsistent(r Record, p Params) Response {
	name, code := r("country"), r("countryCode")
	switch {
	case !p.authority():
		return p.noAuthority()
	case Empty(name) || Empty(code):
		return internal("country or countryCode is empty")
	}
	return judged(slices.Contains(countryCodesOf(name), code), "country and countryCode name the same country",
		"country and countryCode do not name the same country")
}

func divisionFound(r Record, p Params) Response {
	v := r("stateProvince")
	switch {
	case !p.authority():
		return p.noAuthority()
	case Empty(v):
		return internal("stateProvince is empty")
	}
	return judged(len(divisionsOf(v)) > 0, "stateProvince is the name of a division of a country",
		"stateProvince is not the name of a division of any country")
}

// divisionUnambiguous needs exactly one division that belongs to a country of
// the name given. Without stateProvince nothing resolves; without country, the
// division must be the only one of its name.
func divisionUnambiguous(r Record, p Params) Response {
	country, division := r("country"), r("stateProvince")
	switch {
	case !p.authority():
		return p.noAuthority()
	case Empty(country) && Empty(division):
		return internal("country and stateProvince are empty")
	case Empty(division):
		return notCompliant("stateProvince is empty, so no division is named")
	}
	found := divisionsOf(division)
	if !Empty(country) {
		codes := countryCodesOf(country)
		found = slices.DeleteFunc(slices.Clone(found), func(d string) bool { return !slices.Contains(codes, d[:2]) })
	}
	switch len(found) {
	case 0:
		return notCompliant("no such division is known in that country")
	case 1:
		return compliant("the names mean the division %s", found[0])
	}
	return notCompliant("the names may mean %s", strings.Join(found, ", "))
}
