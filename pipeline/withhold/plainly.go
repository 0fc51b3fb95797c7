package withhold

import (
	"regexp"
	"slices"
	"strings"

	"spadefoot/pipeline/calendar"
	"spadefoot/pipeline/quantity"
)

// Forms in which a term says nothing but what it is for.
var (
	isoForm    = regexp.MustCompile(`^\d[\dT:/Z+ -]*$`)
	numberForm = regexp.MustCompile(`^\d{1,6}(?:[.,]\d{1,2})?$`)
	codeForm   = regexp.MustCompile(`^\d{1,4}(?:[ /.-]\d{1,4}){0,2}$`)
	uuidForm   = regexp.MustCompile(`^(?i:urn:uuid:)?[0-9a-fA-F]{8}(?:-[0-9a-fA-F]{4}){3}-[0-9a-fA-F]{12}$`)
)

// positionForm are numbers with the decimals of a position, degrees with
// their sign, and a number beside a point of the compass.
var positionForm = regexp.MustCompile(`\d[.,]\d{4}|\d\s*[°º˚]|(?i:\d\s*['"´′″]*\s*[nsew]\b|\b[nsew]\s*\d)`)

// likeCoordinates reports whether a text may hold a coordinate.
func likeCoordinates(text string) bool {
	for _, r := range text {
		switch r {
		case '.', ',', '°', 'º', '˚', 'n', 's', 'e', 'w', 'N', 'S', 'E', 'W', 'ſ': // 'ſ' is an s in another case
			return positionForm.MatchString(text)
		}
	}
	return false
}

var (
	dayTerms    = []string{"eventDate", "eventTime", "dateIdentified", "measurementDeterminedDate", "modified"}
	countTerms  = []string{"individualCount", "organismQuantity", "sampleSizeValue", "year", "month", "day", "startDayOfYear", "endDayOfYear", "namePublishedInYear"}
	taxonTerms  = append([]string{"verbatimIdentification", "identificationQualifier", "higherClassification", "nameAccordingTo", "scientificNameAuthorship", "taxonRank", "verbatimTaxonRank", "specificEpithet", "infraspecificEpithet", "infragenericEpithet", "cultivarEpithet"}, named...)
	numberSigns = []string{"recordNumber", "catalogNumber", "organismID", "materialSampleID", "materialEntityID", "occurrenceID"}
)

// sayPlainly reports whether a text has the form that its term is for: a day, a
// time, a count, a number that names a capture. No form holds a coordinate.
func sayPlainly(term, text string) bool {
	switch {
	case text == "":
		return true
	case likeCoordinates(text) && !isoForm.MatchString(text):
		return false
	case slices.Contains(dayTerms, term):
		return isoForm.MatchString(text)
	case slices.Contains(countTerms, term):
		return numberForm.MatchString(text)
	case slices.Contains(numberSigns, term):
		return codeForm.MatchString(text) || uuidForm.MatchString(text)
	case term == "verbatimEventDate":
		return dayInWords(text)
	}
	return false
}

// dayInWords reports whether a text is made of numbers and the names of months
// and days.
func dayInWords(text string) bool {
	t := tokens(text)
	for _, w := range t {
		if _, digits := (phrase{w}).count(); digits > 4 && digits != 8 || digits == 0 && calendar.Month(w) == 0 && !calendar.IsWeekday(w) &&
			!slices.Contains([]string{"st", "nd", "rd", "th", "t", "z", "h", "de", "of", "am", "pm"}, w) {
			return false
		}
	}
	return len(t) <= 8
}

// says reports whether a text of a term that stays tells no more than the term
// is for: it has the form of the term, is of words that are known for it, or
// is at several places. In a row whose cells moved nothing else counts than
// the form and the words.
func (h *Hidden) says(term, text string) bool {
	r := h.among
	switch {
	case text == "" || sayPlainly(term, text) || slices.Contains(h.Rule.Keep, term):
		return true
	case likeCoordinates(text):
		return false
	case r.settings.Known != nil && r.settings.Known(term, text):
		return true
	case slices.Contains(taxonTerms, term) && r.nameWords.tell(text):
		return true
	}
	return !h.moved && r.spread.has(term, text)
}

var wordRun = regexp.MustCompile(`\pL+`)

// plain reports whether a text is a number with its unit and marks, or a short
// code: at most one word, and that a unit, "ca" or a letter or two.
func plain(text string) bool {
	if likeCoordinates(text) {
		return false
	}
	for i, w := range wordRun.FindAllString(text, -1) {
		if _, unit := quantity.FindUnit(w); unit || len([]rune(w)) == 1 {
			continue
		}
		switch strings.ToLower(w) {
		case "ca", "circa", "approx", "about", "na", "nd":
			continue
		}
		if i > 0 || !quantity.Missing(text) {
			return false
		}
	}
	return true
}
