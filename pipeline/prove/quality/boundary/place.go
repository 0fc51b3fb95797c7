package boundary

import (
	"cmp"
	"math"
	"slices"

	"spadefoot/pipeline/record/sorting"
)

// Kind says how a place was found to belong to a country.
type Kind uint8

// The kinds of answer.
const (
	Doubtful Kind = iota // contested land, or sea near a median line or an outer limit
	Land                 // on the land of one country
	Sea                  // in the sea, nearest to one country and within 200 nautical miles of it
	HighSeas             // farther from any land
)

// Answer is what is known of a place. Code is empty where it is doubtful.
type Answer struct {
	Kind Kind
	Code string   // ISO 3166-1 alpha-2; XZ on the high seas
	Also []string // codes under which ISO 3166-1 lists the area too, or that contest it
}

const (
	zone      = 370.4 // 200 nautical miles in kilometres
	leeway    = 0.05  // of the outer limit: baselines lie off the coast that is drawn
	clearness = 1.25  // how much farther the next country must be for the sea to be one country's
)

// At tells in which country or sea a place lies. Latitude and longitude are
// decimal degrees on a datum near WGS 84; places out of range are doubtful.
func At(lat, lon float64) Answer {
	if !inRange(lat, lon) {
		return Answer{}
	}
	w := embedded()
	if on := w.on(lat, lon); len(on) > 0 {
		return onLand(on)
	}
	near := w.nearest(lat, lon, zone*(1+leeway))
	switch {
	case len(near) == 0:
		return Answer{Kind: HighSeas, Code: "XZ"}
	case near[0].contested || near[0].km > zone*(1-leeway):
		return Answer{}
	}
	for _, other := range near[1:] {
		if other.code != near[0].code && other.km < near[0].km*clearness {
			return Answer{}
		}
	}
	return Answer{Kind: Sea, Code: near[0].code, Also: near[0].also}
}

func onLand(on []*area) Answer {
	first := on[0]
	for _, a := range on[1:] {
		if a.code != first.code {
			return Answer{} // overlapping polygons
		}
	}
	if first.contested {
		return Answer{Also: append([]string{first.code}, first.also...)}
	}
	return Answer{Kind: Land, Code: first.code, Also: first.also}
}

// Within reports whether a place can belong to a country: on its land, in its
// sea, or not more than buffer kilometres outside. Where the boundary is
// contested or a sea boundary is not known well enough the place gets the
// benefit of the doubt. The code XZ asks for the high seas.
func Within(code string, lat, lon, buffer float64) bool {
	if !inRange(lat, lon) {
		return false
	}
	w := embedded()
	if code == "XZ" {
		return len(w.on(lat, lon)) == 0 && len(w.distances(lat, lon, zone*(1-leeway)-buffer)) == 0
	}
	if !w.withinReach(code, lat, lon, zone*(1+leeway)+buffer) {
		return false
	}
	on := w.on(lat, lon)
	for _, a := range on {
		if a.belongs(code) {
			return true
		}
	}
	for a, km := range w.distances(lat, lon, buffer) {
		if km <= buffer && w.areas[a].belongs(code) {
			return true
		}
	}
	if len(on) > 0 {
		return false
	}
	near := w.nearest(lat, lon, zone*(1+leeway)+buffer)
	for _, n := range near {
		if n.belongs(code) {
			return n.km <= near[0].km*clearness+buffer
		}
	}
	return false
}

// Known reports whether the set holds any land of a country.
func Known(code string) bool {
	return code == "XZ" || len(embedded().byCode[code]) > 0
}

// OnLand reports whether a place lies on land or in a lake.
func OnLand(lat, lon float64) bool { return inRange(lat, lon) && len(embedded().on(lat, lon)) > 0 }

// NearLand reports whether land, or a lake, begins within so many kilometres.
func NearLand(lat, lon, km float64) bool {
	return inRange(lat, lon) && len(embedded().distances(lat, lon, km)) > 0
}

func inRange(lat, lon float64) bool {
	return math.Abs(lat) <= 90 && math.Abs(lon) <= 180
}

func (a *area) belongs(code string) bool { return a.code == code || slices.Contains(a.also, code) }

// on returns the areas that hold a place. The set ends a little below 85 degrees
// south, in Antarctica; what lies nearer to the pole is answered as from there.
func (w *world) on(lat, lon float64) []*area {
	lat = math.Max(lat, w.originY+0.1)
	var found []*area
	for _, i := range w.boxes[boxOf(lat, lon)] {
		if w.covers(&w.areas[i], lat, lon) {
			found = append(found, &w.areas[i])
		}
	}
	return found
}

// withinReach is a quick look at the boxes around the land of a country: false
// means that all of it is farther off than so many kilometres.
func (w *world) withinReach(code string, lat, lon, km float64) bool {
	dLat := km / kmPerDegree
	dLon := dLat / math.Max(math.Cos(math.Min(math.Abs(lat)+dLat, 89)*math.Pi/180), 0.01)
	for _, i := range w.byCode[code] {
		a := &w.areas[i]
		if lat < w.lat(a.minY)-dLat || lat > w.lat(a.maxY)+dLat {
			continue
		}
		west, east := w.lon(a.minX)-dLon, w.lon(a.maxX)+dLon
		for _, turn := range [...]float64{-360, 0, 360} {
			if lon+turn >= west && lon+turn <= east {
				return true
			}
		}
	}
	return false
}

// neighbour is a country with the distance to its nearest land.
type neighbour struct {
	*area
	km float64
}

// nearest returns the countries with land within the limit, nearest first. The
// search widens step by step and stops as soon as no country farther off could
// matter to who is nearest.
func (w *world) nearest(lat, lon, limit float64) []neighbour {
	for _, reach := range []float64{20, 60, 150, limit} {
		reach = math.Min(reach, limit)
		best := map[string]neighbour{}
		for i, km := range w.distances(lat, lon, reach) {
			a := &w.areas[i]
			if old, ok := best[a.code]; !ok || km < old.km || km == old.km && !a.contested {
				best[a.code] = neighbour{a, km}
			}
		}
		var found []neighbour
		for _, n := range best {
			found = append(found, n)
		}
		sorting.Func(found, func(a, b neighbour) int {
			return cmp.Or(cmp.Compare(a.km, b.km), cmp.Compare(a.code, b.code))
		})
		if reach == limit || len(found) > 0 && found[0].km*clearness+3 < reach {
			return found
		}
	}
	return nil
}
