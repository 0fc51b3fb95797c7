package quality

import "strings"

// presenceTests returns the tests that ask only whether something is there. The
// terms that they look at are those of the table.
func presenceTests() map[string]answer {
	tests := map[string]answer{
		"VALIDATION_COUNTRY_NOTEMPTY":        countryNotEmpty,
		"ISSUE_DATAGENERALIZATIONS_NOTEMPTY": issueNotEmpty("dataGeneralizations"),
		"ISSUE_ESTABLISHMENTMEANS_NOTEMPTY":  issueNotEmpty("establishmentMeans"),
		"VALIDATION_EVENTTEMPORAL_NOTEMPTY":  anyNotEmpty(temporalTerms),
		"VALIDATION_LOCATION_NOTEMPTY":       anyNotEmpty(locationTerms),
		"VALIDATION_TAXON_NOTEMPTY":          anyNotEmpty(taxonTerms),
	}
	for _, term := range strings.Fields(`basisOfRecord countryCode type decimalLatitude
		decimalLongitude eventDate geodeticDatum kingdom license namePublishedInYear
		occurrenceID occurrenceStatus scientificName scientificNameAuthorship
		scientificNameID taxonRank year`) {
		name := strings.ToUpper(term)
		if term == "type" {
			name = "DCTYPE"
		}
		tests["VALIDATION_"+name+"_NOTEMPTY"] = notEmpty(term)
	}
	return tests
}

var (
	temporalTerms = strings.Fields("eventDate year month day startDayOfYear endDayOfYear verbatimEventDate")
	locationTerms = strings.Fields(`higherGeographyID higherGeography continent country countryCode
		stateProvince county municipality waterBody island islandGroup locality locationID
		verbatimLocality decimalLatitude decimalLongitude verbatimCoordinates verbatimLatitude
		verbatimLongitude footprintWKT`)
	taxonTerms = strings.Fields(`taxonID scientificNameID acceptedNameUsageID parentNameUsageID
		originalNameUsageID taxonConceptID scientificName higherClassification kingdom phylum class
		order superfamily family subfamily tribe subtribe genus genericName subgenus
		infragenericEpithet specificEpithet infraspecificEpithet vernacularName cultivarEpithet`)
)

func notEmpty(term string) answer {
	yes, no := term+" holds a value", term+" is empty"
	return func(r Record, _ Params) Response { return judged(r.has(term), yes, no) }
}

func anyNotEmpty(terms []string) answer {
	return func(r Record, _ Params) Response {
		for _, term := range terms {
			if r.has(term) {
				return compliant("%s holds a value", term)
			}
		}
		return notCompliant("all %d relevant terms are empty", len(terms))
	}
}

func issueNotEmpty(term string) answer {
	return func(r Record, _ Params) Response {
		return issue(r.has(term), term+" holds a value", term+" is empty")
	}
}

// countryNotEmpty lets the high seas pass, which have a code (XZ) but no country.
func countryNotEmpty(r Record, _ Params) Response {
	if r.has("country") {
		return compliant("country holds a value")
	}
	if trim(r("countryCode")) == highSeas {
		return compliant("countryCode XZ stands for the high seas, which belong to no country")
	}
	return notCompliant("country is empty")
}
