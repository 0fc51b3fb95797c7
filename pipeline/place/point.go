package place

import (
	"math"
	"strconv"
	"strings"

	"spadefoot/pipeline/record"
)

// Options is what is known beside the text of the coordinates.
type Options struct {
	Datum       string  // stated datum or coordinate system: "NAD27", "EPSG:4267", "EPSG:32618"; "" if none is stated
	Zone        string  // UTM zone beside the numbers: "18N" (north), "18 south", "18T" (band)
	Order       string  // of a pair without letters: "latlon", "lonlat", "" for latitude first
	System      string  // stated kind of coordinates: "decimal degrees", "degrees minutes seconds", "UTM", "MGRS"; "" if none
	GPSError    float64 // metres, as stated by the receiver; 0 for none
	LatCompass  string  // N or S where the heading of the latitude says so: it holds for cells without sign and letter
	LonCompass  string  // E, W or O likewise
	LetterO     string  // what the letter O means in this survey: "W" (oeste, ouest), "E" (Ost, oost), "" if unknown
	CountryCode string  // ISO 3166 code; narrows the choice among a datum's national shifts
	LastPlace   float64 // share of the last written place that the value may be off: 0 or 0.5 rounded, 1 cut off
	FullCircle  bool    // the longitudes of the column go up to 360
	Stored      bool    // the cells are stored numbers, which drop trailing zeros: the longer one's digits hold for both
}

// Point is a place as it can be published. A text that could not be read
// leaves LatText and LonText empty and says why in Problems.
type Point struct {
	Latitude, Longitude float64 // WGS 84, degrees, not rounded
	LatText, LonText    string  // WGS 84, decimal degrees, with no more digits than the writing supports
	Uncertainty         float64 // metres
	Precision           float64 // degrees: the coarser of the two last places written
	System              string  // verbatimCoordinateSystem
	Zone                string  // of UTM, as written
	SRS                 string  // verbatimSRS: the datum as stated
	Remark              string  // how the text became the numbers, where that is not plain
	Problems            []record.Problem
}

// GeodeticDatum is the value of dwc:geodeticDatum that goes with every Point.
const GeodeticDatum = "EPSG:4326"

// The kinds of coordinates, as Darwin Core recommends for
// verbatimCoordinateSystem; MGRS is common practice.
const (
	DecimalDegrees = "decimal degrees"
	DecimalMinutes = "degrees decimal minutes"
	MinutesSeconds = "degrees minutes seconds"
	UTMSystem      = "UTM"
	MGRSSystem     = "MGRS"
)

// Known reports whether the point has coordinates.
func (p Point) Known() bool { return p.LatText != "" && p.LonText != "" }

// Grid writes the texts of a place that was read as UTM as one, easting first,
// behind its zone where none of them has it: "18T 630000 4833400", the form of
// the examples of dwc:verbatimCoordinates. It is "" for any other place.
func (p Point) Grid(texts ...string) string {
	if !p.Known() || p.System != UTMSystem {
		return ""
	}
	text := strings.Join(strings.Fields(strings.Join(texts, " ")), " ")
	if strings.Contains(foldWord(text), foldWord(p.Zone)) {
		return text
	}
	return p.Zone + " " + text
}

// UncertaintyText is Uncertainty in whole metres, rounded up, and at least 1:
// dwc:coordinateUncertaintyInMeters does not take 0. It is "" where there are
// no coordinates.
func (p Point) UncertaintyText() string {
	if !p.Known() {
		return ""
	}
	return strconv.FormatFloat(math.Max(1, math.Ceil(p.Uncertainty-1e-6)), 'f', 0, 64)
}

// PrecisionText is Precision for dwc:coordinatePrecision, with at most ten
// decimals.
func (p Point) PrecisionText() string {
	if !p.Known() || p.Precision <= 0 {
		return ""
	}
	return strconv.FormatFloat(math.Max(1, math.Round(p.Precision*1e10))/1e10, 'f', -1, 64)
}

func (p *Point) problem(rule string, level record.Level, reason, suggestion string) {
	p.Problems = append(p.Problems, record.Problem{Rule: rule, Level: level, Reason: reason, Suggestion: suggestion})
}

// problemOf adds a problem with one of two coordinates.
func (p *Point) problemOf(a angle, rule string, level record.Level, reason, suggestion string) {
	p.problem(rule, level, reason, suggestion)
	p.Problems[len(p.Problems)-1].Second = a.second
}

func (p *Point) remark(s string) {
	if s == "" {
		return
	}
	if p.Remark != "" {
		p.Remark += "; "
	}
	p.Remark += s
}

// lastPlace is the share of the last place by which a value may be off.
func (o Options) lastPlace() float64 {
	if o.LastPlace > 0 {
		return o.LastPlace
	}
	return 0.5
}

// decimal writes degrees with a number of digits after the point, and never
// "-0".
func decimal(v float64, places int) string {
	s := strconv.FormatFloat(v, 'f', places, 64)
	if f, err := strconv.ParseFloat(s, 64); err == nil && f == 0 && s[0] == '-' {
		return s[1:]
	}
	return s
}

// wrap brings a longitude into (-180, 180].
func wrap(lon float64) float64 {
	if lon > -180 && lon <= 180 {
		return lon
	}
	lon = math.Mod(lon, 360)
	if lon <= -180 {
		lon += 360
	} else if lon > 180 {
		lon -= 360
	}
	return lon
}
