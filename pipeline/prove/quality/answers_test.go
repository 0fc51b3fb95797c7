package quality

import (
	"testing"

	"github.com/google/go-cmp/cmp"
)

// A case is a record and what a test must say of it by the description; the
// published rows are checked in agreement_test.go.
type testCase struct {
	label  string
	record map[string]string
	want   string // result, or status where there is none
	change map[string]string
}

func TestAnswers(t *testing.T) {
	all := append(append(append(dateCases, termCases...), placeCases...), nameCases...)
	for _, c := range all {
		test, ok := Find(c.label)
		if !ok {
			t.Errorf("no test %s", c.label)
			continue
		}
		r := FromMap(c.record)
		got := test.Run(r, ParamsOf(r, Params{Today: dataDay}))
		answer := got.Result
		if answer == "" || got.Amended != nil || got.Status != HasResult && test.Type == Measure {
			answer = got.Status
		}
		if answer != c.want || !cmp.Equal(got.Amended, c.change) {
			t.Errorf("%s %v: %s %v (%s), want %s %v", c.label, c.record, answer, got.Amended, got.Comment, c.want, c.change)
		}
		if got.Comment == "" {
			t.Errorf("%s %v: no comment", c.label, c.record)
		}
	}
}

type m = map[string]string

var dateCases = []testCase{
	{"VALIDATION_DAY_INRANGE", m{"day": "30", "month": "2"}, NotCompliant, nil},
	{"VALIDATION_DAY_INRANGE", m{"day": "29", "month": "2"}, Internal, nil},
	{"VALIDATION_DAY_INRANGE", m{"day": "29", "month": "2", "year": "2000"}, Compliant, nil},
	{"VALIDATION_DAY_INRANGE", m{"day": "29", "month": "2", "year": "20xx"}, Internal, nil},
	{"VALIDATION_DAY_INRANGE", m{"day": "31", "month": "4"}, NotCompliant, nil},
	{"VALIDATION_DAY_INRANGE", m{"day": "31", "month": "12"}, Compliant, nil},
	{"VALIDATION_DAY_INRANGE", m{"day": "31"}, Internal, nil},
	{"VALIDATION_DAY_INRANGE", m{"day": "31", "month": "13"}, Internal, nil},
	{"VALIDATION_DAY_INRANGE", m{"day": "0"}, NotCompliant, nil},
	{"VALIDATION_DAY_INRANGE", m{"day": "3rd"}, Internal, nil},
	{"VALIDATION_DAY_STANDARD", m{"day": "3rd"}, NotCompliant, nil},
	{"VALIDATION_MONTH_STANDARD", m{"month": "IV"}, NotCompliant, nil},
	{"VALIDATION_STARTDAYOFYEAR_INRANGE", m{"startDayOfYear": "366", "eventDate": "2004-12-31/2005-01-02"}, Compliant, nil},
	{"VALIDATION_ENDDAYOFYEAR_INRANGE", m{"endDayOfYear": "366", "eventDate": "2004-12-31/2005-01-02"}, NotCompliant, nil},
	{"VALIDATION_ENDDAYOFYEAR_INRANGE", m{"endDayOfYear": "366", "eventDate": "unknown"}, Internal, nil},
	{"VALIDATION_ENDDAYOFYEAR_INRANGE", m{"endDayOfYear": "0"}, NotCompliant, nil},
	{"VALIDATION_EVENTDATE_INRANGE", m{"eventDate": "1582-11-15"}, Compliant, nil},
	{"VALIDATION_EVENTDATE_INRANGE", m{"eventDate": "1582-11"}, NotCompliant, nil},
	{"VALIDATION_EVENTDATE_INRANGE", m{"eventDate": "2026-12-31"}, Compliant, nil},
	{"VALIDATION_EVENTDATE_INRANGE", m{"eventDate": "2027"}, NotCompliant, nil},
	{"VALIDATION_EVENTDATE_INRANGE", m{"eventDate": "1990", "bdqval:latestValidDate": "1989"}, NotCompliant, nil},
	{"VALIDATION_EVENTDATE_INRANGE", m{"eventDate": "1500", "bdqval:earliestValidDate": "1500-01-01"}, Compliant, nil},
	{"VALIDATION_EVENTDATE_INRANGE", m{"eventDate": "1500", "bdqval:earliestValidDate": "soon"}, External, nil},
	{"VALIDATION_YEAR_INRANGE", m{"year": "1581"}, NotCompliant, nil},
	{"VALIDATION_YEAR_INRANGE", m{"year": "2026"}, Compliant, nil},
	{"VALIDATION_YEAR_INRANGE", m{"year": "2027"}, NotCompliant, nil},
	{"VALIDATION_YEAR_INRANGE", m{"year": "1700", "bdqval:earliestValidDate": "1753-01-01"}, NotCompliant, nil},
	{"VALIDATION_DATEIDENTIFIED_INRANGE", m{"dateIdentified": "1752-12-31"}, NotCompliant, nil},
	{"VALIDATION_DATEIDENTIFIED_INRANGE", m{"dateIdentified": "2026-07-30"}, NotCompliant, nil},
	{"VALIDATION_DATEIDENTIFIED_INRANGE", m{"dateIdentified": "2026-07-29"}, Compliant, nil},
	{"VALIDATION_DATEIDENTIFIED_INRANGE", m{"dateIdentified": "2026"}, Compliant, nil},
	{"VALIDATION_DATEIDENTIFIED_INRANGE", m{"dateIdentified": "1963", "eventDate": "x"}, Internal, nil},
	{"VALIDATION_DATEIDENTIFIED_INRANGE", m{"dateIdentified": "1963", "eventDate": "x", "bdqval:includeEventDate": "false"}, Compliant, nil},
	{"VALIDATION_DATEIDENTIFIED_INRANGE", m{"dateIdentified": "1963", "eventDate": "1964", "bdqval:includeEventDate": "false"}, Compliant, nil},
	{"VALIDATION_EVENT_CONSISTENT", m{"eventDate": "1981", "day": "1"}, NotCompliant, nil},
	{"VALIDATION_EVENT_CONSISTENT", m{"eventDate": "x", "day": "1"}, NotCompliant, nil},
	{"VALIDATION_EVENT_CONSISTENT", m{"eventDate": "1981-05-02", "month": "05", "startDayOfYear": "122"}, Compliant, nil},
	{"VALIDATION_EVENT_CONSISTENT", m{"year": "1981"}, Internal, nil},
	{"MEASURE_EVENTDATE_DURATIONINSECONDS", m{"eventDate": "2004"}, "31622400", nil},
	{"MEASURE_EVENTDATE_DURATIONINSECONDS", m{"eventDate": "May 2004"}, Internal, nil},
	{"AMENDMENT_DAY_STANDARDIZED", m{"day": "22nd"}, Amended, m{"dwc:day": "22"}},
	{"AMENDMENT_DAY_STANDARDIZED", m{"day": "11th"}, Amended, m{"dwc:day": "11"}},
	{"AMENDMENT_DAY_STANDARDIZED", m{"day": "11st"}, NotAmended, nil},
	{"AMENDMENT_DAY_STANDARDIZED", m{"day": "V"}, NotAmended, nil},
	{"AMENDMENT_DAY_STANDARDIZED", m{"day": "5th Friday"}, NotAmended, nil},
	{"AMENDMENT_DAY_STANDARDIZED", m{"day": "05"}, NotAmended, nil},
	{"AMENDMENT_DAY_STANDARDIZED", m{"day": "32"}, NotAmended, nil},
	{"AMENDMENT_MONTH_STANDARDIZED", m{"month": "Sept."}, Amended, m{"dwc:month": "9"}},
	{"AMENDMENT_MONTH_STANDARDIZED", m{"month": "xii"}, Amended, m{"dwc:month": "12"}},
	{"AMENDMENT_MONTH_STANDARDIZED", m{"month": "agosto"}, Amended, m{"dwc:month": "8"}},
	{"AMENDMENT_MONTH_STANDARDIZED", m{"month": "x"}, NotAmended, nil},
	{"AMENDMENT_MONTH_STANDARDIZED", m{"month": "XIII"}, NotAmended, nil},
	{"AMENDMENT_MONTH_STANDARDIZED", m{"month": "04"}, NotAmended, nil},
	{"AMENDMENT_MONTH_STANDARDIZED", m{"month": "13"}, NotAmended, nil},
	{"AMENDMENT_EVENTDATE_STANDARDIZED", m{"eventDate": "1999-11"}, NotAmended, nil},
	{"AMENDMENT_EVENTDATE_STANDARDIZED", m{"eventDate": "Nov 1999"}, Amended, m{"dwc:eventDate": "1999-11"}},
	{"AMENDMENT_EVENTDATE_STANDARDIZED", m{"eventDate": "11/02/1998"}, NotAmended, nil},
	{"AMENDMENT_EVENTDATE_STANDARDIZED", m{"eventDate": "12 May 98"}, NotAmended, nil},
	{"AMENDMENT_EVENTDATE_FROM_VERBATIM", m{"verbatimEventDate": "1880-05-08/10"}, FilledIn, m{"dwc:eventDate": "1880-05-08/10"}},
	{"AMENDMENT_EVENTDATE_FROM_VERBATIM", m{"verbatimEventDate": "c. 1950"}, NotAmended, nil},
	{"AMENDMENT_EVENTDATE_FROM_YEARMONTHDAY", m{"year": "1980", "month": "Jan", "day": "3rd"}, FilledIn, m{"dwc:eventDate": "1980-01-03"}},
	{"AMENDMENT_EVENTDATE_FROM_YEARMONTHDAY", m{"year": "1980", "month": "?", "day": "3"}, FilledIn, m{"dwc:eventDate": "1980"}},
	{"AMENDMENT_EVENTDATE_FROM_YEARMONTHDAY", m{"year": "1981", "month": "2", "day": "29"}, NotAmended, nil},
	{"AMENDMENT_EVENTDATE_FROM_YEARMONTHDAY", m{"year": "198x"}, Internal, nil},
	{"AMENDMENT_EVENTDATE_FROM_YEARSTARTDAYOFYEARENDDAYOFYEAR", m{"year": "1901", "startDayOfYear": "15", "endDayOfYear": "366"}, NotAmended, nil},
	{"AMENDMENT_EVENTDATE_FROM_YEARSTARTDAYOFYEARENDDAYOFYEAR", m{"year": "1904", "startDayOfYear": "15", "endDayOfYear": "366"}, FilledIn, m{"dwc:eventDate": "1904-01-15/1904-12-31"}},
	{"AMENDMENT_EVENTDATE_FROM_YEARSTARTDAYOFYEARENDDAYOFYEAR", m{"year": "1904", "startDayOfYear": "15", "endDayOfYear": "15"}, NotAmended, nil},
	{"AMENDMENT_EVENT_FROM_EVENTDATE", m{"eventDate": "1981-05"}, FilledIn, m{"dwc:year": "1981", "dwc:month": "5"}},
	{"AMENDMENT_EVENT_FROM_EVENTDATE", m{"eventDate": "1981", "year": "1981"}, NotAmended, nil},
	{"AMENDMENT_EVENT_FROM_EVENTDATE", m{"eventDate": "1980/1981"}, NotAmended, nil},
}

