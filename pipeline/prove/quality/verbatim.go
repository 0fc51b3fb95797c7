package quality

import (
	"regexp"
	"strings"

	"spadefoot/pipeline/place"
	"spadefoot/pipeline/record"
)

// verbatimTests propose coordinates, depths and elevations from what was
// written.
var verbatimTests = map[string]answer{
	"AMENDMENT_COORDINATES_FROM_VERBATIM":              coordinatesFromVerbatim,
	"AMENDMENT_MINDEPTHMAXDEPTH_FROM_VERBATIM":         heightsFromVerbatim("Depth", place.ParseDepth),
	"AMENDMENT_MINELEVATIONMAXELEVATION_FROM_VERBATIM": heightsFromVerbatim("Elevation", place.ParseElevation),
}

// coordinatesFromVerbatim reads geographic coordinates only, and leaves them on
// the datum that they were written on: a change of datum is not part of this
// test.
func coordinatesFromVerbatim(r Record, _ Params) Response {
	lat, lon, both := r("verbatimLatitude"), r("verbatimLongitude"), r("verbatimCoordinates")
	switch {
	case r.has("decimalLatitude") || r.has("decimalLongitude"):
		return internal("decimalLatitude or decimalLongitude holds a value")
	case Empty(both) && (Empty(lat) || Empty(lon)):
		return internal("verbatimCoordinates, and verbatimLatitude or verbatimLongitude, are empty")
	}
	datum, isProjected := "", false
	if srs := r("verbatimSRS"); !Empty(srs) {
		datum, isProjected = datumMeant(srs)
		if isProjected {
			return notAmended("verbatimSRS %q is not a system of geographic coordinates", srs)
		}
	}
	p := place.FromVerbatim(trim(lat), trim(lon), trim(both), place.Options{System: trim(r("verbatimCoordinateSystem"))})
	switch {
	case !p.Known():
		return notAmended("the verbatim coordinates cannot be read as one place")
	case p.System == place.UTMSystem || p.System == place.MGRSSystem:
		return notAmended("the verbatim coordinates are not geographic coordinates")
	case p.SRS != "" && datum == "":
		if datum, isProjected = datumMeant(p.SRS); isProjected || datum != place.GeodeticDatum {
			return notAmended("the verbatim coordinates are on another datum")
		}
	}
	changes := map[string]string{
		"dwc:decimalLatitude": plainDecimal(p.LatText, p.System), "dwc:decimalLongitude": plainDecimal(p.LonText, p.System),
	}
	if datum != "" && !r.has("geodeticDatum") {
		changes["dwc:geodeticDatum"] = datum
	}
	return proposal(FilledIn, changes, "the verbatim coordinates are read as geographic coordinates")
}

// plainDecimal leaves off zeros at the end of a number that was not written in
// decimal degrees: they come from the conversion.
func plainDecimal(text, system string) string {
	if system == place.DecimalDegrees || !strings.Contains(text, ".") {
		return text
	}
	return strings.TrimSuffix(strings.TrimRight(text, "0"), ".")
}

// labelled is a range whose ends are named: "Mindepth 10m, maxdepth=100m".
var labelled = regexp.MustCompile(`(?i)^min\w*\.?\s*(?:depth|elevation|elev\.?)?\s*[:=]?\s*(\d[\d.,]*\s*\w*)\s*[,;/]?\s*(?:and\s+)?max\w*\.?\s*(?:depth|elevation|elev\.?)?\s*[:=]?\s*(\d[\d.,]*\s*\w*)$`)

func heightsFromVerbatim(name string, parse func(text, unit string, decimal byte) (string, string, []record.Problem)) answer {
	low, high, verbatim := "minimum"+name+"InMeters", "maximum"+name+"InMeters", "verbatim"+name
	return func(r Record, _ Params) Response {
		if r.has(low) || r.has(high) || !r.has(verbatim) {
			return internal("%s or %s holds a value, or %s is empty", low, high, verbatim)
		}
		from, to, problems := parse(labelled.ReplaceAllString(trim(r(verbatim)), "$1-$2"), "", 0)
		if from == "" || to == "" {
			return notAmended("%s %q cannot be read unambiguously as metres", verbatim, r(verbatim))
		}
		for _, p := range problems {
			if p.Level == record.Error {
				return notAmended("%s %q: %s", verbatim, r(verbatim), p.Reason)
			}
		}
		return proposal(FilledIn, map[string]string{"dwc:" + low: from, "dwc:" + high: to},
			"%s %q is read as %s to %s m", verbatim, r(verbatim), from, to)
	}
}
