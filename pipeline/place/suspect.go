package place

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"spadefoot/pipeline/record"
)

// Surroundings is what is known of where a point should be.
type Surroundings struct {
	Region  Region
	Inside  func(lat, lon float64) bool // whether a place is in the stated country; nil if unknown
	Country string                      // its name, for the reason
	Site    *Region                     // where the other captures of the same name of a place are; nil if they do not tell
	Called  string                      // its name
}

func (s Surroundings) holds(p LatLon) bool {
	return s.Region.holds(p) && (s.Inside == nil || s.Inside(p.Latitude, p.Longitude))
}

// slip is one way in which coordinates go wrong, and the places that undoing
// it would give.
type slip struct {
	rule, reason string
	places       []LatLon
}

// Suspects compares a point with the survey's other places and the stated
// country. A point that lies where it should gives nothing. Otherwise each
// usual slip is undone in turn: latitude and longitude swapped, a lost sign, a
// degree too many or too few, two digits changed over, a neighbouring UTM zone.
// If one slip alone brings the point back, and to one place, that place is the
// suggestion; else the reason says which slips would.
func Suspects(p Point, s Surroundings) []record.Problem {
	here := LatLon{p.Latitude, p.Longitude}
	if !p.Known() {
		return nil
	}
	if s.holds(here) {
		return s.offSite(p)
	}
	rule, reason := "position-outside", "outside "+s.Country
	if s.Country == "" {
		reason = "outside the stated country"
	}
	if !s.Region.holds(here) {
		rule = "position-far"
		reason = fmt.Sprintf("%.0f km from the middle of the survey's %d places (limit %.0f km)",
			s.Region.distance(here)/1000, s.Region.Places, s.Region.Limit/1000)
	}
	reason = p.LatText + ", " + p.LonText + " is " + reason
	back := s.undone(slips(p), here)
	if len(back) == 0 {
		back = s.undone(doubleSlips(p), here)
	}
	if len(back) == 0 && s.Site != nil {
		back = s.Site.digitsUndone(p)
	}
	if len(back) == 0 && rule == "position-far" && s.Region.distance(here) < unexplained*s.Region.Limit {
		return nil
	}
	return []record.Problem{p.explained(rule, reason, back)}
}

// unexplained is how many times as far as the limit a place is that is doubted though no
// slip explains it: of a survey with places here and there some are a little beyond it.
const unexplained = 1.5

// offSite doubts a point that is near the survey's other places but far from those of the
// same name, if a slip in its digits alone explains it.
func (s Surroundings) offSite(p Point) []record.Problem {
	here := LatLon{p.Latitude, p.Longitude}
	if s.Site == nil || !s.Site.Far(here) {
		return nil
	}
	back := s.Site.digitsUndone(p)
	if len(back) == 0 {
		return nil
	}
	reason := fmt.Sprintf("%s, %s is %.1f km from the middle of the %d captures at %s", p.LatText, p.LonText, s.Site.distance(here)/1000, s.Site.Places, s.Called)
	return []record.Problem{p.explained(back[0].rule, reason, back)}
}

// digitsUndone keeps the slips in the digits of a point that bring it into a region where it
// is known closely to be.
func (r *Region) digitsUndone(p Point) []slip {
	return Surroundings{Region: *r}.undone([]slip{oneDigit(p), digitsSwapped(p)}, LatLon{p.Latitude, p.Longitude})
}

// explained says which slips would bring a point back; the rule is that of the only one,
// if there is one.
func (p Point) explained(rule, reason string, back []slip) record.Problem {
	if len(back) != 1 {
		for i, b := range back {
			reason += [...]string{"; it would fit with ", " or with "}[min(i, 1)] + b.reason
		}
		return record.Problem{Rule: rule, Level: record.Warning, Reason: reason}
	}
	found := record.Problem{Rule: back[0].rule, Level: record.Warning, Reason: reason + "; it fits with " + back[0].reason}
	if len(back[0].places) == 1 {
		found.Suggestion = p.write(back[0].places[0])
	} else {
		var all []string
		for _, place := range back[0].places {
			all = append(all, p.write(place))
		}
		found.Reason += ": " + strings.Join(all, " or ")
	}
	return found
}

