package place

import (
	"errors"
	"fmt"
	"math"
	"strconv"
	"strings"

	"spadefoot/pipeline/record"
	"spadefoot/pipeline/record/pattern"
)

// Universal Transverse Mercator: 60 zones of 6 degrees, scale 0.9996 on the
// central meridian, 500 km added to eastings, 10 000 km to southern northings.
// Latitude bands of 8 degrees are lettered C to X without I and O, from 80° S
// (checked against PROJ and GeographicLib).
const (
	utmScale    = 0.9996
	falseEast   = 500_000.0
	falseNorth  = 10_000_000.0
	bandLetters = "CDEFGHJKLMNPQRSTUVWX"
)

// zone is a UTM zone with what is behind its number.
type zone struct {
	number int
	band   byte // C to X, or 0
	south  bool // for band 0
	letter byte // N or S where it can be a band or a hemisphere
}

func bandOf(lat float64) byte {
	i := int(math.Floor((lat + 80) / 8))
	return bandLetters[min(max(i, 0), len(bandLetters)-1)]
}

// bandLimits returns the latitudes between which a band lies.
func bandLimits(band byte) (south, north float64) {
	i := strings.IndexByte(bandLetters, band)
	south = float64(i*8 - 80)
	if band == 'X' {
		return south, 84
	}
	return south, south + 8
}

func centralMeridian(number int) float64 { return float64(number*6 - 183) }

func fromGrid(e ellipsoid, number int, south bool, easting, northing float64) (lat, lon float64) {
	if south {
		northing -= falseNorth
	}
	lat, dlon := newMercator(e).inverse((easting-falseEast)/utmScale, northing/utmScale)
	return lat, wrap(dlon + centralMeridian(number))
}

var zonePattern = pattern.Of(`(?i)^(?:utm|zone|zona|huso|fuseau|\s|:)*(\d{1,2})\s*,?\s*([a-z]*)(?:ern)?(?:\s+hemisphere)?$`)

// IsZone reports whether text is a UTM zone, with or without its letter.
func IsZone(text string) bool {
	m := zonePattern().FindStringSubmatch(strings.TrimSpace(text))
	if m == nil {
		return false
	}
	n, _ := strconv.Atoi(m[1])
	return n >= 1 && n <= 60
}

var errNoHemisphere = errors.New("no band or hemisphere is given, so the place may be north or south of the equator")

// readZone reads "18T", "18 N", "zone 18, southern hemisphere".
func readZone(text string) (zone, error) {
	m := zonePattern().FindStringSubmatch(strings.TrimSpace(text))
	if m == nil {
		return zone{}, fmt.Errorf("UTM zone %q: want a number from 1 to 60 and a letter, such as 18T or 18 north", text)
	}
	n, _ := strconv.Atoi(m[1])
	if n < 1 || n > 60 {
		return zone{}, fmt.Errorf("UTM zone %q: zones go from 1 to 60", text)
	}
	z := zone{number: n}
	switch letter := strings.ToUpper(m[2]); {
	case letter == "":
		return z, fmt.Errorf("UTM zone %q: %w", text, errNoHemisphere)
	case letter == "N" || letter == "S":
		z.letter, z.south = letter[0], letter == "S"
	case len(letter) == 1:
		if !strings.Contains(bandLetters, letter) {
			return zone{}, fmt.Errorf("UTM zone %q: %s is not a latitude band; bands run from C to X without I and O", text, letter)
		}
		z.band = letter[0]
		z.south = z.band < 'N'
	default:
		switch compassWords[foldWord(strings.TrimSuffix(m[2], "ern"))] {
		case 'N':
		case 'S':
			z.south = true
		default:
			return zone{}, fmt.Errorf("UTM zone %q: %q means neither north nor south", text, m[2])
		}
	}
	return z, nil
}

// settle decides whether the letter S behind a zone is the band S (32° to 40°
// north) or the southern hemisphere. N is north either way. The northing tells
// them apart save between 50° and 58° south, where there is little land.
func (z zone) settle(e ellipsoid, easting, northing float64) (zone, string) {
	if z.letter != 'S' {
		return z, ""
	}
	lat, _ := fromGrid(e, z.number, false, easting, northing)
	if lat < 32 || lat > 40 {
		return z, ""
	}
	z.south, z.band = false, 'S'
	return z, fmt.Sprintf("the letter S after zone %d is read as band S (32° to 40° north), not as the southern hemisphere", z.number)
}

// fits checks a place against the band that was written.
func (z zone) fits(lat float64) error {
	if z.band == 0 {
		return nil
	}
	const slack = 0.02 // degrees: bands on old datums and rounded numbers end a little off
	south, north := bandLimits(z.band)
	if lat >= south-slack && lat <= north+slack {
		return nil
	}
	return fmt.Errorf("the northing is at latitude %.2f, band %c, but the written band is %c (latitude %g to %g)",
		lat, bandOf(lat), z.band, south, north)
}

