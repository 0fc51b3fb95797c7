package place

import (
	"fmt"
	"math"
	"strconv"

	"spadefoot/pipeline/record"
)

// axis is a latitude or longitude on the stated datum and the last place that
// was written of it, both in degrees.
type axis struct{ value, step float64 }

// places is the number of decimals to publish: the fewest that still tell two
// neighbouring written values apart, so that what was written can be had back.
func (a axis) places() int {
	if a.step <= 0 {
		return 0
	}
	return min(max(int(math.Ceil(-math.Log10(a.step)-1e-9)), 0), 15)
}

// reference resolves the stated datum into the point's SRS. An unknown one is
// a problem, and the coordinates are then taken as on WGS 84.
func (p *Point) reference(o *Options) reference {
	p.SRS = o.Datum
	if foldName(o.Datum) == "" {
		p.problem("datum-unstated", record.Note,
			"no datum is stated: read as WGS 84; the uncertainty includes the largest datum shift at this place", "")
		return reference{}
	}
	ref, ok := datums().resolve(o.Datum)
	if !ok {
		p.problem("datum-unknown", record.Warning, fmt.Sprintf(
			"datum %q is not known: read as WGS 84; the uncertainty includes the largest datum shift at this place", o.Datum), "")
	}
	return ref
}

// finish moves the place to WGS 84, writes it, and adds up its uncertainty:
// the last places written, the datum, the receiver's error and the rounding
// of the published digits. Adding (not combining in quadrature) gives the
// radius that surely holds the place, as the point-radius method asks
// (common practice of georeferencing).
func (p *Point) finish(lat, lon axis, share float64, ref reference, o Options) {
	if o.Stored && p.System == DecimalDegrees {
		lat.step = min(lat.step, lon.step)
		lon.step = lat.step
	}
	p.Latitude, p.Longitude = lat.value, wrap(lon.value)
	shiftError := p.toWGS84(ref, o)
	p.Precision = max(lat.step, lon.step)
	if min(lat.step, lon.step) < 0.99e-7 && p.System != UTMSystem && p.System != MGRSSystem {
		p.problem("coordinates-digits", record.Note, fmt.Sprintf(
			"%d decimals of a degree are finer than a centimetre, more than a field receiver can resolve", max(lat.places(), lon.places())), "")
	}
	p.LatText, p.LonText = decimal(p.Latitude, lat.places()), decimal(p.Longitude, lon.places())
	gps := o.GPSError
	if !(gps > 0) || math.IsInf(gps, 0) {
		gps = 0
	}
	p.Uncertainty = lastPlaceError(p.Latitude, lat.step, lon.step, share) + shiftError + gps + p.rounding()
}

// lastPlaceError is the distance in metres that the unwritten digits may make:
// a share of the last place of each axis, along the diagonal. A value
// that may have been cut off is off by the whole last place at most, share 1; a
// rounded one by half of it, share 0.5. A degree's length is checked against
// PROJ.
func lastPlaceError(lat, latStep, lonStep, share float64) float64 {
	north, east := wgs84Ellipsoid.metresPerDegree(lat)
	return math.Hypot(share*latStep*north, share*lonStep*east)
}

// rounding is the distance between the place and its published digits.
func (p *Point) rounding() float64 {
	lat, err1 := strconv.ParseFloat(p.LatText, 64)
	lon, err2 := strconv.ParseFloat(p.LonText, 64)
	if err1 != nil || err2 != nil {
		return 0
	}
	if d := Distance(p.Latitude, p.Longitude, lat, lon); d > 1e-4 {
		return d
	}
	return 0
}

// toWGS84 moves the point from its datum and returns the accuracy of the move in
// metres.
func (p *Point) toWGS84(ref reference, o Options) float64 {
	switch {
	case ref.datum == nil:
		return datums().unstated(p.Latitude, p.Longitude)
	case ref.datum.isWGS84():
		return 0
	}
	s := ref.datum.choose(p.Latitude, p.Longitude, o.CountryCode)
	if s == nil {
		p.problem("datum-area", record.Warning, fmt.Sprintf(
			"%s is not used at %.4f, %.4f: the coordinates are read as WGS 84; the uncertainty includes the largest datum shift at this place",
			ref.datum.Name, p.Latitude, p.Longitude), "")
		return datums().unstated(p.Latitude, p.Longitude)
	}
	p.Latitude, p.Longitude = ref.datum.apply(s, p.Latitude, p.Longitude)
	p.remark(fmt.Sprintf("%s to WGS 84 by %s (%s), good to %g m", ref.datum.Name, s.Operation, s.Area, s.Accuracy))
	return s.Accuracy
}