// undone keeps the slips, and of each the places, that bring the point back from where it
// is. One that moves it by less than the places of the region differ explains nothing.
func (s Surroundings) undone(all []slip, here LatLon) []slip {
	var back []slip
	for _, one := range all {
		var fit []LatLon
		for _, place := range one.places {
			if math.Abs(place.Latitude) <= 90 && math.Abs(place.Longitude) <= 180 && s.holds(place) && s.moves(here, place) && !slices.Contains(fit, place) {
				fit = append(fit, place)
			}
		}
		if len(fit) > 0 {
			back = append(back, slip{one.rule, one.reason, fit})
		}
	}
	return back
}

// moves reports whether two places are farther apart than those of the region are from
// its middle; where it is the country that is wrong, anything moves.
func (s Surroundings) moves(a, b LatLon) bool {
	return s.Region.holds(a) || Distance(a.Latitude, a.Longitude, b.Latitude, b.Longitude) > s.Region.Limit
}

// slips returns the usual slips undone.
func slips(p Point) []slip {
	lat, lon := p.Latitude, p.Longitude
	all := []slip{
		{"position-swapped", "latitude and longitude swapped", []LatLon{{lon, lat}}},
		{"position-sign", "the opposite sign (hemisphere)", []LatLon{{-lat, lon}, {lat, -lon}, {-lat, -lon}}},
		{"position-degree", "one degree more or less", []LatLon{{lat + 1, lon}, {lat - 1, lon}, {lat, lon + 1}, {lat, lon - 1}}},
	}
	all = append(all, digitsSwapped(p))
	if p.System == UTMSystem || p.System == MGRSSystem {
		// the same easting and northing in the next zone lie exactly 6 degrees on
		all = append(all, slip{"position-zone", "a neighbouring UTM zone", []LatLon{{lat, wrap(lon + 6)}, {lat, wrap(lon - 6)}}})
	}
	return all
}

func digitsSwapped(p Point) slip {
	return slip{"position-digits", "two digits swapped", respelt(p, transposed)}
}

// oneDigit is tried only where it is known closely where a point should be.
func oneDigit(p Point) slip {
	return slip{"position-digits", "one digit changed", respelt(p, misread)}
}

// respelt are the points whose latitude or longitude is written in another way.
func respelt(p Point, ways func(string) []float64) (out []LatLon) {
	for _, v := range ways(p.LatText) {
		out = append(out, LatLon{v, p.Longitude})
	}
	for _, v := range ways(p.LonText) {
		out = append(out, LatLon{p.Latitude, v})
	}
	return out
}

// doubleSlips are tried where no single slip explains the place.
func doubleSlips(p Point) []slip {
	lat, lon := p.Latitude, p.Longitude
	return []slip{{"position-swapped", "latitude and longitude swapped and a sign lost", []LatLon{{-lon, lat}, {lon, -lat}, {-lon, -lat}}}}
}

// transposed returns the numbers that a decimal text becomes when two
// neighbouring digits change places.
func transposed(text string) []float64 {
	var out []float64
	b := []byte(text)
	for i := range b {
		j := i + 1
		if j < len(b) && b[j] == '.' {
			j++
		}
		if j >= len(b) || !isDigit(rune(b[i])) || !isDigit(rune(b[j])) || b[i] == b[j] {
			continue
		}
		b[i], b[j] = b[j], b[i]
		if v, err := strconv.ParseFloat(string(b), 64); err == nil {
			out = append(out, v)
		}
		b[i], b[j] = b[j], b[i]
	}
	return out
}

// misread returns the numbers that a decimal text becomes when one digit is another.
func misread(text string) []float64 {
	var out []float64
	b := []byte(text)
	for i, was := range b {
		if !isDigit(rune(was)) {
			continue
		}
		for b[i] = '0'; b[i] <= '9'; b[i]++ {
			if v, err := strconv.ParseFloat(string(b), 64); err == nil && b[i] != was {
				out = append(out, v)
			}
		}
		b[i] = was
	}
	return out
}

// write returns a suggested place with as many digits as the point has.
func (p Point) write(at LatLon) string {
	places := func(text string) int {
		if i := strings.IndexByte(text, '.'); i >= 0 {
			return len(text) - i - 1
		}
		return 0
	}
	lat, lon := places(p.LatText), places(p.LonText)
	if math.Abs(at.Latitude) == math.Abs(p.Longitude) { // changed over, digits and all
		lat, lon = lon, lat
	}
	return decimal(at.Latitude, lat) + ", " + decimal(at.Longitude, lon)
}
