package quality

import (
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"math"
	"strings"
)

var divisionTests = map[string]answer{"VALIDATION_COORDINATESSTATEPROVINCE_CONSISTENT": coordinatesInDivision}

// Divisions are boundaries of first-level divisions of countries.
type Divisions struct {
	Name   string
	byName map[string][]*division // by folded name or code
}

type division struct {
	rings                    [][][2]float64 // longitude, latitude
	west, south, east, north float64
}

// ReadDivisions reads GeoJSON (RFC 7946): features of polygons whose names are
// in properties that begin with "name", separated by "|" where they are
// several, or in iso_3166_2.
func ReadDivisions(r io.Reader, name string) (*Divisions, error) {
	var all struct {
		Features []struct {
			Properties map[string]any `json:"properties"`
			Geometry   *struct {
				Type        string          `json:"type"`
				Coordinates json.RawMessage `json:"coordinates"`
			} `json:"geometry"`
		} `json:"features"`
	}
	if err := json.NewDecoder(r).Decode(&all); err != nil {
		return nil, err
	}
	d := &Divisions{Name: name, byName: map[string][]*division{}}
	for i, f := range all.Features {
		if f.Geometry == nil {
			continue
		}
		polygons, err := polygonsOf(f.Geometry.Type, f.Geometry.Coordinates)
		if err != nil {
			return nil, fmt.Errorf("feature %d: %w", i+1, err)
		}
		x := newDivision(polygons)
		for key, value := range f.Properties {
			text, _ := value.(string)
			if key = strings.ToLower(key); !strings.HasPrefix(key, "name") && key != "iso_3166_2" {
				continue
			}
			for _, n := range strings.Split(text, "|") {
				if n = foldPlace(n); n != "" {
					d.byName[n] = append(d.byName[n], x)
				}
			}
		}
	}
	if len(d.byName) == 0 {
		return nil, errors.New("no feature has both a name and a polygon")
	}
	return d, nil
}

func polygonsOf(kind string, coordinates json.RawMessage) ([][][][]float64, error) {
	switch kind {
	case "Polygon":
		one := make([][][][]float64, 1)
		return one, json.Unmarshal(coordinates, &one[0])
	case "MultiPolygon":
		var all [][][][]float64
		return all, json.Unmarshal(coordinates, &all)
	}
	return nil, fmt.Errorf("the geometry is a %s, not a polygon", kind)
}

func newDivision(polygons [][][][]float64) *division {
	d := &division{west: 180, south: 90, east: -180, north: -90}
	for _, polygon := range polygons {
		for _, ring := range polygon {
			var out [][2]float64
			for _, at := range ring {
				if len(at) < 2 {
					continue
				}
				out = append(out, [2]float64{at[0], at[1]})
				d.west, d.east = min(d.west, at[0]), max(d.east, at[0])
				d.south, d.north = min(d.south, at[1]), max(d.north, at[1])
			}
			d.rings = append(d.rings, out)
		}
	}
	return d
}

// holds reports whether a place lies within the division or so many metres off.
func (d *division) holds(lat, lon, buffer float64) bool {
	const metresPerDegree = 111_195 // on a sphere of the mean radius
	across := math.Max(math.Cos(lat*math.Pi/180), 1e-6)
	margin := buffer / metresPerDegree
	if lat < d.south-margin || lat > d.north+margin || lon < d.west-margin/across || lon > d.east+margin/across {
		return false
	}
	inside := false
	for _, ring := range d.rings {
		for i := range ring {
			a, b := ring[i], ring[(i+1)%len(ring)]
			if (a[1] > lat) != (b[1] > lat) && lon < a[0]+(lat-a[1])/(b[1]-a[1])*(b[0]-a[0]) {
				inside = !inside
			}
			if offSegment((a[0]-lon)*across, a[1]-lat, (b[0]-lon)*across, b[1]-lat) <= margin {
				return true
			}
		}
	}
	return inside
}

// offSegment is the distance of the origin from a segment.
func offSegment(x1, y1, x2, y2 float64) float64 {
	dx, dy := x2-x1, y2-y1
	t := 0.0
	if l := dx*dx + dy*dy; l > 0 {
		t = math.Min(1, math.Max(0, -(x1*dx+y1*dy)/l))
	}
	return math.Hypot(x1+t*dx, y1+t*dy)
}

func coordinatesInDivision(r Record, p Params) Response {
	lat, lon, ok := r.place()
	d := p.Sources.Divisions
	switch {
	case !ok:
		return internal("decimalLatitude or decimalLongitude is empty or not a coordinate")
	case !r.has("stateProvince"):
		return internal("stateProvince is empty")
	case d == nil:
		return without("--divisions", "a file of division boundaries")
	}
	found := d.byName[foldPlace(r("stateProvince"))]
	if len(found) == 0 {
		return internal("%s has no division %q", d.Name, r("stateProvince"))
	}
	buffer := p.number("spatialBufferInMeters")
	for _, x := range found {
		if x.holds(lat, lon, buffer) {
			return compliant("the coordinates lie in the division or within the buffer, by %s", d.Name)
		}
	}
	return notCompliant("the coordinates lie outside the division and the buffer, by %s", d.Name)
}