// ParseUTM reads easting and northing in metres and a zone with its band or
// hemisphere. The zone may also be in o.Zone or in o.Datum as an EPSG code.
func ParseUTM(easting, northing, zoneText string, o Options) Point {
	p := Point{System: UTMSystem}
	ref := p.reference(&o)
	if strings.TrimSpace(zoneText) == "" {
		if zoneText = o.Zone; strings.TrimSpace(zoneText) == "" {
			zoneText = ref.zone
		}
	}
	if strings.TrimSpace(easting) == "" && strings.TrimSpace(northing) == "" {
		return Point{}
	}
	if strings.TrimSpace(zoneText) == "" {
		p.problem(withoutZone, record.Warning, fmt.Sprintf("%s %s looks like UTM, but no zone is given", easting, northing), "")
		return p
	}
	p.Zone = strings.Join(strings.Fields(zoneText), " ")
	z, err := readZone(zoneText)
	if survey, e := readZone(o.Zone); errors.Is(err, errNoHemisphere) && e == nil && survey.number == z.number {
		z, err = survey, nil // which says the hemisphere
	}
	switch {
	case errors.Is(err, errNoHemisphere):
		p.problem(withoutZone, record.Warning, err.Error(), "")
		return p
	case err != nil:
		p.problem("coordinates-zone", record.Error, err.Error(), "")
		return p
	}
	e, err1 := readMetres(easting, 'E')
	n, err2 := readMetres(northing, 'N')
	for _, err := range []error{err1, err2} {
		if err != nil {
			p.problem("coordinates-unread", record.Error, err.Error(), "")
		}
	}
	if err1 != nil || err2 != nil || !p.gridRange(e.value, n.value) {
		return p
	}
	return p.fromUTM(z, e, n, ref, o)
}

// gridRange checks that easting and northing can be UTM at all.
func (p *Point) gridRange(e, n float64) bool {
	if e >= 100_000 && e < 1_000_000 && n >= 0 && n <= falseNorth {
		return true
	}
	suggestion := ""
	if n >= 100_000 && n < 1_000_000 && e >= 1_000_000 && e <= falseNorth {
		suggestion = fmt.Sprintf("easting %.0f, northing %.0f", n, e)
	}
	p.problem("coordinates-range", record.Error, fmt.Sprintf(
		"easting %.0f, northing %.0f: UTM eastings go from 100000 to 999999, northings from 0 to 10000000", e, n), suggestion)
	return false
}

func (p *Point) fromUTM(z zone, e, n metres, ref reference, o Options) Point {
	ell := wgs84Ellipsoid
	if ref.datum != nil {
		ell = ref.datum.ellipsoid()
	}
	z, remark := z.settle(ell, e.value, n.value)
	if remark != "" {
		p.problem("coordinates-zone-letter", record.Note, remark, "")
	}
	lat, lon := fromGrid(ell, z.number, z.south, e.value, n.value)
	if err := z.fits(lat); err != nil {
		p.problem("coordinates-zone", record.Error, fmt.Sprintf("zone %d%c: %v", z.number, z.band, err), "")
		return *p
	}
	north, east := ell.metresPerDegree(lat)
	p.finish(axis{value: lat, step: n.step / north}, axis{value: lon, step: e.step / math.Max(east, 1)}, o.lastPlace(), ref, o)
	return *p
}

// metres is one written easting or northing.
type metres struct {
	value float64
	step  float64 // the last place written
}

var metresPattern = pattern.Of(`(?i)^(?:([en])[a-z]*\.?\s*[:=]?\s*)?(\d{1,3}(?:,\d{3})+|\d+)(?:\.(\d+))?\s*(?:m\s*)?([en])?\.?$`)

// readMetres reads "445200", "445,200 mE", "E 0445200.5".
func readMetres(text string, letter byte) (metres, error) {
	m := metresPattern().FindStringSubmatch(strings.TrimSpace(text))
	name := map[byte]string{'E': "easting", 'N': "northing"}[letter]
	if m == nil {
		return metres{}, fmt.Errorf("%s %q is not a number of metres", name, text)
	}
	if got := strings.ToUpper(m[1] + m[4]); got != "" && strings.Trim(got, string(letter)) != "" {
		return metres{}, fmt.Errorf("%s %q has the letter %s", name, text, got)
	}
	v, err := strconv.ParseFloat(strings.ReplaceAll(m[2], ",", "")+"."+m[3]+"0", 64)
	if err != nil {
		return metres{}, fmt.Errorf("%s %q is not a number of metres", name, text)
	}
	return metres{v, math.Pow(10, -float64(len(m[3])))}, nil
}
