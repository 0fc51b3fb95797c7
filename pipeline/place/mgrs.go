package place

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"spadefoot/pipeline/record"
	"spadefoot/pipeline/record/pattern"
)

// The Military Grid Reference System and the United States National Grid name
// a square of UTM by zone, band, two letters of a 100 km square and 0 to 5
// digits each for easting and northing. Columns run A-H, J-R, S-Z over three
// zones; rows run A-V over 2000 km, shifted by five letters in even zones
// (checked against GeographicLib).
const (
	columnLetters = "ABCDEFGHJKLMNPQRSTUVWXYZ"
	rowLetters    = "ABCDEFGHJKLMNPQRSTUV"
	square        = 100_000.0
)

var mgrsPattern = pattern.Of(`(?i)^(?:(?:mgrs|usng)[\s:]*)?(?:(\d{1,2})\s*([c-hj-np-x])\s*)?([a-hj-np-z])\s?([a-hj-np-v])\s*(\d*)(?:\s+(\d+))?$`)

// rowShift is the number of letters by which rows of a zone are shifted.
func rowShift(number int) int {
	if number%2 == 0 {
		return 5
	}
	return 0
}

// isMGRS reports whether a text is written as a grid reference; without the
// zone it needs one from the options.
func isMGRS(text string, o Options) bool {
	m := mgrsPattern().FindStringSubmatch(strings.TrimSpace(text))
	if m == nil {
		return false
	}
	return m[1] != "" || (strings.TrimSpace(o.Zone) != "" && m[5] != "")
}

// parseMGRS reads a grid reference. The place is the middle of the square.
func parseMGRS(text string, o Options) Point {
	p := Point{System: MGRSSystem}
	ref := p.reference(&o)
	if ref.datum != nil && math.Abs(ref.datum.InvF-298.257) > 0.01 {
		p.problem("coordinates-unread", record.Error, fmt.Sprintf(
			"%s on %s: grid letters on that ellipsoid follow older schemes, which are not read", text, ref.datum.Name), "")
		return p
	}
	sq, err := readSquare(text, o.Zone)
	if err != nil {
		p.problem("coordinates-unread", record.Error, err.Error(), "")
		return p
	}
	lat, lon := fromGrid(wgs84Ellipsoid, sq.number, sq.band < 'N', sq.easting+sq.size/2, sq.northing+sq.size/2)
	north, east := wgs84Ellipsoid.metresPerDegree(lat)
	p.finish(axis{value: lat, step: sq.size / north}, axis{value: lon, step: sq.size / math.Max(east, 1)}, 0.5, ref, o)
	if sq.size > 1 {
		p.remark(fmt.Sprintf("the middle of a square of %g m", sq.size))
	}
	return p
}

// gridSquare is a decoded grid reference: its south-west corner and size in
// metres.
type gridSquare struct {
	number            int
	band              byte
	easting, northing float64
	size              float64
}

func readSquare(text, stated string) (gridSquare, error) {
	m := mgrsPattern().FindStringSubmatch(strings.TrimSpace(text))
	if m == nil {
		return gridSquare{}, fmt.Errorf("%q is not a grid reference such as 18TVR4520027600", text)
	}
	var sq gridSquare
	if m[1] == "" {
		z, err := readZone(stated)
		if err != nil {
			return sq, err
		}
		if z.band == 0 && z.letter == 0 {
			return sq, fmt.Errorf("%q: the zone beside it has no band letter", text)
		}
		sq.number, sq.band = z.number, z.band
		if z.letter != 0 {
			sq.band = z.letter
		}
	} else {
		sq.number, _ = strconv.Atoi(m[1])
		sq.band = strings.ToUpper(m[2])[0]
	}
	if sq.number < 1 || sq.number > 60 {
		return sq, fmt.Errorf("%q: UTM zones go from 1 to 60", text)
	}
	e, n, size, err := readDigits(text, m[5], m[6])
	if err != nil {
		return sq, err
	}
	sq.size = size
	return sq, sq.locate(text, strings.ToUpper(m[3])[0], strings.ToUpper(m[4])[0], e, n)
}

// readDigits reads the digits after the letters, written together or apart, to
// metres within the square.
func readDigits(text, first, second string) (e, n, size float64, err error) {
	if second == "" {
		if len(first)%2 != 0 {
			return 0, 0, 0, fmt.Errorf("%q: %d digits cannot be split between easting and northing", text, len(first))
		}
		first, second = first[:len(first)/2], first[len(first)/2:]
	}
	if len(first) != len(second) || len(first) > 5 {
		return 0, 0, 0, fmt.Errorf("%q: easting and northing need the same number of digits, at most 5", text)
	}
	size = math.Pow(10, float64(5-len(first)))
	ei, _ := strconv.Atoi("0" + first)
	ni, _ := strconv.Atoi("0" + second)
	return float64(ei) * size, float64(ni) * size, size, nil
}

// locate finds the square's corner. Rows repeat every 2000 km; the band says
// which repeat is meant.
func (sq *gridSquare) locate(text string, column, row byte, e, n float64) error {
	c := strings.IndexByte(columnLetters, column) - (sq.number-1)%3*8
	if c < 0 || c > 7 {
		set := columnLetters[(sq.number-1)%3*8:][:8]
		return fmt.Errorf("%q: zone %d has the columns %s to %s, not %c", text, sq.number, set[:1], set[7:], column)
	}
	r := strings.IndexByte(rowLetters, row) - rowShift(sq.number)
	if r < 0 {
		r += len(rowLetters)
	}
	sq.easting = float64(c+1) * square
	south, north := bandLimits(sq.band)
	for base := float64(r) * square; base < falseNorth; base += square * float64(len(rowLetters)) {
		if sq.meets(base, south, north) {
			sq.easting, sq.northing = sq.easting+e, base+n
			return nil
		}
	}
	return fmt.Errorf("%q: the square %c%c does not reach into band %c of zone %d", text, column, row, sq.band, sq.number)
}

// meets reports whether the 100 km square at a northing reaches into the
// latitudes of its band.
func (sq *gridSquare) meets(base, south, north float64) bool {
	low, high := math.Inf(1), math.Inf(-1)
	for _, de := range []float64{0, square} {
		for _, dn := range []float64{0, square} {
			lat, _ := fromGrid(wgs84Ellipsoid, sq.number, sq.band < 'N', sq.easting+de, base+dn)
			low, high = min(low, lat), max(high, lat)
		}
	}
	return high > south && low < north
}
