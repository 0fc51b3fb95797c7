package darwincore

import (
	"slices"

	"spadefoot/pipeline/record/digest"
)

// What stands for no text, and for one that is not agreed on.
const (
	noText  = 0
	differs = 1
)

// agreement learns what rows agree on, in little memory. A row without a term differs
// from one that has it.
type agreement struct {
	begun bool
	texts []uint64 // by the number of the term, the digest of the text that all rows have, or differs
}

// digestOf is the digest of a text that is not empty.
func digestOf(text string) uint64 {
	return max(differs+1, digest.Spread(uint64(digest.Start.Text(text))))
}

// put puts the digest of a text at the number of its term.
func put(digests []uint64, n int, text uint64) []uint64 {
	for len(digests) <= n {
		digests = append(digests, noText)
	}
	digests[n] = text
	return digests
}

// see takes the digests of a row.
func (a *agreement) see(row []uint64) {
	switch {
	case !a.begun:
		a.begun, a.texts = true, slices.Clone(row)
		return
	case len(row) > len(a.texts):
		a.texts = append(a.texts, make([]uint64, len(row)-len(a.texts))...)
	}
	for n := range a.texts {
		text := uint64(noText)
		if n < len(row) {
			text = row[n]
		}
		if text != a.texts[n] {
			a.texts[n] = differs
		}
	}
}

// belong are terms that make one statement together: where they are not all
// agreed on, none of them is.
var belong = [][]string{
	{"decimalLatitude", "decimalLongitude", "geodeticDatum", "coordinateUncertaintyInMeters", "coordinatePrecision",
		"verbatimLatitude", "verbatimLongitude", "verbatimCoordinates", "verbatimCoordinateSystem", "verbatimSRS"},
	{"minimumElevationInMeters", "maximumElevationInMeters", "verticalDatum", "verbatimElevation"},
	{"minimumDepthInMeters", "maximumDepthInMeters", "verbatimDepth"},
	{"eventDate", "verbatimEventDate", "year", "month", "day", "startDayOfYear", "endDayOfYear"},
}

// agreed are the terms that every row has with the same text, and also those
// that belong to them. The numbers of terms that did not come up are -1.
func (a *agreement) agreed(number func(term string) int) agreed {
	out := make(agreed, len(a.texts))
	for n, text := range a.texts {
		out[n] = text > differs
	}
	for _, group := range belong {
		torn := slices.ContainsFunc(group, func(term string) bool {
			n := number(term)
			return n >= 0 && n < len(a.texts) && a.texts[n] == differs
		})
		for _, term := range group {
			if n := number(term); torn && n >= 0 && n < len(out) {
				out[n] = false
			}
		}
	}
	return out
}

// agreed tells by their numbers which terms rows agree on.
type agreed []bool

func (a agreed) on(n int) bool { return n >= 0 && n < len(a) && a[n] }

// sessionEvent is what the captures of a session have in common.
type sessionEvent struct {
	agreement
	shared agreed // once all captures are seen
}
