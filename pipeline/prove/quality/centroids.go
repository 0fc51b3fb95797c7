package quality

import (
	"errors"
	"io"
	"math"
	"slices"
)

var centroidTests = map[string]answer{"ISSUE_COORDINATES_CENTEROFCOUNTRY": centreOfCountry}

// Centroids is a list of the centres of countries.
type Centroids struct {
	Name    string
	centres map[string][]centre // by code of two letters
}

type centre struct{ lat, lon, area float64 } // degrees, square kilometres; area is 0 where it is not given

// ReadCentroids reads a table with the headings countryCode (or iso2),
// decimalLatitude and decimalLongitude (or with underscores), and area_sqkm or
// area where it is known. A country may have several rows.
func ReadCentroids(r io.Reader, name string) (*Centroids, error) {
	c := &Centroids{Name: name, centres: map[string][]centre{}}
	err := readTable(r, func(_ int, row Record) error {
		code := row.first("countryCode", "iso2", "iso_2")
		lat, okLat := latitude(row.first("decimalLatitude", "decimal_latitude", "latitude"))
		lon, okLon := longitude(row.first("decimalLongitude", "decimal_longitude", "longitude"))
		if code == "" {
			return nil
		}
		if !okLat || !okLon {
			return errors.New("the coordinates cannot be read")
		}
		area, _ := number(row.first("area_sqkm", "areaSquareKilometers", "area"))
		c.centres[code] = append(c.centres[code], centre{lat, lon, area})
		return nil
	})
	if err == nil && len(c.centres) == 0 {
		err = errors.New("no row has a countryCode with coordinates")
	}
	return c, err
}

func centreOfCountry(r Record, p Params) Response {
	lat, lon, ok := r.place()
	c := p.Sources.Centroids
	switch {
	case !r.has("countryCode") || !r.has("decimalLatitude") || !r.has("decimalLongitude"):
		return internal("countryCode, decimalLatitude or decimalLongitude is empty")
	case c == nil:
		return without("--centroids", "a list of country centres")
	case !ok:
		return issue(false, "", "decimalLatitude or decimalLongitude is not a coordinate")
	}
	buffer := p.number("spatialBufferInMeters")
	uncertainty, stated := number(r("coordinateUncertaintyInMeters"))
	atCentre := slices.ContainsFunc(c.centres[trim(r("countryCode"))], func(x centre) bool {
		wide := stated && x.area > 0 && uncertainty >= math.Sqrt(x.area*1e6)/2
		return !wide && metresBetween(lat, lon, x.lat, x.lon) <= buffer
	})
	return issue(atCentre, "the coordinates are those of a centre of the country in "+c.Name,
		"the coordinates are not those of a centre of the country in "+c.Name)
}

// metresBetween is the distance on a sphere of the mean radius of the earth.
func metresBetween(lat1, lon1, lat2, lon2 float64) float64 {
	const radius, p = 6371008.8, math.Pi / 180
	a := math.Pow(math.Sin((lat2-lat1)*p/2), 2) + math.Cos(lat1*p)*math.Cos(lat2*p)*math.Pow(math.Sin((lon2-lon1)*p/2), 2)
	return 2 * radius * math.Asin(math.Sqrt(a))
}
