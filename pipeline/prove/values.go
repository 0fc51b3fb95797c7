package prove

import (
	"encoding/json"
	"fmt"
	"math"
	"regexp"
	"strconv"
	"strings"

	"spadefoot/pipeline/darwincore/terms"
	"spadefoot/pipeline/prove/quality"
	"spadefoot/schemas"
)

// fault is what is wrong with a value.
type fault struct {
	rule, reason, suggestion string
}

// check judges one value that is not empty: full gives nil where it is good,
// and quick, if there is one, accepts the usual forms of what full does.
type check struct {
	full  func(text string) *fault
	quick func(text []byte) bool
}

// checks by name of term. Types and ranges are those of the table schemas of
// the Darwin Core Data Package (2026-05-26) where they have the term.
var checks = map[string]check{
	"decimalLatitude":                     between(-90, 90),
	"decimalLongitude":                    between(-180, 180),
	"coordinateUncertaintyInMeters":       between(math.SmallestNonzeroFloat64, 20037509),
	"coordinatePrecision":                 between(0, 180),
	"pointRadiusSpatialFit":               between(0, math.Inf(1)),
	"footprintSpatialFit":                 between(0, math.Inf(1)),
	"minimumElevationInMeters":            between(-430, 8850),
	"maximumElevationInMeters":            between(-430, 8850),
	"minimumDepthInMeters":                between(0, 11000),
	"maximumDepthInMeters":                between(0, 11000),
	"minimumDistanceAboveSurfaceInMeters": between(math.Inf(-1), math.Inf(1)),
	"maximumDistanceAboveSurfaceInMeters": between(math.Inf(-1), math.Inf(1)),
	"sampleSizeValue":                     between(0, math.Inf(1)),
	"measurementAccuracy":                 {accuracyValue, plainAccuracy},
	"individualCount":                     integer(0, math.MaxInt32),
	"year":                                integer(-9999, 9999),
	"month":                               integer(1, 12),
	"day":                                 integer(1, 31),
	"startDayOfYear":                      integer(1, 366),
	"endDayOfYear":                        integer(1, 366),
	"namePublishedInYear":                 integer(1700, 2100),
	"eventDate":                           {isDate, plainDate},
	"dateIdentified":                      {isDate, plainDate},
	"georeferencedDate":                   {isDate, plainDate},
	"modified":                            {isDate, plainDate},
	"measurementDeterminedDate":           {isDate, plainDate},
	"relationshipEstablishedDate":         {isDate, plainDate},
	"eventTime":                           {isTime, plainClock},
	"countryCode":                         {isCountryCode, nil},
	"license":                             {isLicence, nil},
	"language":                            {isLanguage, nil},
	"references":                          {isIRI, plainAddress},
	"feedbackURL":                         {isIRI, plainAddress},
	"basisOfRecord":                       oneOf("basisOfRecord"),
	"type":                                oneOf("type"),
	"occurrenceStatus":                    oneOf("occurrenceStatus"),
	"establishmentMeans":                  oneOf("establishmentMeans"),
	"degreeOfEstablishment":               oneOf("degreeOfEstablishment"),
	"pathway":                             oneOf("pathway"),
	"vitality":                            oneOf("vitality"),
	"continent":                           oneOf("continent"),
	"eventCategory":                       oneOf("eventCategory"),
	"dynamicProperties":                   {isTidy, tidy},
}

func between(low, high float64) check {
	return check{func(text string) *fault {
		x, ok := decimal(text)
		switch {
		case !ok:
			return &fault{"value-not-number", "it must be a number", ""}
		case x < low || x > high:
			return &fault{"value-out-of-range", fmt.Sprintf("it must be between %g and %g", low, high), ""}
		}
		return nil
	}, plainBetween(low, high)}
}

var decimalForm = regexp.MustCompile(`^[+-]?(?:\d+\.?\d*|\.\d+)(?:[eE][+-]?\d+)?$`)