var termCases = []testCase{
	{"VALIDATION_BASISOFRECORD_STANDARD", m{"basisOfRecord": "HumanObservation "}, NotCompliant, nil},
	{"VALIDATION_BASISOFRECORD_STANDARD", m{"basisOfRecord": "humanobservation"}, NotCompliant, nil},
	{"VALIDATION_BASISOFRECORD_STANDARD", m{"basisOfRecord": "Taxon", "bdqval:sourceAuthority": "Darwin Core basisOfRecord"}, Compliant, nil},
	{"VALIDATION_BASISOFRECORD_STANDARD", m{"basisOfRecord": "Taxon", "bdqval:sourceAuthority": "https://rs.gbif.org/vocabulary/dwc/basis_of_record.xml"}, Compliant, nil},
	{"VALIDATION_OCCURRENCESTATUS_STANDARD", m{"occurrenceStatus": "Present"}, NotCompliant, nil},
	{"VALIDATION_TYPESTATUS_STANDARD", m{"typeStatus": "Holotype of Ctenomys sociabilis | Paratype of Rana x"}, Compliant, nil},
	{"VALIDATION_TYPESTATUS_STANDARD", m{"typeStatus": "Holotype | no type"}, NotCompliant, nil},
	{"VALIDATION_TYPESTATUS_STANDARD", m{"typeStatus": " Holotype"}, NotCompliant, nil},
	{"VALIDATION_PATHWAY_STANDARD", m{"pathway": "pet"}, Compliant, nil},
	{"VALIDATION_KINGDOM_FOUND", m{"kingdom": "animalia"}, NotCompliant, nil},
	{"AMENDMENT_TYPESTATUS_STANDARDIZED", m{"typeStatus": "holotype of A | parat. of B"}, Amended, m{"dwc:typeStatus": "Holotype of A | Paratype of B"}},
	{"AMENDMENT_TYPESTATUS_STANDARDIZED", m{"typeStatus": "holotype | x"}, NotAmended, nil},
	{"AMENDMENT_TYPESTATUS_STANDARDIZED", m{"typeStatus": "Holotype"}, NotAmended, nil},
	{"AMENDMENT_TYPESTATUS_STANDARDIZED", m{"typeStatus": " "}, Internal, nil},
	{"AMENDMENT_BASISOFRECORD_STANDARDIZED", m{"basisOfRecord": "human observation"}, Amended, m{"dwc:basisOfRecord": "HumanObservation"}},
	{"AMENDMENT_BASISOFRECORD_STANDARDIZED", m{"basisOfRecord": "http://rs.tdwg.org/dwc/terms/MaterialSample"}, Amended, m{"dwc:basisOfRecord": "MaterialSample"}},
	{"AMENDMENT_BASISOFRECORD_STANDARDIZED", m{"basisOfRecord": "Observation"}, NotAmended, nil},
	{"AMENDMENT_BASISOFRECORD_STANDARDIZED", m{"basisOfRecord": "Event"}, NotAmended, nil},
	{"AMENDMENT_DCTYPE_STANDARDIZED", m{"dc:type": "http://purl.org/dc/dcmitype/PhysicalObject"}, Amended, m{"dc:type": "PhysicalObject"}},
	{"AMENDMENT_DCTYPE_STANDARDIZED", m{"type": "physical object "}, Amended, m{"dc:type": "PhysicalObject"}},
	{"AMENDMENT_SEX_STANDARDIZED", m{"sex": "FEM."}, Amended, m{"dwc:sex": "Female"}},
	{"AMENDMENT_SEX_STANDARDIZED", m{"sex": "♂"}, Amended, m{"dwc:sex": "Male"}},
	{"AMENDMENT_SEX_STANDARDIZED", m{"sex": "unknown"}, NotAmended, nil},
	{"AMENDMENT_SEX_STANDARDIZED", m{"sex": "m", "bdqval:sourceAuthority": "a list of our own"}, External, nil},
	{"AMENDMENT_TAXONRANK_STANDARDIZED", m{"taxonRank": "ssp."}, Amended, m{"dwc:taxonRank": "subspecies"}},
	{"AMENDMENT_TAXONRANK_STANDARDIZED", m{"taxonRank": "Gattung"}, Amended, m{"dwc:taxonRank": "genus"}},
	{"AMENDMENT_ESTABLISHMENTMEANS_STANDARDIZED", m{"establishmentMeans": "exotic"}, Amended, m{"dwc:establishmentMeans": "introduced"}},
	{"AMENDMENT_ESTABLISHMENTMEANS_STANDARDIZED", m{"establishmentMeans": "native: endemic"}, Amended, m{"dwc:establishmentMeans": "nativeEndemic"}},
	{"AMENDMENT_DEGREEOFESTABLISHMENT_STANDARDIZED", m{"degreeOfEstablishment": "category C2"}, Amended, m{"dwc:degreeOfEstablishment": "reproducing"}},
	{"AMENDMENT_PATHWAY_STANDARDIZED", m{"pathway": "contaminant"}, NotAmended, nil},
	{"AMENDMENT_PATHWAY_STANDARDIZED", m{"pathway": "http://rs.tdwg.org/dwcpw/values/p004"}, Amended, m{"dwc:pathway": "hunting"}},
	{"AMENDMENT_OCCURRENCESTATUS_STANDARDIZED", m{"occurrenceStatus": "ABSENT"}, Amended, m{"dwc:occurrenceStatus": "absent"}},
	{"AMENDMENT_OCCURRENCESTATUS_ASSUMEDDEFAULT", m{"eventDate": "1990"}, FilledIn, m{"dwc:occurrenceStatus": "present"}},
	{"AMENDMENT_OCCURRENCESTATUS_ASSUMEDDEFAULT", m{"bdqval:defaultOccurrenceStatus": "absent"}, FilledIn, m{"dwc:occurrenceStatus": "absent"}},
	{"AMENDMENT_OCCURRENCESTATUS_ASSUMEDDEFAULT", m{"individualCount": "0"}, NotAmended, nil},
	{"VALIDATION_LICENSE_STANDARD", m{"dcterms:license": "http://creativecommons.org/licenses/by-nc/4.0/legalcode.zh-hans"}, Compliant, nil},
	{"VALIDATION_LICENSE_STANDARD", m{"license": "https://creativecommons.org/publicdomain/zero/1.0/deed.en"}, Compliant, nil},
	{"VALIDATION_LICENSE_STANDARD", m{"license": "https://creativecommons.org/licenses/by/3.0/"}, NotCompliant, nil},
	{"VALIDATION_LICENSE_STANDARD", m{"license": "https://creativecommons.org/licenses/by/4.0"}, NotCompliant, nil},
	{"VALIDATION_LICENSE_STANDARD", m{"license": "https://creativecommons.org/licenses/by/4.0/ "}, NotCompliant, nil},
	{"VALIDATION_LICENSE_STANDARD", m{"license": "https://creativecommons.org/licenses/by/4.0/deed.qq"}, NotCompliant, nil},
	{"AMENDMENT_LICENSE_STANDARDIZED", m{"license": "CC-BY-NC 4.0"}, Amended, m{"dcterms:license": "https://creativecommons.org/licenses/by-nc/4.0/legalcode"}},
	{"AMENDMENT_LICENSE_STANDARDIZED", m{"license": "Creative Commons Attribution-ShareAlike 4.0 International License"}, Amended, m{"dcterms:license": "https://creativecommons.org/licenses/by-sa/4.0/legalcode"}},
	{"AMENDMENT_LICENSE_STANDARDIZED", m{"license": "https://creativecommons.org/licenses/by/4.0"}, Amended, m{"dcterms:license": "https://creativecommons.org/licenses/by/4.0/"}},
	{"AMENDMENT_LICENSE_STANDARDIZED", m{"license": "CC BY"}, NotAmended, nil},
	{"AMENDMENT_LICENSE_STANDARDIZED", m{"license": "https://creativecommons.org/licenses/by/3.0/"}, NotAmended, nil},
}

