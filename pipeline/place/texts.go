package place

import (
	"cmp"
	"fmt"
	"regexp"
	"strconv"
	"strings"
	"unicode"

	"spadefoot/pipeline/record"
	"spadefoot/pipeline/record/pattern"
)

// readSystem brings a stated kind of coordinates to one of the constants, or
// "" if it is none of them.
func readSystem(s string) string {
	switch foldName(s) {
	case "decimaldegrees", "dd", "decdeg", "decimaldegree", "ddddddd":
		return DecimalDegrees
	case "degreesdecimalminutes", "ddm", "dm", "decimalminutes", "degreesminutes", "degreedecimalminutes":
		return DecimalMinutes
	case "degreesminutesseconds", "dms", "degreeminutesecond", "degreesminutesdecimalseconds":
		return MinutesSeconds
	case "utm", "universaltransversemercator":
		return UTMSystem
	case "mgrs", "usng", "militarygridreferencesystem", "unitedstatesnationalgrid":
		return MGRSSystem
	}
	return ""
}

// checkSystem refuses coordinates that are on a grid where degrees are stated,
// and the other way round. The three writings of degrees are not told apart:
// nothing is lost if one stands for another.
func checkSystem(p Point, o Options) Point {
	stated := readSystem(o.System)
	grid := func(s string) bool { return s == UTMSystem || s == MGRSSystem }
	if stated == "" || p.System == "" || grid(stated) == grid(p.System) {
		return p
	}
	var q Point
	q.problem("coordinates-system", record.Error, fmt.Sprintf("stated as %s, but written as %s", o.System, p.System), "")
	return q
}

var accuracyPattern = pattern.Of(`^(.*?)[\s,;(]*(?:±|\+\s?/\s?-|\+-)\s*(\d+(?:[.,]\d+)?)\s*m(?:et(?:er|re)s?)?\.?\)?$`)

// takeAccuracy takes a trailing "±5 m" off the text as the receiver's error.
func takeAccuracy(text string, o Options) (string, Options) {
	m := accuracyPattern().FindStringSubmatch(text)
	if m == nil {
		return text, o
	}
	if v, err := strconv.ParseFloat(strings.Replace(m[2], ",", ".", 1), 64); err == nil && o.GPSError == 0 {
		o.GPSError = v
	}
	return m[1], o
}

var datumBefore = pattern.Of(`^[(\[]?((?i:[a-z]{3,}[ -]?\d{2,4}))[\])]?[\s,;:]+(.*)$`)

// takeDatum takes the name of a datum off either end of the text, if it is one
// that is known and the options state none.
func takeDatum(text string, o Options) (string, Options) {
	if o.Datum != "" {
		return text, o
	}
	for i, r := range text {
		if !strings.ContainsRune(" ,;([\t", r) {
			continue
		}
		name := strings.Trim(text[i+1:], " \t)]")
		if name == "" || !unicode.IsLetter([]rune(name)[0]) {
			continue
		}
		if _, ok := datums().resolve(name); ok {
			o.Datum = name
			return strings.TrimRight(text[:i], " ,;([\t"), o
		}
	}
	if m := datumBefore().FindStringSubmatch(text); m != nil {
		if _, ok := datums().resolve(m[1]); ok {
			o.Datum = m[1]
			return m[2], o
		}
	}
	return text, o
}

const (
	gridNumber = `(?:\d{1,3}(?:,\d{3})+|\d{5,8})(?:\.\d+)?`
	zoneWords  = `(?:utm|zone|zona|huso|fuseau|\s|:)*`
	zoneLetter = `(?:[c-hj-np-x]|north|south)`
	zoneBefore = `(?:(\d{1,2}\s*` + zoneLetter + `?)[\s,;:/]+)?`
	zoneBehind = `(?:[\s,;/(]+` + zoneWords + `(\d{1,2}\s*` + zoneLetter + `)\)?)?$`
)

