package place

import (
	"errors"
	"fmt"
	"math"
	"strings"

	"spadefoot/pipeline/record"
	"spadefoot/pipeline/record/pattern"
)

// withoutZone is the rule on what looks like UTM and has no zone.
const withoutZone = "coordinates-without-zone"

// Parse reads latitude and longitude from two cells. Two empty cells give an
// empty point without problems; one empty cell is half a pair and a problem.
func Parse(lat, lon string, o Options) Point {
	lat, lon = strings.TrimSpace(lat), strings.TrimSpace(lon)
	switch {
	case lat == "" && lon == "":
		return Point{}
	case lat == "" || lon == "":
		return parseHalf(lat, lon, o)
	}
	a, plainLat := plainAngle(lat)
	b, plainLon := plainAngle(lon)
	b.second = true
	if plainLat && plainLon { // fewer digits than any grid has
		return new(Point).fromAngles(reading{a, b}, o, false)
	}
	switch {
	case gridNumbers(lat, lon, o):
		return checkSystem(ParseUTM(lon, lat, "", o), o)
	case zoneless(lat, lon):
		var p Point
		p.problem(withoutZone, record.Warning, fmt.Sprintf(
			"%s, %s looks like metres of a grid, of which nothing says the zone or the name, or like degrees without their decimal points", lat, lon), "")
		return p
	}
	var p Point
	a, okLat := p.cell(lat, "latitude")
	b, okLon := p.cell(lon, "longitude")
	b.second = true
	if !okLat || !okLon {
		return p
	}
	return p.fromAngles(reading{a, b}, o, false)
}

// cell reads one angle. A comma between digits is a decimal comma there.
func (p *Point) cell(text, name string) (angle, bool) {
	if a, ok := plainAngle(text); ok {
		return a, true
	}
	return p.cellInFull(text, name)
}

func (p *Point) cellInFull(text, name string) (angle, bool) {
	tokens, err := scan(text, true)
	if err == nil {
		var a angle
		if a, err = compose(trimSeparators(tokens)); err == nil {
			return a, true
		}
	}
	p.problemOf(angle{second: name == "longitude"}, "coordinates-unread", record.Error, fmt.Sprintf("%s %q cannot be read: %v", name, text, err), "")
	return angle{}, false
}

// parseHalf handles a pair of which one cell is empty: the other may hold both.
func parseHalf(lat, lon string, o Options) Point {
	name, missing := "latitude", "longitude"
	if lat == "" {
		name, missing = missing, name
	}
	if p := ParsePair(lat+lon, o); p.Known() {
		p.remark("both coordinates are in the cell of the " + name)
		return p
	}
	var p Point
	p.problem("coordinates-half", record.Error, fmt.Sprintf("%s %q is written without a %s", name, lat+lon, missing), "")
	return p
}

// gridNumbers reports whether two cells hold UTM metres.
func gridNumbers(lat, lon string, o Options) bool {
	n, err1 := readMetres(lat, 'N')
	e, err2 := readMetres(lon, 'E')
	if err1 != nil || err2 != nil || n.value < 1000 && e.value < 1000 {
		return false
	}
	return o.inGrid()
}

// inGrid reports whether the options say that numbers are those of a UTM grid.
func (o *Options) inGrid() bool {
	if readSystem(o.System) == UTMSystem || strings.TrimSpace(o.Zone) != "" {
		return true
	}
	ref, _ := datums().resolve(o.Datum)
	return ref.zone != ""
}

// zoneless reports whether two cells look like metres of a grid with no zone known: both
// have five digits or more, as those of UTM and of national grids do.
func zoneless(lat, lon string) bool {
	n, err1 := readMetres(lat, 'N')
	e, err2 := readMetres(lon, 'E')
	return err1 == nil && err2 == nil && min(n.value, e.value) >= 10_000 && max(n.value, e.value) <= falseNorth
}

// ParsePair reads both coordinates from one text: degrees in any writing, UTM
// with its zone, or a grid reference. A datum behind the numbers ("NAD27") and
// an accuracy ("±5 m") are taken from the text where the options have none.
func ParsePair(text string, o Options) Point {
	text = strings.TrimSpace(text)
	if text == "" {
		return Point{}
	}
	body, o := takeAccuracy(text, o)
	body, o = takeDatum(body, o)
	switch {
	case isMGRS(body, o):
		return checkSystem(parseMGRS(body, o), o)
	case looksUTM(body, o):
		return checkSystem(parseUTMText(body, o), o)
	}
	var p Point
	r, err := splitPair(body)
	switch {
	case errors.Is(err, errLone):
		p.problem("coordinates-half", record.Error, fmt.Sprintf("%q holds one coordinate of two", text), "")
		return p
	case errors.As(err, new(ambiguity)):
		p.problem("coordinates-ambiguous", record.Error, fmt.Sprintf("%q cannot be read: %v", text, err), "")
		return p
	case utmPattern().MatchString(body) && (err != nil || !r.possible()):
		p.problem(withoutZone, record.Warning, fmt.Sprintf("%q looks like UTM, but no zone is given", text), "")
		return p
	case nationalGrid().MatchString(body):
		p.problem(ofGrid, record.Warning, fmt.Sprintf("%q looks like a reference in a national grid", text), "")
		return p
	case err != nil:
		p.problem("coordinates-unread", record.Error, fmt.Sprintf("%q cannot be read: %v", text, err), "")
		return p
	}
	return p.fromAngles(r, o, true)
}

