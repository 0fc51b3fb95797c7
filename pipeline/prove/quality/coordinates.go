package quality

import (
	"strings"

	"spadefoot/pipeline/prove/quality/boundary"
)

// coordinateTests compare coordinates with the boundaries of countries.
var coordinateTests = map[string]answer{
	"AMENDMENT_COORDINATES_TRANSPOSED":             transposeCoordinates,
	"AMENDMENT_COUNTRYCODE_FROM_COORDINATES":       fillCountryCode,
	"VALIDATION_COORDINATESCOUNTRYCODE_CONSISTENT": coordinatesInCountry,
}

func coordinatesInCountry(r Record, p Params) Response {
	lat, lon, ok := r.place()
	code := r("countryCode")
	switch {
	case !ok:
		return internal("decimalLatitude or decimalLongitude is empty or not a coordinate")
	case !isCountryCode(code) || code == unknownCountry:
		return internal("countryCode is empty or names no country")
	case !boundary.Known(code):
		return external("the embedded boundaries have no land for %s", code)
	}
	return judged(boundary.Within(code, lat, lon, max(p.number("spatialBufferInMeters"), 0)/1000),
		"the coordinates lie in the country, in its sea, or within the buffer",
		"the coordinates lie outside the country, its sea, and the buffer")
}

func fillCountryCode(r Record, _ Params) Response {
	lat, lon, ok := r.place()
	switch {
	case r.has("countryCode"):
		return internal("countryCode holds a value")
	case !r.has("decimalLatitude") || !r.has("decimalLongitude"):
		return internal("decimalLatitude or decimalLongitude is empty")
	case !ok:
		return notAmended("decimalLatitude or decimalLongitude is not a coordinate")
	}
	at := boundary.At(lat, lon)
	if at.Code == "" {
		return notAmended("the boundaries do not show one country for these coordinates")
	}
	how := map[boundary.Kind]string{
		boundary.Land:     "the coordinates lie on land of ",
		boundary.Sea:      "the coordinates lie in the sea within 200 nautical miles of ",
		boundary.HighSeas: "the coordinates lie more than 200 nautical miles from any land: ",
	}[at.Kind]
	return proposal(FilledIn, map[string]string{"dwc:countryCode": at.Code}, "%s", how+at.Code)
}

// swap is one way in which coordinates go wrong.
type swap struct {
	transposed, negateLat, negateLon bool
}

// swaps are in the order of how much they change. Where several of the same
// weight put the place into the country, none is proposed.
var swaps = [][]swap{
	{{negateLat: true}, {negateLon: true}, {transposed: true}},
	{{negateLat: true, negateLon: true}, {transposed: true, negateLat: true}, {transposed: true, negateLon: true}},
	{{transposed: true, negateLat: true, negateLon: true}},
}

func transposeCoordinates(r Record, p Params) Response {
	latText, lonText, code := r("decimalLatitude"), r("decimalLongitude"), r("countryCode")
	if Empty(latText) || Empty(lonText) || Empty(code) {
		return internal("decimalLatitude, decimalLongitude or countryCode is empty")
	}
	if !p.authority() {
		return notAmended("the source authority %q is not available", p.value("sourceAuthority"))
	}
	if !isCountryCode(code) || code == highSeas || code == unknownCountry {
		return notAmended("countryCode names no country")
	}
	_, okLat := number(latText)
	_, okLon := number(lonText)
	if !okLat || !okLon {
		return notAmended("decimalLatitude or decimalLongitude is not a number")
	}
	const buffer = 3 // km, as in the validation that goes before
	if inCountry(code, latText, lonText, buffer) {
		return notAmended("the coordinates already lie in the country")
	}
	for _, weight := range swaps {
		var lat, lon string
		found := 0
		for _, s := range weight {
			if a, b := s.apply(latText, lonText); inCountry(code, a, b, buffer) {
				lat, lon = a, b
				found++
			}
		}
		switch {
		case found == 1:
			return proposal(Amended, map[string]string{"dwc:decimalLatitude": lat, "dwc:decimalLongitude": lon},
				"with axes or signs changed, the coordinates lie in %s", code)
		case found > 1:
			return notAmended("several changes of axes and signs put the coordinates in %s", code)
		}
	}
	return notAmended("no change of axes or signs puts the coordinates in %s", code)
}

func inCountry(code, latText, lonText string, buffer float64) bool {
	lat, okLat := latitude(latText)
	lon, okLon := longitude(lonText)
	return okLat && okLon && boundary.Within(code, lat, lon, buffer)
}

// apply changes the text, so that the digits stay as they were written.
func (s swap) apply(lat, lon string) (string, string) {
	lat, lon = trim(lat), trim(lon)
	if s.transposed {
		lat, lon = lon, lat
	}
	if s.negateLat {
		lat = negated(lat)
	}
	if s.negateLon {
		lon = negated(lon)
	}
	return lat, lon
}

func negated(number string) string {
	if rest, ok := strings.CutPrefix(number, "-"); ok {
		return rest
	}
	return "-" + strings.TrimPrefix(number, "+")
}