var placeCases = []testCase{
	{"VALIDATION_COUNTRYCODE_STANDARD", m{"countryCode": "au"}, NotCompliant, nil},
	{"VALIDATION_COUNTRYCODE_STANDARD", m{"countryCode": "AU "}, NotCompliant, nil},
	{"VALIDATION_COUNTRYCODE_STANDARD", m{"countryCode": "YU"}, NotCompliant, nil},
	{"AMENDMENT_COUNTRYCODE_STANDARDIZED", m{"countryCode": "GRL"}, Amended, m{"dwc:countryCode": "GL"}},
	{"AMENDMENT_COUNTRYCODE_STANDARDIZED", m{"countryCode": "au "}, Amended, m{"dwc:countryCode": "AU"}},
	{"AMENDMENT_COUNTRYCODE_STANDARDIZED", m{"countryCode": "Austria"}, Amended, m{"dwc:countryCode": "AT"}},
	{"AMENDMENT_COUNTRYCODE_STANDARDIZED", m{"countryCode": "036"}, Amended, m{"dwc:countryCode": "AU"}},
	{"AMENDMENT_COUNTRYCODE_STANDARDIZED", m{"countryCode": "Congo"}, NotAmended, nil},
	{"AMENDMENT_COUNTRYCODE_STANDARDIZED", m{"countryCode": "ZZ"}, NotAmended, nil},
	{"VALIDATION_COUNTRY_FOUND", m{"country": "Österreich"}, Compliant, nil},
	{"VALIDATION_COUNTRY_FOUND", m{"country": "Российская Федерация"}, NotCompliant, nil},
	{"VALIDATION_COUNTRY_FOUND", m{"country": "Россия"}, Compliant, nil},
	{"VALIDATION_COUNTRY_FOUND", m{"country": "St Lucia"}, Compliant, nil},
	{"VALIDATION_COUNTRY_FOUND", m{"country": "The Gambia"}, Compliant, nil},
	{"VALIDATION_COUNTRY_FOUND", m{"country": "Yugoslavia"}, NotCompliant, nil},
	{"VALIDATION_COUNTRY_FOUND", m{"country": "Peru | Chile"}, NotCompliant, nil},
	{"VALIDATION_COUNTRY_FOUND", m{"country": " Peru"}, NotCompliant, nil},
	{"VALIDATION_COUNTRYCOUNTRYCODE_CONSISTENT", m{"country": "Burma", "countryCode": "MM"}, Compliant, nil},
	{"VALIDATION_COUNTRYCOUNTRYCODE_CONSISTENT", m{"country": "Congo", "countryCode": "CD"}, Compliant, nil},
	{"VALIDATION_COUNTRYCOUNTRYCODE_CONSISTENT", m{"country": "Austria", "countryCode": "AU"}, NotCompliant, nil},
	{"VALIDATION_COUNTRYCOUNTRYCODE_CONSISTENT", m{"country": "High seas", "countryCode": "XZ"}, NotCompliant, nil},
	{"VALIDATION_STATEPROVINCE_FOUND", m{"stateProvince": "Bayern"}, Compliant, nil},
	{"VALIDATION_STATEPROVINCE_FOUND", m{"stateProvince": "bavaria"}, Compliant, nil},
	{"VALIDATION_STATEPROVINCE_FOUND", m{"stateProvince": "Río Negro"}, Compliant, nil},
	{"VALIDATION_STATEPROVINCE_FOUND", m{"stateProvince": "Ohio "}, NotCompliant, nil},
	{"VALIDATION_COUNTRYSTATEPROVINCE_UNAMBIGUOUS", m{"country": "United States", "stateProvince": "New York"}, Compliant, nil},
	{"VALIDATION_COUNTRYSTATEPROVINCE_UNAMBIGUOUS", m{"country": "Mexico", "stateProvince": "New York"}, NotCompliant, nil},
	{"VALIDATION_COUNTRYSTATEPROVINCE_UNAMBIGUOUS", m{"stateProvince": "Limburg"}, NotCompliant, nil},
	{"VALIDATION_COUNTRYSTATEPROVINCE_UNAMBIGUOUS", m{"stateProvince": "Tasmania"}, Compliant, nil},
	{"VALIDATION_COUNTRYSTATEPROVINCE_UNAMBIGUOUS", m{}, Internal, nil},
	{"VALIDATION_COORDINATESCOUNTRYCODE_CONSISTENT", m{"countryCode": "US", "decimalLatitude": "42.44", "decimalLongitude": "-76.5"}, Compliant, nil},
	{"VALIDATION_COORDINATESCOUNTRYCODE_CONSISTENT", m{"countryCode": "US", "decimalLatitude": "42.44", "decimalLongitude": "76.5"}, NotCompliant, nil},
	{"VALIDATION_COORDINATESCOUNTRYCODE_CONSISTENT", m{"countryCode": "ZZ", "decimalLatitude": "42.44", "decimalLongitude": "76.5"}, Internal, nil},
	{"VALIDATION_COORDINATESCOUNTRYCODE_CONSISTENT", m{"countryCode": "US", "decimalLatitude": "92.44", "decimalLongitude": "76.5"}, Internal, nil},
	{"VALIDATION_COORDINATESCOUNTRYCODE_CONSISTENT", m{"countryCode": "DE", "decimalLatitude": "48.573", "decimalLongitude": "7.60"}, NotCompliant, nil},
	{"VALIDATION_COORDINATESCOUNTRYCODE_CONSISTENT", m{"countryCode": "DE", "decimalLatitude": "48.573", "decimalLongitude": "7.60", "bdqval:spatialBufferInMeters": "20000"}, Compliant, nil},
	{"AMENDMENT_COORDINATES_TRANSPOSED", m{"countryCode": "AU", "decimalLatitude": "25.460", "decimalLongitude": "135.87"}, Amended, m{"dwc:decimalLatitude": "-25.460", "dwc:decimalLongitude": "135.87"}},
	{"AMENDMENT_COORDINATES_TRANSPOSED", m{"countryCode": "AU", "decimalLatitude": "135.87", "decimalLongitude": "-25.46"}, Amended, m{"dwc:decimalLatitude": "-25.46", "dwc:decimalLongitude": "135.87"}},
	{"AMENDMENT_COORDINATES_TRANSPOSED", m{"countryCode": "US", "decimalLatitude": "-76.4966", "decimalLongitude": "42.4401"}, Amended, m{"dwc:decimalLatitude": "42.4401", "dwc:decimalLongitude": "-76.4966"}},
	{"AMENDMENT_COORDINATES_TRANSPOSED", m{"countryCode": "US", "decimalLatitude": "42.4401", "decimalLongitude": "-76.4966"}, NotAmended, nil},
	{"AMENDMENT_COORDINATES_TRANSPOSED", m{"countryCode": "DE", "decimalLatitude": "-42.4401", "decimalLongitude": "-76.4966"}, NotAmended, nil},
	{"AMENDMENT_COORDINATES_TRANSPOSED", m{"countryCode": "Germany", "decimalLatitude": "-42.4401", "decimalLongitude": "-76.4966"}, NotAmended, nil},
	{"AMENDMENT_COUNTRYCODE_FROM_COORDINATES", m{"decimalLatitude": "45.2", "decimalLongitude": "34.1"}, NotAmended, nil},
	{"AMENDMENT_COUNTRYCODE_FROM_COORDINATES", m{"decimalLatitude": "95.2", "decimalLongitude": "34.1"}, NotAmended, nil},
	{"VALIDATION_GEODETICDATUM_STANDARD", m{"geodeticDatum": "EPSG:7030"}, Compliant, nil},
	{"VALIDATION_GEODETICDATUM_STANDARD", m{"geodeticDatum": "EPSG:6326"}, Compliant, nil},
	{"VALIDATION_GEODETICDATUM_STANDARD", m{"geodeticDatum": "EPSG:32618"}, NotCompliant, nil},
	{"VALIDATION_GEODETICDATUM_STANDARD", m{"geodeticDatum": "epsg:4326"}, NotCompliant, nil},
	{"AMENDMENT_GEODETICDATUM_STANDARDIZED", m{"geodeticDatum": "WGS_84"}, Amended, m{"dwc:geodeticDatum": "EPSG:4326"}},
	{"AMENDMENT_GEODETICDATUM_STANDARDIZED", m{"geodeticDatum": "WGS:84"}, Amended, m{"dwc:geodeticDatum": "EPSG:4326"}},
	{"AMENDMENT_GEODETICDATUM_STANDARDIZED", m{"geodeticDatum": "epsg:4326"}, Amended, m{"dwc:geodeticDatum": "EPSG:4326"}},
	{"AMENDMENT_GEODETICDATUM_STANDARDIZED", m{"geodeticDatum": "NAD27"}, Amended, m{"dwc:geodeticDatum": "EPSG:4267"}},
	{"AMENDMENT_GEODETICDATUM_STANDARDIZED", m{"geodeticDatum": "International 1924"}, Amended, m{"dwc:geodeticDatum": "EPSG:7022"}},
	{"AMENDMENT_GEODETICDATUM_STANDARDIZED", m{"geodeticDatum": "UTM"}, NotAmended, nil},
	{"AMENDMENT_GEODETICDATUM_STANDARDIZED", m{"geodeticDatum": "WGS"}, NotAmended, nil},
	{"AMENDMENT_GEODETICDATUM_STANDARDIZED", m{"geodeticDatum": "EPSG:32618"}, NotAmended, nil},
	{"AMENDMENT_GEODETICDATUM_STANDARDIZED", m{"geodeticDatum": " "}, Internal, nil},
	{"AMENDMENT_GEODETICDATUM_ASSUMEDDEFAULT", m{"decimalLatitude": "-30.123", "decimalLongitude": "130.321", "coordinateUncertaintyInMeters": "50"}, Amended, m{"dwc:geodeticDatum": "EPSG:4326", "dwc:coordinateUncertaintyInMeters": "256"}},
	{"AMENDMENT_GEODETICDATUM_ASSUMEDDEFAULT", m{"decimalLatitude": "-30.123", "decimalLongitude": "130.321", "coordinateUncertaintyInMeters": "wide"}, FilledIn, m{"dwc:geodeticDatum": "EPSG:4326"}},
	{"AMENDMENT_GEODETICDATUM_ASSUMEDDEFAULT", m{"bdqval:defaultGeodeticDatum": "EPSG:4283"}, FilledIn, m{"dwc:geodeticDatum": "EPSG:4283"}},
	{"AMENDMENT_COORDINATES_FROM_VERBATIM", m{"verbatimCoordinates": "42°26'24\"N 76°29'48\"W"}, FilledIn, m{"dwc:decimalLatitude": "42.44", "dwc:decimalLongitude": "-76.4967"}},
	{"AMENDMENT_COORDINATES_FROM_VERBATIM", m{"verbatimLatitude": "42.4400", "verbatimLongitude": "-76.4967", "verbatimSRS": "NAD27"}, FilledIn, m{"dwc:decimalLatitude": "42.4400", "dwc:decimalLongitude": "-76.4967", "dwc:geodeticDatum": "EPSG:4267"}},
	{"AMENDMENT_COORDINATES_FROM_VERBATIM", m{"verbatimCoordinates": "18T 377000 4699000", "verbatimSRS": "WGS84"}, NotAmended, nil},
	{"AMENDMENT_MINELEVATIONMAXELEVATION_FROM_VERBATIM", m{"verbatimElevation": "10 yards"}, FilledIn, m{"dwc:minimumElevationInMeters": "9.144", "dwc:maximumElevationInMeters": "9.144"}},
	{"AMENDMENT_MINELEVATIONMAXELEVATION_FROM_VERBATIM", m{"verbatimElevation": "1.2 km"}, FilledIn, m{"dwc:minimumElevationInMeters": "1200", "dwc:maximumElevationInMeters": "1200"}},
	{"AMENDMENT_MINDEPTHMAXDEPTH_FROM_VERBATIM", m{"verbatimDepth": "10-20 ft"}, FilledIn, m{"dwc:minimumDepthInMeters": "3.048", "dwc:maximumDepthInMeters": "6.096"}},
	{"AMENDMENT_MINDEPTHMAXDEPTH_FROM_VERBATIM", m{"verbatimDepth": "10 fathoms"}, FilledIn, m{"dwc:minimumDepthInMeters": "18.288", "dwc:maximumDepthInMeters": "18.288"}},
	{"VALIDATION_MAXDEPTH_INRANGE", m{"maximumDepthInMeters": "11000"}, Compliant, nil},
	{"VALIDATION_MAXDEPTH_INRANGE", m{"maximumDepthInMeters": "11000.1"}, NotCompliant, nil},
	{"VALIDATION_MINELEVATION_INRANGE", m{"minimumElevationInMeters": "-430"}, Compliant, nil},
	{"VALIDATION_MINELEVATION_INRANGE", m{"minimumElevationInMeters": "Inf"}, Internal, nil},
	{"VALIDATION_MINDEPTH_LESSTHAN_MAXDEPTH", m{"minimumDepthInMeters": "-1", "maximumDepthInMeters": "5"}, Internal, nil},
	{"VALIDATION_COORDINATEUNCERTAINTY_INRANGE", m{"coordinateUncertaintyInMeters": "0.5"}, NotCompliant, nil},
	{"VALIDATION_COUNTRY_NOTEMPTY", m{"countryCode": "XZ", "country": "High seas"}, Compliant, nil},
}

