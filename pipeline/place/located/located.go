// Package located reads the positions of captures and reports those that cannot
// be right.
package located

import (
	"cmp"
	"slices"
	"strings"

	"spadefoot/pipeline/place"
	"spadefoot/pipeline/prove/quality/boundary"
	"spadefoot/pipeline/record"
)

// countryMargin is how far outside its stated country, in kilometres, a place
// may lie before it is doubted: the embedded borders are good to a kilometre
// or two, and boats work off the coast.
const countryMargin = 20

// inCountry tells whether a place lies in the country that a capture states;
// it is nil where none is stated or its borders are not known.
func inCountry(c *record.Capture) func(lat, lon float64) bool {
	code := c.Get("countryCode")
	if code == "" || !boundary.Known(code) { // the borders are unpacked when first asked for
		return nil
	}
	return func(lat, lon float64) bool { return boundary.Within(code, lat, lon, countryMargin) }
}

// Positions are the places that are written with captures, each read once: a
// survey has far fewer of them than captures.
type Positions map[[2]string]place.Point

// maxPositions bounds how many are remembered.
const maxPositions = 1 << 16

// Of returns the place that is written with a capture; that of a site in the
// table is read and checked there.
func (at Positions) Of(c *record.Capture) place.Point {
	written, ok := written(c)
	if !ok {
		return place.Point{}
	}
	return at.read(written)
}

// written is the position that is written with a capture.
func written(c *record.Capture) (position [2]string, ok bool) {
	v := c.Value("decimalLatitude")
	if v == nil || v.Column.File != c.File {
		return position, false
	}
	return [2]string{v.Text, c.Get("decimalLongitude")}, true
}

func (at Positions) read(written [2]string) place.Point {
	p, known := at[written]
	if !known {
		p = place.Parse(written[0], written[1], place.Options{})
		if len(at) == maxPositions {
			clear(at)
		}
		at[[2]string{strings.Clone(written[0]), strings.Clone(written[1])}] = p
	}
	return p
}

// Suspects doubts the positions of captures.
func Suspects(captures []*record.Capture, positions Positions, region place.Region, sites Sites) (out []record.Finding) {
	type asked struct {
		position      [2]string
		code, country string
		site          uint64
	}
	known := map[asked][]record.Problem{} // many captures share a place
	for _, c := range captures {
		position, ok := written(c)
		if !ok {
			continue
		}
		key := asked{position, c.Get("countryCode"), c.Get("country"), siteOf(c)}
		problems, again := known[key]
		if !again {
			problems = place.Suspects(positions.read(position), place.Surroundings{Region: region, Inside: inCountry(c), Country: key.country, Site: sites[key.site], Called: nameOf(c)})
			known[key] = problems
		}
		for _, problem := range problems {
			written := cmp.Or(record.Joined(", ", c.Get("verbatimLatitude"), c.Get("verbatimLongitude")), c.Get("verbatimCoordinates"))
			f := problem.Finding(c.Value("decimalLatitude").From(), "decimalLatitude", written)
			f.Capture = c.Key
			rewrite(&f, c)
			out = append(out, f)
		}
	}
	return out
}

// rewrite says what the cells of a doubtful position become if the suggestion is taken:
// a cell for each coordinate, or one for both. Of a position that is written in any
// other way nothing is suggested.
func rewrite(f *record.Finding, c *record.Capture) {
	latText, lonText, suggested := strings.Cut(f.Suggestion, ", ")
	lat, lon := c.Value("verbatimLatitude"), c.Value("verbatimLongitude")
	switch {
	case !suggested:
	case wholeCell(c, lat) && wholeCell(c, lon) && f.At == lat.From():
		f.Also, f.Spread = []record.Address{lon.From()}, record.Together
		f.Rewrites = []record.Rewrite{{At: lat.From(), Text: latText}, {At: lon.From(), Text: lonText}}
	case lat == nil && lon == nil && wholeCell(c, c.Value("verbatimCoordinates")):
	default:
		f.Reason += ": " + f.Suggestion
		f.Suggestion = ""
	}
}

// wholeCell reports whether a value is all that is written in a cell of the row.
func wholeCell(c *record.Capture, v *record.Value) bool {
	return v != nil && slices.ContainsFunc(c.Cells, func(w record.Written) bool { return w.Text == v.Verbatim })
}
