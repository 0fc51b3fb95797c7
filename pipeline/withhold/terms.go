package withhold

import (
	"slices"
	"strings"
	"sync"

	"spadefoot/schemas"
)

// open are the terms of schemas/terms_without_place.csv.
var open = sync.OnceValue(func() map[string]bool {
	out := map[string]bool{}
	for _, r := range schemas.Must(schemas.Table[struct {
		Term string `csv:"term"`
	}]("terms_without_place.csv")) {
		out[r.Term] = true
	}
	return out
})

// Keeps reports whether the values of a term stay with a capture whose place
// is withheld.
func Keeps(term string) bool { return open()[term] }

// regions, from small to large, stand in place of a locality.
var regions = []string{"county", "stateProvince", "country", "continent"}

// naming are the terms whose values are names of the place.
var naming = []string{
	"locality", "verbatimLocality", "locationID", "siteNumber", "higherGeography", "higherGeographyID", "municipality",
	"waterBody", "island", "islandGroup", "fieldNumber", "eventID", "parentEventID", "locationRemarks",
	"verbatimCoordinates", "footprintWKT",
}

// placeTerm reports whether a term says where, in words or numbers.
func placeTerm(term string) bool {
	parts := []string{"oordinate", "atitude", "ongitude", "footprint", "georeference", "levation", "epth", "SRS", "verbatimLabel", "location", "DistanceAboveSurface"}
	return slices.Contains(naming, term) || slices.ContainsFunc(parts, func(part string) bool { return strings.Contains(term, part) })
}

func (r *Rule) keeps(term string) bool { return Keeps(term) || slices.Contains(r.Keep, term) }