var nameCases = []testCase{
	{"VALIDATION_POLYNOMIAL_CONSISTENT", m{"scientificName": "Rana (Lithobates) sylvatica LeConte, 1825", "genericName": "Rana", "specificEpithet": "sylvatica"}, Compliant, nil},
	{"VALIDATION_POLYNOMIAL_CONSISTENT", m{"scientificName": "Bufo bufo de la Roche, 1800", "specificEpithet": "bufo", "infraspecificEpithet": "la"}, NotCompliant, nil},
	{"VALIDATION_POLYNOMIAL_CONSISTENT", m{"scientificName": "Hakea decurrens R.Br. subsp. physocarpa W.R.Barker", "infraspecificEpithet": "physocarpa"}, Compliant, nil},
	{"VALIDATION_POLYNOMIAL_CONSISTENT", m{"scientificName": "Anaxyrus cf. americanus", "genericName": "Anaxyrus", "specificEpithet": "americanus"}, Compliant, nil},
	{"VALIDATION_POLYNOMIAL_CONSISTENT", m{"scientificName": "Pelophylax × esculentus", "genericName": "Pelophylax", "specificEpithet": "esculentus"}, Compliant, nil},
	{"VALIDATION_POLYNOMIAL_CONSISTENT", m{"scientificName": "Rana temporaria", "genericName": "rana"}, NotCompliant, nil},
	{"VALIDATION_POLYNOMIAL_CONSISTENT", m{"scientificName": "Rana", "specificEpithet": "temporaria"}, NotCompliant, nil},
	{"VALIDATION_POLYNOMIAL_CONSISTENT", m{"scientificName": "Rana temporaria"}, Internal, nil},
	{"VALIDATION_SCIENTIFICNAMEID_COMPLETE", m{"scientificNameID": "gbif:2427091"}, Compliant, nil},
	{"VALIDATION_SCIENTIFICNAMEID_COMPLETE", m{"scientificNameID": "urn:uuid:f81d4fae-7dec-11d0-a765-00a0c91e6bf6"}, Compliant, nil},
	{"VALIDATION_SCIENTIFICNAMEID_COMPLETE", m{"scientificNameID": "urn:lsid:marinespecies.org"}, NotCompliant, nil},
	{"VALIDATION_SCIENTIFICNAMEID_COMPLETE", m{"scientificNameID": "urn:x"}, NotCompliant, nil},
	{"VALIDATION_SCIENTIFICNAMEID_COMPLETE", m{"scientificNameID": "https://www.gbif.org/"}, NotCompliant, nil},
	{"VALIDATION_SCIENTIFICNAMEID_COMPLETE", m{"scientificNameID": "https://www.gbif.org/species/2427091"}, Compliant, nil},
	{"VALIDATION_SCIENTIFICNAMEID_COMPLETE", m{"scientificNameID": "http:"}, NotCompliant, nil},
	{"VALIDATION_SCIENTIFICNAMEID_COMPLETE", m{"scientificNameID": "gbif: 2427091"}, NotCompliant, nil},
	{"VALIDATION_SCIENTIFICNAMEID_COMPLETE", m{"scientificNameID": ":2427091"}, NotCompliant, nil},
	{"VALIDATION_SCIENTIFICNAMEID_COMPLETE", m{"scientificNameID": "2427091"}, NotCompliant, nil},
	{"VALIDATION_TAXON_NOTEMPTY", m{"dwc:vernacularName": "wood frog"}, Compliant, nil},
	{"VALIDATION_TAXON_NOTEMPTY", m{"eventDate": "1990"}, NotCompliant, nil},
}