// decimal reads a number as data files write it: no blanks, no separators of
// thousands, a point.
func decimal(text string) (float64, bool) {
	if n, ok := plainCount([]byte(text)); ok {
		return float64(n), true
	}
	if !decimalForm.MatchString(text) {
		return 0, false
	}
	x, err := strconv.ParseFloat(text, 64)
	return x, err == nil
}

func integer(low, high int) check {
	return check{func(text string) *fault {
		n, err := strconv.Atoi(text)
		switch {
		case err != nil:
			return &fault{"value-not-number", "it must be a whole number", ""}
		case n < low || n > high:
			return &fault{"value-out-of-range", fmt.Sprintf("it must be between %d and %d", low, high), ""}
		}
		return nil
	}, plainInteger(low, high)}
}

func isDate(text string) *fault {
	if _, err := terms.ParseSpan(text); err != nil && !quality.IsDate(text) {
		return &fault{"value-not-date", err.Error(), ""}
	}
	return nil
}

func isTime(text string) *fault {
	if !terms.ValidTime(text) {
		return &fault{"value-not-time", "it must be an ISO 8601 time such as 14:07:30Z", ""}
	}
	return nil
}

// isCountryCode knows ISO 3166-1 alpha-2, the two codes that the standard adds
// for the high seas and for a place that is not known, and that of Kosovo.
func isCountryCode(text string) *fault {
	if text == "XZ" || text == "ZZ" || text == schemas.Kosovo || schemas.IsCountryCode(text) {
		return nil
	}
	return &fault{"value-not-listed", "it must be an ISO 3166-1 alpha-2 code such as CA", schemas.CountryCode(text)}
}

func isLicence(text string) *fault {
	l, ok := terms.FindLicence(text)
	switch {
	case !ok:
		return &fault{"licence-unknown", "repositories accept only CC0 1.0, CC BY 4.0 and CC BY-NC 4.0", ""}
	case !absoluteURI(text):
		return &fault{"licence-not-address", "the licence should be given by its address", l.URL}
	}
	return nil
}

var languageForm = regexp.MustCompile(`^[A-Za-z]{2,3}(?:-[A-Za-z0-9]{2,8})*$`)

func isLanguage(text string) *fault {
	if !languageForm.MatchString(text) {
		return &fault{"value-not-listed", "it must be an RFC 5646 language tag such as en", ""}
	}
	return nil
}

func isIRI(text string) *fault {
	if !absoluteURI(text) {
		return &fault{"value-not-iri", "it must be an address such as https://example.org/1", ""}
	}
	return nil
}

func oneOf(term string) check {
	return check{full: func(text string) *fault {
		ok, near, strength := terms.Allowed(term, text)
		if ok {
			return nil
		}
		values, _ := terms.Values(term)
		if len(values) > 12 {
			values = append(values[:12:12], "...")
		}
		rule := "value-not-advised"
		switch {
		case strength == terms.Must:
			rule = "value-not-listed"
		case term == "basisOfRecord":
			rule = "basis-not-class"
		}
		return &fault{rule, "it is not one of " + strings.Join(values, ", "), near}
	}}
}

func isTidy(text string) *fault {
	if strings.HasPrefix(text, "{") && !json.Valid([]byte(text)) {
		return &fault{"value-not-json", "it begins like JSON but is not valid JSON", ""}
	}
	return nil
}

func tidy(text []byte) bool { return text[0] != '{' || json.Valid(text) }

var censored = regexp.MustCompile(`^(?:[<>]-?\d+(?:\.\d+)?|-?\d+(?:\.\d+)?--?\d+(?:\.\d+)?)$`)

// numeric reports whether a measurement with a unit reads as a number, a bound
// ("<0.5", ">60") or a range ("40-42").
func numeric(text string) bool {
	if _, ok := decimal(text); ok {
		return true
	}
	return censored.MatchString(text)
}

func accuracyValue(text string) *fault {
	if x, ok := decimal(text); ok && x < 0 {
		return &fault{"value-out-of-range", "an accuracy cannot be less than zero", ""}
	}
	return nil
}