var (
	// zone, easting, northing: "18T 445200 5027600", "18 N 445200mE, 5027600mN"
	utmPattern = pattern.Of(`(?i)^` + zoneWords + zoneBefore +
		`((?:[en]\w*[\s:=]*)?` + gridNumber + `(?:\s*m?\s*[en]\b)?m?)[\s,;/]+((?:[en]\w*[\s:=]*)?` + gridNumber + `(?:\s*m?\s*[en]\b)?m?)` +
		zoneBehind)
	// letters before the numbers, so that "18 E 445200 N 5027600" has no band E
	utmEastNorth = pattern.Of(`(?i)^` + zoneWords + zoneBefore + `(e[a-z]*[\s:=]*` + gridNumber + `m?)[\s,;/]+(n[a-z]*[\s:=]*` + gridNumber + `m?)` + zoneBehind)
	utmNorthEast = pattern.Of(`(?i)^` + zoneWords + zoneBefore + `(n[a-z]*[\s:=]*` + gridNumber + `m?)[\s,;/]+(e[a-z]*[\s:=]*` + gridNumber + `m?)` + zoneBehind)
)

// utmParts cuts a text into easting, northing and zone. Letters may say that
// the northing comes first.
func utmParts(text string) (easting, northing, zone string, ok bool) {
	var m []string
	for _, form := range []func() *regexp.Regexp{utmEastNorth, utmNorthEast, utmPattern} {
		if m = form().FindStringSubmatch(text); m != nil {
			break
		}
	}
	if m == nil {
		return "", "", "", false
	}
	zone = cmp.Or(strings.TrimSpace(m[1]), strings.TrimSpace(m[4]))
	easting, northing = strings.TrimSpace(m[2]), strings.TrimSpace(m[3])
	if _, err := readMetres(easting, 'E'); err != nil {
		if _, err := readMetres(easting, 'N'); err == nil {
			easting, northing = northing, easting
		}
	}
	return easting, northing, zone, true
}

// looksUTM reports whether a text is UTM and its zone is known.
func looksUTM(text string, o Options) bool {
	_, _, z, ok := utmParts(text)
	return ok && (z != "" || o.inGrid())
}

func parseUTMText(text string, o Options) Point {
	easting, northing, z, _ := utmParts(text)
	return ParseUTM(easting, northing, z, o)
}

// FromVerbatim reads a place from the three verbatim fields of Darwin Core:
// latitude and longitude, else both in one text. Where all are written they
// must agree within their uncertainties; if not, none is taken.
func FromVerbatim(latitude, longitude, coordinates string, o Options) Point {
	if strings.TrimSpace(coordinates) == "" {
		return Parse(latitude, longitude, o)
	}
	p := ParsePair(coordinates, o)
	if !p.Known() || (strings.TrimSpace(latitude) == "" && strings.TrimSpace(longitude) == "") {
		return p
	}
	if strings.TrimSpace(latitude) != "" && strings.TrimSpace(longitude) != "" {
		q := Parse(latitude, longitude, o)
		if q.Known() && Distance(p.Latitude, p.Longitude, q.Latitude, q.Longitude) <= p.Uncertainty+q.Uncertainty {
			return q
		}
		return disagree(coordinates, latitude+" "+longitude)
	}
	if (latitude != "" && !agrees(p.Latitude, latitude, p)) || (longitude != "" && !agrees(p.Longitude, longitude, p)) {
		return disagree(coordinates, latitude+longitude)
	}
	return p
}

// agrees compares one coordinate of a point with another writing of it, on the
// coarser last place of the two and what a change of datum may make.
func agrees(value float64, text string, p Point) bool {
	var q Point
	a, ok := q.cell(strings.TrimSpace(text), "coordinate")
	if !ok || a.invalid != nil || a.letter == 'O' {
		return false
	}
	d := a.value - value
	slack := max(a.step, p.Precision) + p.Uncertainty/100_000
	return d <= slack && d >= -slack
}

func disagree(one, other string) Point {
	var p Point
	p.problem("coordinates-disagree", record.Error, fmt.Sprintf("%q and %q are different places: neither is used", one, other), "")
	return p
}
