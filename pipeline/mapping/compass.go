package mapping

import (
	"strings"

	"spadefoot/pipeline/place"
)

// axisOf returns the compass letters that go with a term, "" where none does.
func axisOf(term string) string {
	switch term {
	case "decimalLatitude", "verbatimLatitude":
		return "NS"
	case "decimalLongitude", "verbatimLongitude":
		return "EWO"
	}
	return ""
}

// compassOf returns the letter that the heading of a latitude or longitude has:
// "Longitude (W)".
func compassOf(heading, term string) string {
	axis := axisOf(term)
	if axis == "" {
		return ""
	}
	if compass, _ := place.HeadingCompass(heading); strings.Contains(axis, compass) {
		return compass
	}
	return ""
}