// nationalGrid matches letters of a square and figures of two equal parts, as in
// Britain and Ireland: "SU 387 148", "R345912".
var nationalGrid = pattern.Of(`^[A-Z]{1,2} ?(?:\d{2} ?\d{2}|\d{3} ?\d{3}|\d{4} ?\d{4}|\d{5} ?\d{5})$`)

const ofGrid = "coordinates-of-grid"

// fromAngles turns two angles in the order written into a place. inPair says
// that they were in one text, where the order is not given by the cells.
func (p *Point) fromAngles(r reading, o Options, inPair bool) Point {
	headed := false
	if !inPair {
		lat, lon := r.first.headed(o.LatCompass, 'N'), r.second.headed(o.LonCompass, 'E')
		if headed = lat || lon; headed {
			p.remark("north or south, east or west as the headings say")
		}
	}
	lat, lon, ok := p.assign(r, o, inPair)
	if !ok || !p.checkRange(lat, lon, inPair, o.FullCircle) {
		return *p
	}
	if !lon.settleO(o, lat.west || lon.west, lat.east || lon.east) {
		p.problemOf(lon, "coordinates-hemisphere", record.Error, fmt.Sprintf(
			"the letter O is west in some languages (oeste, ouest) and east in others (Ost, oost): %.5g° west or east; write W or E", math.Abs(lon.value)), "")
		return *p
	}
	if !headed {
		p.checkHemispheres(lat, lon)
	}
	p.System = [...]string{"", DecimalDegrees, DecimalMinutes, MinutesSeconds}[max(lat.parts, lon.parts)]
	if q := checkSystem(Point{System: p.System}, o); len(q.Problems) > 0 {
		p.Problems = append(p.Problems, q.Problems...)
		return *p
	}
	p.finish(axis{lat.value, lat.step}, axis{lon.value, lon.step}, o.lastPlace(), p.reference(&o), o)
	return *p
}

// assign decides which angle is the latitude.
func (p *Point) assign(r reading, o Options, inPair bool) (lat, lon angle, ok bool) {
	lat, lon = r.first, r.second
	switch r.axes() {
	case clash:
		p.problem("coordinates-hemisphere", record.Error, fmt.Sprintf(
			"both coordinates are %s by their letters", map[byte]string{'N': "latitudes", 'E': "longitudes"}[lat.axis]), "")
		return lat, lon, false
	case told:
		if lat.axis == 'E' || lon.axis == 'N' {
			lat, lon = lon, lat
			if !inPair {
				p.problem("coordinates-order", record.Note, "by their letters, latitude and longitude are in each other's cells: read by the letters", "")
			}
		}
	default:
		if !inPair {
			break
		}
		swap := o.Order == "lonlat"
		if o.Order == "" && math.Abs(lat.value) > 90 && math.Abs(lon.value) <= 90 {
			swap = true
			p.problem("coordinates-order", record.Note, "the first number is above 90 degrees: read as the longitude", "")
		} else if o.Order == "" {
			p.remark("the first number was read as the latitude")
		}
		if swap {
			lat, lon = lon, lat
		}
	}
	return lat, lon, true
}

// checkRange reports angles that no place has.
func (p *Point) checkRange(lat, lon angle, inPair, fullCircle bool) bool {
	ok := true
	for i, a := range []angle{lat, lon} {
		if i == 1 && fullCircle && a.beyondHalf() {
			p.problemOf(a, "coordinates-full-circle", record.Error, "the longitudes of this column seem to be counted eastwards from 0 to 360 degrees; published ones go from -180 to 180",
				decimal(a.value-360, axis{step: a.step}.places()))
			ok = false
		} else if a.invalid != nil {
			reason, suggestion := record.Either(a.invalid.Error(), a.undamaged(i == 1)...)
			p.problemOf(a, "coordinates-range", record.Error, reason, suggestion)
			ok = false
		}
	}
	if !ok {
		return false
	}
	if math.Abs(lat.value) > 90 {
		reason := fmt.Sprintf("latitude %s: latitudes go up to 90", decimal(lat.value, axis{step: lat.step}.places()))
		suggestion := ""
		switch likely := math.Abs(lon.value) <= 90 && lat.letter == 0 && lon.letter == 0; {
		case likely && inPair:
			suggestion = reading{lon, lat}.String()
		case likely:
			reason += "; latitude and longitude may be in each other's cells"
		}
		p.problemOf(lat, "coordinates-range", record.Error, reason, suggestion)
		return false
	}
	return true
}

// checkHemispheres reports letters that are missing.
func (p *Point) checkHemispheres(lat, lon angle) {
	bare := func(a angle) bool { return a.letter == 0 && !a.signed && a.value != 0 }
	switch {
	case bare(lat) && lon.letter != 0:
		p.problemOf(lat, "coordinates-hemisphere", record.Warning, "the longitude has a compass letter, the latitude has none: read as north", "")
	case bare(lon) && lat.letter != 0:
		p.problemOf(lon, "coordinates-hemisphere", record.Warning, "the latitude has a compass letter, the longitude has none: read as east", "")
	case bare(lat) && bare(lon) && max(lat.parts, lon.parts) > 1:
		p.problem("coordinates-hemisphere", record.Note, "neither compass letters nor signs are written: read as north and east", "")
	}
	for _, a := range []angle{lat, lon} {
		if a.signed && a.letter != 0 && a.value < 0 {
			p.remark(fmt.Sprintf("the minus sign and the letter %c mean the same: read once", a.letter))
		}
	}
}
