package quality

import (
	"maps"
	"strconv"
	"testing"

	"spadefoot/pipeline/record"
)

// capture is an invented record of the Marrow Creek Field Station.
var capture = map[string]string{
	"occurrenceID": "urn:uuid:5f0c1f0e-4f33-5d5b-9f1e-0d7c5a2f7a11", "basisOfRecord": "HumanObservation",
	"type": "Event", "license": "https://creativecommons.org/licenses/by/4.0/",
	"scientificName": "Lithobates sylvaticus (LeConte, 1825)", "genericName": "Lithobates", "specificEpithet": "sylvaticus",
	"scientificNameAuthorship": "(LeConte, 1825)", "taxonRank": "species", "kingdom": "Animalia", "genus": "Lithobates",
	"eventDate": "2021-04-12T21:30-04:00", "year": "2021", "month": "4", "day": "12", "verbatimEventDate": "12 Apr 2021",
	"country": "United States", "countryCode": "US", "stateProvince": "New York", "decimalLatitude": "42.4401",
	"decimalLongitude": "-76.4966", "geodeticDatum": "EPSG:4326", "coordinateUncertaintyInMeters": "15",
	"minimumElevationInMeters": "240", "maximumElevationInMeters": "240", "sex": "male", "occurrenceStatus": "present",
}

func BenchmarkAll(b *testing.B) {
	r, p := FromMap(capture), Params{Today: dataDay}
	All(r, p)
	b.ReportAllocs()
	for b.Loop() {
		All(r, p)
	}
}

// The worst record for the boundaries: in the sea, off its country.
func BenchmarkAllAtSea(b *testing.B) {
	sea := map[string]string{}
	for k, v := range capture {
		sea[k] = v
	}
	sea["decimalLatitude"], sea["decimalLongitude"] = "64.0", "5.0"
	r, p := FromMap(sea), Params{Today: dataDay}
	All(r, p)
	b.ReportAllocs()
	for b.Loop() {
		All(r, p)
	}
}

// What a run asks of every capture.
func BenchmarkFindings(b *testing.B) {
	r, p := FromMap(capture), Params{Today: dataDay}
	all := func(string) bool { return true }
	Findings(r, p, record.Address{}, all)
	b.ReportAllocs()
	for b.Loop() {
		Findings(r, p, record.Address{}, all)
	}
}

// What a run asks of every capture, where days and places come again.
func BenchmarkExamination(b *testing.B) {
	values := maps.Clone(capture)
	for _, term := range []string{"year", "month", "day"} {
		delete(values, term)
	}
	r := FromMap(values)
	i := 0
	record := func(term string) string {
		switch term {
		case "eventDate":
			return days[i%len(days)]
		case "sex":
			return [...]string{"male", "female"}[i%2]
		case "decimalLatitude":
			return latitudes[i%len(latitudes)]
		}
		return r(term)
	}
	x := NewExaminer(Params{Today: dataDay}).Examination()
	x.Findings(record, at)
	b.ReportAllocs()
	for b.Loop() {
		i++
		x.Findings(record, at)
	}
}

var at = record.Address{File: "frogs.csv", Row: 7}

var days, latitudes = func() (days, latitudes []string) {
	for i := range 365 {
		days = append(days, dataDay.AddDate(0, 0, -i-3650).Format("2006-01-02"))
	}
	for i := range 24 {
		latitudes = append(latitudes, strconv.Itoa(42)+".4"+strconv.Itoa(i))
	}
	return days, latitudes
}()
