package quality

import (
	"slices"
	"strings"

	"spadefoot/schemas"
)

// countryTests look at names and codes of countries and their divisions.
var countryTests = map[string]answer{
	"AMENDMENT_COUNTRYCODE_STANDARDIZED":          standardised("dwc:countryCode", isCountryCode, codeMeant, "an ISO 3166-1 alpha-2 code", "country"),
	"VALIDATION_COUNTRYCODE_STANDARD":             holding("countryCode", isCountryCode, "countryCode is an ISO 3166-1 alpha-2 code", "countryCode is not an ISO 3166-1 alpha-2 code"),
	"VALIDATION_COUNTRYCOUNTRYCODE_CONSISTENT":    countryConsistent,
	"VALIDATION_COUNTRYSTATEPROVINCE_UNAMBIGUOUS": divisionUnambiguous,
	"VALIDATION_COUNTRY_FOUND":                    holding("country", namesCountry, "country is the name of a country", "country is not the name of one country"),
	"VALIDATION_STATEPROVINCE_FOUND":              holding("stateProvince", namesDivision, "stateProvince is the name of a division of a country", "stateProvince is not the name of a division of any country"),
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

// codeMeant reads a code in small letters, a code of three letters, the three
// digits of ISO 3166-1, or the name of a country.
func codeMeant(text string) string {
	text = trim(text)
	upper := strings.ToUpper(text)
	if isCountryCode(upper) {
		return upper
	}
	if len(text) < 3 {
		return ""
	}
	if len(text) == 3 {
		n, isNumber := integer(text)
		for _, c := range schemas.Countries() {
			if c.Alpha3 == upper || isNumber && c.Number == n {
				return c.Code
			}
		}
	}
	if codes := countryNames()[foldPlace(text)]; len(codes) == 1 {
		return codes[0]
	}
	return ""
}

// countryCodesOf returns the codes of the countries with a name, in any of the
// languages of the table, case and accents aside; none where the name has white
// space around it.
func countryCodesOf(name string) []string {
	if strings.TrimSpace(name) != name || trim(name) != name {
		return nil
	}
	return countryNames()[foldPlace(name)]
}

func countryConsistent(r Record, _ Params) Response {
	name, code := r("country"), r("countryCode")
	if Empty(name) || Empty(code) {
		return internal("country or countryCode is empty")
	}
	return judged(slices.Contains(countryCodesOf(name), code), "country and countryCode name the same country",
		"country and countryCode do not name the same country")
}

// divisionUnambiguous needs exactly one division that belongs to a country of
// the name given. Without stateProvince nothing resolves; without country, the
// division must be the only one of its name.
func divisionUnambiguous(r Record, _ Params) Response {
	country, division := r("country"), r("stateProvince")
	switch {
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
		if Empty(country) {
			return notCompliant("no such division is known")
		}
		return notCompliant("no such division is known in that country")
	case 1:
		return compliant("the names mean the division %s", found[0])
	}
	return notCompliant("the names may mean %s", strings.Join(found, ", "))
}
