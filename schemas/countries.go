package schemas

import (
	"strings"
	"sync"
)

// Country is a country that ISO 3166-1 has now, with its codes of two and three
// letters, its number, and its names in many languages, the English one first.
type Country struct {
	Code   string `csv:"code"`
	Alpha3 string `csv:"alpha3"`
	Number int    `csv:"number"`
	Names  string `csv:"names"` // separated by |
}

// Countries returns all of them, by code.
var Countries = sync.OnceValue(func() []Country { return Must(Table[Country]("quality_countries.csv")) })

var countryCodes = sync.OnceValue(func() map[string]string {
	codes := map[string]string{}
	for _, c := range Countries() {
		for _, name := range append(strings.Split(c.Names, "|"), c.Alpha3) {
			codes[strings.ToUpper(name)] = c.Code
		}
	}
	for _, c := range Countries() { // which no name of another hides
		codes[c.Code] = c.Code
	}
	return codes
})

// IsCountryCode reports whether ISO 3166-1 has a code of two letters now.
func IsCountryCode(code string) bool { return len(code) == 2 && countryCodes()[code] == code }

// Kosovo has the code of those that ISO 3166-1 leaves to its users that
// repositories take for it (common practice).
const Kosovo = "XK"

// CountryCode returns the code of two letters of the country that a code in
// letters of any case, or a name, means; none where it means no country.
func CountryCode(text string) string { return countryCodes()[strings.ToUpper(strings.TrimSpace(text))] }
