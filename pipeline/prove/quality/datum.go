package quality

import (
	"math"
	"strconv"
	"strings"
	"sync"

	"spadefoot/mappings"
	"spadefoot/schemas"
)

// datumTests know the EPSG codes of geographic reference systems, datums and
// ellipsoids.
var datumTests = map[string]answer{
	"AMENDMENT_GEODETICDATUM_ASSUMEDDEFAULT": assumeDatum,
	"AMENDMENT_GEODETICDATUM_STANDARDIZED":   standardised("dwc:geodeticDatum", isDatum, func(v string) string { code, _ := datumMeant(v); return code }, "a valid EPSG code", "datum"),
	"VALIDATION_GEODETICDATUM_STANDARD": holding("geodeticDatum", func(v string) bool { return v == notRecorded || isDatum(v) },
		"geodeticDatum is an EPSG code of a datum, an ellipsoid or a geographic reference system, or \"not recorded\"",
		"geodeticDatum is not an EPSG code of a datum, an ellipsoid or a geographic reference system"),
}

// notRecorded is the value that Darwin Core recommends where no datum is known.
const notRecorded = "not recorded"

type epsgRow struct {
	Code string `csv:"code"`
	Kind string `csv:"kind"`
	Name string `csv:"name"`
}

type synonymRow struct {
	Code     string `csv:"code"`
	Synonyms string `csv:"synonyms"`
}

// datums holds the codes and, by folded name, the best code: that of the
// reference system, else of the datum, else of the ellipsoid.
type datums struct {
	codes map[string]bool   // "EPSG:4326"
	names map[string]string // folded name to code; "" where two of a kind share it
}

// tooShort are writings from the table of synonyms that leave open which of
// several systems is meant.
var tooShort = wordSet("wgs gps")

var knownDatums = sync.OnceValue(func() *datums {
	d := &datums{codes: map[string]bool{}, names: map[string]string{}}
	kinds := map[string]string{}
	for _, row := range schemas.Must(schemas.Table[epsgRow]("quality_epsg.csv")) { // reference systems come first
		d.codes["EPSG:"+row.Code] = true
		d.learn(kinds, row.Kind, row.Name, "EPSG:"+row.Code)
	}
	for _, row := range schemas.Must(mappings.Table[synonymRow]("datums.csv")) {
		for _, name := range strings.Split(row.Synonyms, "|") {
			if key := fold(name); !tooShort[key] && d.codes[row.Code] && !strings.HasPrefix(key, "epsg") {
				d.names[key] = row.Code
			}
		}
	}
	return d
})

func (d *datums) learn(kinds map[string]string, kind, name, code string) {
	key := fold(name)
	switch other, known := kinds[key]; {
	case !known:
		kinds[key], d.names[key] = kind, code
	case other == kind:
		d.names[key] = ""
	}
}

func isDatum(code string) bool { return knownDatums().codes[code] }

// datumMeant reads an EPSG code, with or without its prefix, or a name. A code
// that is not a datum, ellipsoid or geographic system is called projected.
func datumMeant(text string) (code string, projected bool) {
	text = trim(text)
	number := strings.TrimLeft(strings.TrimPrefix(strings.ToUpper(text), "EPSG"), ":/ ")
	if n, ok := integer(number); ok && n > 0 {
		code = "EPSG:" + strconv.Itoa(n)
		if isDatum(code) {
			return code, false
		}
		return "", true
	}
	return knownDatums().names[fold(text)], false
}

type shiftRow struct {
	Latitude int    `csv:"latitude"`
	Shifts   string `csv:"shifts"`
}

// nodeDegrees is the distance of the nodes of the table of shifts.
const nodeDegrees = 5

var shiftNodes = sync.OnceValue(func() map[[2]int]float64 {
	nodes := map[[2]int]float64{}
	for _, row := range schemas.Must(schemas.Table[shiftRow]("quality_datum_shifts.csv")) {
		for i, text := range strings.Fields(row.Shifts) {
			metres, _ := number(text)
			nodes[[2]int{row.Latitude, -180 + i*nodeDegrees}] = metres
		}
	}
	return nodes
})

// datumShift is the most, in metres, that coordinates can be off where they are
// taken to be on the default datum and are on any other: the greatest of the
// nodes around the place. The table is for WGS 84; for another default two
// shifts add up at worst.
func datumShift(lat, lon float64, datum string) float64 {
	shift := 0.0
	for _, south := range []float64{math.Floor(lat / nodeDegrees), math.Ceil(lat / nodeDegrees)} {
		for _, west := range []float64{math.Floor(lon / nodeDegrees), math.Ceil(lon / nodeDegrees)} {
			shift = max(shift, shiftNodes()[[2]int{int(south) * nodeDegrees, int(west) * nodeDegrees}])
		}
	}
	if datum != "EPSG:4326" {
		return 2 * shift
	}
	return shift
}

// assumeDatum fills in the default and, where the uncertainty of the place is
// known, adds to it what the assumption may be wrong by.
func assumeDatum(r Record, p Params) Response {
	if r.has("geodeticDatum") {
		return notAmended("geodeticDatum holds a value")
	}
	datum := p.value("defaultGeodeticDatum")
	changes := map[string]string{"dwc:geodeticDatum": datum}
	lat, lon, ok := r.place()
	uncertainty, stated := number(r("coordinateUncertaintyInMeters"))
	if !ok || !stated || uncertainty < 1 || uncertainty > farthest {
		return proposal(FilledIn, changes, "geodeticDatum is empty; %s is assumed", datum)
	}
	shift := datumShift(lat, lon, datum)
	changes["dwc:coordinateUncertaintyInMeters"] = strconv.FormatFloat(uncertainty+shift, 'f', -1, 64)
	return proposal(Amended, changes, "geodeticDatum is empty; %s is assumed, which may be wrong by %g m", datum, shift)
}
