package place

import (
	"fmt"
	"math"
	"strconv"
	"strings"
)

// Generalise blurs a place to the middle of the cell of a grid that holds it.
// The grid is in degrees (0.1, 0.01, …) and its lines are the multiples of it;
// cells at the poles and at the antimeridian end there. uncertainty is the
// distance in metres from the middle to the farthest corner, so that the true
// place lies surely within it. The same cell always gives the same texts. A
// grid that is not a positive number of at most 90 degrees gives empty texts:
// a place that should be hidden is never let through.
func Generalise(lat, lon, grid float64) (latText, lonText string, uncertainty float64) {
	if !(grid > 0 && grid <= 90) || !(math.Abs(lat) <= 90) || math.IsNaN(lon) || math.IsInf(lon, 0) {
		return "", "", 0
	}
	lon = wrap(lon)
	if lon == 180 {
		lon = -180 // one meridian, one cell
	}
	south, north := cell(lat, grid, 90)
	west, east := cell(lon, grid, 180)
	places := gridPlaces(grid)
	latText, lonText = decimal((south+north)/2, places), decimal((west+east)/2, places)
	midLat, _ := strconv.ParseFloat(latText, 64)
	midLon, _ := strconv.ParseFloat(lonText, 64)
	for _, y := range []float64{south, north} {
		for _, x := range []float64{west, east} {
			uncertainty = max(uncertainty, Distance(midLat, midLon, y, x))
		}
	}
	if south < 0 && north > 0 { // the widest parallel of the cell is then the equator
		uncertainty = max(uncertainty, Distance(midLat, midLon, 0, west), Distance(midLat, midLon, 0, east))
	}
	return latText, lonText, uncertainty
}

// cell returns the grid lines on both sides of v, cut off at ±limit.
func cell(v, grid, limit float64) (low, high float64) {
	i := math.Floor(v/grid + 1e-9) // 0.3/0.1 is a little below 3
	if i*grid >= limit-1e-9 {
		i-- // the pole belongs to the cell below it
	}
	return math.Max(i*grid, -limit), math.Min((i+1)*grid, limit)
}

// gridPlaces is the number of decimals that write the middle of a cell: one
// more than the grid has, and no more than six.
func gridPlaces(grid float64) int {
	_, decimals, _ := strings.Cut(strconv.FormatFloat(grid, 'f', -1, 64), ".")
	return min(len(decimals)+1, 6)
}

// Generalised is a blurred place and what Darwin Core says of the blurring.
type Generalised struct {
	LatText, LonText    string
	Uncertainty         float64 // metres: to the corner of the cell, and the point's own
	Precision           float64 // degrees: the grid
	DataGeneralizations string  // for dwc:dataGeneralizations
}

// Generalise blurs a point. The point's own uncertainty is added to that of the
// cell, because the true place may lie beyond the cell's edge by as much. The
// texts name the grid and not the cell's contents. It is empty for a point
// without coordinates.
func (p Point) Generalise(grid float64) Generalised {
	if !p.Known() {
		return Generalised{}
	}
	lat, lon, u := Generalise(p.Latitude, p.Longitude, grid)
	if lat == "" {
		return Generalised{}
	}
	size := strconv.FormatFloat(grid, 'f', -1, 64)
	return Generalised{
		LatText: lat, LonText: lon, Uncertainty: u + p.Uncertainty, Precision: grid,
		DataGeneralizations: fmt.Sprintf("Coordinates generalised to the centre of a %s degree grid cell; the uncertainty covers the cell.", size),
	}
}
